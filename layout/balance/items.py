"""The mass list: every item with its mass, centroid, inertia and where the figure comes from; totals; the cut at the axle.

Inertia tensors are in vehicle axes, kg*mm2, with I_xy = -(integral of x y dm) off the diagonal, so that they are positive
definite as they stand. A tensor of a CAD kernel may carry the other sign.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from layout.arrangement import PlacedModule
from layout.balance.bodies import Body, ahead_moments, box_body
from layout.frames import Array, Extent, Pose, Vec3, vec3
from layout.job.vehicle import MassEntry

Origin = Literal["weighed", "catalogue", "computed", "estimated", "unknown"]
Group = Literal["pack", "added", "removed", "load"]

NEAR_AXLE_MM = 150.0
"""A point mass nearer to the axle plane than this gets a note: its body may lie on both sides."""

_NO_INERTIA = ((0.0, 0.0, 0.0), (0.0, 0.0, 0.0), (0.0, 0.0, 0.0))
Tensor = tuple[Vec3, Vec3, Vec3]


@dataclass(frozen=True, eq=False)
class MassItem:
    """One thing that has mass.

    mass_kg: None where nobody knows it (never zero instead). centroid_mm: in vehicle axes. inertia_kgmm2: about its own
    centroid, vehicle axes; zero for a point mass. source: where mass_kg comes from. computed_kg: the figure from solid and
    density, kept beside a weighed one. body: what is cut to find the mass ahead of the axle; None for a point mass.
    """

    name: str
    mass_kg: float | None
    centroid_mm: Vec3
    inertia_kgmm2: Tensor = _NO_INERTIA
    source: Origin = "weighed"
    computed_kg: float | None = None
    group: Group = "pack"
    body: Body | None = None
    tolerance_kg: float | None = None

    def shifted(self, by_mm: Vec3) -> MassItem:
        """The item moved by a vector."""
        moved = None if self.body is None else self.body.shifted(by_mm)
        return replace(self, centroid_mm=vec3(np.add(self.centroid_mm, by_mm)), body=moved)


@dataclass(frozen=True)
class MassProperties:
    """Mass (kg), centroid (mm) and inertia about that centroid (kg*mm2), vehicle axes; names of what could not be counted."""

    mass_kg: float
    centroid_mm: Vec3
    inertia_kgmm2: Tensor
    unknown: tuple[str, ...] = ()

    @property
    def principal_kgmm2(self) -> Vec3:
        """Principal moments of inertia, ascending."""
        return vec3(np.linalg.eigvalsh(np.array(self.inertia_kgmm2)))


@dataclass(frozen=True)
class Ahead:
    """What lies ahead of the axle plane, by cutting the bodies.

    kg, share: every body cut with its density taken as uniform (share: of the known mass). with_offset_kg: the same cut
    with the density tilted linearly so that each body has its stated centroid; the difference shows what uniform density
    costs. point_kg: the part of kg that has no body and was counted whole on the side of its point.
    """

    kg: float
    share: float
    with_offset_kg: float
    point_kg: float
    notes: tuple[str, ...] = ()


def tensor(values: ArrayLike) -> Tensor:
    """A symmetric 3x3 as plain tuples."""
    rows = np.asarray(values, dtype=float)
    rows = 0.5 * (rows + rows.T)
    return (vec3(rows[0]), vec3(rows[1]), vec3(rows[2]))


def box_inertia(mass_kg: float, size_mm: Vec3, rotation: Array | None = None) -> Tensor:
    """Inertia of a uniform box about its middle: m/12 (b^2 + c^2) and so on, turned by `rotation` (columns: own axes)."""
    a, b, c = (s * s for s in size_mm)
    own = mass_kg / 12.0 * np.diag([b + c, a + c, a + b])
    return tensor(own if rotation is None else rotation @ own @ rotation.T)


def inertia_of(second: Array) -> Array:
    """Inertia tensor from the mass-weighted second moments S = integral of r r^T dm: tr(S) 1 - S."""
    return np.trace(second) * np.eye(3) - second


def _body_moments(body: Body) -> tuple[Array, Array]:
    """Centroid (mm) and covariance (mm2) of a body, its pieces weighted by their shares of the mass."""
    parts = [(p.share, p.moments) for p in body.pieces]
    centroid = np.sum([share * m.centroid_mm for share, m in parts], axis=0)
    spread = np.zeros((3, 3))
    for share, m in parts:
        d = m.centroid_mm - centroid
        spread = spread + share * (m.covariance_mm2 + np.outer(d, d))
    return np.asarray(centroid), spread


def body_item(
    name: str,
    body: Body,
    *,
    weighed_kg: float | None = None,
    computed_kg: float | None = None,
    source: Origin = "weighed",
    centroid_mm: Vec3 | None = None,
    group: Group = "pack",
) -> MassItem:
    """An item with a body. A weighed (or catalogue) mass beats the computed one, which is kept beside it.

    source names where weighed_kg comes from. centroid_mm: as stated, where it is known better than from a body of
    uniform density. Inertia: of the body, scaled to the mass that counts; where the stated centroid differs from the
    body's, the tensor about the body's own centroid is used for the stated one.
    """
    mass = weighed_kg if weighed_kg is not None else computed_kg
    found, spread = _body_moments(body)
    origin: Origin = "unknown" if mass is None else source if weighed_kg is not None else "computed"
    return MassItem(
        name=name,
        mass_kg=mass,
        centroid_mm=vec3(found) if centroid_mm is None else centroid_mm,
        inertia_kgmm2=tensor((mass or 0.0) * inertia_of(spread)),
        source=origin,
        computed_kg=computed_kg,
        group=group,
        body=body,
    )


def solid_item(
    name: str, body: Body, density_kgm3: float, *, weighed_kg: float | None = None, group: Group = "pack"
) -> MassItem:
    """An item whose mass follows from its pieces' volume and a density in kg/m3 (1 kg/m3 = 1e-9 kg/mm3)."""
    volume = sum(p.moments.volume_mm3 for p in body.pieces)
    return body_item(name, body, weighed_kg=weighed_kg, computed_kg=volume * density_kgm3 * 1e-9, group=group)


