"""Outlines of the plates that lie level: floor, flange, gasket, lid. Own plane: x and y of the pack from the least corner."""

from __future__ import annotations

import math

from layout.design import Loop, rectangle
from layout.frames import Extent
from layout.stepped import Stepped, drawn_in, plan_of

QUARTER = math.tan(math.pi / 8.0)
"""Bulge of a quarter turn."""


def plan_loop(inside: Extent, out_mm: float, from_mm: float, corner_mm: float = 0.0) -> Loop:
    """The plan of an inside with every side moved out by out_mm, anticlockwise.

    from_mm: the origin lies this far outward of the inside's least corner along x and y. corner_mm: radius of the outer
    corners; the inner one of a step stays square (rounded it would reach beyond what the search keeps clear).
    """
    (x0, y0, _), (sx, sy, _) = inside.min_mm, inside.size_mm
    if not isinstance(inside, Stepped):
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
