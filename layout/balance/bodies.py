"""Bodies for mass properties and for cutting at a plane: closed surfaces of oriented triangles, in vehicle axes.

Everything is a surface integral over the triangles, so convex, hollow and non-convex bodies are treated alike and exactly.
Volume, centroid and second moments sum signed tetrahedra (the polyhedral integrals of B. Mirtich, Fast and Accurate
Computation of Polyhedral Mass Properties, J. Graphics Tools 1(2), 1996 - from memory - in tetrahedral form). The part
ahead of a plane x = c needs no cap: with F = (x - c, 0, 0), div F = 1 and F vanishes on the plane, so the volume ahead
is the integral of (x - c) n_x over the surface with x > c (divergence theorem).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from layout.frames import Array, Axes, Extent, Pose, Vec3, vec3

_BOX_FACES = np.array(
    # corners in the order of Extent.corners(): index 4 x + 2 y + z; seen from outside every triangle runs anticlockwise
    [
        (0, 1, 3),
        (0, 3, 2),
        (4, 6, 7),
        (4, 7, 5),
        (0, 4, 5),
        (0, 5, 1),
        (2, 3, 7),
        (2, 7, 6),
        (0, 2, 6),
        (0, 6, 4),
        (1, 5, 7),
        (1, 7, 3),
    ]
)


@dataclass(frozen=True, eq=False)
class Piece:
    """A closed body of uniform density.

    triangles_mm: shape (n, 3, 3), oriented outward, in vehicle axes; overlapping signed triangles (fans) are allowed.
    share: the part of the item's mass that this piece carries.
    """

    triangles_mm: Array
    share: float = 1.0

    @cached_property
    def moments(self) -> Moments:
        """Exact volume integrals of the piece."""
        return moments(self.triangles_mm)

    def moved(self, pose: Pose) -> Piece:
        """The piece carried into the outer frame of `pose`."""
        return Piece(pose.point(self.triangles_mm), self.share)


@dataclass(frozen=True, eq=False)
class Body:
    """One or more pieces whose shares sum to 1. Build it with `body`, `box_body`, `convex_body` or `mesh_body`."""

    pieces: tuple[Piece, ...]

    def moved(self, pose: Pose) -> Body:
        """The body carried into the outer frame of `pose`."""
        return Body(tuple(p.moved(pose) for p in self.pieces))

    def shifted(self, by_mm: Vec3) -> Body:
        """The body moved by a vector."""
        return self.moved(Pose(by_mm))

    @property
    def extent(self) -> Extent:
        """Least axis-parallel box around the body."""
        points = np.concatenate([p.triangles_mm.reshape(-1, 3) for p in self.pieces])
        return Extent(vec3(points.min(axis=0)), vec3(points.max(axis=0)))


@dataclass(frozen=True, eq=False)
class Moments:
    """Integrals over a volume: volume_mm3, first (mm4, shape 3) and second (mm5, 3x3, of r r^T), about the frame's origin."""

    volume_mm3: float
    first_mm4: Array
    second_mm5: Array

    @property
    def centroid_mm(self) -> Array:
        """Centroid, shape (3,)."""
        return self.first_mm4 / self.volume_mm3

    @property
    def covariance_mm2(self) -> Array:
        """Mean of (r - c)(r - c)^T over the volume, 3x3."""
        c = self.centroid_mm
        return self.second_mm5 / self.volume_mm3 - np.outer(c, c)


def moments(triangles_mm: ArrayLike) -> Moments:
    """Exact volume integrals of a closed surface. triangles_mm: shape (n, 3, 3), oriented outward."""
    raw = np.asarray(triangles_mm, dtype=float)
    origin = raw.reshape(-1, 3).mean(axis=0)  # near the body: no digits are lost to a far origin
    t = raw - origin
    volumes = np.einsum("ni,ni->n", t[:, 0], np.cross(t[:, 1], t[:, 2])) / 6.0
    sums = t.sum(axis=1)
    volume = float(volumes.sum())
    first = (volumes[:, None] * sums).sum(axis=0) / 4.0
    outer = np.einsum("nvi,nvj->nij", t, t) + np.einsum("ni,nj->nij", sums, sums)
    second = np.einsum("n,nij->ij", volumes, outer) / 20.0
    shifted = second + np.outer(first, origin) + np.outer(origin, first) + volume * np.outer(origin, origin)
    return Moments(volume, first + volume * origin, shifted)