def module_item(module: PlacedModule, frame: Pose) -> MassItem:
    """A placed module: its box, its mass and its stated centroid. frame: the pack's frame in vehicle axes."""
    pose = frame.then(module.pose)
    return body_item(
        f"{module.id} ({module.kind.name})",
        box_body(module.own_extent, pose),
        weighed_kg=module.kind.mass_kg,
        source="weighed",
        centroid_mm=vec3(frame.point(module.centroid_mm)),
    )


def entry_item(entry: MassEntry, group: Group) -> MassItem:
    """A line of the job file's `removed`, `added` or load items: a point mass, or a box where its size is given."""
    if entry.size_mm is None:
        origin: Origin = "unknown" if entry.mass_kg is None else entry.source
        return MassItem(entry.name, entry.mass_kg, entry.at_mm, source=origin, group=group, tolerance_kg=entry.tolerance_kg)
    half, at = np.array(entry.size_mm) / 2.0, np.array(entry.at_mm)
    body = box_body(Extent(vec3(at - half), vec3(at + half)))
    item = body_item(entry.name, body, weighed_kg=entry.mass_kg, source=entry.source, group=group)
    return replace(item, tolerance_kg=entry.tolerance_kg)


def total(items: Iterable[MassItem]) -> MassProperties:
    """Combined mass, centroid and inertia (parallel-axis theorem). Items of unknown mass are named, not counted.

    Raises ValueError where no item has a known mass: a centroid of nothing does not exist.
    """
    listed = list(items)
    known = [i for i in listed if i.mass_kg is not None]
    masses = np.array([i.mass_kg for i in known], dtype=float)
    if masses.sum() <= 0.0:
        msg = "no item of known mass: there is nothing to take a centroid of"
        raise ValueError(msg)
    centroids = np.array([i.centroid_mm for i in known], dtype=float)
    mass = float(masses.sum())
    centroid = masses @ centroids / mass
    arms = centroids - centroid
    own = np.sum([i.inertia_kgmm2 for i in known], axis=0)
    inertia = own + inertia_of(np.einsum("n,ni,nj->ij", masses, arms, arms))
    return MassProperties(mass, vec3(centroid), tensor(inertia), tuple(i.name for i in listed if i.mass_kg is None))


