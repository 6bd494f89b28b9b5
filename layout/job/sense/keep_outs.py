"""Where keep-outs lie: around a point, and against the free space. Meshes are left to those who read them."""

from __future__ import annotations

import math
from typing import Final

import numpy as np
from shapely import Point, Polygon

from layout.frames import Extent, Vec3, bounding, vec3
from layout.job.bay import Bay, CylinderShape, KeepOut

_SKIN_MM: Final = 1.0
"""A point must be this deep inside to count: mount points often lie on the very face of what they belong to."""


def deep_inside(point: Vec3, keep_out: KeepOut) -> bool:
    """Whether a point lies inside a keep-out (margin not counted), more than a millimetre below its surface."""
    if keep_out.box is not None:
        low, high = keep_out.box.min_mm, keep_out.box.max_mm
        return all(a + _SKIN_MM < p < b - _SKIN_MM for a, p, b in zip(low, point, high, strict=True))
    if keep_out.cylinder is not None:
        return _in_bar(point, keep_out.cylinder)
    if keep_out.prism is not None:
        low_z, high_z = keep_out.prism.z_mm
        level = low_z + _SKIN_MM < point[2] < high_z - _SKIN_MM
        return level and bool(Polygon(keep_out.prism.outline_mm).buffer(-_SKIN_MM).contains(Point(point[0], point[1])))
    return False


def _in_bar(point: Vec3, bar: CylinderShape) -> bool:
    """Along the axis between both ends, and nearer to it than the radius."""
    start, end = np.array(bar.from_mm), np.array(bar.to_mm)
    length = float(np.linalg.norm(end - start))
    if length == 0.0:
        return False
    axis = (end - start) / length
    along = float((np.array(point) - start) @ axis)
    off = math.sqrt(max(float(np.sum((np.array(point) - start) ** 2)) - along**2, 0.0))
    return _SKIN_MM < along < length - _SKIN_MM and off < bar.diameter_mm / 2.0 - _SKIN_MM


def free_bounds(bay: Bay) -> Extent:
    """The box that bounds the free space."""
    extents = []
    for space in bay.spaces:
        points = np.array([*space.outline_mm, *(space.outline_above_mm or ())])
        low, high = points.min(axis=0), points.max(axis=0)
        extents.append(Extent((*map(float, low), min(space.z_mm)), (*map(float, high), max(space.z_mm))))  # type: ignore[arg-type]
    return bounding(extents)


def bounds(keep_out: KeepOut) -> Extent | None:
    """The box that bounds a keep-out, its margin included; never too small. None for a mesh."""
    found: Extent | None = None
    if keep_out.box is not None:
        found = Extent(keep_out.box.min_mm, keep_out.box.max_mm)
    elif keep_out.cylinder is not None:
        ends = np.array([keep_out.cylinder.from_mm, keep_out.cylinder.to_mm])
        found = Extent(vec3(ends.min(axis=0)), vec3(ends.max(axis=0))).grown(keep_out.cylinder.diameter_mm / 2.0)
    elif keep_out.prism is not None:
        points = np.array(keep_out.prism.outline_mm)
        (x, y), (x2, y2) = points.min(axis=0), points.max(axis=0)
        found = Extent(vec3((x, y, keep_out.prism.z_mm[0])), vec3((x2, y2, keep_out.prism.z_mm[1])))
    return None if found is None else found.grown(keep_out.margin_mm)


def misses(keep_out: KeepOut, bay: Bay) -> bool:
    """Whether a keep-out with its margin lies wholly outside of the box that bounds the free space."""
    room, body = free_bounds(bay), bounds(keep_out)
    if body is None:
        return False
    return any(b <= c or d <= a for a, b, c, d in zip(room.min_mm, room.max_mm, body.min_mm, body.max_mm, strict=True))