def ahead_moments(triangles_mm: ArrayLike, x_mm: float = 0.0) -> tuple[float, Array]:
    """Volume (mm3) and first moment (mm4, shape (3,), about the frame's origin) of the part of a body with x > x_mm."""
    t = np.array(triangles_mm, dtype=float)
    t[:, :, 0] -= x_mm
    ahead = t[:, :, 0] > 0.0
    count = ahead.sum(axis=1)
    total = _surface_integrals(t[count == 3])
    crossing = t[(count == 1) | (count == 2)]
    if len(crossing):
        lone_ahead = (crossing[:, :, 0] > 0.0).sum(axis=1) == 1
        lone = np.where(lone_ahead[:, None], crossing[:, :, 0] > 0.0, crossing[:, :, 0] <= 0.0).argmax(axis=1)
        rows = np.arange(len(crossing))
        p, q, r = (crossing[rows, (lone + k) % 3] for k in range(3))
        corner = np.stack([p, _to_plane(p, q), _to_plane(p, r)], axis=1)
        total = total + _surface_integrals(corner[lone_ahead])
        total = total + _surface_integrals(crossing[~lone_ahead]) - _surface_integrals(corner[~lone_ahead])
    volume = float(total[0])
    first = total[1:] + np.array([volume * x_mm, 0.0, 0.0])
    return volume, first


def _to_plane(p: Array, q: Array) -> Array:
    """Points where the segments from p to q meet x = 0 (shape (n, 3) each)."""
    share = p[:, 0] / (p[:, 0] - q[:, 0])
    return p + share[:, None] * (q - p)


def _surface_integrals(t: Array) -> Array:
    """Sum over triangles of the integrals of x, x^2/2, x y, x z, each times n_x dA. Shape (4,)."""
    if len(t) == 0:
        return np.zeros(4)
    edge, other = t[:, 1] - t[:, 0], t[:, 2] - t[:, 0]
    area_x = 0.5 * (edge[:, 1] * other[:, 2] - edge[:, 2] * other[:, 1])
    x = t[:, :, 0]
    products = (np.einsum("nv,nvi->ni", x, t) + x.sum(axis=1)[:, None] * t.sum(axis=1)) / 12.0
    return np.array(
        [
            float(area_x @ x.mean(axis=1)),
            0.5 * float(area_x @ products[:, 0]),
            float(area_x @ products[:, 1]),
            float(area_x @ products[:, 2]),
        ]
    )


def body(pieces: Sequence[Piece]) -> Body:
    """A body of several pieces. Shares are scaled to sum to 1. Raises ValueError for none, or a share not above 0."""
    if not pieces or any(p.share <= 0.0 for p in pieces):
        msg = "a body needs at least one piece, each with a share above 0"
        raise ValueError(msg)
    whole = sum(p.share for p in pieces)
    return Body(tuple(Piece(p.triangles_mm, p.share / whole) for p in pieces))


def uniform_body(pieces: Sequence[Piece]) -> Body:
    """A body of several pieces of one density: shares by volume."""
    return body([Piece(p.triangles_mm, p.moments.volume_mm3) for p in pieces])


def box_piece(extent: Extent, pose: Pose | None = None, share: float = 1.0) -> Piece:
    """A box given in its own frame, placed by `pose` (vehicle axes where none)."""
    corners = extent.corners()
    return Piece((corners if pose is None else pose.point(corners))[_BOX_FACES], share)


def box_body(extent: Extent, pose: Pose | None = None) -> Body:
    """One oriented box."""
    return Body((box_piece(extent, pose),))


