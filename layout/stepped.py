"""Insides that are not one box: a box with an edge of it left out over its full length.

A stepped inside is the union of two axis-parallel boxes. It is kept as the box around it and the box that is left out of
it, which lies at an upright edge (a corner of the plan is left out) or at a level edge below (the floor is at two heights).
Every function here takes a plain box as well, which is then its own only part.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from layout.frames import Extent, Vec3, vec3

SAME_MM = 1e-9
RUNS = (2, 0, 1)
"""Axes along which an edge may be left out: z, of the plan's corners; x and y, of the edges below."""


def axes_across(run: int) -> tuple[int, int]:
    """The two axes square to the one along which an edge is left out."""
    first, second = (a for a in range(3) if a != run)
    return first, second


@dataclass(frozen=True)
class Stepped(Extent):
    """The box from min_mm to max_mm (bounds of the inside) less `left_out`, which lies at one of its edges.

    left_out spans the bounds along one axis (`run`) and reaches them on one side along each of the two others. Raises
    ValueError for anything else, and for an edge above: no lid at two heights is designed.
    """

    left_out: Extent

    def __post_init__(self) -> None:
        low, high, out = np.array(self.min_mm), np.array(self.max_mm), self.left_out
        at_low = np.abs(np.array(out.min_mm) - low) <= SAME_MM
        at_high = np.abs(np.array(out.max_mm) - high) <= SAME_MM
        within = (np.array(out.min_mm) >= low - SAME_MM).all() and (np.array(out.max_mm) <= high + SAME_MM).all()
        spanned = at_low & at_high
        if not within or spanned.sum() != 1 or not (at_low | at_high).all() or min(out.size_mm) <= 0.0:
            raise ValueError(f"{out} is not an edge of the box from {self.min_mm} to {self.max_mm}")
        if not at_low[2]:
            raise ValueError(f"{out} is an edge above: a lid at two heights is not designed, it stays one plane")

    @cached_property
    def run(self) -> int:
        """The axis along which left_out spans the bounds: 2 where a corner of the plan is left out."""
        out = self.left_out
        return next(a for a in RUNS if abs(out.size_mm[a] - self.size_mm[a]) <= 2.0 * SAME_MM)

    @cached_property
    def axes(self) -> tuple[int, int]:
        """The two axes along which the step has a face each."""
        return axes_across(self.run)

    def at_high(self, axis: int) -> bool:
        """Whether left_out lies at the high end of one of `axes`."""
        return abs(self.left_out.max_mm[axis] - self.max_mm[axis]) <= SAME_MM

    def line_mm(self, axis: int) -> float:
        """Where the step lies along one of `axes`: the face of left_out within the bounds."""
        return self.left_out.min_mm[axis] if self.at_high(axis) else self.left_out.max_mm[axis]

    @property
    def volume_mm3(self) -> float:
        """Of the bounds less what is left out."""
        return float(np.prod(self.size_mm)) - self.left_out.volume_mm3


def corner_out(inside: Extent) -> Stepped | None:
    """The inside where a corner of its plan is left out; None for any other."""
    return inside if isinstance(inside, Stepped) and inside.run == 2 else None


def two_floors(inside: Extent) -> Stepped | None:
    """The inside where its floor is at two heights; None for any other."""
    return inside if isinstance(inside, Stepped) and inside.run != 2 else None


def outline_words(inside: Extent) -> str:
    """What is left out of an inside, in words; "" where nothing is."""
    if not isinstance(inside, Stepped):
        return ""
    sides = {axis: SIDES[axis][inside.at_high(axis)] for axis in inside.axes}
    x, y, z = (f"{v:.0f}" for v in inside.left_out.size_mm)
    if inside.run == 2:
        return f"stepped: its {sides[0]} {sides[1]} corner is left out of the plan, {x} x {y} mm of the inside"
    (across,) = (a for a in inside.axes if a != 2)
    return f"two-tier: its floor lies {z} mm higher on the {sides[across]} side, over {(x, y)[across]} mm of the inside"


SIDES = (("aft", "fore"), ("right", "left"), ("lower", "upper"))
"""Names of the low and the high side along each axis."""


def without(bounds: Extent, left_out: Extent, least_mm: float = 1e-6) -> Extent | None:
    """The bounds less what of left_out lies in them; a plain box where that is thinner than least_mm.

    left_out is at an edge of a larger box of which `bounds` is part. Where it takes the whole of two axes the bounds come
    back cut, not stepped; where it covers them nothing comes back.
    """
    low, high = np.maximum(bounds.min_mm, left_out.min_mm), np.minimum(bounds.max_mm, left_out.max_mm)
    plain = Extent(bounds.min_mm, bounds.max_mm)
    if (high - low < least_mm).any():
        return plain
    whole = np.array(plain.size_mm) - (high - low) < least_mm
    if whole.all():
        return None
    if whole.sum() == 2:
        return _cut(plain, Extent(vec3(low), vec3(high)), int(np.flatnonzero(~whole)[0]))
    return Stepped(bounds.min_mm, bounds.max_mm, Extent(vec3(low), vec3(high)))


def _cut(box: Extent, left_out: Extent, axis: int) -> Extent:
    """The larger piece of a box on one side of what is left out along an axis."""
    low, high = list(box.min_mm), list(box.max_mm)
    if box.max_mm[axis] - left_out.max_mm[axis] > left_out.min_mm[axis] - box.min_mm[axis]:
        low[axis] = left_out.max_mm[axis]
    else:
        high[axis] = left_out.min_mm[axis]
    return Extent(vec3(low), vec3(high))


