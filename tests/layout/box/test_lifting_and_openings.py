"""Lifting points on the uprights; vents, drains and weakened panels; tapped ends of bars."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from layout.arrangement import Arrangement, PlacedModule
from layout.balance.items import MassProperties
from layout.box.carrier_room import carrier_mm
from layout.box.design import BoxDesign
from layout.box.shell import END_SCREW, shell_of
from layout.box.walls import wall_of
from layout.box.welded import design_box
from layout.brackets.plan import plan_options
from layout.design.mass import body_mass
from layout.frames import Extent, Pose, module_axes
from layout.job import Job
from layout.job.box import Opening
from layout.job.fixtures import Lifting
from layout.job.sense import sense_problems
from layout.loads.cases import cases_of
from layout.study.held_modules import Held
from layout.study.lifting_checks import lifting_checks
from layout.study.openings import opening_checks_of, undrained
from layout.tables import bolt
from layout.tables.lifting_eyes import lifting_eye


def boxed(job: Job, arrangement: Arrangement) -> BoxDesign:
    shell = shell_of(job)
    plans = next(iter(plan_options(job, arrangement.frame, arrangement.inside, shell)))
    return design_box(job, arrangement.inside, shell, plans, arrangement)


def with_openings(job: Job, *openings: dict[str, Any], **box: Any) -> Job:
    made = tuple(Opening.model_validate({"diameter": 20} | o) for o in openings)
    return job.model_copy(update={"equipment": (), "box": job.box.model_copy(update={"openings": made} | box)})


@pytest.fixture(scope="module")
def plain(front_job: Job) -> Job:
    return with_openings(front_job)


@pytest.fixture(scope="module")
def lifted(plain: Job, arrangement: Arrangement) -> tuple[Job, BoxDesign]:
    job = plain.model_copy(update={"lifting": Lifting(bolt="M10")})
    return job, boxed(job, arrangement)


@pytest.fixture(scope="module")
def arrangement(front_job: Job) -> Arrangement:
    """Six modules in two layers; above them the box is free."""
    inside, kind = Extent((-75.0, -238.0, 349.0), (361.0, 227.0, 796.0)), front_job.modules[0]
    axes = module_axes("+z", kind.terminal_face, "-x")
    assert axes is not None
    room = carrier_mm(front_job, kind)
    found = []
    for layer in range(2):
        for column in range(3):
            z = inside.min_mm[2] + 2.0 + room + 54.0 + layer * (112.0 + room)
            found.append(PlacedModule(f"M{len(found) + 1}", kind, Pose((163.0, -160.5 + 155.0 * column, z), axes), "+z", "-x"))
    return Arrangement(Pose(), tuple(found), inside)


def pack(mass_kg: float, at: tuple[float, float, float]) -> MassProperties:
    return MassProperties(mass_kg, at, ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)), ())


def test_points_stand_about_the_centre_of_mass(lifted: tuple[Job, BoxDesign], arrangement: Arrangement) -> None:
    _, box = lifted
    points = box.carriers.lifting
    assert box.carriers.no_lifting == ""
    assert len(points) == 4
    walls = {p.wall for p in points}
    assert walls in ({"left", "right"}, {"fore", "aft"})
    axis = 0 if "left" in walls else 1
    middle = np.mean([m.centroid_mm[axis] for m in arrangement.modules])
    assert np.mean([p.u_mm for p in points]) == pytest.approx(middle, abs=1.0)
    assert {p.z_mm for p in points} == {points[0].z_mm}
    assert points[0].z_mm > max(m.centroid_mm[2] for m in arrangement.modules)


def test_every_point_is_tapped_through_pad_and_upright(lifted: tuple[Job, BoxDesign]) -> None:
    """Pad and upright together take the whole thread of the eye, 17 mm for M10; both are drilled 8.5 mm in one line."""
    _, box = lifted
    uprights = {h.name: (p, h) for p in box.plates if p.name.startswith(("post", "mounting bar")) for h in p.profile.holes}
    for point in box.carriers.lifting:
        pad = box.plate(point.number)
        post, hole = uprights[f"{point.number}-P"]
        assert pad.thickness_mm + post.thickness_mm >= lifting_eye("M10").thread_mm
        assert hole.diameter_mm == pad.profile.holes[0].diameter_mm == 8.5
        off = post.pose.point((*hole.centre_mm, 0.0)) - pad.pose.point((*pad.profile.holes[0].centre_mm, 0.0))
        assert float(np.linalg.norm(np.cross(off, post.pose.axes[2]))) < 1e-9
        assert any(w.joins == (point.number, post.number) for w in box.welds)


def test_load_list_by_hand(lifted: tuple[Job, BoxDesign], arrangement: Arrangement) -> None:
    """160 kg in the middle, legs upright: 80 kg a leg against 115 kg; twice that on metal, the eye tipping about its collar."""
    job, box = lifted
    x, y = (float(np.mean([p[i] for p in _rings(box)])) for i in (0, 1))
    checks = lifting_checks(job, box, arrangement, pack(160.0, (x, y, 500.0)))
    working = next(c for c in checks if c.name == "working load of a lifting eye")
    assert working.demand == pytest.approx(80.0, rel=1e-3)
    assert working.capacity == 115.0
    strip = next(c for c in checks if c.name == "stripping of the tapped thread")
    assert strip.demand == pytest.approx(2.0 * 80.0 * 9.80665 * 22.5 / 12.5, rel=1e-3)
    assert all(c.case == "lifting" for c in checks)
    heavy = lifting_checks(job, box, arrangement, pack(240.0, (x, y, 500.0)))
    assert not next(c for c in heavy if c.name == "working load of a lifting eye").holds
    high = lifting_checks(job, box, arrangement, pack(160.0, (x, y, 790.0)))
    assert not next(c for c in high if c.name == "lifting points above the centre of mass").holds


def test_slanting_slings_meet_the_lid(lifted: tuple[Job, BoxDesign], arrangement: Arrangement) -> None:
    job, box = lifted
    slanting = job.model_copy(update={"lifting": Lifting(bolt="M10", sling_angle=45)})
    checks = {c.name: c for c in lifting_checks(slanting, box, arrangement, pack(100.0, (143.0, -5.5, 500.0)))}
    assert not checks["sling clear of the lid flange"].holds
    upright = {c.name: c for c in lifting_checks(job, box, arrangement, pack(100.0, (143.0, -5.5, 500.0)))}
    assert upright["sling clear of the lid flange"].holds
    ratio = checks["working load of a lifting eye"].demand / upright["working load of a lifting eye"].demand
    assert ratio == pytest.approx(math.sqrt(2.0))


def test_no_place_is_never_passed(lifted: tuple[Job, BoxDesign], arrangement: Arrangement) -> None:
    job, box = lifted
    none = replace(box, carriers=replace(box.carriers, lifting=(), no_lifting="a keep-out"))
    (check,) = lifting_checks(job, none, arrangement, pack(100.0, (0.0, 0.0, 500.0)))
    assert check.utilisation is None
    assert not check.holds


def _rings(box: BoxDesign) -> list[tuple[float, float, float]]:
    """The rings' places; how far they stand out does not move their middle."""
    return [wall_of(p.wall, box.inside).point(p.u_mm, 40.0, p.z_mm) for p in box.carriers.lifting]


