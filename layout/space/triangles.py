"""Exact distances between an axis-parallel box and triangles, for many pairs at once.

The least distance between two convex polyhedra that do not meet is taken between a corner and a face, a corner and an
edge, two corners, or two edges (Ericson, Real-Time Collision Detection, 2005, chapter 5, from memory): every such pair
is measured. Whether they meet is decided by the separating axis theorem with 13 axes (Akenine-Moller, Fast 3D
triangle-box overlap testing, Journal of Graphics Tools 6, 2001, from memory).
"""

from __future__ import annotations

import numpy as np

from layout.frames import Array

CHUNK = 20_000
"""Pairs measured at a time: bounds the memory to some 50 MB."""


_Parts = tuple[Array, Array, Array]
"""x, y and z of many vectors, apart: several times quicker than arrays of triples."""


def _parts(vectors: Array) -> _Parts:
    return vectors[..., 0], vectors[..., 1], vectors[..., 2]


def _minus(p: _Parts, q: _Parts) -> _Parts:
    return p[0] - q[0], p[1] - q[1], p[2] - q[2]


def _dot(p: _Parts, q: _Parts) -> Array:
    return p[0] * q[0] + p[1] * q[1] + p[2] * q[2]


def _cross(p: _Parts, q: _Parts) -> _Parts:
    return p[1] * q[2] - p[2] * q[1], p[2] * q[0] - p[0] * q[2], p[0] * q[1] - p[1] * q[0]


def _to_segment_squared(from_start: _Parts, along: _Parts) -> Array:
    """Squared distances to segments of points given from the segments' starts."""
    length2 = np.maximum(_dot(along, along), 1e-300)
    t = np.clip(_dot(from_start, along) / length2, 0.0, 1.0)
    gap = _minus(from_start, (t * along[0], t * along[1], t * along[2]))
    return _dot(gap, gap)


def point_triangle_squared(points: Array, triangles: Array) -> Array:
    """Squared distances of points (..., 3) to triangles (..., 3, 3), broadcast; mm2. Slivers and needles are allowed."""
    point = _parts(points)
    a, b, c = (_parts(triangles[..., k, :]) for k in range(3))
    from_a, from_b, from_c = _minus(point, a), _minus(point, b), _minus(point, c)
    ab, bc, ca = _minus(b, a), _minus(c, b), _minus(a, c)
    best = _to_segment_squared(from_a, ab)
    best = np.minimum(best, _to_segment_squared(from_b, bc))
    best = np.minimum(best, _to_segment_squared(from_c, ca))
    normal = _cross(ab, (-ca[0], -ca[1], -ca[2]))
    area2 = _dot(normal, normal)
    over = area2 > 1e-24
    for edge, away in ((ab, from_a), (bc, from_b), (ca, from_c)):
        over = over & (_dot(_cross(edge, away), normal) > 0.0)
    height = _dot(from_a, normal) ** 2 / np.maximum(area2, 1e-300)
    return np.where(over, np.minimum(best, height), best)


def boxes_meet_triangles(half: Array, triangles: Array) -> Array:
    """Whether boxes of half sizes (n, 3) about the origin meet triangles (n, 3, 3) given from their middles. Shape (n,)."""
    low, high = triangles.min(axis=1), triangles.max(axis=1)
    meet = np.all((low <= half) & (high >= -half), axis=1)
    edges = triangles[:, (1, 2, 0)] - triangles
    normal = np.cross(edges[:, 0], edges[:, 1])
    offset = np.abs(np.einsum("ni,ni->n", normal, triangles[:, 0]))
    meet &= offset <= np.einsum("ni,ni->n", np.abs(normal), half)
    for axis in range(3):
        i, j = (axis + 1) % 3, (axis + 2) % 3
        for e in range(3):
            # axis unit vector x edge = (0, -edge_j, edge_i) in (axis, i, j)
            p = triangles[:, :, j] * edges[:, e, i, None] - triangles[:, :, i] * edges[:, e, j, None]
            reach = half[:, i] * np.abs(edges[:, e, j]) + half[:, j] * np.abs(edges[:, e, i])
            meet &= (p.min(axis=1) <= reach) & (p.max(axis=1) >= -reach)
    return meet


