"""Modules on bars: bolts where the module's pattern lies, forces in balance, nothing in the way, reasons where not held."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from layout.arrangement import Arrangement, PlacedEquipment, PlacedModule
from layout.box.bar_joining import WIDTHS_MM
from layout.box.carrier_room import carrier_mm
from layout.box.design import BoxDesign
from layout.box.shell import shell_of
from layout.box.welded import design_box
from layout.brackets.plan import plan_options
from layout.checks.beams import simple_points
from layout.errors import DesignError
from layout.frames import Array, Extent, Pose, module_axes, vec3
from layout.job import Job
from layout.job.box import Opening
from layout.loads.cases import cases_of
from layout.study.held_modules import Held, held_checks
from layout.study.held_posts import lid_tie_checks, post_checks

G0 = 9.80665


def placed(job: Job, name: str, middle: tuple[float, float, float], up: str, terminals: str) -> PlacedModule:
    kind = job.modules[0]
    axes = module_axes(up, kind.terminal_face, terminals)
    assert axes is not None
    return PlacedModule(name, kind, Pose(middle, axes), up, terminals)


@pytest.fixture(scope="module")
def arrangement(front_job: Job) -> Arrangement:
    """Three modules on the floor, three above them, two across on top; the room for bars left under each."""
    inside = Extent((-75.0, -238.0, 349.0), (361.0, 227.0, 796.0))
    room = carrier_mm(front_job, front_job.modules[0])
    modules = []
    base = inside.min_mm[2] + front_job.box.liner_mm + room
    for layer in range(2):
        for column in range(3):
            z = base + 54.0 + layer * (108.0 + 4.0 + room)
            modules.append(placed(front_job, f"M{len(modules) + 1}", (163.0, -160.5 + 155.0 * column, z), "+z", "-x"))
    z = base + 54.0 + 2 * (108.0 + 4.0 + room)
    modules += [placed(front_job, f"M{7 + i}", (283.5 - 155.0 * i, 29.0, z), "+z", "-y") for i in range(2)]
    return Arrangement(Pose(), tuple(modules), inside)


@pytest.fixture(scope="module")
def box(front_job: Job, arrangement: Arrangement) -> BoxDesign:
    return boxed(front_job, arrangement)


def boxed(job: Job, arrangement: Arrangement, width: float = WIDTHS_MM[0]) -> BoxDesign:
    shell = shell_of(job)
    plans = next(iter(plan_options(job, arrangement.frame, arrangement.inside, shell)))
    return design_box(job, arrangement.inside, shell, plans, arrangement, (width, 40.0))


def test_every_module_is_on_two_bars_or_more(box: BoxDesign, arrangement: Arrangement) -> None:
    assert box.carriers.unheld == ()
    assert {h.id for h in box.carriers.held} == {m.id for m in arrangement.modules}
    for held in box.carriers.held:
        assert len(set(held.bars)) >= 2
        assert len(held.bolts) == 4


def test_bolts_lie_on_the_modules_own_pattern(box: BoxDesign, arrangement: Arrangement) -> None:
    for module in arrangement.modules:
        assert module.kind.fixing is not None
        want = [module.pose.point((x, y, -54.0)) for x, y in module.kind.fixing.pattern_mm]
        mine = [h for h in box.hardware if h.group == "carrier" and module.id in h.joins]
        assert len(mine) == 4
        for bolt in mine:
            near = min(np.linalg.norm(np.cross(p - np.array(bolt.head_mm), np.array(bolt.axis))) for p in want)
            assert near < 1e-9
            tip = np.array(bolt.head_mm) + bolt.length_mm * np.array(bolt.axis)
            assert (tip - module.extent.min_mm)[2] >= 1.2 * 6.0 - 1e-9  # so deep in the module's thread


def test_every_hole_of_a_carrier_bolt_is_in_line(box: BoxDesign) -> None:
    holes = {h.name: (p.pose.point((*h.centre_mm, 0.0)), h.diameter_mm) for p in box.plates for h in p.profile.holes}
    mine = [h for h in box.hardware if h.group == "carrier"]
    assert len(mine) == 4 * 8 + 2 * sum(not b.welded for b in box.carriers.bars)
    for bolt in mine:
        assert len(bolt.holes) >= 1
        for name in bolt.holes:
            at, diameter = holes[name]
            assert np.linalg.norm(np.cross(at - np.array(bolt.head_mm), np.array(bolt.axis))) < 1e-9
            assert diameter == pytest.approx(6.6)


def test_bars_meet_nothing(box: BoxDesign, arrangement: Arrangement) -> None:
    bodies = [(m.id, m.extent) for m in arrangement.modules]
    bars = [(b.number, b.extent) for b in box.carriers.bars]
    for (a, one), (b, other) in [*combinations(bars, 2), *((x, y) for x in bars for y in bodies)]:
        depth = np.min(np.minimum(one.max_mm, other.max_mm) - np.maximum(one.min_mm, other.min_mm))
        assert depth <= 1e-9, (a, b, depth)
    for bar in box.carriers.bars:
        low, high = bar.ends_mm
        assert box.inside.min_mm[bar.run] <= low <= box.inside.min_mm[bar.run] + 0.5
        assert box.inside.max_mm[bar.run] - 0.5 <= high <= box.inside.max_mm[bar.run]


def held_of(job: Job, box: BoxDesign, arrangement: Arrangement) -> Held:
    return Held(box, arrangement, cases_of(job))


def specific(held: Held, case: int) -> Array:
    return G0 * (np.array((0.0, 0.0, -1.0)) - np.array(held.cases[case].acceleration_g))


def test_bolt_forces_balance_each_module(front_job: Job, box: BoxDesign, arrangement: Arrangement) -> None:
    """In the pack's frame, from scratch: forces on the bars sum to the module's inertia, moments about its centroid vanish."""
    held = held_of(front_job, box, arrangement)
    for case in range(len(held.cases)):
        g = specific(held, case)
        for one in held.models[0]:
            local = one.per_g @ g
            forces = local @ one.held.axes
            want = one.module.kind.mass_kg * g
            assert np.allclose(forces.sum(axis=0), want, rtol=1e-9, atol=1e-9 * np.linalg.norm(want))
            arms = np.array([b.at_mm for b in one.held.bolts]) - np.array(one.module.centroid_mm)
            moment = np.cross(arms, forces).sum(axis=0)
            assert np.linalg.norm(moment) <= 1e-9 * np.linalg.norm(want) * 200.0


def test_bar_ends_carry_all_modules(front_job: Job, box: BoxDesign, arrangement: Arrangement) -> None:
    """Reactions square to the bars of all bars of one direction sum to their modules' inertia."""
    held = held_of(front_job, box, arrangement)
    for case in range(len(held.cases)):
        total = np.zeros(3)
        for bar, ends in zip(box.carriers.bars, held.reactions[:, case], strict=True):
            u, w = np.zeros(3), np.zeros(3)
            u[bar.run], w[bar.normal] = 1.0, bar.sign
            both = ends.sum(axis=0)
            total += both[0] / 2.0 * u + both[1] * np.cross(w, u) + both[2] * w
        want = sum(m.kind.mass_kg for m in arrangement.modules) * specific(held, case)
        assert np.allclose(total, want, atol=1e-6 * np.linalg.norm(want))


