"""Equipment on the lid: its screws, the pads' threads and welds, the lid under them, the lid's bolts. Pack frame."""

from __future__ import annotations

import numpy as np

from layout.box.design import BoxDesign
from layout.box.fixture import PAD_MM
from layout.box.fixture_parts import BOLT_CLASS
from layout.box.lid_fixture import LidFixture
from layout.box.soft import density_kg_m3
from layout.checks import Check, not_checked
from layout.checks.bolts import Ply, bolt_checks, ply_checks, utilisations
from layout.checks.groups import BoltGroup, bolt_shears, bolt_tensions
from layout.checks.held import UNEVEN
from layout.checks.joints import road_joint_checks
from layout.checks.lid_loads import pad_weld_checks, under_pads_check
from layout.checks.plates import Panel
from layout.checks.threads import thread_checks
from layout.design.mass import body_mass
from layout.frames import Array
from layout.loads.cases import LoadCase
from layout.study.fixture_checks import feet_checks, fixture_pulls, screw_forces
from layout.study.tightening import tightening
from layout.tables import bolt


def lid_fixture_checks(box: BoxDesign, cases: tuple[LoadCase, ...], specific: Array) -> list[Check]:
    """Every piece in every case; what is not fixed is listed as not checked. specific: m/s2, (cases, 3)."""
    mounts = box.lid_mounts
    found = [not_checked("equipment fixing", name, "all cases", f"it is not fixed: {why}") for name, why in mounts.unfixed]
    for one in mounts.fixtures:
        tensions, shears = screw_forces(one, specific)
        used = utilisations(one.fixing.bolt, BOLT_CLASS, tensions, shears)
        for c, case in enumerate(cases):
            k = int(used[c].argmax())
            found += _screw(box, one, case.name, float(tensions[c, k]), float(shears[c, k]))
            found += _pads(box, one, case.name, specific[c])
            if case.no_slip:
                most = float(tensions[c].max()), float(shears[c].max())
                set_to = tightening(one.fixing.bolt, BOLT_CLASS)
                found += road_joint_checks(f"screw of {one.name}", case.name, set_to, *most)
        found += feet_checks(one, cases, tensions, shears)
    if mounts.fixtures:
        found += [check for c, case in enumerate(cases) for check in _bolts(box, case.name, specific[c])]
    return found


def lid_shear_n(box: BoxDesign, specific: Array) -> float:
    """Shear of one lid bolt from what stands on the lid, one case, uneven sharing counted."""
    level = float(np.hypot(specific[0], specific[1])) * box.lid_mounts.mass_kg
    return UNEVEN * level / len(box.lid_bolts_mm) if box.lid_mounts.fixtures else 0.0


def _screw(box: BoxDesign, one: LidFixture, case: str, tension_n: float, shear_n: float) -> list[Check]:
    size, part = bolt(one.fixing.bolt), f"screw of {one.name}"
    found = bolt_checks(part, case, size.size, BOLT_CLASS, tension_n, shear_n, hole_mm=size.hole_medium_mm)
    deep = one.engagement_mm
    pad = Ply(box.material, min(deep, 2.5 * size.diameter_mm), size.diameter_mm, PAD_MM / 2.0, PAD_MM / 2.0, welded=True)
    found += ply_checks(f"{part} in its pad", case, size.size, BOLT_CLASS, pad, shear_n)
    return found + thread_checks(
        f"{part} in its pad", case, size.size, BOLT_CLASS, box.material, deep, tension_n, welded=True, metal_mm=one.pad_mm
    )


def _pads(box: BoxDesign, one: LidFixture, case: str, specific: Array) -> list[Check]:
    """The sheet under the pads of a piece, with the forces of all pieces, and the weld of the pad used most."""
    shell = box.shell
    lid = next(p for p in box.plates if p.number == box.panels["top"])
    square, level = fixture_pulls(one, specific)
    shears = np.hypot(level[:, 0], level[:, 1])
    line = shell.sheet_mm + shell.bolt_line_mm
    size = [v + 2.0 * line for v in box.inside.size_mm[:2]]
    panel = Panel(box.material, shell.sheet_mm, size[0], size[1], "simply supported")
    places = tuple(
        (p[0] - box.inside.min_mm[0] + line, p[1] - box.inside.min_mm[1] + line) for p in one.points_mm
    )  # fmt: skip
    pressure = abs(float(specific[2])) * body_mass(lid, density_kg_m3).mass_kg / (size[0] * size[1])
    every = sum(float(fixture_pulls(f, specific)[0].sum()) for f in box.lid_mounts.fixtures)
    forces = (every, float(shears.max()))
    whole = under_pads_check(f"lid under {one.name}", case, panel, places, PAD_MM, one.pad_mm, forces, pressure)
    worst = (float(square.max()), float(shears.max()))
    welds = pad_weld_checks(
        f"pad of {one.name} weld", case, (box.material, box.material), (one.pad_mm, shell.sheet_mm), shell.fillet_mm, PAD_MM,
        one.pad_mm, worst,
    )  # fmt: skip
    return [whole, *welds]


def _bolts(box: BoxDesign, case: str, specific: Array) -> list[Check]:
    """The lid's bolt used most under the lid and all that stands on it, which tips it about its edges."""
    size, sheet = bolt(box.shell.lid_bolt), box.shell.sheet_mm
    edge = box.shell.flange_out_mm - box.shell.bolt_line_mm
    places = np.array(box.lid_bolts_mm)
    (u0, v0, z), (u1, v1, _) = places.min(axis=0), places.max(axis=0)
    group = BoltGroup(tuple((float(x), float(y)) for x, y, _ in places), (u0 - edge, u1 + edge, v0 - edge, v1 + edge))
    middle = np.array([*group.centroid_mm, z])
    force, moment = np.zeros(3), np.zeros(3)
    parts = [p for p in box.plates if p.group in ("lid", "gasket")]
    masses = [(body_mass(p, density_kg_m3).mass_kg, body_mass(p, density_kg_m3).centroid_mm) for p in parts]
    masses += [(one.piece.kind.mass_kg, one.centroid_mm) for one in box.lid_mounts.fixtures]
    for mass, at in masses:
        force += mass * specific
        moment += np.cross(np.array(at) - middle, mass * specific)
    tensions = UNEVEN * bolt_tensions(group, force, moment)
    shears = UNEVEN * np.linalg.norm(bolt_shears(group, force, moment), axis=-1)
    k = int(utilisations(size.size, "8.8", tensions, shears).argmax())
    part, tension, shear = "lid bolt under what stands on the lid", float(tensions[k]), float(shears[k])
    ply = Ply(box.material, sheet, size.hole_medium_mm, edge, edge)
    return [
        *bolt_checks(part, case, size.size, "8.8", tension, shear, hole_mm=size.hole_medium_mm),
        *ply_checks(part, case, size.size, "8.8", ply, shear, 0.0, tension, washer_mm=size.washer_outer_mm),
    ]
