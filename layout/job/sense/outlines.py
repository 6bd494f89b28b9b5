"""Plan outlines and heights of prisms, and how far a point lies from one."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from typing import Final

import numpy as np
from shapely import Point, Polygon
from shapely.validation import explain_validity

from layout.errors import Problem
from layout.frames import Vec3
from layout.job.bay import Space

Outline = Sequence[tuple[float, float]]
SMALLEST_AREA_MM2: Final = 100.0
_LEVELS: Final = 9


def outline_problems(outline: Outline, path: str) -> Iterator[Problem]:
    """At most one problem: points that coincide, an outline that crosses itself, or one that encloses nothing."""
    got = f"{len(outline)} points"
    distinct = set(outline)
    if len(distinct) < 3:
        yield Problem(path, got, "an outline needs 3 points that differ", "Add the corners that are missing.")
        return
    polygon = Polygon(outline)
    if polygon.convex_hull.area < SMALLEST_AREA_MM2:
        yield Problem(path, got, "the outline must enclose an area", "Its points lie on one line: measure the corners again.")
    elif not polygon.is_valid:
        where = _crossing(polygon)
        at = f" at x = {where[0]:g}, y = {where[1]:g}" if where else ""
        remedy = "Give the corners in the order of walking round, each once."
        yield Problem(path, got, f"the outline must not touch or cross itself; it does{at}", remedy)


def _crossing(polygon: Polygon) -> tuple[float, float] | None:
    """Where an outline meets itself."""
    found = re.search(r"Self-intersection\[(\S+) (\S+)\]", explain_validity(polygon))
    return (float(found[1]), float(found[2])) if found else None


def height_problems(z_mm: tuple[float, float], path: str) -> Iterator[Problem]:
    """At most one problem: the two heights are not in order."""
    if z_mm[0] >= z_mm[1]:
        got = f"[{z_mm[0]:g}, {z_mm[1]:g}]"
        yield Problem(path, got, "the first height must be below the second", "Write the lower height first.")


def taper_problems(space: Space, path: str) -> Iterator[Problem]:
    """At most one problem: the upper outline of a tapered prism does not match the lower one point by point."""
    above = space.outline_above_mm
    if above is None:
        return
    below = space.outline_mm
    if len(above) != len(below):
        want = f"must have as many points as outline, which has {len(below)}"
        yield Problem(path, f"{len(above)} points", want, "Give for each point of outline the one above it.")
        return
    for share in np.linspace(0.0, 1.0, _LEVELS)[1:-1]:
        if not Polygon(between(below, above, float(share))).is_valid:
            want = "each point must lie above the point of outline with the same place in the list"
            got = f"an outline that crosses itself {share:.0%} of the way up"
            yield Problem(path, got, want, "Begin both outlines at the same corner and walk the same way round.")
            return


def between(below: Outline, above: Outline, share: float) -> list[tuple[float, float]]:
    """The outline a share of the way from one to the other."""
    mixed = (1.0 - share) * np.asarray(below, dtype=float) + share * np.asarray(above, dtype=float)
    return [(float(x), float(y)) for x, y in mixed]


def distance_mm(point: Vec3, space: Space) -> float:
    """Distance from a point to a prism; 0 inside. For a tapered prism measured level with the point: never too small."""
    low, high = space.z_mm
    z = min(max(point[2], low), high)
    outline: Outline = space.outline_mm
    if space.outline_above_mm is not None:
        outline = between(space.outline_mm, space.outline_above_mm, (z - low) / (high - low))
    return math.hypot(point[2] - z, Polygon(outline).distance(Point(point[0], point[1])))


def sound(space: Space) -> bool:
    """Whether a prism has nothing wrong with it, so that other rules may build on it."""
    found = [*height_problems(space.z_mm, ""), *outline_problems(space.outline_mm, ""), *taper_problems(space, "")]
    if space.outline_above_mm is not None:
        found += outline_problems(space.outline_above_mm, "")
    return not found
