"""Checks of what holds the modules: their bolts, the bars, the screws and posts at the bars' ends, walls, lid as a tie.

Of the many parts alike the one used most is checked in full in each case.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from layout.arrangement import Arrangement
from layout.box.design import BoxDesign
from layout.box.held import BOLT_CLASS, end_engagement_mm
from layout.box.liner import LINER
from layout.box.posts import BarEnd, bar_ends
from layout.box.shell import END_SCREW
from layout.box.soft import density_kg_m3
from layout.box.walls import wall_of, walls_of
from layout.checks import Check, not_checked
from layout.checks.bolts import Ply, bolt_checks, ply_checks, utilisations
from layout.checks.cross_bars import SAG, WALL_IN_PLANE, BarLoads, CrossBar, bar_bending_check, floor_bar_weld_checks
from layout.checks.fixing_point import FIXING_POINT
from layout.checks.joints import road_joint_checks
from layout.checks.plates import Panel, inertia_pressure_mpa, panel_checks
from layout.checks.threads import thread_checks
from layout.checks.upright_sheets import ON_FLOOR, Upright, following_check, sagging_together
from layout.frames import Array
from layout.loads.cases import LoadCase
from layout.stepped import two_floors
from layout.study.clamp_checks import clamp_checks
from layout.study.cover_checks import cut_from_walls
from layout.study.held_loads import BarModel, OnBars, bar_models, specific_forces
from layout.study.tightening import tightening
from layout.tables import bolt, material

WALL_SHARE = 0.6
"""Of a force in the plane of two walls one takes up to six tenths (our choice: they share unevenly by a fifth)."""


@dataclass(frozen=True, eq=False)
class EndForces:
    """An end of a bar at its wall in every case, N, (cases,): out of the wall (whole force along the bar), and the sizes of
    what acts level in the wall and up. height_mm: above the floor's underside.
    """

    end: BarEnd
    height_mm: float
    outward_n: Array
    level_n: Array
    up_n: Array


@dataclass(frozen=True, eq=False)
class Held:
    """A box with its modules on bars, and the cases."""

    box: BoxDesign
    arrangement: Arrangement
    cases: tuple[LoadCase, ...]

    @cached_property
    def specific(self) -> Array:
        """Specific force of each case, m/s2, pack frame."""
        return specific_forces(self.arrangement.frame, self.cases)

    @cached_property
    def models(self) -> tuple[tuple[OnBars, ...], tuple[BarModel, ...]]:
        """Modules on bars, bars as beams."""
        return bar_models(self.box.carriers, {m.id: m for m in self.arrangement.modules}, self.box.between)

    @cached_property
    def reactions(self) -> Array:
        """Forces of the bars' ends on the walls, (bars, cases, 2, 3) in the bars' u, v, w."""
        return np.array([m.reactions(self.specific) for m in self.models[1]]).reshape(-1, len(self.cases), 2, 3)

    @cached_property
    def ends(self) -> tuple[EndForces, ...]:
        """Every screwed end."""
        found = []
        for end in bar_ends(self.box.carriers.bars):
            bar = self.box.carriers.bars[end.bar]
            force = self.reactions[end.bar, :, end.which]
            w, u = np.zeros(3), np.zeros(3)
            w[bar.normal], u[bar.run] = bar.sign, 1.0
            vector = force[:, 1:2] * np.cross(w, u) + force[:, 2:3] * w
            outward = force[:, 0] * (1.0 if end.which else -1.0)
            height = end.z_mm - foot_mm(self.box, end.wall)
            found.append(EndForces(end, height, outward, np.abs(vector[:, 1 - bar.run]), np.abs(vector[:, 2])))
        return tuple(found)


def foot_mm(box: BoxDesign, wall: str) -> float:
    """Height at which the uprights on a wall begin: the underside of the floor below it."""
    return wall_of(wall, box.inside).bottom_mm - box.shell.sheet_mm


def held_checks(held: Held) -> list[Check]:
    """All checks of modules on bars, for every case; modules that no bar holds are listed as not checked."""
    found = [
        not_checked("module hold-down", name, "all cases", f"no bar holds it: {why}") for name, why in held.box.carriers.unheld
    ]
    if not held.box.carriers.bars:
        return found
    clamped = clamp_checks(held.models[0], held.specific, held.cases)
    found += [*_module_bolts(held), *clamped, *bar_checks_of(held), *_beside_floor_bars(held)]
    return [*found, *_end_screws(held), *_walls(held)]


def bar_checks_of(held: Held) -> list[Check]:
    """What the width of the bars decides."""
    return _bars(held, welded=True) + _bars(held, welded=False) if held.box.carriers.bars else []


def _beside_floor_bars(held: Held) -> list[Check]:
    """The floor beside the bars welded on it, which must follow them as they sag: the worst strip of each case, between a bar
    and the next that runs the same way (which sags too) or the wall.
    """
    strips = _floor_strips(held)
    checks: list[Check] = []
    for c, case in enumerate(held.cases):
        tried = [following_check(part, case.name, bar, clear, float(y[c]), ON_FLOOR) for part, bar, clear, y in strips]
        checks += [max(tried, key=lambda k: k.utilisation or 0.0)] if tried else []
    return checks


def _floor_strips(held: Held) -> list[tuple[str, Upright, float, Array]]:
    """Name, bar, clear width, and by how much the bar moves against the strip's other end in each case, mm.

    Bars and the strips between them and to the walls, which do not sag, as springs in a row, each along a half wave.
    """
    sheet, found = held.box.shell.sheet_mm, []
    low, high = held.box.inside.min_mm, held.box.inside.max_mm
    for run in (0, 1):
        row = sorted((m for m in held.models[1] if m.bar.welded and m.bar.run == run), key=lambda m: m.bar.at_mm)
        edges = [(m.bar.at_mm - m.bar.width_mm / 2.0, m.bar.at_mm + m.bar.width_mm / 2.0) for m in row]
        ends = [(low[1 - run], low[1 - run]), *edges, (high[1 - run], high[1 - run])]
        gaps = np.array([max(b[0] - a[1], sheet) for a, b in pairwise(ends)])
        shapes = [Upright(m.bar.width_mm, m.bar.thickness_mm, m.length_mm, held.box.material, sheet) for m in row]
        if not row:
            continue
        alone = np.array([m.sags_mm(held.specific) for m in row])  # (bars, 2, cases)
        sags = np.pad(1.03 * sagging_together(shapes, gaps, alone), ((1, 1), (0, 0), (0, 0)))
        for i, (model, shape) in enumerate(zip(row, shapes, strict=True)):
            for gap, other in ((gaps[i], sags[i]), (gaps[i + 1], sags[i + 2])):
                y = np.abs(sags[i + 1] - other).max(axis=0)
                found.append((f"floor beside floor bar {model.bar.number}", shape, float(gap), y))
    return found


def _module_bolts(held: Held) -> list[Check]:
    """The worst module bolt of each case: bolt, bar under it, floor under it; the module's own thread is the maker's."""
    bolted = [one for one in held.models[0] if not one.held.clamped]
    if not bolted:
        return []
    best: list[tuple[float, OnBars, int, float, float]] = [(-1.0, bolted[0], 0, 0.0, 0.0)] * len(held.cases)
    for one in bolted:
        tensions, shears = one.bolt_forces(held.specific)
        used = utilisations(one.held.bolts[0].size, BOLT_CLASS, tensions, shears)
        for c, k in enumerate(used.argmax(axis=1)):
            if used[c, k] > best[c][0]:
                best[c] = (float(used[c, k]), one, int(k), float(tensions[c, k]), float(shears[c, k]))
    found: list[Check] = []
    for case, (_, one, k, tension, shear) in zip(held.cases, best, strict=True):
        bar = held.box.carriers.bars[one.held.bars[k]]
        size = bolt(one.held.bolts[k].size)
        part = f"bolt of {one.held.id} in {bar.number}"
        end = min(one.held.bolts[k].at_mm[bar.run] - bar.ends_mm[0], bar.ends_mm[1] - one.held.bolts[k].at_mm[bar.run])
        edge = bar.width_mm / 2.0 - abs(one.held.bolts[k].at_mm[bar.across] - bar.at_mm)
        ply = Ply(bar.material, bar.thickness_mm, size.hole_medium_mm, end, edge, welded=bar.welded)
        found += bolt_checks(part, case.name, size.size, BOLT_CLASS, tension, shear, hole_mm=size.hole_medium_mm)
        found += ply_checks(part, case.name, size.size, BOLT_CLASS, ply, shear, 0.0, tension, washer_mm=size.washer_outer_mm)
    return [*found, *_module_bolts_on_the_road(held), *_fixing_points(held)]


def _module_bolts_on_the_road(held: Held) -> list[Check]:
    """Preload of the module bolts under road loads: the greatest tension and the greatest shear of any taken together."""
    bolted = [one for one in held.models[0] if not one.held.clamped]
    forces = [(one.held.bolts[0].size, one.bolt_forces(held.specific)) for one in bolted]
    found: list[Check] = []
    for c, case in enumerate(held.cases):
        for size in sorted({s for s, _ in forces}) if case.no_slip else ():
            tension, shear = (float(max(f[k, c].max() for s, f in forces if s == size)) for k in (0, 1))
            set_to = tightening(size, BOLT_CLASS)
            found += road_joint_checks("bolts of the modules in their bars", case.name, set_to, tension, shear)
    return found


def _fixing_points(held: Held) -> list[Check]:
    """What the bolts ask of the modules' own threads, by type, against what the maker allows where the job says it."""
    found: list[Check] = []
    bolted = [one for one in held.models[0] if not one.held.clamped]
    for name in sorted({one.module.kind.name for one in bolted}):
        mine = [one for one in bolted if one.module.kind.name == name]
        forces = np.array([one.bolt_forces(held.specific) for one in mine])  # modules, 2, cases, bolts
        sizes = np.hypot(forces[:, 0], forces[:, 1])
        fixing = mine[0].module.kind.fixing
        if fixing is None or fixing.load_n is None:
            why = "what its fixing points bear is the maker's to state (job file: module.fixing.load)"
            found.append(
                not_checked("module's own fixing point", f"module type {name}", "all cases", why, demand=float(sizes.max()))
            )
            continue
        for c, case in enumerate(held.cases):
            i, k = np.unravel_index(int(sizes[:, c].argmax()), sizes[:, c].shape)
            tension, shear = (float(forces[i, part, c, k]) for part in (0, 1))
            part_name = f"{mine[int(i)].held.id}, module type {name}"
            found.append(FIXING_POINT.check(part_name, case.name, F_t=tension, F_v=shear, F_max=fixing.load_n))
    return found


