"""What the tray carries, as forces on nodes per unit of specific force: modules on their bolts, equipment, liners, hardware."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layout.fe.bricks import Ints
from layout.frames import Array


@dataclass(frozen=True, eq=False)
class Carried:
    """A mass that hangs on nodes. name; mass_kg; centroid_mm (3,) in the pack's frame; nodes (n,); per_g (n, 3, 3): force on
    each node in N (second index: its component) per m/s2 of specific force (third index: its direction). places_mm: of
    the bolts it hangs on, None where it hangs on nothing of its own.
    """

    name: str
    mass_kg: float
    centroid_mm: Array
    nodes: Ints
    per_g: Array
    places_mm: Array | None = None


def spread(points_mm: Array, weights: Array, centre_mm: Array) -> Array:
    """Shares (n, 3, 3) of a unit force at a point among n points: by their weights, and turned about their middle so that the
    moment is right too. Smallest sum of squares over weights: f_i = w_i (F + omega x rho_i), J omega = M (the distributing
    coupling of the finite element codes; for bolts in a plane, the elastic bolt group).

    A moment about the line of points that all lie on one line is lost; `held` says whether a set holds all moments.
    """
    w = weights / weights.sum()
    middle = w @ points_mm
    rho = points_mm - middle
    inertia = np.einsum("n,ni,ni->", w, rho, rho) * np.eye(3) - np.einsum("n,ni,nj->ij", w, rho, rho)
    turn = np.linalg.pinv(inertia, rcond=1e-9, hermitian=True) @ cross(centre_mm - middle)
    return np.asarray(w[:, None, None] * (np.eye(3) - cross(rho) @ turn))


def holds_moments(points_mm: Array) -> bool:
    """Whether points lie off one line by more than a fiftieth of their length."""
    sizes = np.linalg.svd(points_mm - points_mm.mean(axis=0), compute_uv=False)
    return bool(len(points_mm) >= 3 and sizes[1] > 0.02 * sizes[0] and sizes[0] > 0.0)


def cross(r: Array) -> Array:
    """Matrices (..., 3, 3) with cross(r) @ f = r x f."""
    zero = np.zeros(r.shape[:-1])
    x, y, z = r[..., 0], r[..., 1], r[..., 2]
    rows = [np.stack(row, axis=-1) for row in ([zero, -z, y], [z, zero, -x], [-y, x, zero])]
    return np.stack(rows, axis=-2)


def on_nodes(
    name: str, mass_kg: float, centroid_mm: Array, nodes: Ints, points_mm: Array, weights: Array | None = None
) -> Carried:
    """A mass shared among nodes, evenly where no weights (n,) are given."""
    own = np.ones(len(nodes)) if weights is None else weights
    return Carried(name, mass_kg, centroid_mm, nodes, mass_kg * spread(points_mm, own, centroid_mm))


def at_places(
    name: str, mass_kg: float, centroid_mm: Array, places_mm: Array, faces: list[tuple[Ints, Array]]
) -> Carried:  # fmt: skip
    """A mass on bolts: shared among places (n, 3), each handed on to the nodes of a face by its shape functions."""
    shares = mass_kg * spread(places_mm, np.ones(len(places_mm)), centroid_mm)
    nodes = np.concatenate([n for n, _ in faces])
    per_g = np.concatenate([w[:, None, None] * share for (_, w), share in zip(faces, shares, strict=True)])
    return Carried(name, mass_kg, centroid_mm, nodes, per_g, places_mm)


def summed(carried: tuple[Carried, ...], count: int) -> Array:
    """Forces on all nodes, (count, 3, 3)."""
    out = np.zeros((count, 3, 3))
    for one in carried:
        np.add.at(out, one.nodes, one.per_g)
    return out
