"""Which points lie in a prism of the free space, or in a solid keep-out: for many points at once."""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from layout.frames import Array
from layout.space.model import Bay, space_triangles
from layout.space.triangles import winding_number

Flags = NDArray[np.bool_]


def in_prisms(bay: Bay, points: Array) -> Flags:
    """Whether points (m, 3) in vehicle axes lie in one of the declared prisms (keep-outs and scan not asked)."""
    inside = np.zeros(len(points), dtype=bool)
    for space in bay.spaces:
        outline = np.array([*space.outline_mm, *(space.outline_above_mm or ())])
        low, high = (*outline.min(axis=0), min(space.z_mm)), (*outline.max(axis=0), max(space.z_mm))
        at = np.flatnonzero(~inside & np.all((points >= low) & (points <= high), axis=1))
        if space.outline_above_mm is None:
            polygon = shapely.polygons(np.array(space.outline_mm))
            shapely.prepare(polygon)
            inside[at] = shapely.contains_xy(polygon, points[at, 0], points[at, 1])
        else:
            inside[at] = within_solid(points[at], space_triangles(space))
    for corridor in bay.corridors:
        rest = np.flatnonzero(~inside)
        inside[rest] = within_solid(points[rest], corridor)
    return inside


def convex_planes(triangles: Array) -> tuple[Array, Array] | None:
    """Outward normals (n, 3) and levels (n,) of a closed convex surface's faces; None where it is not convex.

    Surfaces of more than 500 triangles are not looked at.
    """
    if len(triangles) > 500:
        return None
    normal = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-300)[:, None]
    level = np.einsum("ni,ni->n", triangles[:, 0], normal)
    if (triangles.reshape(-1, 3) @ normal.T - level).max() > 1e-6:
        return None
    planes = np.unique(np.round(np.column_stack([normal, level]), 9), axis=0)
    return planes[:, :3], planes[:, 3]


def within_solid(points: Array, triangles: Array) -> Flags:
    """Whether points (m, 3) lie within a closed surface (either way out)."""
    planes = convex_planes(triangles)
    if planes is None:
        return np.asarray(np.abs(winding_number(points, triangles)) > 0.5)
    inside = np.ones(len(points), dtype=bool)
    for n, d in zip(*planes, strict=True):
        inside &= points @ n < d
    return inside