def test_cross_bars_are_tapped_where_their_screws_go(lifted: tuple[Job, BoxDesign]) -> None:
    """The hole lies on the screw's axis, is deeper than the screw reaches, and its metal is missing from the bar's mass."""
    _, box = lifted
    screws = {h.holes[0].removesuffix("-P"): h for h in box.hardware if "-CS" in h.number}
    crossing = [p for p in box.plates if p.name == "cross bar"]
    assert crossing
    for bar in crossing:
        assert len(bar.tapped) == 2
        for hole in bar.tapped:
            screw = screws[hole.name]
            mouth = bar.pose.point(hole.at_mm)
            assert float(np.linalg.norm(np.cross(mouth - np.array(screw.head_mm), np.array(screw.axis)))) < 1e-9
            assert bar.pose.vector(hole.axis) == pytest.approx(np.array(screw.axis))
            reach = screw.length_mm - float((mouth - np.array(screw.head_mm)) @ np.array(screw.axis))
            assert reach == pytest.approx(hole.thread_mm)
            assert hole.depth_mm >= reach + 1.0
            assert hole.drill_mm == bolt(END_SCREW).diameter_mm - bolt(END_SCREW).pitch_mm
        whole = body_mass(replace(bar, tapped=()), lambda _: 1e9)
        drilled = body_mass(bar, lambda _: 1e9)
        cut = sum(math.pi / 4.0 * h.drill_mm**2 * h.depth_mm for h in bar.tapped)
        assert whole.volume_mm3 - drilled.volume_mm3 == pytest.approx(cut)
        assert drilled.centroid_mm == pytest.approx(whole.centroid_mm, abs=2e-3)  # its bolt holes lie off its middle