def test_moments_agree_with_the_beam_under_single_forces(front_job: Job, box: BoxDesign, arrangement: Arrangement) -> None:
    held = held_of(front_job, box, arrangement)
    for model in held.models[1]:
        across, sideways = model.moments(held.specific)
        for case in range(len(held.cases)):
            forces = model.per_g @ held.specific[case]
            for k, got in ((1, sideways[case]), (2, across[case])):
                loads = tuple((float(x), float(f)) for x, f in zip(model.places_mm, forces[:, k], strict=True))
                alone = simple_points(loads, model.length_mm, 1.0).moment_nmm
                assert got >= alone * (1.0 - 1e-9)
                if k == 1:
                    assert got == pytest.approx(alone)


def test_a_pressing_base_counts_along_its_whole_length(front_job: Job, box: BoxDesign, arrangement: Arrangement) -> None:
    """Down: an even load over the module bends the bar more than bolts near its ends; by hand W/2 (L/2 - l/4) in the middle."""
    held = held_of(front_job, box, arrangement)
    case = next(i for i, c in enumerate(held.cases) if c.name.startswith("down"))
    on_floor = next(m for m in held.models[1] if m.bar.welded)
    got = float(on_floor.moments(held.specific[case : case + 1])[0][0])
    assert got > 1.0
    spread = float(np.abs(on_floor.spread @ held.specific[case]).sum())
    assert got <= spread * on_floor.length_mm / 4.0  # never more than all of it in the middle


