"""Equipment screwed to the walls and carried by removable covers: holes in line, forces in balance, reasons where it is not."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from layout.arrangement import Arrangement, PlacedEquipment, PlacedModule
from layout.box.carrier_room import carrier_mm
from layout.box.cover import clipped, rim_width_mm
from layout.box.cover_parts import cover_screw_places
from layout.box.design import BoxDesign
from layout.box.fixture_parts import engagement_mm
from layout.box.shell import shell_of
from layout.box.welded import design_box
from layout.brackets.plan import plan_options
from layout.frames import Extent, Pose, module_axes, vec3
from layout.job import Job
from layout.job.box import Equipment
from layout.loads.cases import cases_of
from layout.packing.bodies import fixed_stands
from layout.packing.hung import PLATE_MM, ways_to_hang
from layout.study.cover_checks import cover_checks, cover_load
from layout.study.fixture_checks import fixture_checks, fixture_load, fixture_pulls, group_of, screw_forces
from layout.study.held_modules import Held
from layout.study.held_posts import pulls_on
from layout.study.panels import undesigned

G0 = 9.80665
INSIDE = Extent((-75.0, -238.0, 349.0), (361.0, 227.0, 796.0))
FEET = [[-80, -45], [80, -45], [80, 45], [-80, 45]]


def equipment(**keys: object) -> Equipment:
    """A unit of 180 x 110 x 40 mm and 2 kg with four feet on its -z, unless the keys say otherwise."""
    fixing = {"pattern": FEET, "bolt": "M4", "foot": 2.0} | dict(keys.pop("fixing", {}))  # type: ignore[call-overload]
    plain = {"name": "unit", "size": [180, 110, 40], "mass": 2.0, "where": "in box", "fixing": fixing}
    return Equipment.model_validate(plain | keys)


def inside_at(kind: Equipment, wall: str, level: float, up: float, liner: float = 2.0) -> PlacedEquipment:
    """The piece with its feet on the liner of a wall, own x level."""
    assert kind.fixing is not None
    stands = fixed_stands(kind.model_copy(update={"service_from": (wall,)}), kind.fixing)
    stand = next(s for s in stands if s.size_mm[2] < 150.0)
    axis = "xyz".index(wall[1])
    middle = [0.0, 0.0, up]
    middle[1 - axis] = level
    face = INSIDE.max_mm[axis] - liner if wall[0] == "+" else INSIDE.min_mm[axis] + liner
    middle[axis] = face + (-1.0 if wall[0] == "+" else 1.0) * stand.size_mm[axis] / 2.0
    return PlacedEquipment(kind, Pose(vec3(middle), stand.axes), wall, False)


def hung_at(job: Job, kind: Equipment, level: float, up: float) -> PlacedEquipment:
    """The piece on the aft face, own x level."""
    size, axes = next(w for w in ways_to_hang(kind) if abs(w[1][0][1]) > 0.5)
    off = shell_of(job).side_mm + PLATE_MM
    middle = (INSIDE.min_mm[0] - off - size[0] / 2.0, level, up)
    return PlacedEquipment(kind, Pose(middle, axes), "-x", True, PLATE_MM)


@pytest.fixture(scope="module")
def modules(front_job: Job) -> tuple[PlacedModule, ...]:
    """Six modules in two layers; above them the box is free."""
    kind, found = front_job.modules[0], []
    room = carrier_mm(front_job, kind)
    axes = module_axes("+z", kind.terminal_face, "-x")
    assert axes is not None
    for layer in range(2):
        for column in range(3):
            z = INSIDE.min_mm[2] + 2.0 + room + 54.0 + layer * (112.0 + room)
            found.append(PlacedModule(f"M{len(found) + 1}", kind, Pose((163.0, -160.5 + 155.0 * column, z), axes), "+z", "-x"))
    return tuple(found)


def laid(job: Job, modules: tuple[PlacedModule, ...], *pieces: PlacedEquipment) -> tuple[Job, Arrangement]:
    plain = job.box.model_copy(update={"openings": ()})
    mine = job.model_copy(update={"equipment": tuple(p.kind for p in pieces), "box": plain})
    return mine, Arrangement(Pose(), modules, INSIDE, pieces)


def boxed(job: Job, arrangement: Arrangement) -> BoxDesign:
    shell = shell_of(job)
    plans = next(iter(plan_options(job, arrangement.frame, arrangement.inside, shell)))
    return design_box(job, arrangement.inside, shell, plans, arrangement)


@pytest.fixture(scope="module")
def both(front_job: Job, modules: tuple[PlacedModule, ...]) -> tuple[Job, Arrangement]:
    """One unit hung on the aft face, one inside on the fore wall."""
    hung = equipment(
        name="controller", where="aft face", size=[280, 200, 110], mass=8.1, centroid_offset=[10, -5, 12],
        fixing={"pattern": [[-120, -80], [120, -80], [120, 80], [-120, 80]], "bolt": "M6", "foot": 5.0, "load": 2000.0},
    )  # fmt: skip
    return laid(front_job, modules, hung_at(front_job, hung, -40.0, 620.0), inside_at(equipment(), "+x", 10.0, 720.0))


@pytest.fixture(scope="module")
def box(both: tuple[Job, Arrangement]) -> BoxDesign:
    return boxed(*both)


def test_both_are_fixed_and_no_module_is_lost(box: BoxDesign) -> None:
    assert [f.name for f in box.carriers.fixtures] == ["controller", "unit"]
    assert box.carriers.unfixed == ()
    assert box.carriers.unheld == ()


def test_a_screw_per_foot_through_the_foot_and_into_an_upright(box: BoxDesign, both: tuple[Job, Arrangement]) -> None:
    """Holes of upright, spacer (and wall) lie on the screw's axis; where the piece hangs the hole is a tapping drill's."""
    plates = {p.number: p for p in box.plates}
    uprights = [p for p in box.plates if p.name.startswith(("post", "mounting bar"))]
    for one in box.carriers.fixtures:
        screws = [h for h in box.hardware if h.group == "fixture" and one.name in h.joins]
        assert len(screws) == len(one.points_mm) == 4
        for k, screw in enumerate(screws):
            axis, head = np.array(screw.axis), np.array(screw.head_mm)
            behind = [(p, h) for p in uprights for h in p.profile.holes if h.name == screw.holes[0]]
            assert len(behind) == 1
            post, hole = behind[0]
            ends = [post.pose.point((*hole.centre_mm, z)) for z in (0.0, post.thickness_mm)]
            pad = plates[f"{one.number}-S{k + 1}"]
            ends.append(pad.pose.point((*pad.profile.holes[0].centre_mm, 0.0)))
            assert max(float(np.linalg.norm(np.cross(e - head, axis))) for e in ends) < 1e-9
            assert hole.diameter_mm == (5.0 if one.hung else 4.5)
            assert screw.nuts == (0 if one.hung else 1)


def test_a_hung_screw_stops_within_its_upright(box: BoxDesign) -> None:
    hung = box.carriers.fixtures[0]
    assert 1.3 * 6.0 <= engagement_mm(hung, box.shell.bar_mm) <= box.shell.bar_mm
    assert hung.pad_mm == pytest.approx(10.0)  # 6 mm of screw heads and 4 mm of plate, less nothing
    assert box.carriers.fixtures[1].pad_mm == pytest.approx(2.0)  # the liner


def test_screw_forces_balance_the_piece(both: tuple[Job, Arrangement], box: BoxDesign) -> None:
    """Shears sum to the force in the wall and to its moment about the screws' middle; the sum of m g in any direction."""
    specific = np.array([[30.0, -80.0, 25.0]])
    for one in box.carriers.fixtures:
        force, moment = fixture_load(one, specific)
        assert np.linalg.norm(force) == pytest.approx(one.piece.kind.mass_kg * np.linalg.norm(specific))
        assert force @ one.axes == pytest.approx(one.piece.kind.mass_kg * specific)
        group = group_of(one)
        arm = np.array(one.centroid_mm) - np.array(one.points_mm).mean(axis=0)
        assert moment @ one.axes == pytest.approx(np.cross(arm, one.piece.kind.mass_kg * specific))
        assert group.offsets_mm.sum(axis=0) == pytest.approx((0.0, 0.0))


