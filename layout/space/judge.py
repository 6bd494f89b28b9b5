"""The judge of fit: exact on the true geometry, simple, and independent of the search.

A body keeps a clearance where the true (Euclidean) distance between it and everything that bounds the bay is at least the
clearance plus that thing's own margin, and the body lies within the free space. A distance that equals what is wanted
passes; TOLERANCE_MM covers rounding: bodies are judged with every face drawn in by it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layout.frames import Array, Extent, Pose, Vec3, vec3
from layout.space.model import Bay
from layout.space.obstacle import Obstacle
from layout.space.parts import cut_off
from layout.space.round_bar import Bar, box_bar_distance
from layout.space.triangles import box_triangle_distance, winding_number

TOLERANCE_MM = 1e-6
BEYOND = "the scanned surface, beyond which it lies"
OUTSIDE = "the declared free space, outside of which it lies"


@dataclass(frozen=True)
class Violation:
    """Something that does not fit.

    got_mm: the clearance there is; negative: by how much the body would have to be drawn in on every side to come free
    (no further than half its least size). place_mm: vehicle axes (pack axes where the box itself is broken).
    """

    what: str
    with_what: str
    got_mm: float
    want_mm: float
    place_mm: Vec3

    def __str__(self) -> str:
        at = ", ".join(f"{v:.0f}" for v in self.place_mm)
        return f"{self.what}: {self.got_mm:.1f} mm from {self.with_what} near ({at}), wanted {self.want_mm:.1f} mm"


def drawn_in(body: Extent, by_mm: float) -> Extent:
    """The body with every face moved inward, its middle kept."""
    half = np.maximum(np.array(body.size_mm) / 2.0 - by_mm, 0.0)
    middle = np.array(body.centre_mm)
    return Extent(vec3(middle - half), vec3(middle + half))


def distance_to(obstacle: Obstacle, body: Extent, pose: Pose, reach_mm: float) -> tuple[float, Vec3]:
    """Distance of a turned box to an obstacle (margin not counted), and a place; inf where it is more than reach_mm.

    0 where they meet, touch, or the body lies within a solid obstacle.
    """
    low, high = np.array(body.min_mm), np.array(body.max_mm)
    if obstacle.bar is not None:
        return _to_bar(obstacle.bar, body, pose, reach_mm)
    around = body.seen_from(pose).grown(reach_mm)
    best, place = np.inf, pose.point(body.centre_mm)
    for near in obstacle.near(np.array(around.min_mm), np.array(around.max_mm)):
        own = pose.inverse_point(near)
        distances = box_triangle_distance(low, high, own)
        nearest = int(np.argmin(distances))
        if distances[nearest] < best:
            best = float(distances[nearest])
            place = pose.point(_closest(own[nearest], low, high))
        if best <= 0.0:
            break
    if best > 0.0 and obstacle.solid and _within(obstacle, body, pose):
        return 0.0, vec3(pose.point(body.centre_mm))
    return (best if best <= reach_mm else np.inf), vec3(place)


def _within(obstacle: Obstacle, body: Extent, pose: Pose) -> bool:
    middle = pose.point(body.centre_mm)
    if np.any(middle < obstacle.low) or np.any(middle > obstacle.high):
        return False
    return abs(float(winding_number(middle[None], obstacle.triangles)[0])) > 0.5


def _to_bar(bar: Bar, body: Extent, pose: Pose, reach_mm: float) -> tuple[float, Vec3]:
    own = Bar(vec3(pose.inverse_point(bar.start_mm)), vec3(pose.inverse_point(bar.end_mm)), bar.radius_mm)
    low, high = own.bounds()
    apart = np.maximum(low - np.array(body.max_mm), np.array(body.min_mm) - high).max()
    if apart > reach_mm:
        return np.inf, bar.start_mm
    distance = box_bar_distance(np.array(body.min_mm), np.array(body.max_mm), own)
    middle = pose.point(body.centre_mm)
    t = np.clip((middle - np.array(bar.start_mm)) @ bar.direction, 0.0, bar.length_mm)
    return distance, vec3(np.array(bar.start_mm) + t * bar.direction)


def _closest(triangle: Array, low: Array, high: Array) -> Array:
    """A point of the triangle near the box: the best of a lattice on it."""
    u, v = np.meshgrid(np.linspace(0.0, 1.0, 21), np.linspace(0.0, 1.0, 21))
    keep = u + v <= 1.0 + 1e-12
    a, b, c = triangle
    points = a + u[keep][:, None] * (b - a) + v[keep][:, None] * (c - a)
    gap = np.linalg.norm(points - np.clip(points, low, high), axis=1)
    return points[int(np.argmin(gap))]


def _comes_free(obstacle: Obstacle, body: Extent, pose: Pose, by_mm: float) -> bool:
    return distance_to(obstacle, drawn_in(body, by_mm), pose, 1.0)[0] > 0.0


def _overlap(obstacle: Obstacle, body: Extent, pose: Pose) -> float:
    """How far the body must be drawn in on every side to come free, mm, to 0.01; at most half its least size."""
    low, high = 0.0, min(body.size_mm) / 2.0
    while high - low > 0.01:
        middle = (low + high) / 2.0
        low, high = (low, middle) if _comes_free(obstacle, body, pose, middle) else (middle, high)
    return high


def is_in_space(bay: Bay, point_mm: Vec3) -> bool:
    """Whether a point lies within the union of the prisms (keep-outs and scan not asked)."""
    return float(winding_number(np.array([point_mm]), bay.wall_triangles)[0]) > 0.5


def inside_free_space(bay: Bay, body: Extent, pose: Pose, clearance_mm: float, what: str = "body") -> list[Violation]:
    """Everything that keeps a box (own axes, at a pose in vehicle axes) from lying in the free space; [] where it fits."""
    judged = drawn_in(body, TOLERANCE_MM)
    found = []
    for obstacle in bay.obstacles:
        want = clearance_mm + obstacle.margin_mm
        got, place = distance_to(obstacle, judged, pose, want + 1.0)
        if got <= 0.0:
            deep = _overlap(obstacle, body, pose) + obstacle.margin_mm
            found.append(Violation(what, obstacle.name, -deep, clearance_mm, place))
        elif got < want:
            found.append(Violation(what, obstacle.name, got - obstacle.margin_mm, clearance_mm, place))
    middle = vec3(pose.point(body.centre_mm))
    if not is_in_space(bay, middle):
        found.append(Violation(what, OUTSIDE, -min(body.size_mm) / 2.0, clearance_mm, middle))
    if bay.scan is not None and not found and cut_off(bay, _lattice(body, pose)):
        found.append(Violation(what, BEYOND, -min(body.size_mm) / 2.0, clearance_mm, middle))
    return found


def _lattice(body: Extent, pose: Pose) -> Array:
    """Points within a body, vehicle axes, shape (343, 3)."""
    t = np.linspace(0.05, 0.95, 7)
    share = np.stack(np.meshgrid(t, t, t), axis=-1).reshape(-1, 3)
    return pose.point(np.array(body.min_mm) + share * np.array(body.size_mm))


def is_clear(bay: Bay, body: Extent, pose: Pose, clearance_mm: float) -> bool:
    """Whether a box keeps the clearance from everything and lies in the space (the same test, answered at once)."""
    return not too_near(bay, body, pose, clearance_mm)


def too_near(bay: Bay, body: Extent, pose: Pose, clearance_mm: float) -> str:
    """Name of the first thing that a box does not keep the clearance from; "" if none. A scan's far side is not asked."""
    judged = drawn_in(body, TOLERANCE_MM)
    for obstacle in bay.obstacles:
        want = clearance_mm + obstacle.margin_mm
        got, _ = distance_to(obstacle, judged, pose, want + 1.0)
        if got <= 0.0 or got < want:
            return obstacle.name
    return "" if is_in_space(bay, vec3(pose.point(body.centre_mm))) else OUTSIDE


def least_clearance(bay: Bay, body: Extent, pose: Pose, reach_mm: float) -> tuple[float, str]:
    """Least distance less margin to anything that bounds the bay (at most reach_mm) and what it is; -inf where it meets one."""
    best, name = reach_mm, ""
    for obstacle in bay.obstacles:
        got, _ = distance_to(obstacle, body, pose, best + obstacle.margin_mm)
        free = got - obstacle.margin_mm if got > 0.0 else -np.inf
        if free < best:
            best, name = free, obstacle.name
    if not is_in_space(bay, vec3(pose.point(body.centre_mm))):
        return -np.inf, OUTSIDE
    return best, name
