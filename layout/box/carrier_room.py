"""Room that a module's bars and bolts need beyond its base: what the search reserves and the designer uses.

A module is bolted through its own fixing pattern to two or more bars that lie on its base and run from wall to wall. Near
the floor the bars are welded to it and fill the room from floor to module; elsewhere a thinner bar leaves room for heads.
"""

from __future__ import annotations

from layout.errors import DesignError
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


def fold_radius_mm(job: Job) -> float:
    """Inside radius of a folded box's bends: that of the shop's tools where the job gives it, else the least of the metal."""
    return job.box.press.radius_mm or material(job.box.material).min_bend_radius_mm(job.box.sheet_mm)


def rows_of(fixing: Fixing, axis: int) -> tuple[float, ...]:
    """Distinct coordinates of a pattern's holes along own x (axis 0) or own y (axis 1), rising."""
    return tuple(sorted({round(p[axis], 3) for p in fixing.pattern_mm}))


def can_be_bolted(kind: ModuleType) -> bool:
    """Whether bars can hold the module: a pattern of three or more holes, not in one line, on a face without terminals."""
    fixing = kind.fixing
    if fixing is None or kind.terminal_face == "-z" or len(fixing.pattern_mm) < 3:
        return False
    return len(rows_of(fixing, 0)) >= 2 and len(rows_of(fixing, 1)) >= 2


def floor_bar_mm(job: Job) -> float:
    """Thickness of the bars on the floor: the least stock that leaves room for liner, cross bar and bolt heads.

    Raises:
        DesignError: a liner too thick for any bar.
    """
    kinds = [k.fixing for k in job.modules if can_be_bolted(k)]
    need = job.box.liner_mm + CROSS_BAR_MM + max((head_mm(f.bolt) for f in kinds if f), default=0.0)
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


def all_on_bars(job: Job) -> bool:
    """Whether every kind of module can be bolted to bars, so that the floor carries none."""
    return all(can_be_bolted(kind) for kind in job.modules)