def convex_piece(points_mm: ArrayLike, share: float = 1.0) -> Piece:
    """The convex hull of at least four points that do not lie in a plane. Raises ValueError where they do."""
    from scipy.spatial import ConvexHull  # half a second that most uses of this file do without

    points = np.asarray(points_mm, dtype=float).reshape(-1, 3)
    if len(points) < 4 or np.linalg.matrix_rank(points - points.mean(axis=0), tol=1e-9 * max(1.0, float(np.ptp(points)))) < 3:
        msg = "a convex body needs four points that do not lie in one plane"
        raise ValueError(msg)
    hull = ConvexHull(points)
    return Piece(_outward(points[hull.simplices], hull.equations[:, :3]), share)


def convex_body(points_mm: ArrayLike) -> Body:
    """The convex hull of a set of points."""
    return Body((convex_piece(points_mm),))


def mesh_body(vertices_mm: ArrayLike, faces: NDArray[np.int64]) -> Body:
    """A closed triangle mesh, oriented outward. Raises ValueError where it is open or turned inside out."""
    triangles = np.asarray(vertices_mm, dtype=float)[np.asarray(faces)]
    areas = 0.5 * np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    if np.linalg.norm(areas.sum(axis=0)) > 1e-6 * float(np.linalg.norm(areas, axis=1).sum()):
        msg = "the mesh is open: the area vectors of its triangles do not sum to zero"
        raise ValueError(msg)
    if moments(triangles).volume_mm3 <= 0.0:
        msg = "the mesh has no volume, or its triangles are oriented inward"
        raise ValueError(msg)
    return Body((Piece(triangles),))


def prism_piece(rings: Sequence[ArrayLike], low_mm: float, high_mm: float, pose: Pose, share: float = 1.0) -> Piece:
    """A plate: plane rings of its own xy plane (first the outer one, then holes) between two own heights.

    rings: each of shape (k, 2), in either sense, not closed. Caps are signed fans, so no triangulation is needed.
    """
    triangles: list[Array] = []
    for index, ring in enumerate(rings):
        points = np.asarray(ring, dtype=float)
        area = 0.5 * float(np.sum(points[:, 0] * np.roll(points[:, 1], -1) - np.roll(points[:, 0], -1) * points[:, 1]))
        points = points if (area > 0.0) == (index == 0) else points[::-1]
        low = np.column_stack([points, np.full(len(points), low_mm)])
        high = np.column_stack([points, np.full(len(points), high_mm)])
        nxt_low, nxt_high = np.roll(low, -1, axis=0), np.roll(high, -1, axis=0)
        triangles.append(np.stack([low, nxt_low, nxt_high], axis=1))
        triangles.append(np.stack([low, nxt_high, high], axis=1))
        triangles.append(np.stack([np.broadcast_to(high[0], high[1:-1].shape), high[1:-1], high[2:]], axis=1))
        triangles.append(np.stack([np.broadcast_to(low[0], low[1:-1].shape), low[2:], low[1:-1]], axis=1))
    return Piece(pose.point(np.concatenate(triangles)), share)


def cylinder_piece(from_mm: Vec3, to_mm: Vec3, diameter_mm: float, share: float = 1.0, sides: int = 48) -> Piece:
    """A round bar as a prism of `sides` sides with the area of the true circle; flat ends."""
    axis = np.subtract(to_mm, from_mm)
    length = float(np.linalg.norm(axis))
    frame = Pose(from_mm, _axes_along(axis / length))
    step = 2.0 * np.pi / sides
    radius = 0.5 * diameter_mm * np.sqrt(step / np.sin(step))
    angles = step * np.arange(sides)
    ring = radius * np.column_stack([np.cos(angles), np.sin(angles)])
    return prism_piece([ring], 0.0, length, frame, share)


def _axes_along(z: Array) -> Axes:
    """A right-handed set of axes whose z is the given unit vector."""
    x = np.cross(z, np.eye(3)[int(np.argmin(np.abs(z)))])
    x = x / np.linalg.norm(x)
    return (vec3(x), vec3(np.cross(z, x)), vec3(z))


def _outward(triangles: Array, normals: Array) -> Array:
    """Triangles turned so that their right-hand normal follows `normals`."""
    found = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    turned = np.einsum("ni,ni->n", found, normals) < 0.0
    result = triangles.copy()
    result[turned] = triangles[turned][:, ::-1]
    return result
