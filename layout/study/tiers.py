"""Checks that only a box with its floor at two heights needs: its riser, and its L-shaped walls. Pack frame."""

from __future__ import annotations

import numpy as np

from layout.box.carrier_room import CROSS_BAR_MM
from layout.box.liner import LINER
from layout.box.soft import density_kg_m3
from layout.checks import Check
from layout.checks.plates import Panel, inertia_pressure_mpa, inner_corner_check, panel_checks
from layout.checks.tiers import CORNER_FACTOR, L_CORNER, RISER
from layout.checks.welds import weld_checks
from layout.frames import Array
from layout.stepped import Stepped, two_floors
from layout.study.held_modules import WALL_SHARE, Held
from layout.study.panels import floor_loads
from layout.tables import material


def tier_checks(held: Held) -> list[Check]:
    """All of them, for every case; nothing for other boxes."""
    step = two_floors(held.box.inside)
    if step is None:
        return []
    found: list[Check] = []
    for c, case in enumerate(held.cases):
        found += _riser(held, step, case.name, held.specific[c])
        found += _corners(held, step, case.name, held.specific[c])
        found += _square_to_plane(held, step, case.name, held.specific[c])
    return found


def _riser(held: Held, step: Stepped, case: str, specific: Array) -> list[Check]:
    """The riser as a beam between the L-shaped walls under half of each floor beside it; its fillet on the upper floor.

    Bars and ribs run along it, so that none of them ends on it (see layout.box.arms and layout.box.ribs).
    """
    box, t = held.box, held.box.shell.sheet_mm
    length, height = step.size_mm[step.run], step.left_out.size_mm[2]
    down = abs(float(specific[2]))
    line_n = 0.0
    for load in floor_loads(box, held.arrangement):
        wide = box.rib_spacing_mm + box.rib_thickness_mm if box.rib_height_mm > 0.0 else load.floor.size_mm[1 - step.run]
        line_n += load.pressure_mpa(box, down) * wide / 2.0
    metal = material(box.material)
    proof = metal.strength(t).haz_proof_mpa
    found = [RISER.check("riser", case, w=line_n, l=length, h=height, t=t, f_o=proof, gamma_M0=metal.gamma_m0)]
    flow = 1.5 * line_n * length / 2.0 / height
    grades = (box.material, box.material)
    return found + weld_checks("riser to upper floor", case, grades, (t, t), box.shell.fillet_mm, flow, 0.0, line_n)


def _corners(held: Held, step: Stepped, case: str, specific: Array) -> list[Check]:
    """Two cuts from the inner corner through an L-shaped wall: level through its deep part, with all that bars hold below it;
    upright through its upper part, with all that bars hold on the heavier side. One wall takes up to WALL_SHARE of that.
    """
    box, across = held.box, 1 - step.run
    line, level, deep_high = step.line_mm(across), step.line_mm(2), step.at_high(across)
    deep = line - step.min_mm[across] if deep_high else step.max_mm[across] - line
    by_id = {m.id: m for m in held.arrangement.modules}
    rows = [(by_id[h.id].kind.mass_kg, h.face_mm if h.normal == 2 else by_id[h.id].extent.min_mm[2], by_id[h.id]) for h in
            box.carriers.held]  # fmt: skip
    below = sum(m for m, z, _ in rows if z < level + CROSS_BAR_MM)
    on_deep = [bool(one.extent.centre_mm[across] < line) is deep_high for _, _, one in rows]
    sides = [sum(m for (m, _, _), deep_one in zip(rows, on_deep, strict=True) if deep_one is way) for way in (True, False)]
    force = float(np.linalg.norm(specific)) * WALL_SHARE
    metal, t = material(box.material), box.shell.sheet_mm
    found = []
    for name, mass, length in (("level cut", below, deep), ("upright cut", max(sides), step.max_mm[2] - level)):
        found.append(
            L_CORNER.check(
                f"L-shaped walls, {name}", case, k=CORNER_FACTOR, Q=force * mass, l=length, t=t,
                f_o=metal.strength(t).haz_proof_mpa, gamma_M0=metal.gamma_m0,
            )
        )  # fmt: skip
    return found


def _square_to_plane(held: Held, step: Stepped, case: str, specific: Array) -> list[Check]:
    """The riser as a panel under its own mass and the liner's, and the sheet of the L-shaped walls at their inner corner."""
    shell, (run, across) = held.box.shell, (step.run, 1 - step.run)
    mass = density_kg_m3(held.box.material) * shell.sheet_mm / 1000.0 + density_kg_m3(LINER) * shell.liner_mm / 1000.0
    sizes = sorted((step.size_mm[run], step.left_out.size_mm[2]))
    pressure = inertia_pressure_mpa(0.0, float(specific[across]), 1.0, 1.0, mass)
    found = panel_checks("riser", case, Panel(held.box.material, shell.sheet_mm, sizes[1], sizes[0]), pressure)
    sides = sorted((step.size_mm[across], step.size_mm[2]))
    area = sides[0] * sides[1] - step.left_out.size_mm[across] * step.left_out.size_mm[2]
    wall = Panel(held.box.material, shell.sheet_mm, sides[1], sides[0])
    pressure = inertia_pressure_mpa(0.0, float(specific[run]), 1.0, 1.0, mass)
    return [*found, inner_corner_check("L-shaped walls", case, wall, area, pressure)]