def test_posts_stand_behind_every_screwed_end(box: BoxDesign) -> None:
    screws = [h for h in box.hardware if h.number.split("-")[-1].startswith("CS")]
    assert screws
    for screw in screws:
        behind = [p for p in box.plates if f"{screw.holes[0]}" in {h.name for h in p.profile.holes}]
        assert len(behind) == 1
        assert behind[0].thickness_mm == 15.0
    uprights = [p for p in box.plates if p.name == "post" or p.name.startswith("mounting bar")]
    for a, b in combinations(uprights, 2):
        ea, eb = plate_extent(a), plate_extent(b)
        assert np.min(np.minimum(ea.max_mm, eb.max_mm) - np.maximum(ea.min_mm, eb.min_mm)) <= 1e-9


def plate_extent(plate: object) -> Extent:
    from layout.design import Plate
    from layout.design.geometry import loop_extent_mm

    assert isinstance(plate, Plate)
    x0, y0, x1, y1 = loop_extent_mm(plate.profile.outline)
    return Extent((x0, y0, 0.0), (x1, y1, plate.thickness_mm)).seen_from(plate.pose)


def test_heavier_modules_use_the_bars_more(front_job: Job, box: BoxDesign, arrangement: Arrangement) -> None:
    kind = front_job.modules[0].model_copy(update={"mass_kg": 24.8})
    heavy = replace(arrangement, modules=tuple(replace(m, kind=kind) for m in arrangement.modules))
    light_checks = all_of(held_of(front_job, box, arrangement))
    heavy_checks = all_of(held_of(front_job, box, heavy))
    assert len(light_checks) == len(heavy_checks) > 300
    worst = {
        name: worst_use(light_checks, name) for name in ("bar bent both ways", "bolt shear with tension", "bending with shear")
    }
    for name, light in worst.items():
        assert light > 0.0
        assert worst_use(heavy_checks, name) == pytest.approx(2.0 * light, rel=1e-6), name


def test_fixing_points_are_checked_where_the_maker_states_their_load(
    front_job: Job, box: BoxDesign, arrangement: Arrangement
) -> None:
    unknown = [c for c in held_checks(held_of(front_job, box, arrangement)) if c.name == "module's own fixing point"]
    assert len(unknown) == 1
    assert unknown[0].utilisation is None
    fixing = front_job.modules[0].fixing
    assert fixing is not None
    kind = front_job.modules[0].model_copy(update={"fixing": fixing.model_copy(update={"load_n": unknown[0].demand})})
    stated = replace(arrangement, modules=tuple(replace(m, kind=kind) for m in arrangement.modules))
    known = [c for c in held_checks(held_of(front_job, box, stated)) if c.name == "module's own fixing point"]
    assert max(c.utilisation or 0.0 for c in known) == pytest.approx(1.0)


def test_one_module_alone_by_hand(front_job: Job, box: BoxDesign, arrangement: Arrangement) -> None:
    """Down: each of four bolts bears a quarter; the centroid's offset of 6 mm along the pattern's 340 mm shifts some of it."""
    held = held_of(front_job, box, arrangement)
    case = next(i for i, c in enumerate(held.cases) if c.name.startswith("down"))
    one = held.models[0][0]
    got = sorted((one.per_g @ held.specific[case])[:, 2])
    weight = 12.4 * 11.0 * G0
    want = sorted(-weight * (0.25 + s * 6.0 / (2.0 * 340.0)) for s in (1, 1, -1, -1))
    assert got == pytest.approx(want, rel=1e-9)


