"""What stands before a point in a view: for choosing which side of a part to point at. Not for lines: those are the kernel's.

Bodies are drawn-out profiles; bends of folded parts are left out.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely

from layout.design import Block, FoldedPlate, Part, Plate
from layout.design.flat import flat_poses, profile_of
from layout.design.geometry import polygon
from layout.design.profile import Profile, rectangle
from layout.frames import Array, Pose, Vec3

SAG_MM = 0.05
STAND_OFF_MM = 1.5
FAR_MM = 6000.0
_STEPS = np.linspace(0.02, 0.98, 9)


@dataclass(frozen=True, eq=False)
class Slab:
    """A drawn-out outline: metal from z = 0 to its thickness in its own frame."""

    pose: Pose
    face: shapely.Polygon
    thickness_mm: float

    def within(self, frame: Pose) -> Slab:
        """The same in the frame that `frame` lies in."""
        return Slab(frame.then(self.pose), self.face, self.thickness_mm)

    def blocks(self, points: Array, towards: Vec3) -> Array:
        """For points (n, 3): whether the way to the viewer runs through it, shape (n,)."""
        p = self.pose.inverse_point(points)
        d = self.pose.inverse_vector(towards)
        near, far = np.full(len(p), 1e-3), np.full(len(p), FAR_MM)
        if abs(d[2]) < 1e-9:
            inside = (p[:, 2] > 1e-6) & (p[:, 2] < self.thickness_mm - 1e-6)
            far = np.where(inside, far, -1.0)
            reach = np.hypot(*(p[:, :2] - np.array(self.face.centroid.coords[0])).T) + max(self.face.length, 1.0)
            far = np.minimum(far, reach)
        else:
            a, b = -p[:, 2] / d[2], (self.thickness_mm - p[:, 2]) / d[2]
            near, far = np.maximum(near, np.minimum(a, b)), np.minimum(far, np.maximum(a, b))
        s = near[:, None] + (far - near)[:, None] * _STEPS
        x, y = p[:, :1] + s * d[0], p[:, 1:2] + s * d[1]
        found = shapely.contains_xy(self.face, x, y)
        return np.any(found, axis=1) & (far > near)


def slabs_of(part: Part) -> list[Slab]:
    """The flats of a part."""
    if isinstance(part, Plate):
        return [_slab(part.profile, part.thickness_mm, part.pose)]
    if isinstance(part, FoldedPlate):
        return [_slab(profile_of(part, i), part.thickness_mm, part.pose.then(p)) for i, p in enumerate(flat_poses(part))]
    return [_block_slab(part)]


def _slab(profile: Profile, thickness_mm: float, pose: Pose) -> Slab:
    return Slab(pose, polygon(profile, SAG_MM), thickness_mm)


def _block_slab(part: Block) -> Slab:
    x, y, z = part.extent.size_mm
    low = part.extent.min_mm
    return _slab(Profile(rectangle(x, y, (low[0], low[1]))), z, part.pose.then(Pose((0.0, 0.0, low[2]))))


def seen(points: Array, towards: Vec3, slabs: Iterable[Slab]) -> Array:
    """For points (n, 3) of the frame the slabs lie in: whether a viewer in that direction sees them, shape (n,)."""
    free = np.ones(len(points), dtype=bool)
    for slab in slabs:
        if not np.any(free):
            break
        free[free] = np.logical_not(slab.blocks(points[free], towards))
    return free


def surface_points(part: Part) -> Array:
    """Points spread over both faces of every flat, shape (n, 3)."""
    return np.concatenate([_face_points(s) for s in slabs_of(part)])


def _face_points(slab: Slab) -> Array:
    x0, y0, x1, y1 = slab.face.bounds
    x, y = (g.ravel() for g in np.meshgrid(np.linspace(x0, x1, 13)[1:-1], np.linspace(y0, y1, 13)[1:-1]))
    keep = shapely.contains_xy(slab.face, x, y)
    plan = np.concatenate([np.column_stack([x[keep], y[keep]]), _rim_points(slab.face)])
    faces = [np.column_stack([plan, np.full(len(plan), z)]) for z in (-0.05, slab.thickness_mm + 0.05)]
    return slab.pose.point(np.concatenate(faces))


def _rim_points(face: shapely.Polygon) -> Array:
    """Points a little inside the outline: for rings and strips, which a coarse grid misses."""
    inner = face.buffer(-3.0)
    if inner.is_empty or inner.geom_type != "Polygon":
        spot = face.representative_point()
        return np.array([[spot.x, spot.y]])
    return np.array([inner.exterior.interpolate(k / 24.0, normalized=True).coords[0] for k in range(24)])
