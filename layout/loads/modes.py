"""Natural frequencies of the pack as a rigid body on its mounts.

Eigenproblem K phi = w^2 M phi of six unknowns; effective mass in a direction d: (phi^T M d)^2 / (phi^T M phi)
(standard structural dynamics, e.g. A. K. Chopra, Dynamics of Structures, from memory). Effective masses of all modes add
up to the mass in every direction.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from scipy.linalg import eigh

from layout.frames import Array, Axes, Vec3
from layout.loads import body
from layout.loads.mounts import Mount, positions, refuse_bad, refuse_mechanism, stiffnesses
from layout.loads.trouble import LoadsError


class RigidBody(Protocol):
    """A mass with its centroid (vehicle axes) and inertia tensor about the centroid (products as negative integrals)."""

    @property
    def mass_kg(self) -> float: ...  # noqa: D102

    @property
    def centroid_mm(self) -> Vec3: ...  # noqa: D102

    @property
    def inertia_kgmm2(self) -> Axes: ...  # noqa: D102


@dataclass(frozen=True)
class Modes:
    """The six modes, lowest first.

    frequency_hz (6,); effective_mass_kg (6, 3) per mode and direction x, y, z; mount_force_n_g (6, N, 3, 3): force on mount
    n, component i, of mode k where the vehicle frame accelerates by -1 g along direction j and the mode responds with 1 g.
    """

    frequency_hz: Array
    effective_mass_kg: Array
    mount_force_n_g: Array


def modes(mounts: Sequence[Mount], pack: RigidBody) -> Modes:
    """Modes of the pack on its mounts; push-only mounts count as pressed (then the answer is a linear estimate).

    Raises:
        Mechanism: a free motion. LoadsError: bad mounts, or an inertia that no body can have.
    """
    refuse_bad(mounts, pack.mass_kg, pack.centroid_mm)
    at, stiffness, centroid = positions(mounts), stiffnesses(mounts), np.array(pack.centroid_mm)
    refuse_mechanism(mounts, at, stiffness, pack.centroid_mm)
    inertia = np.array(pack.inertia_kgmm2, dtype=float)
    _refuse_inertia(inertia)
    r = at - centroid
    length = float(body.lever(r))
    motions = body.motions_of_mounts(r, np.array(length))
    k, per_mount = body.stiffness_of_body(motions, stiffness)
    mass = np.zeros((6, 6))
    mass[:3, :3] = pack.mass_kg * np.eye(3)
    mass[3:, 3:] = inertia / length**2
    square, phi = eigh(k * 1000.0, mass)  # N/mm is 1000 kg/s2; phi^T M phi = 1
    taking_part = phi.T @ mass[:, :3]
    unit = body.G0_M_S2 * 1000.0 / square  # mm of a mode per g of response
    force = np.einsum("nij,jk,kd,k->knid", per_mount, phi, taking_part, unit)
    return Modes(np.sqrt(square) / (2.0 * np.pi), taking_part**2, force)


def _refuse_inertia(inertia: Array) -> None:
    sound = inertia.shape == (3, 3) and bool(np.isfinite(inertia).all())
    if not sound or np.abs(inertia - inertia.T).max() > 1e-6 * np.abs(inertia).max():
        rule = "its inertia must be a finite symmetric 3x3 tensor"
        raise LoadsError("pack", rule, f"{inertia.tolist()}", "Check the masses")
    moments = np.linalg.eigvalsh(inertia)
    if moments[0] <= 0.0 or moments[0] + moments[1] < moments[2] * (1.0 - 1e-9):
        rule = "its principal moments of inertia must be above 0, none above the sum of the others"
        raise LoadsError("pack", rule, f"{moments.tolist()} kg mm2", "Check the masses and their places")