def _bars(held: Held, *, welded: bool) -> list[Check]:
    """The worst bar of each case among those on the floor, or among those between two walls."""
    models = [(i, m) for i, m in enumerate(held.models[1]) if m.bar.welded == welded]
    if not models:
        return []
    shapes = [_shape(m) for _, m in models]
    moments = [m.moments(held.specific) for _, m in models]
    uses = np.array([w / _modulus(s)[0] + v / _modulus(s)[1] for s, (w, v) in zip(shapes, moments, strict=True)])
    gap = min(m.kind.gap_mm for m in held.arrangement.modules)
    found: list[Check] = []
    for c, case in enumerate(held.cases):
        k = int(uses[:, c].argmax())
        i, model = models[k]
        ends = held.reactions[i, c]
        shear = float(np.linalg.norm(ends[:, 1:], axis=1).max())
        sag = float(model.sag_mm(held.specific[c : c + 1])[0])
        # on the floor the sheet takes what lies in its plane
        sideways, along = (0.0, 0.0) if welded else (float(moments[k][1][c]), float(abs(ends[0, 0])))
        loads = BarLoads(float(moments[k][0][c]), sideways, shear, along, sag)
        part = f"{'floor' if welded else 'cross'} bar {model.bar.number}"
        found.append(bar_bending_check(part, case.name, shapes[k], loads))
        if welded:
            total = (float(ends[0, 0]), float(ends[:, 1].sum()))
            sheet = (held.box.material, held.box.shell.sheet_mm)
            end = float(np.abs(ends[:, 2]).max())
            shell = held.box.shell
            short = (shell.floor_chamfer_mm, shell.fold_radius_mm)
            found += floor_bar_weld_checks(part, case.name, shapes[k], sheet, end, total, shell.fillet_mm, short)
        else:
            found.append(SAG.check(part, case.name, y=sag, g=max(gap, 1e-9)))
    return found


