"""Distance of the modules' live terminals from the metal of the box: walls, lid, and the bars that hold the modules."""

from __future__ import annotations

import numpy as np

from layout.arrangement import Arrangement, PlacedModule
from layout.box.design import BoxDesign
from layout.box.soft import is_soft
from layout.checks import Check, not_checked
from layout.checks.creepage import creepage_check
from layout.design import Plate
from layout.design.geometry import loop_extent_mm
from layout.frames import Array, Extent
from layout.job.model import Job
from layout.stepped import wall_distance_mm

NAME = "creepage from live terminals"


def terminal_checks(job: Job, box: BoxDesign, arrangement: Arrangement) -> list[Check]:
    """The module whose terminals lie nearest to metal, by type; not checked where the job does not say where they are.

    The liner on the walls is not counted: it may be cut or missing. Voltage: the pack's greatest.
    """
    voltage = job.pack.series * max(kind.max_voltage_v for kind in job.modules)
    found: list[Check] = []
    for kind in job.modules:
        mine = [m for m in arrangement.modules if m.kind == kind]
        if not mine:
            continue
        if kind.terminals_mm is None:
            why = "places of its terminals are not in the job file (module.terminals)"
            found.append(not_checked(NAME, f"module type {kind.name}", "in service", why, unit="mm"))
            continue
        kept, name = min((nearest_mm(m, box, arrangement.modules), m.id) for m in mine)
        found.append(creepage_check(f"{name}, module type {kind.name}", voltage, kept, "straight distance; liner not counted"))
    return found


def nearest_mm(module: PlacedModule, box: BoxDesign, modules: tuple[PlacedModule, ...] = ()) -> float:
    """Least straight distance from a module's terminals to walls, floor, lid, bars, and what clamps it or another, mm."""
    points = module.pose.point(np.array(module.kind.terminals_mm or ()).reshape(-1, 3))
    to_walls = wall_distance_mm(box.inside, points)
    around = [*(bar.extent for bar in box.carriers.bars), *(e for m in modules for e in box.carriers.clamp_bodies(m))]
    around += [e for e in (_metal(p) for p in box.between.plates) if e]
    return min([to_walls, *(_to_box(points, e) for e in around)])


def _metal(plate: Plate) -> Extent | None:
    """A divider of metal as a box; nothing for what is not of metal."""
    if is_soft(plate.material):
        return None
    x0, y0, x1, y1 = loop_extent_mm(plate.profile.outline)
    return Extent((x0, y0, 0.0), (x1, y1, plate.thickness_mm)).seen_from(plate.pose)


def _to_box(points: Array, extent: Extent) -> float:
    near = np.clip(points, extent.min_mm, extent.max_mm)
    return float(np.linalg.norm(points - near, axis=1).min())
