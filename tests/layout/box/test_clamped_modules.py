"""Modules without fixing holes: frames, bars and rods where they belong; forces of the clamp by statics; what is refused."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.arrangement import Arrangement, PlacedModule
from layout.box.carrier_room import bodies_room_mm, carrier_mm, whole_of
from layout.box.clamp_room import clamping_of, greatest_g, why_not_clamped
from layout.box.design import BoxDesign
from layout.box.folded import design_folded_box
from layout.box.shell import shell_of
from layout.box.welded import design_box
from layout.checks.clamps import ClampedBody, clamp_forces
from layout.design import Hardware, Plate
from layout.design.mass import body_mass
from layout.frames import Extent, Pose, module_axes
from layout.job import Job
from layout.job.module import Clamp
from layout.job.sense import sense_problems
from layout.loads.cases import cases_of
from layout.packing.bodies import bodies_of, module_stands
from layout.space.removal import lifts
from layout.study.held_modules import Held, held_checks

MODULE_X, GAP = 392.0, 4.0


def clamped_job(job: Job, **more: object) -> Job:
    kind = job.modules[0].model_copy(update={"fixing": None, "clamp": Clamp(**more), "up": ("+z", "+y")})  # type: ignore[arg-type]
    return job.model_copy(update={"modules": (kind,)})


@pytest.fixture(scope="module")
def job(front_job: Job) -> Job:
    return clamped_job(front_job, load_n=9000.0)


@pytest.fixture(scope="module")
def arrangement(job: Job) -> Arrangement:
    """Two on the floor side by side, one across above them, on bars of its own; terminals forward, then to the left."""
    clamping = clamping_of(job, job.modules[0], "+z")
    assert clamping is not None
    room, whole = carrier_mm(job, job.modules[0]), clamping.whole
    inside = Extent((0.0, 0.0, 0.0), (whole.size_mm[0] + 30.0, 2.0 * whole.size_mm[1] + 30.0, 420.0))
    x, z = inside.size_mm[0] / 2.0, job.box.liner_mm + room + 54.0
    places = [(x, 10.0 + whole.size_mm[1] / 2.0, z, "+x"), (x, 14.0 + 1.5 * whole.size_mm[1], z, "+x")]
    above = z + whole.max_mm[2] + 4.0 + room + 54.0
    places.append((x, inside.size_mm[1] / 2.0, above, "+x"))
    modules = []
    for i, (*at, terminals) in enumerate(places):
        axes = module_axes("+z", "+x", str(terminals))
        assert axes is not None
        modules.append(PlacedModule(f"M{i + 1}", job.modules[0], Pose((at[0], at[1], at[2]), axes), "+z", str(terminals)))
    return Arrangement(Pose(), tuple(modules), inside)


@pytest.fixture(scope="module")
def box(job: Job, arrangement: Arrangement) -> BoxDesign:
    return design_box(job, arrangement.inside, shell_of(job), (), arrangement)


def test_every_module_lies_in_a_frame_under_two_bars(job: Job, box: BoxDesign, arrangement: Arrangement) -> None:
    assert box.carriers.unheld == ()
    names = [p.name for p in box.plates]
    assert (names.count("module frame"), names.count("hold-down bar"), names.count("soft strip")) == (3, 6, 6)
    rods = [h for h in box.hardware if h.kind == "threaded rod"]
    assert len(rods) == 12
    for held in box.carriers.held:
        assert len(held.bolts) == 4
        assert len(set(held.bars)) == 2
        for bar in (box.carriers.bars[k] for k in held.bars):  # across the terminals' way, under the module, not beside it
            body = next(m for m in arrangement.modules if m.id == held.id).extent
            assert bar.run == 1
            assert body.min_mm[0] <= bar.at_mm - bar.width_mm / 2.0
            assert bar.at_mm + bar.width_mm / 2.0 <= body.max_mm[0]


def depth(rod: Hardware, plate: Plate, z: float) -> float:
    """How far along a rod a face of a plate lies."""
    return float((plate.pose.point((0.0, 0.0, z)) - np.array(rod.head_mm)) @ np.array(rod.axis))


def test_rods_pass_their_holes_and_their_nuts_bear(box: BoxDesign) -> None:
    plates = [p for p in box.plates if isinstance(p, Plate)]
    holes = {h.name: (p, h) for p in plates for h in p.profile.holes}
    floor = box.shell.sheet_mm
    for rod in (h for h in box.hardware if h.kind == "threaded rod"):
        head, axis = np.array(rod.head_mm), np.array(rod.axis)
        parts = [holes[name][0] for name in rod.holes]
        assert parts[0].name == "hold-down bar"
        assert parts[1].name == "module frame"
        for name in rod.holes:
            plate, hole = holes[name]
            at = plate.pose.point((*hole.centre_mm, 0.0))
            assert np.linalg.norm(np.cross(at - head, axis)) < 1e-9
            assert hole.diameter_mm == pytest.approx(6.6)

        nuts, washers = ([r.at_mm for r in rod.rings if r.kind == kind] for kind in ("nut", "washer"))
        assert washers[0] + 1.6 == pytest.approx(depth(rod, parts[0], parts[0].thickness_mm))
        assert washers[1] + 1.6 == pytest.approx(depth(rod, parts[1], parts[1].thickness_mm))
        bottom = max(depth(rod, parts[2], z) for z in (0.0, parts[2].thickness_mm)) + (floor if len(parts) == 4 else 0.0)
        assert washers[2] == pytest.approx(bottom)
        assert nuts[0] >= 2.0 - 1e-9  # two threads stand out at both ends
        assert rod.length_mm - (nuts[2] + 5.2) >= 2.0 - 1e-9


def test_nothing_of_a_clamp_leaves_its_room(job: Job, box: BoxDesign, arrangement: Arrangement) -> None:
    wholes = {m.id[1:]: whole_of(job, m) for m in arrangement.modules}
    for plate in (p for p in box.plates if p.group in ("clamp", "pad")):
        key = plate.number.split("-M")[1].lstrip("FHS").rstrip("AB")
        assert isinstance(plate, Plate)
        corners = [(x, y, z) for x, y, _ in plate.profile.outline for z in (0.0, plate.thickness_mm)]
        points = plate.pose.point(np.array(corners))
        assert (points >= np.array(wholes[key].min_mm) - 1e-9).all()
        assert (points <= np.array(wholes[key].max_mm) + 1e-9).all()


@pytest.mark.parametrize("up", ["+z", "+y"])
def test_the_search_reserves_what_the_clamp_takes(job: Job, up: str) -> None:
    """Size of every stand: module, clamp and the bars under it; the module lies in it where the designer will put it."""
    kind = job.modules[0]
    for stand in (s for s in bodies_of(job)[0].stands if s.up == up):
        pose = Pose(stand.module_mm, stand.axes)
        module = PlacedModule("M1", kind, pose, up, stand.terminals)
        whole, room = whole_of(job, module), carrier_mm(job, kind)
        half = np.array(stand.size_mm) / 2.0
        assert np.allclose(whole.min_mm, -half + np.array((0.0, 0.0, room)))
        assert np.allclose(whole.max_mm, half)
        assert np.allclose(stand.centroid_mm, module.centroid_mm)


def test_room_before_the_terminals_counts_towards_their_clear_zone(job: Job) -> None:
    kind = job.modules[0]
    room = bodies_room_mm(job, kind, "+z")
    assert room is not None
    plain = module_stands(kind)[0]
    wide = next(s for s in bodies_of(job)[0].stands if s.terminals == plain.terminals and s.up == plain.up)
    assert wide.zone_mm == pytest.approx(kind.terminal_clearance_mm - room[1][0])


def test_bars_carry_modules_and_clamps_and_every_check_is_made(job: Job, box: BoxDesign, arrangement: Arrangement) -> None:
    held = Held(box, arrangement, cases_of(job))
    checks = held_checks(held)
    names = {c.name for c in checks}
    assert {"frame web bent by the module in it", "hold-down bar", "force of the clamp on the module"} <= names
    assert not [c for c in checks if c.utilisation is None]
    for k, case in enumerate(held.cases):
        asked = {c.name for c in checks if c.case == case.name and c.part.startswith("rods of slab-6s")}
        assert ("slip" in asked) is case.no_slip
        shear = max(c.demand for c in checks if c.case == case.name and c.name == "bolt shear" and c.part.startswith("rod of"))
        assert shear >= 12.4 * abs(held.specific[k, 1]) / 2.0 - 1e-6  # along the bars: two rods alone
    clamp = [p for p in box.plates if p.group in ("clamp", "pad")]
    rods = [h for h in box.hardware if h.kind == "threaded rod"]
    real = sum(body_mass(p, lambda m: {"soft strip": 1200.0, "5083-H111": 2660.0}.get(m, 2700.0)).mass_kg for p in clamp)
    real += sum(body_mass(r).mass_kg for r in rods)
    told = sum(one.mass_kg - one.module.kind.mass_kg for one in held.models[0])
    assert told == pytest.approx(real, rel=0.12)  # rods without what they pass below the frame


def test_modules_come_out_after_the_nuts_over_them(job: Job, box: BoxDesign, arrangement: Arrangement) -> None:
    order = lifts(arrangement, box.shell, box.carriers)
    assert order[0].modules == ("M3",)
    assert all("nuts of the bars over it" in lift.undo or "end screws" in lift.undo for lift in order)
    assert not any(lift.blocked for lift in order)


def test_a_folded_box_gets_the_same_clamps(job: Job, box: BoxDesign, arrangement: Arrangement) -> None:
    folded = job.model_copy(update={"box": job.box.model_copy(update={"construction": "folded", "sheet_mm": 2.0})})
    made = design_folded_box(folded, arrangement.inside, shell_of(folded), (), arrangement)
    assert made.carriers.unheld == ()
    assert sum(p.group == "clamp" for p in made.plates) == 9
    assert any("soft strips" in note for note in made.notes)


@settings(max_examples=60, deadline=None)
@given(
    st.tuples(st.floats(-5e3, 5e3), st.floats(-5e3, 5e3), st.floats(-5e3, 5e3)),
    st.tuples(st.floats(-20.0, 20.0), st.floats(-30.0, 30.0), st.floats(30.0, 80.0)),
)
def test_rods_hold_what_tips_and_lifts(force: tuple[float, float, float], centre: tuple[float, float, float]) -> None:
    """Rigid body on two bars under it and under two over it, stopped at its base: moments about the lines it tips about."""
    inset, row, side = 109.76, 86.0, 151.0
    body = ClampedBody(side, 392.0, row, inset, 20.0, 25.0, 6.0, centre)
    found = clamp_forces(body, np.array([force]))
    pull, lift = float(found.upper[0]), max(force[2], 0.0)
    about_bar = abs(force[1]) * centre[2] + lift * (inset + abs(centre[1]))
    assert 2.0 * pull * 2.0 * inset >= about_bar - 1e-6  # the two rods of the trailing bar
    about_edge = abs(force[0]) * centre[2] + lift * (side / 2.0 + abs(centre[0]))
    assert 2.0 * float(found.bar[0]) * side >= about_edge - 1e-6  # both bars at the trailing edge
    assert float(found.bar[0]) <= 2.0 * pull + 1e-6  # what a bar takes, its two rods can hold
    assert float(found.lower[0]) >= pull


def test_frame_webs_as_beams_by_integration() -> None:
    """A web with rods under an even load: greatest moment by summing loads along it."""
    body = ClampedBody(151.0, 392.0, 86.0, 0.28 * 392.0, 20.0, 25.0, 6.0, (0.0, 0.0, 54.0))
    found = clamp_forces(body, np.array([[1000.0, 600.0, 0.0]]))
    n, length, inset = 20000, 392.0, 0.28 * 392.0
    x = (np.arange(n) + 0.5) * length / n - length / 2.0
    steps = np.full(n, -1000.0 / n)
    for support in (-inset, inset):
        steps[np.abs(x - support).argmin()] += 500.0
    moments = np.cumsum(np.cumsum(steps)) * length / n
    assert float(found.web_moment[0]) == pytest.approx(float(np.abs(moments).max()), rel=2e-3)
    assert float(found.side_moment[0]) == pytest.approx(600.0 * 172.0 / 8.0)


def test_what_cannot_be_clamped_is_said(front_job: Job) -> None:
    kind = front_job.modules[0]
    up = kind.model_copy(update={"fixing": None, "clamp": Clamp(), "terminal_face": "+z", "up": ("+z",)})
    assert "terminals" in why_not_clamped(up)
    slim = kind.model_copy(update={"fixing": None, "clamp": Clamp(), "size_mm": (50.0, 151.0, 108.0)})
    assert "apart" in why_not_clamped(slim, "+z")
    both = front_job.model_copy(update={"modules": (kind.model_copy(update={"clamp": Clamp()}),)})
    found = [p for p in sense_problems(both) if p.path == "module[1].clamp"]
    assert len(found) == 1
    lying = front_job.model_copy(update={"modules": (up,)})
    assert any("cannot clamp" in p.want for p in sense_problems(lying))


def test_sizes_follow_the_crash_factors(front_job: Job) -> None:
    job = clamped_job(front_job)
    factors = job.crash.factors
    assert factors is not None
    crashes = [job.crash.model_copy(update={"factors": factors.model_copy(update={"left": g})}) for g in (15.0, 60.0)]
    weak, strong = (job.model_copy(update={"crash": crash}) for crash in crashes)
    assert greatest_g(strong.crash) == pytest.approx(math.hypot(60.0, 1.0))
    one, other = (clamping_of(j, j.modules[0], "+z") for j in (weak, strong))
    assert one is not None
    assert other is not None
    assert other.side_web_mm > one.side_web_mm
    assert other.bar_mm >= one.bar_mm
