"""Measures of plane profiles: lengths, extents, polygons, and whether an outline can be cut at all.

Areas and their moments: layout.design.moments.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations

import numpy as np
import shapely

from layout.design.moments import AreaMoments, hole_moments, loop_moments, profile_moments
from layout.design.profile import Hole, Loop, Profile, Vertex
from layout.errors import DesignError
from layout.frames import Array

__all__ = [
    "Arc",
    "AreaMoments",
    "arc_of",
    "cut_length_mm",
    "edges",
    "hole_moments",
    "hole_polygon",
    "least_web_mm",
    "loop_extent_mm",
    "loop_length_mm",
    "loop_moments",
    "loop_points",
    "polygon",
    "problems",
    "profile_moments",
    "require_valid",
    "slot_loop",
    "turned",
]

SAME_MM = 1e-6
"""Two points closer than this are one."""


@dataclass(frozen=True, slots=True)
class Arc:
    """A bulged edge: centre, radius, direction of its start from the centre and the angle it sweeps (radians, signed)."""

    centre_mm: tuple[float, float]
    radius_mm: float
    start_rad: float
    sweep_rad: float

    def point(self, share: float) -> tuple[float, float]:
        """The point at a share of the sweep, 0 at the start and 1 at the end."""
        angle = self.start_rad + share * self.sweep_rad
        return (self.centre_mm[0] + self.radius_mm * math.cos(angle), self.centre_mm[1] + self.radius_mm * math.sin(angle))


def edges(loop: Loop) -> list[tuple[Vertex, Vertex]]:
    """Each vertex with the next one; the last with the first."""
    return list(zip(loop, loop[1:] + loop[:1], strict=True))


def arc_of(start: Vertex, end: Vertex) -> Arc | None:
    """The arc of a bulged edge, None for a straight one. Bulge b = tan(sweep / 4)."""
    b = start[2]
    if abs(b) < 1e-12:
        return None
    cx, cy = (start[0] + end[0]) / 2.0, (start[1] + end[1]) / 2.0
    dx, dy = end[0] - start[0], end[1] - start[1]
    k = (1.0 - b * b) / (4.0 * b)  # distance of the centre from the chord's middle, to the left, per chord length
    centre = (cx - dy * k, cy + dx * k)
    radius = math.hypot(dx, dy) * (1.0 + b * b) / (4.0 * abs(b))
    return Arc(centre, radius, math.atan2(start[1] - centre[1], start[0] - centre[0]), 4.0 * math.atan(b))


def loop_length_mm(loop: Loop) -> float:
    """Length of a closed outline, arcs exact."""
    total = 0.0
    for a, b in edges(loop):
        arc = arc_of(a, b)
        total += math.hypot(b[0] - a[0], b[1] - a[1]) if arc is None else arc.radius_mm * abs(arc.sweep_rad)
    return total


def cut_length_mm(profile: Profile) -> float:
    """Length of all cuts: outline, holes, slots and cut-outs."""
    holes = sum(math.pi * h.diameter_mm + 2.0 * h.slot_mm for h in profile.holes)
    return loop_length_mm(profile.outline) + holes + sum(loop_length_mm(c) for c in profile.cutouts)


def loop_extent_mm(loop: Loop) -> tuple[float, float, float, float]:
    """Least x, least y, greatest x, greatest y of a closed outline, arcs exact."""
    xs, ys = [v[0] for v in loop], [v[1] for v in loop]
    for a, b in edges(loop):
        arc = arc_of(a, b)
        if arc is None:
            continue
        for quarter in range(4):
            angle = quarter * math.pi / 2.0
            turn = math.fmod((angle - arc.start_rad) * (1.0 if arc.sweep_rad > 0 else -1.0), 2.0 * math.pi) % (2.0 * math.pi)
            if turn <= abs(arc.sweep_rad):
                xs.append(arc.centre_mm[0] + arc.radius_mm * round(math.cos(angle)))
                ys.append(arc.centre_mm[1] + arc.radius_mm * round(math.sin(angle)))
    return (min(xs), min(ys), max(xs), max(ys))


def slot_loop(hole: Hole) -> Loop:
    """Anticlockwise outline of a slot: two straight edges and two half circles."""
    r, d = hole.diameter_mm / 2.0, hole.slot_mm / 2.0
    c, s = math.cos(math.radians(hole.slot_angle_deg)), math.sin(math.radians(hole.slot_angle_deg))
    x, y = hole.centre_mm
    own = ((-d, -r, 0.0), (d, -r, 1.0), (d, r, 0.0), (-d, r, 1.0))
    return tuple((x + u * c - v * s, y + u * s + v * c, b) for u, v, b in own)


def turned(loop: Loop, along: tuple[float, float], shift_mm: tuple[float, float]) -> Loop:
    """The loop turned so that its x axis runs along a unit vector, then moved. Bulges stay."""
    c, s = along
    return tuple((c * x - s * y + shift_mm[0], s * x + c * y + shift_mm[1], b) for x, y, b in loop)


def loop_points(loop: Loop, sag_mm: float = 0.01) -> Array:
    """Points along a closed outline, shape (n, 2): vertices, and points on the arcs at most `sag_mm` off their chords."""
    points: list[tuple[float, float]] = []
    for a, b in edges(loop):
        points.append((a[0], a[1]))
        arc = arc_of(a, b)
        if arc is not None:
            step = 4.0 * math.asin(math.sqrt(min(sag_mm / (2.0 * arc.radius_mm), 0.5)))  # sag = R (1 - cos(step / 2))
            n = max(2, math.ceil(abs(arc.sweep_rad) / step))
            points.extend(arc.point(i / n) for i in range(1, n))
    return np.array(points, dtype=float)


def hole_polygon(hole: Hole, sag_mm: float = 0.01) -> shapely.Polygon:
    """Polygon inscribed in a hole or slot."""
    if hole.slot_mm > 0.0:
        return shapely.Polygon(loop_points(slot_loop(hole), sag_mm))
    (x, y), r = hole.centre_mm, hole.diameter_mm / 2.0
    return shapely.Polygon(loop_points(((x - r, y, 1.0), (x + r, y, 1.0)), sag_mm))


def polygon(profile: Profile, sag_mm: float = 0.01) -> shapely.Polygon:
    """Polygon of the plate's face with its holes; arcs as chords at most `sag_mm` off."""
    rings = [loop_points(c, sag_mm) for c in profile.cutouts]
    rings += [np.array(hole_polygon(h, sag_mm).exterior.coords) for h in profile.holes]
    return shapely.Polygon(loop_points(profile.outline, sag_mm), rings)


