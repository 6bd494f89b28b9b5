"""Room that a module's bars and bolts need beyond its base: what the search reserves and the designer uses.

A module is bolted through its own fixing pattern to two or more bars that lie on its base and run from wall to wall. Near
the floor the bars are welded to it and fill the room from floor to module; elsewhere a thinner bar leaves room for heads.
"""

from __future__ import annotations

import numpy as np

from layout.arrangement import PlacedModule
from layout.box.clamp_room import clamping_of, stack_mm, why_not_clamped
from layout.errors import DesignError
from layout.frames import Extent, Vec3, vec3
from layout.job.model import Job
from layout.job.module import Fixing, ModuleType
from layout.tables import bolt, material

CROSS_BAR_MM = 15.0
"""Thickness of a bar that is screwed between two walls: M6 tapped in its ends keeps 1.25 d to the faces."""
STOCK_MM = (20.0, 25.0, 30.0, 35.0, 40.0, 50.0)
"""Thicknesses of flat bar in stock: common practice, no source."""


def head_mm(size: str) -> float:
    """Hexagon head with its washer."""
    row = bolt(size)
    return row.hex_height_mm + row.washer_thickness_mm


def under_mm(kind: ModuleType) -> float:
    """What stands out below the bars of a module of this kind: heads of its bolts, or nuts of its rods."""
    if kind.clamp is not None:
        return stack_mm(kind.clamp.rod)
    return head_mm(kind.fixing.bolt) if kind.fixing else 0.0


def fold_radius_mm(job: Job) -> float:
    """Inside radius of a folded box's bends: that of the shop's tools where the job gives it, else the least of the metal."""
    return job.box.press.radius_mm or material(job.box.material).min_bend_radius_mm(job.box.sheet_mm)


def rows_of(fixing: Fixing, axis: int) -> tuple[float, ...]:
    """Distinct coordinates of a pattern's holes along own x (axis 0) or own y (axis 1), rising."""
    return tuple(sorted({round(p[axis], 3) for p in fixing.pattern_mm}))


def can_be_bolted(kind: ModuleType) -> bool:
    """Whether bars can hold the module: by a clamp, or a pattern of three or more holes, not in one line, on a face without
    terminals.
    """
    if kind.clamp is not None:
        return not why_not_clamped(kind)
    fixing = kind.fixing
    if fixing is None or kind.terminal_face == "-z" or len(fixing.pattern_mm) < 3:
        return False
    return len(rows_of(fixing, 0)) >= 2 and len(rows_of(fixing, 1)) >= 2


def floor_bar_mm(job: Job) -> float:
    """Thickness of the bars on the floor: the least stock that leaves room for liner, cross bar and bolt heads.

    Raises:
        DesignError: a liner too thick for any bar.
    """
    need = job.box.liner_mm + CROSS_BAR_MM + max((under_mm(k) for k in job.modules if can_be_bolted(k)), default=0.0)
    if job.box.construction == "folded":
        need = max(need, CROSS_BAR_MM + fold_radius_mm(job))
    for stock in STOCK_MM:
        if stock >= need:
            return stock
    raise DesignError("bars on the floor", f"flat bar of at most {STOCK_MM[-1]:g} mm", f"{need:.1f} mm needed",
                      "Use a thinner liner.")  # fmt: skip


def carrier_mm(job: Job, kind: ModuleType) -> float:
    """Room beyond the base of a module of this kind; 0 where bars cannot hold it."""
    return floor_bar_mm(job) - job.box.liner_mm if can_be_bolted(kind) else 0.0


def bodies_room_mm(job: Job, kind: ModuleType, up: str) -> tuple[Vec3, Vec3] | None:
    """Room that what holds a module of this kind takes around its body, at the lower and the higher end of its own axes, where
    its face `up` looks up; None where a module that is to be clamped cannot be, standing so.
    """
    clamping, bars = clamping_of(job, kind, up), carrier_mm(job, kind)
    if clamping is None:
        return None if kind.clamp else ((0.0, 0.0, bars), (0.0, 0.0, 0.0))
    ends = [np.zeros(3), np.zeros(3)]
    low, high = clamping.margins_mm
    for axis, below, above in zip(np.array(clamping.axes), (low[0], low[1], low[2] + bars), high, strict=True):
        forward = axis.sum() > 0.0
        ends[0] += np.abs(axis) * (below if forward else above)
        ends[1] += np.abs(axis) * (above if forward else below)
    return vec3(ends[0]), vec3(ends[1])


def whole_of(job: Job, module: PlacedModule) -> Extent:
    """The module with what clamps it, the bars under it left out: pack frame."""
    clamping = clamping_of(job, module.kind, module.up)
    return clamping.whole.seen_from(clamping.stood(module.pose)) if clamping else module.extent


def all_on_bars(job: Job) -> bool:
    """Whether every kind of module can be bolted to bars, so that the floor carries none."""
    return all(can_be_bolted(kind) for kind in job.modules)