def test_vents_keep_off_the_cabin_and_drains_lie_in_the_floor(front_job: Job) -> None:
    vent = {"name": "vent", "panel": "aft", "at": [0, 0], "kind": "vent"}
    paths = [p.path for p in sense_problems(with_openings(front_job, vent, cabin="-x"))]
    assert "box.opening[1].panel" in paths
    led = sense_problems(with_openings(front_job, vent | {"direction": "-z"}, cabin="-x"))
    assert not any(p.path.startswith("box.opening") for p in led)
    wrong = sense_problems(with_openings(front_job, vent | {"direction": "-x", "panel": "fore"}, cabin="-x"))
    assert "box.opening[1].direction" in [p.path for p in wrong]
    drain = sense_problems(with_openings(front_job, {"name": "drain", "panel": "left", "at": [0, 0], "kind": "drain"}))
    assert "box.opening[1].panel" in [p.path for p in drain]
    gland = sense_problems(with_openings(front_job, {"name": "g", "panel": "left", "at": [0, 0], "direction": "+x"}))
    assert "box.opening[1].direction" in [p.path for p in gland]


def test_every_pocket_of_the_floor_wants_its_drain(plain: Job, arrangement: Arrangement) -> None:
    """Floor bars part the floor into pockets: one drain empties one of them."""
    box = boxed(plain, arrangement)
    bars = [b for b in box.carriers.bars if b.welded]
    assert len(bars) >= 2
    assert undrained(plain, box) == []  # no drain was asked for
    drain = {"name": "drain", "panel": "bottom", "at": [0, 0], "kind": "drain", "diameter": 10}
    one = undrained(with_openings(plain, drain), box)
    assert len(one) == len(bars)  # pockets: one more than bars, less the drained one


def test_a_large_opening_weakens_its_panel(plain: Job, arrangement: Arrangement) -> None:
    """By hand: twice the plate's stress on what is left of its width; the larger of two openings counts."""
    small, large = ({"name": n, "panel": "left", "at": [0, y], "diameter": d} for n, y, d in (("s", 60, 20), ("l", -60, 90)))
    cases = cases_of(plain)
    box = boxed(plain, arrangement)
    specific = Held(box, arrangement, cases).specific
    checks = opening_checks_of(with_openings(plain, small, large), box, arrangement, cases, specific)
    assert {c.part for c in checks} == {"left panel at l"}
    none = opening_checks_of(with_openings(plain, small), box, arrangement, cases, specific)
    short = min(box.inside.size_mm[0], box.inside.size_mm[2])
    ratio = max(c.demand for c in checks) / max(c.demand for c in none)
    assert ratio == pytest.approx((1.0 - 20.0 / short) / (1.0 - 90.0 / short))
