"""Where bars can run from wall to wall: the arms of a box, by the axis they run along. Pack frame.

A box has one arm along each level axis. Where a corner of its plan is left out it has two, one beside the other: bars in
one end at the outermost wall, bars in the other at the wall of the step. Where its floor is at two heights bars run along
the riser below the upper floor and on it, so that they end at walls that reach the lid flange, never at the riser; higher
up they run both ways.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from layout.box.walls import UPPER, Wall, walls_of
from layout.frames import Extent
from layout.stepped import Stepped, corner_out, two_floors


@dataclass(frozen=True)
class Arm:
    """run: axis of the bars in it. low, high: the walls they end at. least_mm, most_mm: where they may lie across it.
    bottom_mm, top_mm: between which heights the lowest of a bar lies. near_mm: least and greatest place across of bars that
    belong to it, where that is less than they may reach.
    """

    run: int
    low: Wall
    high: Wall
    least_mm: float
    most_mm: float
    bottom_mm: float = -math.inf
    top_mm: float = math.inf
    near_mm: tuple[float, float] | None = None

    @property
    def ends_mm(self) -> tuple[float, float]:
        """Faces of its walls."""
        return self.low.face_mm, self.high.face_mm

    def off_mm(self, across_mm: float) -> float:
        """How far a place across the arm lies outside of it; 0 within."""
        least, most = self.near_mm or (self.least_mm, self.most_mm)
        return max(least - across_mm, across_mm - most, 0.0)

    def holds_level(self, lowest_mm: float) -> bool:
        """Whether bars whose lowest point lies at this height run in it."""
        return self.bottom_mm - SAME_MM <= lowest_mm < self.top_mm - SAME_MM


SAME_MM = 1e-6
LEAST_MM = 1.0
"""Bars that lie less above the upper floor lie on it."""


def arms_of(inside: Extent, run: int, liner_mm: float, sheet_mm: float) -> tuple[Arm, ...]:
    """The arms along a level axis, within the liner of the walls beside them.

    At the line of a step the longer arm ends at the liner of the step's wall; the shorter one begins behind the plate
    that the other wall of the step laps (nothing but room lies beside it there).
    """
    across = 1 - run
    tiers = two_floors(inside)
    if tiers:
        return _over_two_floors(tiers, run, liner_mm, sheet_mm)
    ends = [w for w in walls_of(inside) if w.along == across]
    low, high = inside.min_mm[across] + liner_mm, inside.max_mm[across] - liner_mm
    step = corner_out(inside)
    if step is None:
        first, second = sorted(ends, key=lambda w: w.face_mm)
        return (Arm(run, first, second, low, high),)
    line, after = step.line_mm(across), step.at_high(across)
    longer = (low, line - liner_mm) if after else (line + liner_mm, high)
    shorter = (line + 2.0 * sheet_mm, high) if after else (low, line - 2.0 * sheet_mm)
    found = []
    for least, most in sorted((longer, shorter)):
        middle = (least + most) / 2.0
        mine = sorted((w for w in ends if w.low_mm <= middle <= w.high_mm), key=lambda w: w.face_mm)
        found.append(Arm(run, mine[0], mine[1], least, most))
    return tuple(found)


def _over_two_floors(inside: Stepped, run: int, liner_mm: float, sheet_mm: float) -> tuple[Arm, ...]:
    """Along the riser: on the deep floor and above it up to the upper floor; on the upper floor, off the riser's upper edge
    by twice the sheet for a fillet; and above its liner, across the line as well. Square to the riser: above that liner alone.
    """
    across, level = 1 - run, inside.line_mm(2)
    walls = {w.name: w for w in walls_of(inside)}
    first, second = ("right", "left") if run == 1 else ("aft", "fore")
    low, high = inside.min_mm[across] + liner_mm, inside.max_mm[across] - liner_mm
    free = level + max(liner_mm, LEAST_MM)
    if run != inside.run:
        return (Arm(run, walls[first], walls[second], low, high, free),)
    line, after, off = inside.line_mm(across), inside.at_high(across), 2.0 * sheet_mm
    deep = (low, line - liner_mm) if after else (line + liner_mm, high)
    upper = (line + off, high) if after else (low, line - off)
    below = (walls[first], walls[second])
    above = (walls[f"{first}{UPPER}"], walls[f"{second}{UPPER}"])
    near_deep, near_upper = ((low, line), (line, high)) if after else ((line, high), (low, line))
    return (
        Arm(run, *below, *deep, -math.inf, level),
        Arm(run, *above, *upper, level, free),
        Arm(run, *below, low, high, free, math.inf, near_deep),
        Arm(run, *above, low, high, free, math.inf, near_upper),
    )
