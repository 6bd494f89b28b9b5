"""The bay opened on the sides from which the box may come in.

On such a side the bay is open across its outermost flat face, and as wide as that face from there on outward; the rest of
its walls, the keep-outs and the scan stay.
"""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import manifold3d
import numpy as np
import shapely

from layout.frames import DIRECTIONS, Array, Extent, vec3
from layout.space.model import Bay
from layout.space.obstacle import Obstacle
from layout.space.solids import JOIN_MM, from_manifold, union_boundary

FLAT_MM = 1.0
"""Faces no further than this behind the outermost point on a side belong to the opening."""
BEYOND_MM = 60.0


@lru_cache(maxsize=8)
def opened(bay: Bay, sides: tuple[str, ...]) -> Bay:
    """The bay with a corridor outward on each side that has an outermost flat face, as long as the bay is there."""
    corridors = [c for c in (corridor(bay, side) for side in sides) if c is not None]
    if not corridors:
        return bay
    triangles, source = union_boundary([bay.wall_triangles, *corridors])
    names = ["wall of the bay", *(f"edge of the opening {s}" for s in sides)]
    walls = tuple(Obstacle(names[k], triangles[source == k]) for k in range(len(corridors) + 1) if np.any(source == k))
    corners = triangles.reshape(-1, 3)
    extent = Extent(vec3(corners.min(axis=0)), vec3(corners.max(axis=0)))
    return replace(bay, walls=walls, extent=extent, corridors=tuple(corridors))


def outermost(bay: Bay, side: str) -> float:
    """How far the bay reaches on a side, along that direction, mm."""
    return float((bay.wall_triangles @ np.array(DIRECTIONS[side])).max())


def corridor(bay: Bay, side: str) -> Array | None:
    """Closed surface of the way out on one side; None where the bay has no flat face there."""
    out = np.array(DIRECTIONS[side])
    triangles = bay.wall_triangles
    normal = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    size = np.linalg.norm(normal, axis=1)
    level = outermost(bay, side)
    flat = (normal @ out > 0.999 * size) & ((triangles @ out).min(axis=1) > level - FLAT_MM) & (size > 1e-6)
    if not flat.any():
        return None
    u = np.roll(np.abs(out), 1)
    v = np.cross(out, u)
    plane = triangles[flat] @ np.column_stack([u, v])
    outline = shapely.buffer(shapely.union_all(shapely.polygons(plane)), JOIN_MM, join_style="mitre")
    rings = [np.array(r.coords)[:-1] for p in shapely.get_parts(outline) for r in (p.exterior, *p.interiors)]
    length = float(np.ptp(bay.wall_triangles.reshape(-1, 3) @ out)) + FLAT_MM + BEYOND_MM
    prism = manifold3d.Manifold.extrude(manifold3d.CrossSection(rings, manifold3d.FillRule.EvenOdd), length)
    own = from_manifold(prism)
    return own @ np.array([u, v, out]) + (level - FLAT_MM) * out
