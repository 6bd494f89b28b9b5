"""Floor, ribs and lid under the modules' inertia, and what this version does not design. Pack frame."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layout.arrangement import Arrangement
from layout.box.design import BoxDesign
from layout.box.lid import LID_PITCH_MM
from layout.box.soft import density_kg_m3
from layout.box.walls import UPPER_FLOOR
from layout.checks import Check, not_checked
from layout.checks.held import Lid, lid_checks
from layout.checks.plates import Panel, Rib, inertia_pressure_mpa, inner_corner_check, panel_checks, rib_checks
from layout.design.mass import body_mass
from layout.frames import Extent
from layout.loads.cases import LoadCase
from layout.stepped import corner_out, floors_of, plan_area_mm2, two_floors
from layout.tables import bolt

G0_M_S2 = 9.80665


def panel_checks_of(box: BoxDesign, arrangement: Arrangement, case: LoadCase) -> list[Check]:
    """Floor and ribs where the case presses the pack down, lid and its bolts where it throws it up."""
    up = float(arrangement.frame.inverse_vector(np.array((0.0, 0.0, -1.0)) - np.array(case.acceleration_g))[2]) * G0_M_S2
    return _floor(box, arrangement, case.name, -up) if up < 0.0 else _lid(box, case.name, up)


@dataclass(frozen=True)
class FloorLoad:
    """A floor (as of `floors_of`) with what lies over it. covered_mm2: the area under the lowest layer of its modules."""

    name: str
    floor: Extent
    modules_kg: float
    equipment_kg: float
    covered_mm2: float

    def pressure_mpa(self, box: BoxDesign, down_m_s2: float) -> float:
        """Modules where they stand on it and all else spread on the area that is covered; own mass of the sheet.

        Where the floor has no ribs all modules are on bars and their mass is not on it.
        """
        metal = density_kg_m3(box.material) * box.shell.sheet_mm / 1000.0
        if box.rib_height_mm <= 0.0:
            return inertia_pressure_mpa(self.equipment_kg, down_m_s2, plan_area_mm2(self.floor), 1.0, metal)
        return inertia_pressure_mpa(self.modules_kg + self.equipment_kg, down_m_s2, self.covered_mm2, 1.0, metal)


def floor_loads(box: BoxDesign, arrangement: Arrangement) -> tuple[FloorLoad, ...]:
    """Every floor, the deep one first. What lies over two floors counts whole on both."""
    names = ("floor", UPPER_FLOOR) if two_floors(box.inside) else ("floor",)
    pieces = [e for e in arrangement.equipment if not e.outside]
    found = []
    for name, floor in zip(names, floors_of(box.inside), strict=True):
        modules = [(m.kind.mass_kg, m.extent) for m in arrangement.modules if _over_mm2(floor, m.extent) > 0.0]
        equipment = sum(e.kind.mass_kg for e in pieces if _over_mm2(floor, e.extent) > 0.0)
        covered = _covered([e for _, e in modules], floor)
        found.append(FloorLoad(name, floor, sum(m for m, _ in modules), equipment, covered))
    return tuple(found)


def _over_mm2(floor: Extent, body: Extent) -> float:
    """Area of a body's plan over that of a floor (of what bounds it)."""
    low, high = np.maximum(floor.min_mm, body.min_mm), np.minimum(floor.max_mm, body.max_mm)
    return float(np.prod(np.maximum(high - low, 0.0)[:2]))


def _floor(box: BoxDesign, arrangement: Arrangement, case: str, down_m_s2: float) -> list[Check]:
    """Sheet between ribs, and ribs between walls, under the modules and what else stands on the floor, spread evenly.

    Along a step in the plan a rib runs under its inner corner, which so bends nothing.
    """
    found: list[Check] = []
    for load in floor_loads(box, arrangement):
        pressure = load.pressure_mpa(box, down_m_s2)
        if box.rib_height_mm <= 0.0:
            found += _bare_floor(box, load, case, pressure)
            continue
        sx, sy, _ = load.floor.size_mm
        span = (sx, sy)[box.rib_axis]
        spacing = box.rib_spacing_mm + box.rib_thickness_mm
        panel = Panel(box.material, box.shell.sheet_mm, max(span, spacing), min(span, spacing))
        rib = Rib(box.material, box.rib_height_mm, box.rib_thickness_mm, span, spacing, box.shell.fillet_mm)
        found += [
            *panel_checks(f"{load.name} between ribs{_as(box)}", case, panel, pressure),
            *rib_checks(f"{load.name} rib", case, box.material, box.shell.sheet_mm, rib, pressure),
        ]
    return found