def _edge_to_edges_squared(half: Array, triangles: Array) -> Array:
    """Least squared distance between inner points of box edges and inner points of triangle edges; inf where none."""
    best = np.full(len(half), np.inf)
    for axis in range(3):
        i, j = (axis + 1) % 3, (axis + 2) % 3
        for e in range(3):
            start, end = triangles[:, e], triangles[:, (e + 1) % 3]
            d = end - start
            flat2 = d[:, i] ** 2 + d[:, j] ** 2
            slanted = flat2 > 1e-24  # parallel edges are nearest at an end, which the other pairs measure
            flat2 = np.where(slanted, flat2, 1.0)
            for si in (-1.0, 1.0):
                for sj in (-1.0, 1.0):
                    gi, gj = si * half[:, i] - start[:, i], sj * half[:, j] - start[:, j]
                    t = (gi * d[:, i] + gj * d[:, j]) / flat2
                    along = start[:, axis] + t * d[:, axis]
                    inside = slanted & (t >= 0.0) & (t <= 1.0) & (np.abs(along) <= half[:, axis])
                    gap2 = (gi * d[:, j] - gj * d[:, i]) ** 2 / flat2
                    best = np.where(inside, np.minimum(best, gap2), best)
    return best


def _pair_distance(half: Array, triangles: Array) -> Array:
    meet = boxes_meet_triangles(half, triangles)
    clamped = np.clip(triangles, -half[:, None], half[:, None])
    best2 = ((triangles - clamped) ** 2).sum(axis=2).min(axis=1)
    signs = np.array([(x, y, z) for x in (-1.0, 1.0) for y in (-1.0, 1.0) for z in (-1.0, 1.0)])
    corners = signs[None] * half[:, None]
    best2 = np.minimum(best2, point_triangle_squared(corners, triangles[:, None]).min(axis=1))
    best2 = np.minimum(best2, _edge_to_edges_squared(half, triangles))
    return np.where(meet, 0.0, np.sqrt(best2))


def box_triangle_distance(low: Array, high: Array, triangles: Array) -> Array:
    """Distance in mm of axis-parallel boxes to triangles, pair by pair; 0 where they meet or touch.

    low, high: (3,) or (n, 3), least and greatest corners; triangles: (n, 3, 3) in the same frame. Shape (n,).
    """
    n = len(triangles)
    low, high = np.broadcast_to(low, (n, 3)), np.broadcast_to(high, (n, 3))
    out = np.zeros(n)
    for first in range(0, n, CHUNK):
        part = slice(first, first + CHUNK)
        middle = (low[part] + high[part]) / 2.0
        out[part] = _pair_distance((high[part] - low[part]) / 2.0, triangles[part] - middle[:, None])
    return out


def winding_number(points: Array, triangles: Array) -> Array:
    """How often a closed surface winds around points (m, 3): 1 inside, 0 outside an outward-facing mesh; shape (m,).

    For an open mesh the value is a fraction. Sum of solid angles over 4 pi (van Oosterom and Strackee, The solid angle
    of a plane triangle, IEEE Transactions on Biomedical Engineering 30, 1983, from memory).
    """
    total = np.zeros(len(points))
    step = max(1, 2_000_000 // max(1, len(triangles)))
    for first in range(0, len(points), step):
        v = triangles[None] - points[first : first + step, None, None]
        length = np.linalg.norm(v, axis=3)
        a, b, c = v[:, :, 0], v[:, :, 1], v[:, :, 2]
        la, lb, lc = length[:, :, 0], length[:, :, 1], length[:, :, 2]
        volume = np.einsum("mni,mni->mn", a, np.cross(b, c))
        below = la * lb * lc + (a * b).sum(2) * lc + (b * c).sum(2) * la + (c * a).sum(2) * lb
        total[first : first + step] = 2.0 * np.arctan2(volume, below).sum(axis=1)
    return total / (4.0 * np.pi)
