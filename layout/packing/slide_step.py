"""The step of a box in the linear programme that slides its bodies: two more variables, the lines of the step's faces."""

from __future__ import annotations

from dataclasses import dataclass

from layout.frames import Array, Extent, Vec3, vec3
from layout.packing.hung import Hook, Pocket
from layout.stepped import Stepped

INSIDE_LOW, INSIDE_HIGH = 0, 3
"""Where the variables of the bounds begin, three each."""
LEAST_STEP_MM = 60.0
"""Least depth of a step that is built, and least width beside it, along both axes: room for the lid's flange and a torch
(common practice, no source)."""

Row = tuple[dict[int, float], float]
"""Factors of variables, and the limit of their sum."""


@dataclass(frozen=True)
class StepLines:
    """limit: the largest inside. at: number of the variable for the step's face along the first of its axes; the next one's
    is for the second.
    """

    limit: Stepped
    at: int

    def variable(self, axis: int) -> int:
        """Of the face of the step along one of its two axes."""
        return self.at + self.limit.axes.index(axis)

    def beside(self, start: Vec3, low: Vec3, high: Vec3, body_at: int, liner_mm: float) -> Row:
        """Keeps a body on the side of the step on which it has most room.

        start: its low corner now; low, high: of the body with its clear zone, now; body_at: its first variable.
        """
        limit = self.limit
        spare = {
            a: limit.line_mm(a) - liner_mm - high[a] if limit.at_high(a) else low[a] - limit.line_mm(a) - liner_mm
            for a in limit.axes
        }
        axis = max(spare, key=lambda a: spare[a])
        line = self.variable(axis)
        if limit.at_high(axis):
            return {body_at + axis: 1.0, line: -1.0}, -(liner_mm + high[axis] - start[axis])
        return {line: 1.0, body_at + axis: -1.0}, -(liner_mm + start[axis] - low[axis])

    def depths(self) -> list[Row]:
        """The step and what stands beside it are deep enough to be built."""
        found: list[Row] = []
        for axis in self.limit.axes:
            line = self.variable(axis)
            found.append(({line: 1.0, INSIDE_HIGH + axis: -1.0}, -LEAST_STEP_MM))
            found.append(({INSIDE_LOW + axis: 1.0, line: -1.0}, -LEAST_STEP_MM))
        return found

    def bounds(self) -> list[tuple[float, float]]:
        """Limits of the two variables: a step may become deeper, not shallower."""
        limit = self.limit
        found = []
        for a in limit.axes:
            low, high = limit.min_mm[a], limit.max_mm[a]
            found.append((low, limit.line_mm(a)) if limit.at_high(a) else (limit.line_mm(a), high))
        return found

    def hook_variable(self, pocket: Pocket, hook: Hook) -> int:
        """What a hook of a hung piece counts from: a bound, or the step's face where that ends the piece's wall."""
        bound = (INSIDE_HIGH if hook.high else INSIDE_LOW) + hook.axis
        limit, face = self.limit, "xyz".index(pocket.face[1])
        if hook.axis not in limit.axes or hook.high != limit.at_high(hook.axis) or hook.axis == face:
            return bound
        cut = limit.at_high(face) == (pocket.face[0] == "+") if face in limit.axes else hook.axis == limit.axes[0]
        return self.variable(hook.axis) if cut else bound

    def size_costs(self, cost: Array) -> None:
        """Takes from the costs of the bounds what the step saves of the box's surface (half of it, as they count)."""
        one, two = self.limit.axes
        for a, other in ((one, two), (two, one)):
            saved = self.limit.left_out.size_mm[other]
            high = self.limit.at_high(a)
            cost[self.variable(a)] += saved if high else -saved
            cost[(INSIDE_HIGH if high else INSIDE_LOW) + a] -= saved if high else -saved

    def inside(self, x: Array) -> Extent:
        """The inside that a solution stands for."""
        low, high = x[0:3], x[3:6]
        out_low, out_high = low.copy(), high.copy()
        for a in self.limit.axes:
            (out_low if self.limit.at_high(a) else out_high)[a] = x[self.variable(a)]
        return Stepped(vec3(low), vec3(high), Extent(vec3(out_low), vec3(out_high)))