def test_figures_by_hand(both: tuple[Job, Arrangement], box: BoxDesign) -> None:
    """2 kg on four screws 160 x 90 mm, centre 20 mm off its feet, 15 g sideways with 1 g down on the fore wall: shear
    2 x 9.80665 x sqrt(226)/4 = 73.7 N. Tension in one corner, both moments added: by the plane through the screws
    5884 x 80/(4 x 80^2) + 392 x 45/(4 x 45^2) = 20.6 N; by tilting about the edges of its 180 x 110 mm face, levers 10, 10,
    170, 170 and 10, 10, 100, 100 mm: 5884 x 170/58000 + 392 x 100/20200 = 19.2 N. The greater counts.
    """
    one = box.carriers.fixtures[1]
    tension, shear = screw_forces(one, G0 * np.array([[0.0, 15.0, -1.0]]))
    assert shear.max() == pytest.approx(2.0 * G0 * np.sqrt(226.0) / 4.0)
    level, weight = 2.0 * G0 * 15.0 * 20.0, 2.0 * G0 * 20.0
    tilting = level * 170.0 / (2.0 * (10.0**2 + 170.0**2)) + weight * 100.0 / (2.0 * (10.0**2 + 100.0**2))
    plane = level * 80.0 / (4.0 * 80.0**2) + weight * 45.0 / (4.0 * 45.0**2)
    assert tension.max() == pytest.approx(max(tilting, plane))


