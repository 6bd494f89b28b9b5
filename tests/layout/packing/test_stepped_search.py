"""Boxes with a corner of the plan left out: counts against a second, exhaustive way, bounds, judge, and when none is taken."""

from __future__ import annotations

import importlib.util
import time
from dataclasses import replace
from pathlib import Path

import pytest

from layout.box.shell import shell_of
from layout.frames import Extent, Pose, vec3
from layout.packing.bodies import bodies_of
from layout.packing.ceiling import most_at_all
from layout.packing.clock import Clock
from layout.packing.engine import Item, Option, Region
from layout.packing.search import arrange
from layout.packing.sites import Ground, plain_sites, sites_in
from layout.packing.steps import stepped_sites
from layout.space.judge_arrangement import judge_arrangement
from layout.stepped import Stepped, corner_out, holds, outline_words, parts_of, two_floors
from layout.study.access import access_of

BLOCK = {
    "name": "block", "size": [150, 100, 100], "mass": 3.0, "up": ["+z"], "terminal_face": "+x", "gap": 0, "available": 60,
    "nominal_voltage": 22.0, "max_voltage": 25.0, "min_voltage": 18.0, "energy": 1.0,
}  # fmt: skip


MOST, PLAIN = 16, 11
"""Of the first case below, as `counted` finds them."""


def other_way():
    file = Path(__file__).parents[1] / "packing_engine" / "packing_everywhere.py"
    spec = importlib.util.spec_from_file_location("packing_everywhere", file)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def counted(room, step, corner):
    """Most blocks of 3 x 2 cells in the room's plan, and in each of its two largest rectangles: every place, every clash."""
    x, y = room[0] // 50, room[1] // 50
    a, b = step[0] // 50, step[1] // 50
    items = [Item("block", (Option((3, 2, 1)), Option((2, 3, 1))), 60)]
    lows = [x - a if corner[0] else 0, y - b if corner[1] else 0]
    blocked = ((lows[0], lows[1], 0, lows[0] + a, lows[1] + b, 1),)
    optimum = other_way().optimum
    return (
        optimum(Region((x, y, 1), blocked), items, seconds=20.0),
        max(optimum(Region((x - a, y, 1)), items), optimum(Region((x, y - b, 1)), items)),
    )


@pytest.mark.parametrize(
    ("room", "step", "corner"),
    [
        ((650, 500), (300, 250), (1, 1)),
        ((550, 450), (250, 200), (0, 1)),
    ],
)
def test_count_is_that_of_every_place_tried(make, room, step, corner):
    most, plain = counted(room, step, corner)
    job = make.l_job((*room, 100.0), step, corner, [BLOCK], {"count": "max"})
    bay, shell = make.bay(job), shell_of(job)
    found = arrange(job, bay, seconds=15.0, seed=0)
    assert most > plain
    assert found.placed == most
    assert found.upper_bound == most
    assert found.proven
    assert found.rectangular is not None
    reached, bound = found.rectangular  # boxes that brackets reach from go first: they may hold fewer
    assert reached <= bound == plain
    assert f"it holds {most}; the best rectangular box found holds {reached}" in found.note
    for one in found.arrangements:
        assert isinstance(one.inside, Stepped)
        assert judge_arrangement(job, bay, one, shell) == []
        assert min(one.inside.left_out.size_mm[:2]) >= 60.0
    ways, orders = access_of(job, bay, found, shell)
    assert all(way.possible for way in ways)
    assert all(not any(lift.blocked for lift in order) for order in orders)


