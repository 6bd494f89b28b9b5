"""The pack as a rigid body on its mounts: who carries what in one load case.

Mounts may hold both ways, or only push (one-way contact, found by an active set). A set of mounts that leaves the pack
a free motion is refused with the motion named.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from layout.frames import Array, Axes, Vec3, vec3
from layout.loads import body
from layout.loads.contact import contact_forces
from layout.loads.freedom import free_motions
from layout.loads.trouble import LoadsError, Mechanism


@dataclass(frozen=True)
class Mount:
    """One place where the pack is held.

    at_mm: vehicle axes. stiffness: 3x3, N/mm, vehicle axes, force on the mount per displacement of the pack there.
    one_way: where the pack can only push on the mount, the direction (vehicle axes) of that push; then only the
    stiffness along it counts: contact carries no pull and friction is not taken into account. None: held all ways.
    bolt_axis: direction of the bolt in its hole (vehicle axes, unit), where there is one.
    """

    name: str
    at_mm: Vec3
    stiffness: Axes
    one_way: Vec3 | None = None
    bolt_axis: Vec3 | None = None


@dataclass(frozen=True)
class Reaction:
    """What the pack does to one mount in one load case, N, vehicle axes."""

    name: str
    force_n: Vec3


def isotropic(stiffness_n_mm: float) -> Axes:
    """The same stiffness in every direction, N/mm."""
    k = float(stiffness_n_mm)
    return ((k, 0.0, 0.0), (0.0, k, 0.0), (0.0, 0.0, k))


def solve_mounts(mounts: Sequence[Mount], mass_kg: float, centroid_mm: Vec3, acceleration_g: Vec3) -> tuple[Reaction, ...]:
    """Forces of the pack on each mount for one acceleration of the vehicle frame in g (gravity is added here).

    The forces sum to mass * g0 * ((0, 0, -1) - acceleration) and their moment about the centroid is zero, both to 1e-9.

    Raises:
        Mechanism: the mounts (or those still in contact) leave a free motion, which is named.
        LoadsError: fewer than one mount, two of one name, stiffness not symmetric or nowhere above zero, no balance.
    """
    forces = mount_forces(mounts, mass_kg, centroid_mm, np.array([acceleration_g]))[0]
    return tuple(Reaction(m.name, vec3(f)) for m, f in zip(mounts, forces, strict=True))


def mount_forces(mounts: Sequence[Mount], mass_kg: float, centroid_mm: Vec3, acceleration_g: Array) -> Array:
    """Forces in N for C cases at once: acceleration_g (C, 3) -> (C, N, 3). Errors as for `solve_mounts`."""
    refuse_bad(mounts, mass_kg, centroid_mm)
    at, stiffness = positions(mounts), stiffnesses(mounts)
    refuse_mechanism(mounts, at, stiffness, centroid_mm)
    if any(m.one_way is not None for m in mounts):
        return contact_forces(at, stiffness, pushes(mounts), mass_kg, np.array(centroid_mm), np.asarray(acceleration_g))
    return body.share(at, stiffness, mass_kg, np.array(centroid_mm), np.asarray(acceleration_g, dtype=float))


def positions(mounts: Sequence[Mount]) -> Array:
    """Places of the mounts, shape (N, 3), mm."""
    return np.array([m.at_mm for m in mounts], dtype=float)


def pushes(mounts: Sequence[Mount]) -> Array:
    """Unit vectors of the one-way mounts, shape (N, 3); rows of nan for mounts that hold all ways."""
    rows = [np.full(3, np.nan) if m.one_way is None else np.array(m.one_way) / np.linalg.norm(m.one_way) for m in mounts]
    return np.array(rows, dtype=float)


def stiffnesses(mounts: Sequence[Mount]) -> Array:
    """Stiffness that counts, shape (N, 3, 3): of one-way mounts only that along the push."""
    out = np.array([m.stiffness for m in mounts], dtype=float)
    for i, push in enumerate(pushes(mounts)):
        if not np.isnan(push[0]):
            out[i] = (push @ out[i] @ push) * np.outer(push, push)
    return out


def refuse_mechanism(mounts: Sequence[Mount], at: Array, stiffness: Array, centroid_mm: Vec3) -> None:
    """Raise Mechanism where the mounts, all in contact, leave the pack a free motion."""
    r = at - np.array(centroid_mm)
    length = body.lever(r)
    k, _ = body.stiffness_of_body(body.motions_of_mounts(r, length), stiffness)
    motions = free_motions(k, float(length), np.array(centroid_mm))
    if motions:
        raise Mechanism(f"mounts ({', '.join(m.name for m in mounts)})", motions, _remedy(mounts, at))


def _remedy(mounts: Sequence[Mount], at: Array) -> str:
    spread = np.linalg.svd(at - at.mean(axis=0), compute_uv=False)
    if len(mounts) < 3:
        return f"{len(mounts)} mount(s) cannot hold a body: use at least three that do not lie on one line"
    if spread[1] < 1e-6 * max(spread[0], 1.0):
        return "All mounts lie on one line: move one off the line or add one beside it"
    return "Add a mount that holds against this motion, or give the mounts stiffness in its direction"


def refuse_bad(mounts: Sequence[Mount], mass_kg: float, centroid_mm: Vec3) -> None:
    """Raise LoadsError for input that has no meaning."""
    if not mounts:
        raise LoadsError("mounts", "the pack needs mounts", "0 given", "Name at least three that do not lie on one line")
    names = sorted(m.name for m in mounts)
    if twice := [a for a, b in pairwise(names) if a == b]:
        raise LoadsError("mounts", "names must differ", f"{twice[0]} is there twice", "Give each mount its own name")
    if not (np.isfinite(mass_kg) and mass_kg > 0.0):
        raise LoadsError("pack", "its mass must be above 0 kg", f"{mass_kg:g} kg", "Check the masses of the job")
    if not np.isfinite(np.array(centroid_mm, dtype=float)).all():
        raise LoadsError("pack", "its centroid must be known", f"{centroid_mm}", "Check the masses of the job")
    for mount in mounts:
        _refuse_bad_mount(mount)


def _refuse_bad_mount(mount: Mount) -> None:
    part = f"mount {mount.name}"
    k = np.array(mount.stiffness, dtype=float)
    if k.shape != (3, 3) or not np.isfinite(k).all() or not np.isfinite(np.array(mount.at_mm, dtype=float)).all():
        remedy = "Give finite numbers; for a rigid mount a thousand times the stiffest elastic one"
        raise LoadsError(part, "place and stiffness must be finite (3 numbers, 3x3 numbers)", f"{k.tolist()}", remedy)
    top = float(np.abs(k).max())
    if top <= 0.0:
        raise LoadsError(part, "its stiffness must be above 0 N/mm", "0 in every direction", "Leave the mount out")
    if np.abs(k - k.T).max() > 1e-6 * top:
        raise LoadsError(part, "its stiffness must be symmetric", f"{k.tolist()}", "Check the turning of its axes")
    if np.linalg.eigvalsh((k + k.T) / 2)[0] < -1e-9 * top:
        raise LoadsError(part, "no direction may have a stiffness below 0", f"{k.tolist()}", "Check the stiffness")
    if mount.one_way is not None:
        push = np.array(mount.one_way, dtype=float)
        if not np.isfinite(push).all() or np.linalg.norm(push) == 0.0 or push @ k @ push <= 0.0:
            remedy = "Give a direction in which the mount has stiffness"
            raise LoadsError(part, "it needs stiffness along its push", f"one_way {mount.one_way}", remedy)