def test_the_uprights_carry_the_equipment(both: tuple[Job, Arrangement], box: BoxDesign) -> None:
    """Pulls on all uprights of the wall grow by at least the piece's force square to it; in the wall by all of it."""
    job, arrangement = both
    held = Held(box, arrangement, cases_of(job))
    bare = Held(replace(box, carriers=replace(box.carriers, fixtures=())), arrangement, held.cases)
    hung = box.carriers.fixtures[0]
    for c in range(len(held.cases)):
        pulls, plane = pulls_on(held, c, "aft", -np.inf, np.inf)
        less, smaller = pulls_on(bare, c, "aft", -np.inf, np.inf)
        square, _ = fixture_pulls(hung, held.specific[c])
        grown = abs(sum(f for _, f in pulls)) - abs(sum(f for _, f in less))
        assert grown == pytest.approx(float(square.sum()))
        assert grown >= abs(8.1 * held.specific[c, 0]) - 1e-6
        assert plane[0] - smaller[0] >= abs(8.1 * held.specific[c, 1]) - 1e-6
        assert plane[1] - smaller[1] >= abs(8.1 * held.specific[c, 2]) - 1e-6


def test_checks_name_every_case_and_never_pass_what_is_unknown(both: tuple[Job, Arrangement], box: BoxDesign) -> None:
    job, arrangement = both
    cases = cases_of(job)
    checks = fixture_checks(box, cases, Held(box, arrangement, cases).specific)
    for case in cases:
        names = {c.name for c in checks if c.case == case.name and "controller" in c.part}
        assert {"bolt shear", "bolt tension", "bolt shear through packing", "equipment's own foot"} <= names
    unknown = [c for c in checks if c.utilisation is None]
    assert [c.part for c in unknown] == ["foot of unit"]
    assert not unknown[0].holds
    assert undesigned(box, arrangement) == []


def test_a_foot_under_a_bracket_is_said_to_be_unfixed(front_job: Job, modules: tuple[PlacedModule, ...]) -> None:
    job, arrangement = laid(front_job, modules, inside_at(equipment(), "+y", 240.0, 420.0))
    box = boxed(job, arrangement)
    ((name, why),) = box.carriers.unfixed
    assert name == "unit"
    assert "bracket" in why or "leg" in why or "bar" in why
    cases = cases_of(job)
    checks = fixture_checks(box, cases, Held(box, arrangement, cases).specific)
    assert [c.name for c in checks] == ["equipment fixing"]
    assert checks[0].utilisation is None
    assert why in checks[0].note


def test_without_feet_it_is_not_checked(front_job: Job, modules: tuple[PlacedModule, ...]) -> None:
    piece = inside_at(equipment(), "+x", 10.0, 720.0)
    bare = replace(piece, kind=piece.kind.model_copy(update={"fixing": None}))
    job, arrangement = laid(front_job, modules, bare)
    (check,) = undesigned(boxed(job, arrangement), arrangement)
    assert check.utilisation is None
    assert "equipment.fixing" in check.note


@pytest.fixture(scope="module")
def covered(front_job: Job, modules: tuple[PlacedModule, ...]) -> tuple[Job, Arrangement]:
    """A unit served through the fore wall, where it stands."""
    return laid(front_job, modules, inside_at(equipment(service_from=["+x"]), "+x", 10.0, 700.0))


@pytest.fixture(scope="module")
def cover_box(covered: tuple[Job, Arrangement]) -> BoxDesign:
    return boxed(*covered)


def test_the_cover_carries_what_it_serves(cover_box: BoxDesign, covered: tuple[Job, Arrangement]) -> None:
    (cover,) = cover_box.covers
    assert cover_box.uncovered == ()
    assert cover_box.carriers.unheld == ()
    assert len(cover.feet_mm) == 4
    assert cover.pad_mm == pytest.approx(2.0 + 3.0 + 10.0 + 3.0)  # liner, wall, rim, gasket
    low, high = covered[1].equipment[0].extent.min_mm, covered[1].equipment[0].extent.max_mm
    u0, u1, z0, z1 = cover.opening_mm
    assert (u0, u1, z0, z1) == pytest.approx((low[1] - 5.0, high[1] + 5.0, low[2] - 5.0, high[2] + 5.0), abs=4.0)
    wall = cover_box.plate(cover_box.panels["fore"])
    assert len(wall.profile.cutouts) == 1


