"""Outlines of the plates that lie level: floor, flange, gasket, lid. Own plane: x and y of the pack from the least corner."""

from __future__ import annotations

import math
from dataclasses import dataclass

from layout.box.walls import UPPER_FLOOR
from layout.design import Loop, rectangle
from layout.frames import Extent, Pose
from layout.stepped import corner_out, drawn_in, floors_of, plan_of, two_floors

QUARTER = math.tan(math.pi / 8.0)
"""Bulge of a quarter turn."""


def plan_loop(inside: Extent, out_mm: float, from_mm: float, corner_mm: float = 0.0) -> Loop:
    """The plan of an inside with every side moved out by out_mm, anticlockwise.

    from_mm: the origin lies this far outward of the inside's least corner along x and y. corner_mm: radius of the outer
    corners; the inner one of a step stays square (rounded it would reach beyond what the search keeps clear).
    """
    (x0, y0, _), (sx, sy, _) = inside.min_mm, inside.size_mm
    if corner_out(inside) is None:
        return rectangle(sx + 2 * out_mm, sy + 2 * out_mm, (from_mm - out_mm, from_mm - out_mm), corner_mm)
    moved = drawn_in(inside, (-out_mm, -out_mm, 0.0), (-out_mm, -out_mm, 0.0))
    points = [(x - x0 + from_mm, y - y0 + from_mm) for x, y in plan_of(moved)]
    return rounded(points, corner_mm)


def rounded(points: list[tuple[float, float]], corner_mm: float) -> Loop:
    """A polygon with square corners, the outer ones rounded with one radius. Anticlockwise in, and out."""
    if corner_mm <= 0.0:
        return tuple((x, y, 0.0) for x, y in points)
    out: list[tuple[float, float, float]] = []
    for i, (x, y) in enumerate(points):
        (ax, ay), (bx, by) = points[i - 1], points[(i + 1) % len(points)]
        before, after = math.hypot(x - ax, y - ay), math.hypot(bx - x, by - y)
        ux, uy, vx, vy = (x - ax) / before, (y - ay) / before, (bx - x) / after, (by - y) / after
        if ux * vy - uy * vx < 0.0:
            out.append((x, y, 0.0))
            continue
        out.append((x - corner_mm * ux, y - corner_mm * uy, QUARTER))
        out.append((x + corner_mm * vx, y + corner_mm * vy, 0.0))
    return tuple(out)


@dataclass(frozen=True)
class FloorPlate:
    """The plate of a floor: its panel, its name, its outline in its own plane and where that lies (on its underside)."""

    panel: str
    name: str
    outline: Loop
    pose: Pose


def floor_plates(inside: Extent, sheet_mm: float) -> tuple[FloorPlate, ...]:
    """The plate under the walls; where the floor is at two heights the deep one and the upper one.

    The upper one ends at the outer face of the riser, which is as high as its upper face; on the other sides it lies under
    the walls like the deep one.
    """
    t, (low, *more) = sheet_mm, floors_of(inside)
    x0, y0, z0 = low.min_mm
    found = [FloorPlate("bottom", "floor", plan_loop(low, t, t), Pose((x0 - t, y0 - t, z0 - t)))]
    step = two_floors(inside)
    for upper in more if step else ():
        assert step is not None
        (x0, y0, z0), (x1, y1, _) = upper.min_mm, upper.max_mm
        start, end = [x0 - t, y0 - t], [x1 + t, y1 + t]
        across = 1 - step.run
        if step.at_high(across):
            start[across] += 2.0 * t
        else:
            end[across] -= 2.0 * t
        outline = rectangle(end[0] - start[0], end[1] - start[1])
        found.append(FloorPlate(UPPER_FLOOR, UPPER_FLOOR, outline, Pose((start[0], start[1], z0 - t))))
    return tuple(found)
