"""Where bars can run from wall to wall: the arms of a box, by the axis they run along. Pack frame.

A box has one arm along each level axis. Where a corner of its plan is left out it has two, one beside the other: bars in
one end at the outermost wall, bars in the other at the wall of the step.
"""

from __future__ import annotations

from dataclasses import dataclass

from layout.box.walls import Wall, walls_of
from layout.frames import Extent
from layout.stepped import Stepped


@dataclass(frozen=True)
class Arm:
    """run: axis of the bars in it. low, high: the walls they end at. least_mm, most_mm: where they may lie across it."""

    run: int
    low: Wall
    high: Wall
    least_mm: float
    most_mm: float

    @property
    def ends_mm(self) -> tuple[float, float]:
        """Faces of its walls."""
        return self.low.face_mm, self.high.face_mm

    def off_mm(self, across_mm: float) -> float:
        """How far a place across the arm lies outside of it; 0 within."""
        return max(self.least_mm - across_mm, across_mm - self.most_mm, 0.0)


def arms_of(inside: Extent, run: int, liner_mm: float, sheet_mm: float) -> tuple[Arm, ...]:
    """The arms along a level axis, within the liner of the walls beside them.

    At the line of a step the longer arm ends at the liner of the step's wall; the shorter one begins behind the plate
    that the other wall of the step laps (nothing but room lies beside it there).
    """
    across = 1 - run
    ends = [w for w in walls_of(inside) if w.along == across]
    low, high = inside.min_mm[across] + liner_mm, inside.max_mm[across] - liner_mm
    if not isinstance(inside, Stepped):
        first, second = sorted(ends, key=lambda w: w.face_mm)
        return (Arm(run, first, second, low, high),)
    line, after = inside.line_mm(across), inside.at_high(across)
    longer = (low, line - liner_mm) if after else (line + liner_mm, high)
    shorter = (line + 2.0 * sheet_mm, high) if after else (low, line - 2.0 * sheet_mm)
    found = []
    for least, most in sorted((longer, shorter)):
        middle = (least + most) / 2.0
        mine = sorted((w for w in ends if w.low_mm <= middle <= w.high_mm), key=lambda w: w.face_mm)
        found.append(Arm(run, mine[0], mine[1], least, most))
    return tuple(found)
