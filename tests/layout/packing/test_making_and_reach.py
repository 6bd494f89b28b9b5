"""What can be made comes first: layers, walls that brackets can reach every mount from, and what is lost else."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from layout.arrangement import Arrangement
from layout.box.carriers import Carriers
from layout.box.shell import shell_of
from layout.brackets.plan import REACH_MM, plan_options
from layout.errors import DesignError
from layout.frames import Extent, Pose
from layout.job import read_job
from layout.job.bay import MountPoint
from layout.packing.aims import on_their_bases
from layout.packing.bodies import bodies_of
from layout.packing.layers import layered
from layout.packing.places import places_in
from layout.packing.reach import is_reached, nearest_ways, ways_to_reach, within_reach
from layout.packing.scores import NOT_HELD, as_good, best_first, no_worse, worth_listing
from layout.packing.sites import Site
from layout.study.making import Making

JOBS = Path(__file__).parents[2] / "jobs"
WIDE = Extent((-2000.0, -2000.0, 340.0), (2000.0, 2000.0, 900.0))


@pytest.fixture(scope="module")
def job() -> Any:
    return read_job(JOBS / "larkmoor-front-bay.toml")


def test_ways_to_reach_agree_with_the_planner_of_brackets(job: Any) -> None:
    """Boxes at random: reached exactly where the planner finds a wall for every mount."""
    shell, rng = shell_of(job), np.random.default_rng(0)
    ways = ways_to_reach(job, Pose(), shell, WIDE)
    seen = {True: 0, False: 0}
    for _ in range(300):
        low = rng.uniform((-300, -330, 340), (-50, -150, 360))
        inside = Extent(tuple(low), tuple(low + rng.uniform((250, 250, 300), (650, 650, 450))))
        try:
            next(iter(plan_options(job, Pose(), inside, shell)))
            planned = True
        except DesignError:
            planned = False
        assert is_reached(ways, inside) == planned
        seen[planned] += 1
    assert min(seen.values()) > 20


def test_the_nearest_way_moves_the_faces_least(job: Any) -> None:
    shell = shell_of(job)
    ways = ways_to_reach(job, Pose(), shell, WIDE)
    inside = Extent((-75.0, -238.0, 349.0), (361.0, 227.0, 796.0))
    off = [sum(s.off_mm(inside) for s in way) for way in nearest_ways(ways, inside)]
    assert off == sorted(off)
    assert off[0] == 0.0


def test_a_mount_out_of_reach_of_every_box_has_no_way(job: Any) -> None:
    shell, limit = shell_of(job), Extent((0.0, 0.0, 0.0), (500.0, 500.0, 400.0))
    far = MountPoint.model_validate({"name": "far", "at": [-400, 250, 0], "normal": "+y", "thread": "M10"})
    out = shell.sheet_mm + shell.bar_mm + REACH_MM
    near = far.model_copy(update={"at_mm": (-out + 1.0, 250.0, 0.0)})
    with_far, with_near = (job.model_copy(update={"mount_points": (m,)}) for m in (far, near))
    assert within_reach(with_far, shell, [Site(Pose(), limit, (), shell)]) == []
    (site,) = within_reach(with_near, shell, [Site(Pose(), limit, (), shell)])
    assert site.limit == limit  # the aft wall must stand within 1 mm of the limit's end: its other limits stay
    (way,) = ways_to_reach(with_near, Pose(), shell, limit)
    assert way[0].face == 0
    assert way[0].high_mm == pytest.approx(1.0)


def test_layers_leave_places_on_few_levels_only(job: Any) -> None:
    bodies = on_their_bases(bodies_of(job))
    assert {s.up for b in bodies if b.is_module for s in b.stands} == {"+z"}
    room = Extent((0.0, 0.0, 0.0), (440.0, 470.0, 420.0))
    places = places_in(room, bodies, ("middle", "middle", "low"))
    found = list(layered(places, bodies, room, 8))
    assert found
    height = bodies[0].stands[0].size_mm[2] + bodies[0].gap_mm
    for one in found:
        module = np.array([b.is_module for b in bodies])[one.body]
        levels = set(one.low[module, 2] * one.unit_mm)
        assert levels <= {k * height for k in range(3)}
        assert (~module).any()


def test_what_can_be_made_comes_first_and_is_not_dominated() -> None:
    good = {
        "ahead_of_axle_kg": 90.0, "centroid_height_mm": 500.0, "centroid_offset_mm": 0.0, "sheet_area_m2": 1.0,
        "links_mm": 900.0, "modules_in_the_way": 1.0, "packed_mass_kg": 100.0, NOT_HELD: 2.0,
    }  # fmt: skip
    poor = {**good, "ahead_of_axle_kg": 80.0, NOT_HELD: 0.0}
    assert not no_worse(good, poor)
    assert not no_worse(poor, good)
    assert no_worse(good, {**poor, NOT_HELD: 2.0})
    one = Arrangement(Pose(), (), Extent((0.0, 0.0, 0.0), (1.0, 1.0, 1.0)), scores=good)
    other = replace(one, scores=poor)
    assert best_first(("ahead_of_axle",), [one, other]) == [other, one]


def test_what_another_beats_by_more_than_no_difference_is_not_listed() -> None:
    plain = {
        "ahead_of_axle_kg": 90.0, "centroid_height_mm": 500.0, "centroid_offset_mm": 0.0, "sheet_area_m2": 1.0,
        "links_mm": 900.0, "modules_in_the_way": 1.0, "packed_mass_kg": 100.0, NOT_HELD: 0.0,
    }  # fmt: skip
    higher = {**plain, "centroid_height_mm": 530.0, "links_mm": 898.0}
    shorter = {**plain, "centroid_height_mm": 530.0, "links_mm": 800.0}
    same = {**plain, "links_mm": 895.0}
    assert not no_worse(plain, higher)
    assert as_good(plain, higher)
    assert not as_good(higher, plain)
    assert as_good(plain, same)
    assert as_good(same, plain)
    one, two, three, four = (
        Arrangement(Pose(), (), Extent((0.0, 0.0, 0.0), (1.0, 1.0, 1.0)), scores=s) for s in (plain, higher, shorter, same)
    )
    assert worth_listing([one, two, three, four]) == [one, three, four]
    assert worth_listing([two]) == [two]


def test_equipment_that_finds_no_upright_counts_as_lost() -> None:
    assert Making(carriers=Carriers(unfixed=(("controller", "no upright"),))).lost(7) == 1


def test_all_are_lost_where_no_box_can_be_made() -> None:
    assert Making("no wall reaches a mount").lost(7) == 7
    assert Making(stuck=("M1", "M2")).lost(7) == 2
    assert Making().lost(7) == 0
