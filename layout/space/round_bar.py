"""Exact distance between an axis-parallel box and a round bar with flat ends.

The distance of a point to the bar is a closed form and convex. A box that does not meet the bar is nearest to it either
on one of its twelve edges (a convex minimum along each) or inside one of its six faces, and then the bar's nearest point
is its outermost point towards that face. They meet where an edge touches the bar, the bar's axis enters the box, or the
rim of an end passes through a face; when none of these is so, no point is common: a plane section of the bar without a
point of a rim is a whole ellipse about the axis.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from layout.frames import Array, Vec3

_POINTS = 17
_ROUNDS = 14
"""8^-14 of an edge: 2e-10 mm on an edge of one metre."""


@dataclass(frozen=True)
class Bar:
    """A round bar: the two ends of its axis and its radius, mm."""

    start_mm: Vec3
    end_mm: Vec3
    radius_mm: float

    @cached_property
    def direction(self) -> Array:
        """Unit vector from start to end."""
        d = np.subtract(self.end_mm, self.start_mm)
        return d / np.linalg.norm(d)

    @cached_property
    def length_mm(self) -> float:
        """Distance between the ends."""
        return float(np.linalg.norm(np.subtract(self.end_mm, self.start_mm)))

    def bounds(self) -> tuple[Array, Array]:
        """Least and greatest corner of the axis-parallel box around the bar."""
        reach = self.radius_mm * np.sqrt(np.maximum(0.0, 1.0 - self.direction**2))
        ends = np.array([self.start_mm, self.end_mm])
        return ends.min(axis=0) - reach, ends.max(axis=0) + reach


def point_bar_distance(points: Array, bar: Bar) -> Array:
    """Distance in mm of points (..., 3) to the solid bar, 0 inside."""
    d = bar.direction
    rel = points - np.array(bar.start_mm)
    t = rel @ d
    off = rel - t[..., None] * d
    across = np.sqrt((off * off).sum(axis=-1))
    beyond = np.maximum(0.0, np.maximum(-t, t - bar.length_mm))
    return np.hypot(beyond, np.maximum(0.0, across - bar.radius_mm))


def _edges(low: Array, high: Array) -> tuple[Array, Array]:
    starts, ends = [], []
    for axis in range(3):
        i, j = (axis + 1) % 3, (axis + 2) % 3
        for a in (low[i], high[i]):
            for b in (low[j], high[j]):
                p = np.zeros(3)
                p[axis], p[i], p[j] = low[axis], a, b
                q = p.copy()
                q[axis] = high[axis]
                starts.append(p)
                ends.append(q)
    return np.array(starts), np.array(ends)


def _least_along_edges(low: Array, high: Array, bar: Bar) -> float:
    """Least distance along the twelve edges: the least of 17 points brackets a convex function's minimum; 14 times over."""
    start, end = _edges(low, high)
    along = end - start
    first, last = np.zeros(12), np.ones(12)
    steps, rows = np.linspace(0.0, 1.0, _POINTS), np.arange(12)
    least = np.inf
    for _ in range(_ROUNDS):
        t = first[:, None] + (last - first)[:, None] * steps
        f = point_bar_distance(start[:, None] + t[..., None] * along[:, None], bar)
        best = f.argmin(axis=1)
        least = min(least, float(f.min()))
        first, last = t[rows, np.maximum(best - 1, 0)], t[rows, np.minimum(best + 1, _POINTS - 1)]
    return least


def _outermost(bar: Bar, towards: Array) -> Array:
    """The bar's two rim points (one per end) that lie furthest along a direction; shape (2, 3)."""
    d = bar.direction
    across = towards - (towards @ d) * d
    size = np.linalg.norm(across)
    offset = bar.radius_mm * across / size if size > 1e-12 else np.zeros(3)
    return np.array([np.array(bar.start_mm) + offset, np.array(bar.end_mm) + offset])


def _least_over_faces(low: Array, high: Array, bar: Bar) -> float:
    least = np.inf
    for axis in range(3):
        i, j = (axis + 1) % 3, (axis + 2) % 3
        for sign, level in ((-1.0, low[axis]), (1.0, high[axis])):
            normal = np.zeros(3)
            normal[axis] = sign
            for p in _outermost(bar, -normal):
                gap = sign * (p[axis] - level)
                if gap >= 0.0 and low[i] <= p[i] <= high[i] and low[j] <= p[j] <= high[j]:
                    least = min(least, float(gap))
    return least


def _axis_enters(low: Array, high: Array, bar: Bar) -> bool:
    first, last = 0.0, 1.0
    start, along = np.array(bar.start_mm), np.subtract(bar.end_mm, bar.start_mm)
    for axis in range(3):
        if abs(along[axis]) < 1e-300:
            if not low[axis] <= start[axis] <= high[axis]:
                return False
            continue
        t = sorted(((low[axis] - start[axis]) / along[axis], (high[axis] - start[axis]) / along[axis]))
        first, last = max(first, t[0]), min(last, t[1])
    return first <= last


def _rim_enters(low: Array, high: Array, bar: Bar) -> bool:
    """Whether one of the two end circles passes through a face: circle and plane meet in two points at most."""
    d = bar.direction
    u = np.cross(d, np.eye(3)[int(np.argmin(np.abs(d)))])
    u /= np.linalg.norm(u)
    v = np.cross(d, u)
    for centre in (np.array(bar.start_mm), np.array(bar.end_mm)):
        for axis in range(3):
            i, j = (axis + 1) % 3, (axis + 2) % 3
            swing = bar.radius_mm * np.hypot(u[axis], v[axis])
            for level in (low[axis], high[axis]):
                if swing < 1e-300 or abs(level - centre[axis]) > swing:
                    continue
                middle = np.arctan2(v[axis], u[axis])
                spread = np.arccos(np.clip((level - centre[axis]) / swing, -1.0, 1.0))
                for angle in (middle - spread, middle + spread):
                    p = centre + bar.radius_mm * (np.cos(angle) * u + np.sin(angle) * v)
                    if low[i] <= p[i] <= high[i] and low[j] <= p[j] <= high[j]:
                        return True
    return False


def box_bar_distance(low: Array, high: Array, bar: Bar) -> float:
    """Distance in mm between an axis-parallel box (least and greatest corner) and a bar; 0 where they meet or touch."""
    if _axis_enters(low, high, bar) or _rim_enters(low, high, bar):
        return 0.0
    return min(_least_along_edges(low, high, bar), _least_over_faces(low, high, bar))