def within(inside: Extent, limit: Extent) -> Extent | None:
    """What of an inside lies within a box; None where that is nothing."""
    low, high = np.maximum(inside.min_mm, limit.min_mm), np.minimum(inside.max_mm, limit.max_mm)
    bounds = Extent(vec3(low), vec3(high))
    return without(bounds, inside.left_out) if isinstance(inside, Stepped) else bounds


def parts_of(inside: Extent) -> tuple[Extent, ...]:
    """The one or two largest boxes within an inside; together they are all of it (they overlap). The larger one first."""
    if not isinstance(inside, Stepped):
        return (inside,)
    found = []
    for axis in inside.axes:
        low, high = list(inside.min_mm), list(inside.max_mm)
        if inside.at_high(axis):
            high[axis] = inside.left_out.min_mm[axis]
        else:
            low[axis] = inside.left_out.max_mm[axis]
        found.append(Extent(vec3(low), vec3(high)))
    return tuple(sorted(found, key=lambda e: -e.volume_mm3))


def floors_of(inside: Extent) -> tuple[Extent, ...]:
    """What lies above each floor, apart from one another: the deep one first, then the upper one where there are two."""
    step = two_floors(inside)
    if step is None:
        return (inside,)
    across = 1 - step.run
    deep_low, deep_high, high_low, high_high = (list(v) for v in (step.min_mm, step.max_mm) * 2)
    if step.at_high(across):
        deep_high[across] = high_low[across] = step.line_mm(across)
    else:
        deep_low[across] = high_high[across] = step.line_mm(across)
    high_low[2] = step.line_mm(2)
    return Extent(vec3(deep_low), vec3(deep_high)), Extent(vec3(high_low), vec3(high_high))


def floor_under(inside: Extent, body: Extent) -> int | None:
    """Number (of `floors_of`) of the floor that a body lies over; None where it lies over both."""
    floors, step = floors_of(inside), two_floors(inside)
    if step is None:
        return 0
    across = 1 - step.run
    low, high = body.min_mm[across], body.max_mm[across]
    over = [f.min_mm[across] - LIES_MM <= low and high <= f.max_mm[across] + LIES_MM for f in floors]
    return over.index(True) if any(over) else None


LIES_MM = 1e-6


def holds(outer: Extent, inner: Extent) -> bool:
    """Whether one inside lies within another: each of its largest boxes in one of the other's."""
    return all(any(_in(part, one) for part in parts_of(outer)) for one in parts_of(inner))


def _in(outer: Extent, inner: Extent) -> bool:
    low = all(a <= b + SAME_MM for a, b in zip(outer.min_mm, inner.min_mm, strict=True))
    return low and all(a >= b - SAME_MM for a, b in zip(outer.max_mm, inner.max_mm, strict=True))


def drawn_in(inside: Extent, low_mm: Vec3, high_mm: Vec3) -> Extent:
    """An inside with every face moved inward, by low_mm those that look to the lower side along each axis, else by high_mm.

    The faces of the step move inward as the bounds on their side do. Negative: outward.
    """
    low, high = np.array(low_mm), np.array(high_mm)
    bounds = Extent(vec3(np.array(inside.min_mm) + low), vec3(np.array(inside.max_mm) - high))
    if not isinstance(inside, Stepped):
        return bounds
    out_low, out_high = np.array(bounds.min_mm), np.array(bounds.max_mm)
    for axis in inside.axes:
        if inside.at_high(axis):
            out_low[axis] = inside.left_out.min_mm[axis] - high[axis]
        else:
            out_high[axis] = inside.left_out.max_mm[axis] + low[axis]
    return Stepped(bounds.min_mm, bounds.max_mm, Extent(vec3(out_low), vec3(out_high)))


def plan_of(inside: Extent) -> tuple[tuple[float, float], ...]:
    """Corners of the plan (of the lid), anticlockwise: four, or six where a corner of the plan is left out."""
    (x0, y0, _), (x1, y1, _) = inside.min_mm, inside.max_mm
    corners = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
    step = corner_out(inside)
    if step is None:
        return tuple(corners)
    lx, ly = step.line_mm(0), step.line_mm(1)
    cx, cy = (x1 if step.at_high(0) else x0), (y1 if step.at_high(1) else y0)
    turn = [(cx, ly), (lx, ly), (lx, cy)]
    turn = turn if step.at_high(0) == step.at_high(1) else turn[::-1]
    at = corners.index((cx, cy))
    return tuple([*corners[:at], *turn, *corners[at + 1 :]])


def plan_area_mm2(inside: Extent) -> float:
    """Area of the plan within the walls: of the lid, and of all floors together."""
    x, y, _ = inside.size_mm
    step = corner_out(inside)
    cut = step.left_out.size_mm if step else (0.0, 0.0, 0.0)
    return x * y - cut[0] * cut[1]


def surface_mm2(inside: Extent) -> float:
    """Area of all faces: a step takes from the two that it runs between, and leaves that of all others as it is."""
    x, y, z = inside.size_mm
    ends = float(np.prod([inside.left_out.size_mm[a] for a in inside.axes])) if isinstance(inside, Stepped) else 0.0
    return 2.0 * (x * y + y * z + z * x - ends)


def wall_distance_mm(inside: Extent, points_mm: object) -> float:
    """A distance that points within an inside keep at least from its faces: the least over points, of the best part each.

    In the elbow of a step it is less than the true one.
    """
    points = np.asarray(points_mm, dtype=float).reshape(-1, 3)
    each = [np.minimum(points - np.array(p.min_mm), np.array(p.max_mm) - points).min(axis=1) for p in parts_of(inside)]
    return float(np.max(each, axis=0).min())
