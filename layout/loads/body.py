"""The core of load sharing: a rigid body on elastic mounts, for any number of variants and cases at once.

Direct stiffness method for one rigid body (six unknowns), derivation: displacement of mount i at r_i from the centroid
is u_i = u + theta x r_i = G_i d with G_i = [1 | -S(r_i)]; K = sum G_i^T K_i G_i; K d = (F, 0); force on mount i
K_i G_i d. Arrays carry any leading shape of variants `...`, then C cases, N mounts. Units: mm, N, N/mm.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from layout.frames import Array
from layout.loads.trouble import LoadsError

G0_M_S2: Final = 9.80665
"""Standard acceleration of gravity, m/s2 (3rd CGPM 1901, exact)."""

FREE: Final = 1e-9
"""Share of the greatest eigenvalue of the scaled stiffness below which a motion counts as free."""

BALANCE: Final = 1e-9
"""Greatest relative imbalance of forces and of moments that an answer may have."""


def inertia_force(mass_kg: Array | float, acceleration_g: Array) -> Array:
    """Force in N on a body in an accelerated vehicle, gravity included: m g0 ((0, 0, -1) - a).

    mass_kg: shape (...); acceleration_g: (..., C, 3), of the vehicle frame, gravity not in it. Returns (..., C, 3).
    """
    mass = np.asarray(mass_kg, dtype=float)[..., None, None]
    return mass * G0_M_S2 * (np.array([0.0, 0.0, -1.0]) - np.asarray(acceleration_g, dtype=float))


def cross_matrix(r: Array) -> Array:
    """S with S(r) x = r cross x; shape (..., 3) -> (..., 3, 3)."""
    out = np.zeros((*r.shape, 3))
    out[..., 0, 1], out[..., 0, 2], out[..., 1, 2] = -r[..., 2], r[..., 1], -r[..., 0]
    out[..., 1, 0], out[..., 2, 0], out[..., 2, 1] = r[..., 2], -r[..., 1], r[..., 0]
    return out


def lever(r: Array) -> Array:
    """Length in mm that makes rotations comparable with translations: the farthest mount; shape (..., N, 3) -> (...)."""
    longest = np.sqrt((r**2).sum(axis=-1)).max(axis=-1)
    return np.where(longest > 0.0, longest, 1.0)


def motions_of_mounts(r: Array, length: Array) -> Array:
    """G_i for unknowns (u, length * theta): shape (..., N, 3, 6)."""
    eye = np.broadcast_to(np.eye(3), (*r.shape, 3))
    return np.concatenate([eye, -cross_matrix(r) / length[..., None, None, None]], axis=-1)


def stiffness_of_body(motions: Array, stiffness: Array) -> tuple[Array, Array]:
    """K (..., 6, 6) and K_i G_i (..., N, 3, 6) from G_i (..., N, 3, 6) and K_i (..., N, 3, 3)."""
    forces = stiffness @ motions
    shape = (*motions.shape[:-3], -1, 6)
    tall = motions.reshape(shape)
    return np.swapaxes(tall, -1, -2) @ forces.reshape(shape), forces


def _solve(k: Array, load: Array) -> Array:
    """K x = load with diagonal scaling and one step of refinement; k (..., 6, 6), load (..., 6, C)."""
    root = 1.0 / np.sqrt(np.diagonal(k, axis1=-2, axis2=-1))
    scaled = k * root[..., :, None] * root[..., None, :]
    inverse = np.linalg.inv(scaled)
    right = load * root[..., :, None]
    x = inverse @ right
    x = x + inverse @ (right - scaled @ x)
    return x * root[..., :, None]


def free_share(k: Array) -> Array:
    """Least over greatest eigenvalue of the scaled stiffness, shape (..., 6, 6) -> (...)."""
    values = np.linalg.eigvalsh(k)
    return values[..., 0] / values[..., -1]


def imbalance(r: Array, length: Array, forces: Array, load: Array) -> Array:
    """Relative imbalance of forces and moments about the centroid, per variant and case.

    r (..., N, 3), forces (..., C, N, 3), load (..., C, 3). Returns (..., C): the greater of |sum F_i - F| / scale and
    |sum r_i x F_i| / (scale * length), scale the greater of |F| and the greatest mount force.
    """
    missing = np.sqrt(((forces.sum(axis=-2) - load) ** 2).sum(axis=-1))
    arms = np.swapaxes(cross_matrix(r), -3, -2)  # (..., 3, N, 3), so that one product sums r x F over the mounts
    flat = forces.reshape((*forces.shape[:-2], -1))
    moments = flat @ np.swapaxes(arms.reshape((*arms.shape[:-2], -1)), -1, -2)
    moment = np.sqrt((moments**2).sum(axis=-1))
    biggest = np.sqrt((forces**2).sum(axis=-1).max(axis=-1))
    scale = np.maximum(np.maximum(np.sqrt((load**2).sum(axis=-1)), biggest), 1e-300)
    return np.maximum(missing, moment / length[..., None]) / scale


def share(at_mm: Array, stiffness: Array, mass_kg: Array | float, centroid_mm: Array, acceleration_g: Array) -> Array:
    """Forces in N of the pack on its mounts, all variants and cases at once; every mount holds both ways.

    at_mm (..., N, 3), stiffness (..., N, 3, 3) N/mm, mass_kg (...), centroid_mm (..., 3), acceleration_g (..., C, 3).
    Leading shapes broadcast. Returns (..., C, N, 3). Forces and moments balance to 1e-9.

    Raises:
        LoadsError: a variant has a free motion (its index is named) or is so uneven that the balance is lost.
    """
    at, centroid = np.asarray(at_mm, dtype=float), np.asarray(centroid_mm, dtype=float)
    r = at - centroid[..., None, :]
    length = lever(r)
    k, per_mount = stiffness_of_body(motions_of_mounts(r, length), np.asarray(stiffness, dtype=float))
    _refuse_free(k)
    load = inertia_force(mass_kg, acceleration_g)
    lead = np.broadcast_shapes(k.shape[:-2], load.shape[:-2])
    right = np.zeros((*lead, 6, load.shape[-2]))
    right[..., :3, :] = np.swapaxes(load, -1, -2)
    d = _solve(k, right)
    tall = per_mount.reshape((*per_mount.shape[:-3], -1, 6)) @ d
    forces = np.swapaxes(tall, -1, -2).reshape((*lead, load.shape[-2], at.shape[-2], 3))
    refuse_unbalanced(r, length, forces, load)
    return forces


def refuse_unbalanced(r: Array, length: Array, forces: Array, load: Array) -> None:
    """Raise LoadsError where forces do not balance the load to 1e-9."""
    worst = float(imbalance(r, length, forces, load).max(initial=0.0))
    if not worst <= BALANCE:
        remedy = "Bring the stiffnesses of the mounts nearer to each other, or move mounts apart"
        raise LoadsError("mounts", "forces and moments must balance to 1e-9", f"imbalance {worst:.1e}", remedy)


def _refuse_free(k: Array) -> None:
    free = np.atleast_1d(free_share(k) < FREE)
    if bool(free.any()):
        where = tuple(int(i) for i in np.argwhere(free)[0])
        raise LoadsError("mounts", "the mounts leave the pack free to move", f"variant {where}", "Add or move a mount")


def is_free(at_mm: Array, stiffness: Array, centroid_mm: Array) -> NDArray[np.bool_]:
    """Whether the mounts leave a free motion: at_mm (..., N, 3), stiffness (..., N, 3, 3), centroid_mm (..., 3) -> (...)."""
    r = np.asarray(at_mm, dtype=float) - np.asarray(centroid_mm, dtype=float)[..., None, :]
    k, _ = stiffness_of_body(motions_of_mounts(r, lever(r)), np.asarray(stiffness, dtype=float))
    return free_share(k) < FREE