def all_of(held: Held) -> list[tuple[str, float]]:
    checks = [*held_checks(held), *post_checks(held), *lid_tie_checks(held)]
    return [(c.name, c.utilisation or 0.0) for c in checks if c.utilisation is not None]


def worst_use(checks: list[tuple[str, float]], name: str) -> float:
    return max(use for known, use in checks if known == name)


def test_modules_without_room_for_bars_are_listed_and_never_pass(front_job: Job, front_arrangement: Arrangement) -> None:
    """Layers only 4 mm apart: no bar goes between them."""
    box = boxed(front_job, front_arrangement)
    lost = dict(box.carriers.unheld)
    assert len(lost) >= 5
    assert all(reason for reason in lost.values())
    checks = held_checks(held_of(front_job, box, front_arrangement))
    named = {c.part for c in checks if c.name == "module hold-down"}
    assert named == set(lost)
    assert all(not c.holds for c in checks if c.name == "module hold-down")


def test_a_module_without_pattern_is_not_held(front_job: Job, arrangement: Arrangement) -> None:
    kind = front_job.modules[0].model_copy(update={"fixing": None})
    job = front_job.model_copy(update={"modules": (kind,)})
    bare = replace(arrangement, modules=tuple(replace(m, kind=kind) for m in arrangement.modules))
    box = boxed(job, bare)
    assert {name for name, _ in box.carriers.unheld} == {m.id for m in bare.modules}
    assert box.rib_height_mm > 0.0  # then the floor carries them, on its ribs


def test_a_module_on_its_side_has_bars_beside_it(front_job: Job) -> None:
    inside = Extent((-75.0, -238.0, 349.0), (361.0, 227.0, 796.0))
    lying = placed(front_job, "M1", (100.0, 10.0, 600.0), "+y", "-y")
    box = boxed(front_job, Arrangement(Pose(), (lying,), inside))
    assert box.carriers.unheld == ()
    assert len(box.carriers.bars) == 2
    for bar in box.carriers.bars:
        assert (bar.normal, bar.run) == (0, 1)
        assert bar.at_mm in (540.0, 660.0)
        face = lying.extent.min_mm[0] if bar.sign > 0 else lying.extent.max_mm[0]
        assert bar.face_mm == face


def test_an_opening_behind_hung_equipment_names_both(front_job: Job, arrangement: Arrangement) -> None:
    hung = PlacedEquipment(
        front_job.equipment[1],
        Pose((-75.0 - 24.0 - 4.0 - 55.0, -45.0, 449.0), ((0, 1, 0), (0, 0, -1), (-1, 0, 0))),
        "-x",
        True,
        4.0,
    )
    hole = Opening.model_validate({"name": "vent pipe", "panel": "aft", "diameter": 30, "at": [-20, -120]})
    job = front_job.model_copy(update={"box": front_job.box.model_copy(update={"openings": (hole,)})})
    with pytest.raises(DesignError, match=r"vent pipe.*motor controller"):
        boxed(job, replace(arrangement, equipment=(hung,)))


def test_an_opening_in_the_floor_keeps_off_the_bars(front_job: Job, arrangement: Arrangement) -> None:
    hole = Opening.model_validate({"name": "drain", "panel": "bottom", "diameter": 12, "at": [-150, 0], "kind": "drain"})
    job = front_job.model_copy(update={"box": front_job.box.model_copy(update={"openings": (hole,)})})
    with pytest.raises(DesignError, match=r"drain.*floor bar"):
        boxed(job, arrangement)
    clear = hole.model_copy(update={"at_mm": (0.0, 0.0)})
    box = boxed(front_job.model_copy(update={"box": front_job.box.model_copy(update={"openings": (clear,)})}), arrangement)
    floor = box.plate(box.panels["bottom"])
    (drain,) = [h for h in floor.profile.holes if h.fastener == "drain"]
    assert floor.pose.point((*drain.centre_mm, 0.0))[:2] == pytest.approx(arrangement.inside.centre_mm[:2])


