"""The outline of a bracket's foot: square to the bend where it can be, following its mounts and the bay's edge where it must.

A pack that is turned against the vehicle has walls that run at an angle to the rails: the bend lies along the wall, the foot's
edge along the rail. Foot coordinates: x along the bend, z out along the foot (see layout.brackets.frame).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely

from layout.brackets.design import MountPlace
from layout.brackets.frame import AngleFrame
from layout.brackets.planned import BracketPlan
from layout.design import Loop
from layout.errors import DesignError
from layout.job.model import Job
from layout.tables import bolt

CLEAR_MM = 2.5
"""Between a foot that is cut along the bay's edge and that edge (the judge's own tolerance lies well below)."""
CLIP_MM = 10.0
OVER_MM = 2.2
"""By how much the boxes that stand for a foot that is not a rectangle may reach beyond it, where it is held against the bay."""


@dataclass(frozen=True)
class FootOutline:
    """shape: the foot from the bend on, in (x, z). square: a rectangle with its corners cut off."""

    shape: shapely.Polygon
    square: bool

    def depth_mm(self, low: float, high: float) -> float:
        """Least z of the free edge between two x."""
        xs = np.linspace(low, high, 9)
        return min(self._edge(float(x)) for x in xs)

    def boxes(self) -> list[tuple[float, float, float, float]]:
        """Rectangles (x, z least, x, z greatest) that cover the foot, bend included, and reach beyond it by OVER_MM at most."""
        low, start, high, _ = self.shape.bounds
        return _cover(self.shape.union(shapely.box(low, 0.0, high, start + 0.01)))

    def _edge(self, x: float) -> float:
        line = shapely.LineString([(x, -1.0), (x, 1e4)])
        cut = self.shape.intersection(line)
        return 0.0 if cut.is_empty else float(cut.bounds[3])


def foot_outline(job: Job, frame: AngleFrame) -> FootOutline:
    """The foot of a bracket.

    Raises:
        DesignError: the bay leaves no room for a mount's washer and edge.
    """
    (low, high), start = frame.a_mm, frame.setback_mm
    edges = [z + frame.edge_mm(i) for i, (_, z) in enumerate(frame.mounts)]
    out = frame.foot_out_mm
    whole = shapely.box(low, start, high, out)
    if max(edges) - min(edges) > 0.5:
        corners = [(low, start), (high, start)]
        for i, (x, _) in enumerate(frame.mounts):
            reach = frame.end_mm(i)
            corners += [(max(x - reach, low), edges[i]), (min(x + reach, high), edges[i])]
        whole = shapely.MultiPoint(corners).convex_hull
    room = free_plan(job, frame.plan, frame.thickness_mm) if frame.plan.cut else None
    square = whole.area > 0.999 * (high - low) * (out - start)
    if room is None or room.contains(whole.buffer(-0.01)):
        return FootOutline(_clipped(low, high, start, out) if square else whole, square)
    found = _piece(whole.intersection(room), frame)
    for mount, (x, z) in zip(frame.plan.mounts, frame.mounts, strict=True):
        size = bolt(mount.entry.thread)
        need = max(size.washer_outer_mm / 2.0 + 1.0, 1.2 * size.hole_medium_mm)
        got = float(found.exterior.distance(shapely.Point(x, z))) if found.contains(shapely.Point(x, z)) else 0.0
        if got < need:
            raise DesignError(
                f"foot of {frame.plan.number} at mount {mount.name!r}",
                "a foot cut along the bay's edge keeps its bolt's washer and edge distance",
                f"{got:.1f} mm of {need:.1f} mm",
                "Choose another arrangement, or measure the free space beside this mount again.",
            )
    return FootOutline(found, False)


def _cover(shape: shapely.Geometry) -> list[tuple[float, float, float, float]]:
    if shape.is_empty or shape.area < 1e-6:
        return []
    x0, z0, x1, z1 = shape.bounds
    if max(shape.distance(shapely.Point(x, z)) for x in (x0, x1) for z in (z0, z1)) <= OVER_MM:
        return [(x0, z0, x1, z1)]
    if x1 - x0 > z1 - z0:
        halves = (x0, z0, (x0 + x1) / 2.0, z1), ((x0 + x1) / 2.0, z0, x1, z1)
    else:
        halves = (x0, z0, x1, (z0 + z1) / 2.0), (x0, (z0 + z1) / 2.0, x1, z1)
    return [box for half in halves for box in _cover(shape.intersection(shapely.box(*half)))]


def _piece(cut: shapely.Geometry, frame: AngleFrame) -> shapely.Polygon:
    """What remains around the mounts; the whole length of the bend must be in it."""
    pieces = [p for p in shapely.get_parts(cut) if isinstance(p, shapely.Polygon)]
    around = [p for p in pieces if all(p.contains(shapely.Point(m)) for m in frame.mounts)]
    low, high = frame.a_mm
    bend = shapely.LineString([(low + 0.01, frame.setback_mm + 0.01), (high - 0.01, frame.setback_mm + 0.01)])
    if not around or not around[0].buffer(0.02).contains(bend):
        raise DesignError(
            f"foot of {frame.plan.number}", "brackets keep clear of what is in the bay; here: the edge of the free space",
            "the bend itself crosses it", "Choose another arrangement, or another kind of bracket at this mount.",
        )  # fmt: skip
    return shapely.remove_repeated_points(shapely.simplify(around[0], 0.01), 0.05)


def _clipped(low: float, high: float, start: float, out: float) -> shapely.Polygon:
    c = min(CLIP_MM, (out - start) / 3.0)
    return shapely.Polygon([(low, start), (high, start), (high, out - c), (high - c, out), (low + c, out), (low, out - c)])


def free_plan(job: Job, plan: BracketPlan, thickness_mm: float) -> shapely.Polygon | shapely.MultiPolygon | None:
    """The bay's spaces at the foot's height, drawn in by CLEAR_MM, in the foot's (x, z); None unless mounts look up or down.

    Spaces that touch are one; of a tapered space what is free at both its heights counts. Boxes and upright prisms to be kept
    out are taken off; a foot that meets anything else is refused, not cut.
    """
    if plan.mounts[0].entry.normal not in ("+z", "-z"):
        return None
    sign = 1.0 if plan.mounts[0].entry.normal == "+z" else -1.0
    level = plan.mounts[0].entry.at_mm[2]
    heights = sorted((level + sign * 0.05, level + sign * (thickness_mm + 10.0)))
    pieces = []
    for space in job.bay.spaces:
        if space.z_mm[0] <= heights[0] and heights[1] <= space.z_mm[1]:
            plans = [shapely.Polygon(o) for o in (space.outline_mm, space.outline_above_mm) if o is not None]
            pieces.append(shapely.intersection_all(plans))
    if not pieces:
        return None
    free = shapely.difference(shapely.union_all(pieces), shapely.union_all(_kept_out(job, heights[0], heights[1])))
    free = free.buffer(-CLEAR_MM, join_style="mitre")
    return shapely.transform(free, lambda points: _in_foot(plan, points, level))


def _kept_out(job: Job, low: float, high: float) -> list[shapely.Geometry]:
    """Plans of boxes and prisms to be kept out that reach into a range of heights, with their margins."""
    found: list[shapely.Geometry] = []
    for keep_out in job.bay.keep_outs:
        if keep_out.box is not None:
            (x0, y0, z0), (x1, y1, z1) = keep_out.box.min_mm, keep_out.box.max_mm
            shape: shapely.Geometry = shapely.box(x0, y0, x1, y1)
        elif keep_out.prism is not None:
            shape, (z0, z1) = shapely.Polygon(keep_out.prism.outline_mm), keep_out.prism.z_mm
        else:
            continue
        if z0 - keep_out.margin_mm < high and low < z1 + keep_out.margin_mm:
            found.append(shape.buffer(keep_out.margin_mm, join_style="mitre"))
    return found


def _in_foot(plan: BracketPlan, points: np.ndarray, level: float) -> np.ndarray:
    lifted = np.column_stack([points, np.full(len(points), level)])
    own = plan.foot_pose.inverse_point(plan.frame.inverse_point(lifted))
    return np.asarray(own[:, [0, 2]])


def free_along_bend(job: Job, plan: BracketPlan, thickness_mm: float) -> tuple[float, float]:
    """Between which x the bend and the leg's thickness can run past the mounts without leaving the bay's plan."""
    room = free_plan(job, plan, thickness_mm) if plan.cut else None
    if room is None:
        return (-math.inf, math.inf)
    own = plan.foot_pose.inverse_point([m.at_mm for m in plan.mounts])
    low, high = -math.inf, math.inf
    for z in (0.0, thickness_mm + 10.0, 3.0 * thickness_mm):
        cut = room.intersection(shapely.LineString([(-1e4, z), (1e4, z)]))
        spans = [(p.bounds[0], p.bounds[2]) for p in shapely.get_parts(cut) if not p.is_empty]
        for a, b in spans:
            if a <= float(own[:, 0].min()) and float(own[:, 0].max()) <= b:
                low, high = max(low, a), min(high, b)
    return (low, high)


def flange_loop(outline: FootOutline, frame: AngleFrame) -> Loop:
    """The outline in the flange's own plane: x from the bend's far end back, y away from the bend; its edge 0 is the bend."""
    high, start = frame.a_mm[1], frame.setback_mm
    points = [(high - x, z - start) for x, z in shapely.get_coordinates(outline.shape)[:-1]]
    length = frame.a_mm[1] - frame.a_mm[0]
    if sum(a[0] * b[1] - a[1] * b[0] for a, b in zip(points, points[1:] + points[:1], strict=True)) < 0.0:
        points.reverse()
    first = min(range(len(points)), key=lambda i: abs(points[i][0]) + abs(points[i][1]))
    points = points[first:] + points[:first]
    points[0], points[1] = (0.0, 0.0), (length, 0.0)
    return tuple((float(x), float(y), 0.0) for x, y in points)


def mount_places(outline: FootOutline, frame: AngleFrame) -> tuple[MountPlace, ...]:
    """Each mount in the foot with its edge distances, less half its slot along each axis."""
    low, high = frame.a_mm
    found = []
    for i, (x, z) in enumerate(frame.mounts):
        slot = frame.slots[i]
        by_a, by_out = (slot.along_a_mm / 2.0, slot.along_out_mm / 2.0) if slot else (0.0, 0.0)
        out, across = outline.depth_mm(x, x) - z - by_out, min(x - low, high - x) - by_a
        least = min(out, across)
        if not outline.square:
            least = min(least, _to_edge(outline, frame, x, z) - max(by_a, by_out))
            out, across = min(out, least), min(across, least)
        found.append(MountPlace(x, z, (out, across, least), slot))
    return tuple(found)


def _to_edge(outline: FootOutline, frame: AngleFrame, x: float, z: float) -> float:
    """Distance to the nearest free edge: the bend is none."""
    points = shapely.get_coordinates(outline.shape)
    start = frame.setback_mm + 0.1
    pairs = [(a, b) for a, b in pairwise(points) if max(a[1], b[1]) > start]
    return min(float(shapely.LineString([a, b]).distance(shapely.Point(x, z))) for a, b in pairs)