def least_web_mm(profile: Profile, sag_mm: float = 0.001) -> float:
    """Least width of metal between two openings, or between an opening and the outline (to `sag_mm`); inf without openings."""
    outer = shapely.LinearRing(loop_points(profile.outline, sag_mm))
    inner = [hole_polygon(h, sag_mm) for h in profile.holes] + [
        shapely.Polygon(loop_points(c, sag_mm)) for c in profile.cutouts
    ]
    gaps = [float(outer.distance(i)) for i in inner] + [float(a.distance(b)) for a, b in combinations(inner, 2)]
    return min(gaps, default=math.inf)


def _loop_problems(loop: Loop, what: str) -> list[str]:
    if not all(math.isfinite(c) for v in loop for c in v):
        return [f"{what} holds a number that is not finite"]
    if len(loop) < 3 and not (len(loop) == 2 and all(abs(v[2]) > 1e-12 for v in loop)):
        return [f"{what} has {len(loop)} vertices and encloses nothing"]
    short = [i for i, (a, b) in enumerate(edges(loop)) if math.hypot(b[0] - a[0], b[1] - a[1]) < SAME_MM]
    if short:
        return [f"{what} has an edge without length at vertex {short[0]}"]
    if not shapely.LinearRing(loop_points(loop)).is_simple:
        return [f"{what} crosses or touches itself"]
    return []


def _opening_problems(profile: Profile) -> list[str]:
    found = []
    for h in profile.holes:
        if not (h.diameter_mm > 0.0 and h.slot_mm >= 0.0 and all(map(math.isfinite, (*h.centre_mm, h.diameter_mm, h.slot_mm)))):
            found.append(f"hole {h.name!r} has diameter {h.diameter_mm:g} mm and slot {h.slot_mm:g} mm")
    for i, cutout in enumerate(profile.cutouts):
        found += _loop_problems(cutout, f"cut-out {i}")
    return found


def problems(profile: Profile) -> tuple[str, ...]:
    """What keeps a profile from being cut, one sentence each; empty for a good one.

    Outlines must close on themselves without crossing, the outer one run anticlockwise; every opening must lie inside
    the outline, clear of it and of every other opening.
    """
    found = _loop_problems(profile.outline, "the outline") + _opening_problems(profile)
    if found:
        return tuple(found)
    if loop_moments(profile.outline).area_mm2 <= 0.0:
        found.append("the outline runs clockwise")
    outer = shapely.Polygon(loop_points(profile.outline))
    inner = [(f"hole {h.name!r}", hole_polygon(h)) for h in profile.holes]
    inner += [(f"cut-out {i}", shapely.Polygon(loop_points(c))) for i, c in enumerate(profile.cutouts)]
    found += [f"{name} does not lie inside the outline" for name, shape in inner if not outer.contains_properly(shape)]
    if len(inner) > 1:
        tree = shapely.STRtree([shape for _, shape in inner])
        pairs = tree.query([shape for _, shape in inner], predicate="intersects").T
        found += [f"{inner[a][0]} and {inner[b][0]} overlap" for a, b in pairs if a < b]
    return tuple(found)


def require_valid(profile: Profile, part: str) -> None:
    """Raise DesignError, naming the part, where `problems` finds any."""
    found = problems(profile)
    if found:
        raise DesignError(part, "its profile cannot be cut", "; ".join(found), "Move or resize what is named.")
