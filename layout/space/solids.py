"""Triangles of the bodies that bound a bay, and the boundary of a union of prisms.

Triangles are (n, 3, 3) arrays in mm, vehicle axes, facing outward (corners anticlockwise seen from outside).
"""

from __future__ import annotations

import manifold3d
import numpy as np
from numpy.typing import ArrayLike, NDArray

from layout.frames import Array, Extent
from layout.space.round_bar import Bar

JOIN_MM = 1e-7
"""Prisms are grown by this before they are joined, so that prisms that touch are one space. Below the judge's tolerance."""


def signed_area(outline: ArrayLike) -> float:
    """Area of a plan outline in mm2, positive where it runs anticlockwise."""
    p = np.asarray(outline, dtype=float)
    q = np.roll(p, -1, axis=0)
    return float((p[:, 0] * q[:, 1] - q[:, 0] * p[:, 1]).sum() / 2.0)


def anticlockwise(outline: ArrayLike, also: ArrayLike) -> tuple[Array, Array]:
    """Both outlines (k, 2), reversed together where the first one runs clockwise."""
    p, q = np.asarray(outline, dtype=float), np.asarray(also, dtype=float)
    return (p, q) if signed_area(p) > 0.0 else (p[::-1].copy(), q[::-1].copy())


def _offset(outline: Array, by: float) -> Array:
    """Every edge moved outward by a tiny distance, corners mitred (at most tenfold)."""
    along = np.roll(outline, -1, axis=0) - outline
    normal = np.column_stack([along[:, 1], -along[:, 0]]) / np.maximum(np.linalg.norm(along, axis=1), 1e-300)[:, None]
    before = np.roll(normal, 1, axis=0)
    return outline + by * (normal + before) / np.maximum(1.0 + (normal * before).sum(axis=1), 0.1)[:, None]


def _sides(low: Array, high: Array, z: tuple[float, float]) -> list[Array]:
    """Side faces as triangles. A twisted face is split along the diagonal that leaves less room within."""
    k = len(low)
    sides = []
    for i in range(k):
        j = (i + 1) % k
        a0, b0 = np.append(low[i], z[0]), np.append(low[j], z[0])
        a1, b1 = np.append(high[i], z[1]), np.append(high[j], z[1])
        first, second = [[a0, b0, b1], [a0, b1, a1]], [[a0, b0, a1], [b0, b1, a1]]
        # volume between the two splits: positive where the first one reaches further out
        between = np.linalg.det(np.array([b0 - a0, b1 - a0, a1 - a0]))
        sides.append(np.array(first if between >= 0.0 else second))
    return sides


def prism_triangles(low: ArrayLike, high: ArrayLike, z: tuple[float, float], grown_by: float = 0.0) -> Array:
    """Closed surface of a prism, or of a tapered one (outline below, outline above with as many points).

    A side face between edges that are not parallel is twisted; it is replaced by two triangles that lie within the prism.
    """
    p, q = anticlockwise(low, high)
    if grown_by:
        p, q, z = _offset(p, grown_by), _offset(q, grown_by), (z[0] - grown_by, z[1] + grown_by)
    floor = manifold3d.triangulate([p])
    roof = manifold3d.triangulate([q])
    below = np.column_stack([p, np.full(len(p), z[0])])[floor][:, ::-1]
    above = np.column_stack([q, np.full(len(q), z[1])])[roof]
    return np.concatenate([below, above, *_sides(p, q, z)])


def outward(triangles: Array) -> Array:
    """The same surface, turned inside out where its enclosed volume comes out negative."""
    volume = np.einsum("ni,ni->", triangles[:, 0], np.cross(triangles[:, 1], triangles[:, 2]))
    return triangles if volume >= 0.0 else np.ascontiguousarray(triangles[:, ::-1])


def box_triangles(extent: Extent) -> Array:
    """Twelve triangles of an axis-parallel box."""
    (x0, y0, z0), (x1, y1, z1) = extent.min_mm, extent.max_mm
    outline = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)]
    return prism_triangles(outline, outline, (z0, z1))


def bar_triangles(bar: Bar, sides: int, around: bool) -> Array:
    """A many-sided bar: around the round one (contains it; flats towards its own axes) or within it (corners there)."""
    radius = bar.radius_mm / np.cos(np.pi / sides) if around else bar.radius_mm
    angle = 2.0 * np.pi * (np.arange(sides) + (0.5 if around else 0.0)) / sides
    ring = radius * np.column_stack([np.cos(angle), np.sin(angle)])
    own = prism_triangles(ring, ring, (0.0, bar.length_mm))
    w = bar.direction
    u = np.cross(np.eye(3)[int(np.argmin(np.abs(w)))], w)
    u /= np.linalg.norm(u)
    return own @ np.array([u, np.cross(w, u), w]) + np.array(bar.start_mm)


def to_manifold(triangles: Array) -> manifold3d.Manifold:
    """The kernel's solid of a closed surface whose shared corners are equal to the last bit."""
    corners, index = np.unique(triangles.reshape(-1, 3), axis=0, return_inverse=True)
    faces = index.reshape(-1, 3).astype(np.uint64)
    faces = faces[(faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]) & (faces[:, 2] != faces[:, 0])]
    return manifold3d.Manifold(manifold3d.Mesh64(np.ascontiguousarray(corners), np.ascontiguousarray(faces)))


def from_manifold(solid: manifold3d.Manifold) -> Array:
    """Triangles of a kernel's solid, double precision."""
    mesh = solid.to_mesh64()
    return np.asarray(mesh.vert_properties)[:, :3][np.asarray(mesh.tri_verts).astype(np.int64)]


def union_boundary(parts: list[Array]) -> tuple[Array, NDArray[np.int64]]:
    """Boundary of the union of closed surfaces, and for each triangle the part it comes from.

    The union is the exact-arithmetic-free but manifold boolean of manifold3d (coordinates to some 1e-9 mm at vehicle
    size); an interface between touching parts is no boundary when they overlap, however little.
    """
    solids = [to_manifold(p).as_original() for p in parts]
    ids = {s.original_id(): k for k, s in enumerate(solids)}
    joined = manifold3d.Manifold.batch_boolean(solids, manifold3d.OpType.Add)
    mesh = joined.to_mesh64()
    triangles = np.asarray(mesh.vert_properties)[:, :3][np.asarray(mesh.tri_verts).astype(np.int64)]
    source = np.zeros(len(triangles), dtype=np.int64)
    runs = np.asarray(mesh.run_index).astype(np.int64) // 3
    for k, original in enumerate(np.asarray(mesh.run_original_id)):
        source[runs[k] : runs[k + 1]] = ids[int(original)]
    return triangles, source