def ahead_of_axle(items: Sequence[MassItem], x_mm: float = 0.0) -> Ahead:
    """Mass with x > x_mm, each body cut at the plane (exact for polyhedra); see Ahead for the two densities.

    A body given by its hull says nothing about where inside it the mass lies. The headline figure takes it as uniform (the
    volume fraction). Point masses count whole on the side of their point, with a note when nearer than NEAR_AXLE_MM.
    """
    kg = tilted = point = whole = 0.0
    notes: list[str] = []
    for item in items:
        if item.mass_kg is None:
            notes.append(f"{item.name}: mass unknown, not counted")
            continue
        whole += item.mass_kg
        if item.body is None:
            part = item.mass_kg if item.centroid_mm[0] > x_mm else 0.0
            kg, tilted, point = kg + part, tilted + part, point + part
            if abs(item.centroid_mm[0] - x_mm) < NEAR_AXLE_MM:
                notes.append(_near_note(item, x_mm))
            continue
        uniform, offset = cut_shares(item.body, item.centroid_mm, x_mm)
        kg += item.mass_kg * uniform
        tilted += item.mass_kg * (uniform if offset is None else offset)
        if offset is None:
            notes.append(f"{item.name}: its centroid lies too far out for a linear density; cut as uniform in both figures")
    return Ahead(kg, kg / whole if whole > 0.0 else 0.0, tilted, point, tuple(notes))


def _near_note(item: MassItem, x_mm: float) -> str:
    side = "ahead of" if item.centroid_mm[0] > x_mm else "behind"
    return (
        f"{item.name}: given as a point {abs(item.centroid_mm[0] - x_mm):.0f} mm {side} the axle plane and counted whole on "
        f"that side; give its size to have it cut"
    )


def cut_shares(body: Body, centroid_mm: Vec3, x_mm: float = 0.0) -> tuple[float, float | None]:
    """Share of a body's mass with x > x_mm: with uniform density, and with density tilted to reach `centroid_mm`.

    The tilt 1 + g (r - c), g = C^-1 (centroid - c) with C the body's covariance, is the density nearest to uniform (least
    squares) that has the stated centroid. None where it would turn negative inside the body.
    """
    middle, spread = _body_moments(body)
    offset = np.array(centroid_mm) - middle
    uniform = 0.0
    arm = np.zeros(3)
    for piece in body.pieces:
        whole = piece.moments.volume_mm3
        volume, first = ahead_moments(piece.triangles_mm, x_mm)
        uniform += piece.share * volume / whole
        arm = arm + piece.share * (first - volume * middle) / whole
    uniform = min(1.0, max(0.0, uniform))
    if not np.any(np.abs(offset) > 1e-9):
        return uniform, uniform
    slope = np.linalg.solve(spread, offset)
    corners = np.concatenate([p.triangles_mm.reshape(-1, 3) for p in body.pieces])
    if float((1.0 + (corners - middle) @ slope).min()) < 0.0:
        return uniform, None
    return uniform, float(np.clip(uniform + slope @ arm, 0.0, 1.0))


__all__ = [
    "Ahead",
    "MassItem",
    "MassProperties",
    "ahead_of_axle",
    "body_item",
    "box_inertia",
    "cut_shares",
    "entry_item",
    "module_item",
    "solid_item",
    "total",
]