def test_liner_gives_way_to_the_bars(box: BoxDesign) -> None:
    liner = [p for p in box.plates if p.group == "liner"]
    assert len(liner) > 5
    for sheet in liner:
        cut = plate_extent(sheet)
        for bar in box.carriers.bars:
            if bar.welded and sheet.name == "liner, floor":
                depth = np.min(np.minimum(cut.max_mm, bar.extent.max_mm) - np.maximum(cut.min_mm, bar.extent.min_mm))
                assert depth <= 1e-9


def test_turned_case_vectors_reach_the_bars(front_job: Job, arrangement: Arrangement, box: BoxDesign) -> None:
    """A pack turned by 90 degrees feels a forward crash across itself."""
    turned = replace(arrangement, frame=Pose((0.0, 0.0, 0.0), ((0.0, 1.0, 0.0), (-1.0, 0.0, 0.0), (0.0, 0.0, 1.0))))
    held = held_of(front_job, box, turned)
    case = next(i for i, c in enumerate(held.cases) if c.name.startswith("forward"))
    assert held.specific[case] == pytest.approx(vec3((0.0, -20.0 * G0, -G0)))


@pytest.mark.cad
def test_no_two_solids_share_space_but_for_threads(front_job: Job, arrangement: Arrangement, box: BoxDesign) -> None:
    """All parts and fasteners of the box with its modules: only screws in their own tapped ends and modules may overlap."""
    from layout.design import Assembly, Block
    from shapes.assembly import tree_of
    from shapes.examine import overlaps

    modules = tuple(Block(m.id, "module", m.own_extent, m.pose, "", m.kind.mass_kg) for m in arrangement.modules)
    metal = tuple(p for p in box.plates if p.group != "gasket")
    assembly = Assembly("A", (*metal, *modules), box.hardware)
    joined = {frozenset((b.number, part)) for b in box.hardware for part in b.joins}
    wrong = [
        (o.first, o.second, o.volume_mm3) for o in overlaps(assembly, tree_of(assembly)) if {o.first, o.second} not in joined
    ]
    assert wrong == []


def test_creepage_from_terminals(front_job: Job, box: BoxDesign, arrangement: Arrangement) -> None:
    """8 modules of 25.2 V: 201.6 V, next row 250 V, 4.0 mm, doubled. By hand: 7 mm above the bar's face is too near."""
    from layout.study.held_terminals import nearest_mm, terminal_checks

    (unknown,) = terminal_checks(front_job, box, arrangement)
    assert unknown.utilisation is None
    for height, holds in ((-54.0 + 7.0, False), (40.0, True)):
        kind = front_job.modules[0].model_copy(update={"terminals_mm": ((170.0, 60.0, height), (170.0, -60.0, height))})
        job = front_job.model_copy(update={"modules": (kind,)})
        stated = replace(arrangement, modules=tuple(replace(m, kind=kind) for m in arrangement.modules))
        (check,) = terminal_checks(job, box, stated)
        assert check.demand == 8.0
        assert check.holds is holds
        if not holds:
            assert check.capacity == pytest.approx(7.0)
        assert check.capacity == pytest.approx(min(nearest_mm(m, box) for m in stated.modules))


def test_the_search_leaves_room_beyond_every_base(front_job: Job) -> None:
    """A stand in the search is the module and its bars: longer by their room towards the base, the module at the far end."""
    from layout.packing.bodies import module_stands

    kind = front_job.modules[0]
    room = carrier_mm(front_job, kind)
    assert room == 23.0  # 25 mm bar on the floor less 2 mm of liner: holds 15 mm of bar and 5.6 mm of bolt head
    for stand in module_stands(kind, room):
        base = -np.array(stand.axes[2])
        own = np.abs(np.array(stand.axes)).T @ np.array(kind.size_mm)
        assert stand.size_mm == pytest.approx(own + room * np.abs(base))
        assert stand.module_mm == pytest.approx(-0.5 * room * base)
        far = np.array(stand.module_mm) + own / 2.0 * np.sign(-base) * np.abs(base)
        assert np.abs(base) @ np.abs(far) == pytest.approx(np.abs(base) @ np.array(stand.size_mm) / 2.0)
