"""Axes and poses.

Vehicle axes in the sense of ISO 8855 (from memory): x forward, y to the left, z up; origin on the ground, on the
centre plane, below the centre of the reference axle. Lengths in millimetres.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import ArrayLike, NDArray

Vec3 = tuple[float, float, float]
Axes = tuple[Vec3, Vec3, Vec3]
Array = NDArray[np.float64]

DIRECTIONS: Final[dict[str, Vec3]] = {
    "+x": (1.0, 0.0, 0.0),
    "-x": (-1.0, 0.0, 0.0),
    "+y": (0.0, 1.0, 0.0),
    "-y": (0.0, -1.0, 0.0),
    "+z": (0.0, 0.0, 1.0),
    "-z": (0.0, 0.0, -1.0),
}
VEHICLE_AXES: Final[Axes] = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


def vec3(values: ArrayLike) -> Vec3:
    """Three plain floats from any sequence of three numbers. Negative zero becomes zero."""
    if not isinstance(values, (tuple, list)):
        values = np.asarray(values, dtype=float).reshape(3).tolist()
    x, y, z = values
    return (float(x) + 0.0, float(y) + 0.0, float(z) + 0.0)


def opposite(direction: str) -> str:
    """The direction that looks the other way: "+x" -> "-x"."""
    return ("-" if direction[0] == "+" else "+") + direction[1]


@dataclass(frozen=True)
class Pose:
    """Where a body's own frame lies in an outer frame.

    origin_mm: the body's origin in the outer frame. axes: the directions of the body's own x, y and z axes,
    each in outer coordinates (orthonormal, right-handed). A point p of the body lies at origin + sum p_i axes[i].
    """

    origin_mm: Vec3 = (0.0, 0.0, 0.0)
    axes: Axes = VEHICLE_AXES

    @cached_property
    def matrix(self) -> Array:
        """The 3x3 rotation R with outer vector = R @ own vector (columns are the axes)."""
        return np.array(self.axes, dtype=float).T

    def point(self, own_mm: ArrayLike) -> Array:
        """Outer coordinates of own points, shape (..., 3)."""
        return np.asarray(own_mm, dtype=float) @ self.matrix.T + np.array(self.origin_mm)

    def vector(self, own: ArrayLike) -> Array:
        """Outer components of own vectors, shape (..., 3)."""
        return np.asarray(own, dtype=float) @ self.matrix.T

    def inverse_point(self, outer_mm: ArrayLike) -> Array:
        """Own coordinates of outer points, shape (..., 3)."""
        return (np.asarray(outer_mm, dtype=float) - np.array(self.origin_mm)) @ self.matrix

    def inverse_vector(self, outer: ArrayLike) -> Array:
        """Own components of outer vectors, shape (..., 3)."""
        return np.asarray(outer, dtype=float) @ self.matrix

    def then(self, inner: Pose) -> Pose:
        """The pose of a frame that lies at `inner` within this one."""
        axes = self.vector(inner.axes)
        return Pose(vec3(self.point(inner.origin_mm)), (vec3(axes[0]), vec3(axes[1]), vec3(axes[2])))


def pose_from_rotation(origin_mm: ArrayLike, rotation: ArrayLike) -> Pose:
    """Pose whose matrix is the given 3x3 rotation."""
    columns = np.asarray(rotation, dtype=float).T
    return Pose(vec3(origin_mm), (vec3(columns[0]), vec3(columns[1]), vec3(columns[2])))


def turned_about_z(angle_deg: float, origin_mm: ArrayLike = (0.0, 0.0, 0.0)) -> Pose:
    """Pose turned by a right-handed angle about z (x towards y)."""
    c, s = np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))
    return pose_from_rotation(origin_mm, [[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])


def raked_about_y(angle_deg: float, origin_mm: ArrayLike = (0.0, 0.0, 0.0)) -> Pose:
    """Pose turned by a right-handed angle about y (z towards x, so a positive rake dips the front)."""
    c, s = np.cos(np.radians(angle_deg)), np.sin(np.radians(angle_deg))
    return pose_from_rotation(origin_mm, [[c, 0.0, s], [0.0, 1.0, 0.0], [-s, 0.0, c]])


def module_axes(up: str, terminal_face: str, terminals: str) -> Axes | None:
    """Axes of a body whose own face `up` points to +z and whose own face `terminal_face` looks to `terminals`.

    All arguments are direction names; `terminals` is in the outer frame. Returns None where no rotation does both.
    """
    own_up, own_t = np.array(DIRECTIONS[up]), np.array(DIRECTIONS[terminal_face])
    out_up, out_t = np.array(DIRECTIONS["+z"]), np.array(DIRECTIONS[terminals])
    if abs(own_up @ own_t - out_up @ out_t) > 1e-9:
        return None
    if abs(own_up @ own_t) > 0.5:  # the terminal face is the up or down face: keep the third axis by convention
        own_t = np.array(DIRECTIONS["+x"]) if abs(own_up[0]) < 0.5 else np.array(DIRECTIONS["+y"])
        out_t = np.array(DIRECTIONS["+x"])
    own = np.column_stack([own_up, own_t, np.cross(own_up, own_t)])
    out = np.column_stack([out_up, out_t, np.cross(out_up, out_t)])
    columns = (out @ own.T).T
    return (vec3(columns[0]), vec3(columns[1]), vec3(columns[2]))


@dataclass(frozen=True)
class Extent:
    """An axis-parallel box in a stated frame, by its least and greatest corner."""

    min_mm: Vec3
    max_mm: Vec3

    @property
    def size_mm(self) -> Vec3:
        """Edge lengths along x, y, z."""
        return vec3(np.subtract(self.max_mm, self.min_mm))

    @property
    def centre_mm(self) -> Vec3:
        """Middle of the box."""
        return vec3((np.array(self.min_mm) + np.array(self.max_mm)) / 2.0)

    @property
    def volume_mm3(self) -> float:
        """Product of the edge lengths."""
        return float(np.prod(self.size_mm))

    def grown(self, by_mm: float | ArrayLike) -> Extent:
        """The box with every face moved outward by one distance, or by one per axis."""
        dx, dy, dz = (by_mm, by_mm, by_mm) if isinstance(by_mm, (int, float)) else vec3(np.broadcast_to(by_mm, (3,)))
        (x0, y0, z0), (x1, y1, z1) = self.min_mm, self.max_mm
        return Extent((x0 - dx, y0 - dy, z0 - dz), (x1 + dx, y1 + dy, z1 + dz))

    def corners(self) -> Array:
        """The eight corners, shape (8, 3)."""
        low, high = self.min_mm, self.max_mm
        return np.array([(x, y, z) for x in (low[0], high[0]) for y in (low[1], high[1]) for z in (low[2], high[2])])

    def seen_from(self, pose: Pose) -> Extent:
        """The axis-parallel box, in the outer frame of `pose`, that bounds this box."""
        points = pose.point(self.corners())
        return Extent(vec3(points.min(axis=0)), vec3(points.max(axis=0)))


def bounding(extents: list[Extent]) -> Extent:
    """Least box that holds all the given ones (same frame)."""
    low = np.min([e.min_mm for e in extents], axis=0)
    high = np.max([e.max_mm for e in extents], axis=0)
    return Extent(vec3(low), vec3(high))