def _shape(model: BarModel) -> CrossBar:
    bar = model.bar
    hole = max(bolt(b.size).hole_medium_mm for b in bar.bolts)
    return CrossBar(bar.material, bar.width_mm, bar.thickness_mm, hole, model.length_mm, bar.welded)


def _modulus(bar: CrossBar) -> tuple[float, float]:
    """Section moduli at a hole, across the thickness and across the width."""
    across = (bar.width_mm - bar.hole_mm) * bar.thickness_mm**2 / 6.0
    sideways = (bar.width_mm**3 - bar.hole_mm**3) * bar.thickness_mm / (6.0 * bar.width_mm)
    return across, (1e12 if bar.welded else sideways)


def _end_screws(held: Held) -> list[Check]:
    """The worst end screw of each case: screw, thread in the bar's end, wall."""
    loose = [i for i, m in enumerate(held.models[1]) if not m.bar.welded]
    if not loose:
        return []
    forces = held.reactions[loose]
    pulls = np.abs(forces[..., 0])
    shears = np.linalg.norm(forces[..., 1:], axis=-1)
    used = utilisations(END_SCREW, BOLT_CLASS, pulls, shears)
    size, box = bolt(END_SCREW), held.box
    found: list[Check] = []
    for c, case in enumerate(held.cases):
        b, e = np.unravel_index(int(used[:, c].argmax()), used[:, c].shape)
        bar = held.models[1][loose[int(b)]].bar
        pull, shear = float(pulls[b, c, e]), float(shears[b, c, e])
        part, deep = f"end screw of {bar.number}", end_engagement_mm(box.shell, bar)
        edge = _wall_edge(held, bar.wall(int(e)), bar.end_mm(int(e)))
        wall = Ply(box.material, box.shell.sheet_mm, size.hole_medium_mm, edge, edge)
        post = Ply(box.material, box.shell.bar_mm, size.hole_medium_mm, 12.0, 12.0, welded=True)
        grip = min(deep, 2.5 * size.diameter_mm)
        inner = Ply(bar.material, grip, size.diameter_mm, bar.thickness_mm / 2.0, bar.width_mm / 2.0)
        found += bolt_checks(part, case.name, END_SCREW, BOLT_CLASS, pull, shear, hole_mm=size.hole_medium_mm)
        found += ply_checks(f"{part} wall", case.name, END_SCREW, BOLT_CLASS, wall, shear)
        found += ply_checks(f"{part} post", case.name, END_SCREW, BOLT_CLASS, post, 0.0, 0.0, pull)
        found += ply_checks(f"{part} in the bar", case.name, END_SCREW, BOLT_CLASS, inner, shear)
        found += thread_checks(f"{part} in the bar", case.name, END_SCREW, BOLT_CLASS, bar.material, deep, pull)
        if case.no_slip:
            most = float(pulls[:, c].max()), float(shears[:, c].max())
            found += road_joint_checks("end screws of the bars", case.name, tightening(END_SCREW, BOLT_CLASS), *most)
    return found


