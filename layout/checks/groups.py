"""Groups of bolts and of weld lines under force and moment, for arrays of load cases.

Axes of a group: u and v in its plane, w normal to it (out of the joint: a positive w force pulls). Forces in N, moments in
N*mm about the group's own centroid unless said otherwise, lengths in mm. Load arrays have shape (..., 3).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from layout.errors import DesignError

PlanPoint = tuple[float, float]


@dataclass(frozen=True)
class BoltGroup:
    """Equal bolts at points of a plane, under a plate with edges u, v.

    points_mm: (n, 2) of u, v. edges_mm: (u least, u greatest, v least, v greatest) of the plate in contact: the lines about
    which it tilts. Raises DesignError where there is no bolt, or the plate does not reach beyond its bolts.
    """

    points_mm: tuple[PlanPoint, ...]
    edges_mm: tuple[float, float, float, float]

    def __post_init__(self) -> None:
        if not self.points_mm:
            raise DesignError("bolt group", "there is no bolt in it", "0 bolts", "Give at least one bolt.")
        u, v = np.asarray(self.points_mm, dtype=float).T
        u0, u1, v0, v1 = self.edges_mm
        if not (u0 < u.min() and u.max() < u1 and v0 < v.min() and v.max() < v1):
            raise DesignError(
                "bolt group", "a bolt lies outside the plate it holds", f"bolts {self.points_mm}, edges {self.edges_mm}",
                "Widen the plate or move the bolt.",
            )  # fmt: skip

    @cached_property
    def centroid_mm(self) -> PlanPoint:
        """Mean of the points."""
        u, v = np.asarray(self.points_mm, dtype=float).mean(axis=0)
        return float(u), float(v)

    @cached_property
    def offsets_mm(self) -> Any:
        """Points from the centroid, (n, 2)."""
        return np.asarray(self.points_mm, dtype=float) - np.asarray(self.centroid_mm)

    @cached_property
    def polar_mm2(self) -> float:
        """Sum of squared distances from the centroid."""
        return float((self.offsets_mm**2).sum())

    @cached_property
    def across(self) -> Any:
        """(n, 2): shear per moment about w."""
        r = self.offsets_mm
        return np.stack([-r[:, 1], r[:, 0]], axis=-1) / self.polar_mm2

    @cached_property
    def central(self) -> Any:
        """(2, n): tension per moment about u and v, linear over the plane; nothing where the bolts stand in one line."""
        r = self.offsets_mm
        inertia = r.T @ r
        if abs(np.linalg.det(inertia)) < 1e-9 * max(np.trace(inertia), 1e-12) ** 2:
            return np.zeros((2, len(r)))
        return np.array([[0.0, 1.0], [-1.0, 0.0]]) @ np.linalg.inv(inertia) @ r.T

    @cached_property
    def tilting(self) -> Any:
        """(4, n): tension per moment about +u, +v, -u, -v, the plate tilting about the edge that it is pressed on."""
        u, v = np.asarray(self.points_mm, dtype=float).T
        u0, u1, v0, v1 = self.edges_mm
        levers = np.array([v - v0, u1 - u, v1 - v, u - u0])
        return levers / (levers**2).sum(axis=1, keepdims=True)


def bolt_shears(group: BoltGroup, force_n: Any, moment_nmm: Any) -> Any:
    """Shear of each bolt as a vector, (..., n, 2): F/n + M r/sum r^2, the elastic (vector) method.

    One bolt alone cannot carry a moment about its own axis: its shear is then infinite.
    """
    force, moment = np.asarray(force_n, dtype=float), np.asarray(moment_nmm, dtype=float)
    count = len(group.points_mm)
    direct = force[..., None, :2] / count
    turning = moment[..., 2]
    if group.polar_mm2 < 1e-9:
        lost = np.where(np.abs(turning) > 0.0, np.inf, 0.0)
        return direct + lost[..., None, None] * np.ones((count, 2))
    return direct + turning[..., None, None] * group.across


def bolt_tensions(group: BoltGroup, force_n: Any, moment_nmm: Any) -> Any:
    """Tension of each bolt, (..., n), never below 0: the greater of two rules for moments out of the plane.

    (a) plates apart: neutral axis through the centroid, T = M y / sum y^2; (b) stiff plate tilting about its edge:
    T = M L / sum L^2, L from the edge on the side of compression. Both about u and v, added; pressure (w below 0) gives no
    relief. Which of the two governs depends on the group, so both are always computed.
    """
    force, moment = np.asarray(force_n, dtype=float), np.asarray(moment_nmm, dtype=float)
    pull = np.maximum(force[..., 2], 0.0)[..., None] / len(group.points_mm)
    sides = np.maximum(np.concatenate([moment[..., :2], -moment[..., :2]], axis=-1), 0.0)  # +u, +v, -u, -v
    tilting = sides @ group.tilting
    central = moment[..., :2] @ group.central
    return pull + np.maximum(tilting, np.maximum(central, -pull))


def moved(force_n: Any, moment_nmm: Any, from_mm: Sequence[float], to_mm: Sequence[float]) -> Any:
    """Moment about another point: M + (from - to) x F. Points and vectors with three components, arrays (..., 3)."""
    arm = np.asarray(from_mm, dtype=float) - np.asarray(to_mm, dtype=float)
    return np.asarray(moment_nmm, dtype=float) + np.cross(np.broadcast_to(arm, np.shape(force_n)), force_n)


@dataclass(frozen=True)
class WeldLines:
    """Straight welds of one throat as lines in a plane: segments_mm (n, 4) of u, v of start and end."""

    segments_mm: tuple[tuple[float, float, float, float], ...]

    def __post_init__(self) -> None:
        if not self.segments_mm or min(self.lengths_mm) <= 0.0:
            raise DesignError("weld group", "a weld has no length", f"{self.segments_mm}", "Give every weld a length.")

    @cached_property
    def lengths_mm(self) -> Any:
        """Length of each segment."""
        s = np.asarray(self.segments_mm, dtype=float)
        return np.hypot(s[:, 2] - s[:, 0], s[:, 3] - s[:, 1])

    @property
    def length_mm(self) -> float:
        """Length of all together."""
        return float(np.sum(self.lengths_mm))

    @cached_property
    def centroid_mm(self) -> Any:
        """Centroid of the lines."""
        s = np.asarray(self.segments_mm, dtype=float)
        return self.lengths_mm @ (0.5 * (s[:, :2] + s[:, 2:])) / self.length_mm

    @cached_property
    def inertia_mm3(self) -> Any:
        """2x2 of the integrals of u u, u v, v v over the lines about the centroid (unit throat)."""
        s = np.asarray(self.segments_mm, dtype=float)
        a, b = s[:, :2] - self.centroid_mm, s[:, 2:] - self.centroid_mm
        outer = np.einsum("ni,nj->nij", a, a) + np.einsum("ni,nj->nij", b, b)
        cross = np.einsum("ni,nj->nij", a, b)
        return np.einsum("n,nij->ij", self.lengths_mm / 6.0, 2.0 * outer + cross + cross.transpose(0, 2, 1))

    @property
    def polar_mm3(self) -> float:
        """J_u: polar moment of the lines about the centroid, unit throat."""
        return float(np.trace(self.inertia_mm3))


def weld_forces(lines: WeldLines, force_n: Any, moment_nmm: Any) -> Any:
    """Force per mm of weld at both ends of each line, (..., n, 2, 3): along the line, across it in the plane, normal to it.

    q = F/L + M x r/J in the plane, and M y/I out of it (elastic line method). Lines all in one straight have no resistance
    to a moment about themselves: the normal force is then infinite (a fillet from one side bends about its root).
    """
    force, moment = np.asarray(force_n, dtype=float), np.asarray(moment_nmm, dtype=float)
    s = np.asarray(lines.segments_mm, dtype=float).reshape(-1, 2, 2)
    r = s - lines.centroid_mm
    turning = moment[..., 2, None, None, None] * np.stack([-r[..., 1], r[..., 0]], axis=-1) / lines.polar_mm3
    in_plane = force[..., None, None, :2] / lines.length_mm + turning
    along = (s[:, 1] - s[:, 0]) / lines.lengths_mm[:, None]
    q_along = np.einsum("...nek,nk->...ne", in_plane, along)
    q_across = np.einsum("...nek,nk->...ne", in_plane, np.stack([-along[:, 1], along[:, 0]], axis=-1))
    q_normal = force[..., 2, None, None] / lines.length_mm + _bent(lines, r, moment)
    return np.stack([q_along, q_across, q_normal], axis=-1)


def _bent(lines: WeldLines, r: Any, moment: Any) -> Any:
    """Normal force per mm from moments about u and v."""
    wanted = np.stack([-moment[..., 1], moment[..., 0]], axis=-1)
    values, axes = np.linalg.eigh(lines.inertia_mm3)
    total = np.zeros((*moment.shape[:-1], *r.shape[:-1]))
    for value, axis in zip(values, axes.T, strict=True):
        part = wanted @ axis
        if value > 1e-9 * values.max():
            total = total + (part / value)[..., None, None] * (r @ axis)
        else:
            total = total + np.where(np.abs(part) > 1e-9 * np.abs(wanted).sum(axis=-1), np.inf, 0.0)[..., None, None]
    return total