def _bare_floor(box: BoxDesign, load: FloorLoad, case: str, pressure: float) -> list[Check]:
    """A floor that no module stands on: its own mass and that of what else is in the box, spread over it, edge to edge."""
    sx, sy, _ = load.floor.size_mm
    panel = Panel(box.material, box.shell.sheet_mm, max(sx, sy), min(sx, sy))
    found = panel_checks(f"{load.name}{_as(box)}", case, panel, pressure)
    return [*found, *_corner(box, load.name, case, panel, pressure)]


def _as(box: BoxDesign) -> str:
    """Said of a level panel with a corner left out: it sags less than the rectangle around it, its edges being held along the
    step as well, and is stressed less but at the inner corner, which has a check of its own (`_corner`).
    """
    return " (corner left out: as the rectangle around it)" if corner_out(box.inside) else ""


def _corner(box: BoxDesign, part: str, case: str, panel: Panel, pressure_mpa: float) -> list[Check]:
    step = corner_out(box.inside)
    if step is None:
        return []
    area = panel.a_mm * panel.b_mm - float(np.prod(step.left_out.size_mm[:2]))
    return [inner_corner_check(part, case, panel, max(area, 0.0), pressure_mpa)]


def _covered(modules: list[Extent], floor: Extent) -> float:
    """Floor area (mm2) under the modules of the lowest layer: their mass and that above them comes down on it; all of it where
    none lies over it."""
    lowest = min((e.min_mm[2] for e in modules), default=0.0)
    area = sum(_over_mm2(floor, e) for e in modules if e.min_mm[2] < lowest + 20.0)
    return min(area, plan_area_mm2(floor)) if modules else plan_area_mm2(floor)


def _lid(box: BoxDesign, case: str, out_m_s2: float) -> list[Check]:
    """Lid with its own mass, gasket and all that stands on it, spread; what the modules would do to it is not counted here."""
    shell = box.shell
    sx, sy, _ = box.inside.size_mm
    line = 2.0 * (shell.sheet_mm + shell.bolt_line_mm)
    size = bolt(shell.lid_bolt)
    lid = Lid(
        box.material,
        shell.sheet_mm,
        max(sx, sy) + line,
        min(sx, sy) + line,
        len(box.lid_bolts_mm),
        shell.lid_bolt,
        "8.8",
        size.hole_medium_mm,
        LID_PITCH_MM,
        box.material,
        shell.sheet_mm,
        shell.bolt_line_mm,
        shell.flange_out_mm - shell.bolt_line_mm,
        size.washer_outer_mm,
    )
    carried = sum(body_mass(p, density_kg_m3).mass_kg for p in box.plates if p.group in ("lid", "gasket"))
    carried += box.lid_mounts.mass_kg
    if corner_out(box.inside):  # its mass lies on less than the rectangle
        carried *= sx * sy / plan_area_mm2(box.inside)
    panel = Panel(lid.grade, lid.thickness_mm, lid.a_mm, lid.b_mm, "simply supported", welded=False)
    pressure = inertia_pressure_mpa(carried, max(out_m_s2, 0.0), lid.a_mm, lid.b_mm)
    flat = " (its edges turned down: no credit)" if shell.lid_skirt_mm else ""
    return [*lid_checks(f"lid{flat}{_as(box)}", case, lid, carried, out_m_s2), *_corner(box, "lid", case, panel, pressure)]


def undesigned(box: BoxDesign, arrangement: Arrangement) -> list[Check]:
    """What must hold but is not designed, since the job does not say where its feet are: reported, never passed."""
    held = {f.name for f in box.carriers.fixtures} | {c.name for c in box.covers if c.feet_mm}
    held |= {f.name for f in box.lid_mounts.fixtures} | {name for name, _ in box.lid_mounts.unfixed}
    held |= {name for name, _ in box.carriers.unfixed}  # listed with its reason elsewhere
    unknown = "where its feet are is not in the job file (equipment.fixing)"
    return [
        not_checked(
            "equipment fixing", e.kind.name, "all cases",
            "neither its cover nor uprights take its feet" if e.kind.fixing else unknown, demand=0.0,
        )
        for e in arrangement.equipment
        if e.kind.name not in held
    ]  # fmt: skip