def _wall_edge(held: Held, name: str, at: tuple[float, float, float]) -> float:
    """Least distance of an end screw from the edges of its wall."""
    wall = wall_of(name, held.box.inside)
    u, z = at[wall.along], at[2]
    return min(u - wall.low_mm, wall.high_mm - u, z - wall.bottom_mm, wall.top_mm - z)


def _walls(held: Held) -> list[Check]:
    """Walls in their own plane under all modules; and square to it under their own mass, edge to edge, uprights left aside.

    Walls that look one way share a force in proportion to their lengths, which together are the length of the box also
    where a corner of its plan is left out; in bending each counts as long as the box. L-shaped ones count as long as the lesser
    of their two parts, and no wall as higher than above the upper floor.
    """
    box, size = held.box, _least_sizes(held.box)
    mass = sum(one.mass_kg for one in held.models[0])
    mass += sum(one.piece.kind.mass_kg for one in box.carriers.fixtures)
    metal = material(box.material)
    proof = metal.strength(box.shell.sheet_mm).haz_proof_mpa
    cut = cut_from_walls(box)
    found = []
    for c, case in enumerate(held.cases):
        forces = np.abs(held.specific[c]) * mass * WALL_SHARE
        whole = (size[0], size[1], min(size))
        lengths = [max(a - b, 1.0) for a, b in zip(whole, cut, strict=True)]  # where nothing is left it cannot hold
        worst = int(np.argmax([f / s for f, s in zip(forces, lengths, strict=True)]))
        found.append(
            WALL_IN_PLANE.check(
                "walls", case.name, Q=float(forces[worst]), l=lengths[worst], t=box.shell.sheet_mm, f_o=proof,
                gamma_M0=metal.gamma_m0,
            )
        )  # fmt: skip
        found += _wall_panels(held, c, case.name)
    return found


def _least_sizes(box: BoxDesign) -> tuple[float, float, float]:
    """Lengths of the walls along x and y, and their height, each the least of all; a riser carries no modules."""
    walls = [w for w in walls_of(box.inside) if not w.riser]
    long = [min(w.length_mm for w in walls if w.along == axis) for axis in (0, 1)] if two_floors(box.inside) else []
    x, y, _ = box.inside.size_mm
    return (long[0] if long else x, long[1] if long else y, min(w.top_mm - w.bottom_mm for w in walls))


def _wall_panels(held: Held, case: int, name: str) -> list[Check]:
    """Walls square to their plane under their own mass and the liner's; no module leans on them."""
    box, (x, y, z) = held.box, held.box.inside.size_mm
    sheet = box.shell.sheet_mm
    mass = density_kg_m3(box.material) * sheet / 1000.0 + density_kg_m3(LINER) * box.shell.liner_mm / 1000.0
    found = []
    for part, length, axis in (("left and right walls", x, 1), ("fore and aft walls", y, 0)):
        pressure = inertia_pressure_mpa(0.0, float(held.specific[case, axis]), length, z, mass)
        found += panel_checks(part, name, Panel(box.material, sheet, max(length, z), min(length, z)), pressure)
    return found