def test_screws_of_the_cover_are_in_line_and_near_enough(cover_box: BoxDesign) -> None:
    (cover,) = cover_box.covers
    places = cover_screw_places(cover)
    screws = [h for h in cover_box.hardware if h.number.startswith(f"{cover.number}B")]
    assert len(screws) == len(places) >= 8
    plates = {p.number: p for p in cover_box.plates}
    for screw in screws:
        for name in screw.holes:
            plate = plates[name.split("-H")[0]]
            hole = next(h for h in plate.profile.holes if h.name == name)
            off = np.cross(plate.pose.point((*hole.centre_mm, 0.0)) - np.array(screw.head_mm), np.array(screw.axis))
            assert float(np.linalg.norm(off)) < 1e-9
    ring = np.array([*places, places[0]])
    assert np.linalg.norm(np.diff(ring, axis=0), axis=1).max() <= 75.0 + 1e-9


def test_the_covers_load_is_what_hangs_on_it(cover_box: BoxDesign) -> None:
    """2 kg of unit and its cover of 3 mm: force m g in any direction; the moment of a mass off the screws' plane."""
    (cover,) = cover_box.covers
    force, moment = cover_load(cover_box, cover, np.array([0.0, 100.0, 0.0]))
    own = float(np.linalg.norm(force)) / 100.0 - 2.0
    w, h = (s + 2.0 * rim_width_mm() for s in cover.size_mm)
    sheet = w * h * 3.0 * 2660e-9
    assert sheet < own < 2.2 * sheet + 0.2  # gasket, spacers, screws besides
    assert abs(moment[1]) > 2.0 * 100.0 * 20.0


def test_every_case_checks_cover_wall_rim_and_screws(cover_box: BoxDesign, covered: tuple[Job, Arrangement]) -> None:
    job, arrangement = covered
    cases = cases_of(job)
    checks = cover_checks(cover_box, cases, Held(cover_box, arrangement, cases).specific)
    for case in cases:
        names = {c.name for c in checks if c.case == case.name}
        assert {"cover under its equipment", "panel with a rimmed opening", "rim in place of the sheet cut out"} <= names
        assert {"bolt tension", "stripping of the tapped thread", "bolt shear through packing"} <= names
    assert [c.name for c in checks if c.utilisation is None] == ["equipment's own foot"]


def test_a_cover_that_finds_no_room_says_what_is_in_the_way(front_job: Job, modules: tuple[PlacedModule, ...]) -> None:
    job, arrangement = laid(front_job, modules, inside_at(equipment(service_from=["+y"]), "+y", 240.0, 420.0))
    box = boxed(job, arrangement)
    assert box.covers == ()
    ((name, why),) = box.uncovered
    assert name == "unit"
    assert "left wall" in why
    assert "mm is left beside" in why


def test_clipping_keeps_the_greater_part() -> None:
    field = (0.0, 500.0, 0.0, 400.0)
    rim = rim_width_mm()
    got, why = clipped((100.0, 300.0, 100.0, 200.0), field, [("a bar", (280.0 + rim, 330.0, 0.0, 400.0))], 0.0)
    assert got == pytest.approx((100.0, 280.0, 100.0, 200.0))
    assert why == "a bar"
    got, why = clipped((-50.0, 150.0, 100.0, 200.0), field, [], 0.0)
    assert got == pytest.approx((rim, 150.0, 100.0, 200.0))
    assert why == "the edges of the wall"


@pytest.mark.cad
@pytest.mark.parametrize("which", ["both", "covered"])
def test_solids_share_no_space_and_bolts_pass_their_holes(which: str, request: pytest.FixtureRequest) -> None:
    """All parts and fasteners of the box with its equipment: only screws and what they join may meet."""
    from layout.design import Assembly, Block
    from shapes.assembly import tree_of
    from shapes.examine import bolt_holes, overlaps

    _, arrangement = request.getfixturevalue(which)
    box: BoxDesign = request.getfixturevalue("box" if which == "both" else "cover_box")
    bodies = tuple(
        Block(e.kind.name, "equipment", Extent(vec3(np.array(e.kind.size_mm) / -2), vec3(np.array(e.kind.size_mm) / 2)), e.pose)
        for e in arrangement.equipment
    )
    metal = tuple(p for p in box.plates if p.group != "gasket")
    assembly = Assembly("A", (*metal, *bodies), box.hardware)
    tree = tree_of(assembly)
    joined = {(b.number, part) for b in box.hardware for part in b.joins}
    met = [(o.first, o.second) for o in overlaps(assembly, tree)]
    wrong = [pair for pair in met if not any((a.split(" ")[0], b) in joined for a, b in (pair, pair[::-1]))]
    assert [w for w in wrong if not any("-C" in name for name in w)] == []
    mine = [b for b in box.hardware if b.group in ("fixture", "cover")]
    holes = bolt_holes(assembly, tree)
    for bolt in mine:
        assert len(holes[bolt.number]) >= 2
        assert all(h.clear for h in holes[bolt.number])