def tier_counts(room, step):
    """Most blocks of 3 x 2 x 2 cells in a room with a floor at two heights (the upper one at the high end of x), and in each
    of its two largest boxes: every place, every clash."""
    x, y, z, over, up = (v // 50 for v in (*room, *step))
    items = [Item("block", (Option((3, 2, 2)), Option((2, 3, 2))), 60)]
    optimum = other_way().optimum
    return (
        optimum(Region((x, y, z), ((x - over, 0, 0, x, y, up),)), items, seconds=20.0),
        max(optimum(Region((x - over, y, z)), items), optimum(Region((x, y, z - up)), items)),
    )


@pytest.fixture(scope="module")
def tiers(make):
    job = make.tier_job((450.0, 300.0, 200.0), (250.0, 100.0), 1, 1, [BLOCK], {"count": "max"})
    return job, make.bay(job), arrange(job, make.bay(job), seconds=8.0, seed=0)


def test_floors_at_two_heights_hold_what_every_place_tried_does(tiers):
    job, bay, found = tiers
    most, plain = tier_counts((450, 300, 200), (250, 100))
    shell = shell_of(job)
    assert most > plain
    assert found.placed == most
    assert found.upper_bound == most
    assert found.proven
    assert found.rectangular is not None
    assert found.rectangular[0] <= found.rectangular[1] == plain
    assert f"its floor at two heights: it holds {most}" in found.note
    for one in found.arrangements:
        assert two_floors(one.inside)
        assert one.inside.run == 1
        assert "on the fore side" in outline_words(one.inside)
        assert judge_arrangement(job, bay, one, shell) == []
        assert len(shell.pieces(one.inside)) == 3
    ways, orders = access_of(job, bay, found, shell)
    assert all(way.possible for way in ways)
    assert all(not any(lift.blocked for lift in order) for order in orders)


@pytest.mark.parametrize(("run", "high"), [(0, 0), (0, 1), (1, 0), (1, 1)])
def test_pairs_of_bounding_insides_hold_every_floor_step_that_fits(make, run, high):
    room = (450.0, 300.0, 200.0) if run else (300.0, 450.0, 200.0)
    job = make.tier_job(room, (250.0, 100.0), run, high, [BLOCK], {"count": "max"})
    bay, shell, bodies = make.bay(job), shell_of(job), bodies_of(job)
    inner = Ground(job, bay, shell, (100.0, 100.0, 100.0), 20.0)
    outer = replace(inner, outer=True)
    built = stepped_sites(inner, plain_sites(inner, Pose()), bodies, 5)
    bounds = [*stepped_sites(outer, plain_sites(outer, Pose()), bodies, 5), *sites_in(outer, Pose())]
    steps = [step for site in built if (step := two_floors(site.limit)) is not None]
    assert steps
    assert {(step.run, step.at_high(1 - run)) for step in steps} == {(run, bool(high))}
    for site in built:
        assert any(holds(other.limit, site.limit) for other in bounds)


def test_no_other_outline_holds_as_many_over_the_cross_member(tier_job, tier_bay, tier_arrangement):
    """Fifteen lie in it, laid out by hand; bounds over all rectangular boxes and all with a corner of the plan left out."""
    shell, bodies = shell_of(tier_job), bodies_of(tier_job)
    assert judge_arrangement(tier_job, tier_bay, tier_arrangement, shell) == []
    assert len(tier_arrangement.modules) == 15
    least = vec3([min(s.size_mm[a] for b in bodies for s in b.stands) for a in range(3)])
    outer = Ground(tier_job, tier_bay, shell, least, 20.0, outer=True)
    corners = [s for s in stepped_sites(outer, plain_sites(outer, Pose()), bodies, 13) if corner_out(s.limit)]
    for sites in (sites_in(outer, Pose()), corners):
        assert sites
        assert most_at_all(sites, bodies, 11, 20, 0, Clock(time.monotonic() + 30.0)) == 12


def test_the_judge_sees_what_reaches_below_the_upper_floor(tiers):
    job, bay, found = tiers
    shell, one = shell_of(job), found.arrangements[0]
    out = one.inside.left_out
    raised = Stepped(one.inside.min_mm, one.inside.max_mm, Extent(out.min_mm, (*out.max_mm[:2], out.max_mm[2] + 30.0)))
    wrong = judge_arrangement(job, bay, replace(one, inside=raised), shell)
    assert any("room within walls and liner" in v.with_what for v in wrong)
    whole = Extent(one.inside.min_mm, one.inside.max_mm)
    assert any(v.what == "box body" for v in judge_arrangement(job, bay, replace(one, inside=whole), shell))


@pytest.fixture(scope="module")
def taken(make):
    job = make.l_job((650.0, 500.0, 100.0), (300, 250), (1, 1), [BLOCK], {"count": PLAIN + 1})
    return job, arrange(job, make.bay(job), seconds=15.0, seed=0)


def test_none_is_taken_where_a_rectangle_holds_what_is_asked(make):
    job = make.l_job((650.0, 500.0, 100.0), (300, 250), (1, 1), [BLOCK], {"count": 8})
    found = arrange(job, make.bay(job), seconds=15.0, seed=0)
    assert found.placed == 8
    assert not any(isinstance(a.inside, Stepped) for a in found.arrangements)
    assert "not taken" in found.note
    assert "the number asked for" in found.note
    assert found.upper_bound >= MOST  # of every outline allowed


def test_rectangular_unless_the_job_says_otherwise(make):
    job = make.job((300, 300, 100), [BLOCK], {"count": 1})
    assert job.box.outline == "rectangular"
    found = arrange(job, make.bay(job), seconds=15.0, seed=0)
    assert found.rectangular is None
    assert "stepped" not in found.note


def test_more_asked_for_than_a_rectangle_holds(taken):
    _, found = taken
    assert found.placed == PLAIN + 1
    assert all(isinstance(a.inside, Stepped) for a in found.arrangements)


def test_pairs_of_bounding_insides_hold_every_step_that_fits(make):
    job = make.l_job((650.0, 500.0, 100.0), (300, 250), (1, 1), [BLOCK], {"count": "max"})
    bay, shell, bodies = make.bay(job), shell_of(job), bodies_of(job)
    inner = Ground(job, bay, shell, (100.0, 100.0, 100.0), 20.0)
    outer = replace(inner, outer=True)
    built = stepped_sites(inner, plain_sites(inner, Pose()), bodies, 12)
    bounds = [*stepped_sites(outer, plain_sites(outer, Pose()), bodies, 12), *sites_in(outer, Pose())]
    assert built
    for site in built:
        assert any(holds(other.limit, site.limit) for other in bounds)


def test_the_judge_sees_what_reaches_into_the_step(make, taken):
    job, found = taken
    bay, shell, one = make.bay(job), shell_of(job), found.arrangements[0]
    assert isinstance(one.inside, Stepped)
    out = one.inside.left_out
    deeper = Stepped(one.inside.min_mm, one.inside.max_mm, Extent((out.min_mm[0] - 30.0, *out.min_mm[1:]), out.max_mm))
    wrong = judge_arrangement(job, bay, replace(one, inside=deeper), shell)
    assert any("room within walls and liner" in v.with_what for v in wrong)
    whole = Extent(one.inside.min_mm, one.inside.max_mm)
    assert any(v.what in ("box body", "lid flange") for v in judge_arrangement(job, bay, replace(one, inside=whole), shell))
    assert len(shell.pieces(one.inside)) == 4
    assert all(holds(shell.body(whole), piece) for piece in shell.bodies(one.inside))
    assert len(parts_of(one.inside)) == 2
