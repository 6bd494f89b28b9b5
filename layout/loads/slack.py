"""Each mount slack in turn, or its bolt not yet bearing in its hole: what the others must carry then."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from layout.frames import Array, Vec3, vec3
from layout.loads import body
from layout.loads.mounts import Mount, mount_forces, positions, refuse_mechanism, stiffnesses
from layout.loads.trouble import Mechanism

Way = tuple[str, Array]
"""Name of a way of sharing and its forces (C, N, 3)."""


def or_nan(
    mounts: Sequence[Mount],
    mass_kg: float,
    centroid_mm: Vec3,
    acceleration: Array,
    way: str,
    cases: Sequence[str],
    notes: list[str],
) -> Array:
    """Forces (C, N, 3) of all cases; nan for a case that leaves these mounts a free motion, with a note.

    way, cases: names for the note.
    """
    try:
        return mount_forces(mounts, mass_kg, centroid_mm, acceleration)
    except Mechanism:
        pass
    rows = []
    for case, a in zip(cases, acceleration, strict=True):
        try:
            rows.append(mount_forces(mounts, mass_kg, centroid_mm, a[None, :])[0])
        except Mechanism as trouble:
            rows.append(np.full((len(mounts), 3), np.nan))
            notes.append(f"{way}, {case}: {'; '.join(trouble.motions)}")
    return np.array(rows)


def slack_ways(
    mounts: Sequence[Mount],
    mass_kg: float,
    centroid_mm: Vec3,
    acceleration: Array,
    cases: Sequence[str],
    notes: list[str],
) -> list[Way]:
    """Forces with each mount slack in turn, where the others hold the pack; a note where they do not."""
    if all(m.one_way is None for m in mounts):
        return _slack_at_once(mounts, mass_kg, centroid_mm, acceleration, notes)
    ways: list[Way] = []
    for i, slack in enumerate(mounts):
        way = f"{slack.name} slack"
        left = [m for m in mounts if m is not slack]
        try:
            refuse_mechanism(left, positions(left), stiffnesses(left), centroid_mm)
        except Mechanism as trouble:
            notes.append(_no_spare(slack.name, trouble.motions))
            continue
        forces = or_nan(left, mass_kg, centroid_mm, acceleration, way, cases, notes)
        ways.append((way, np.insert(forces, i, 0.0, axis=1)))
    return ways


def clearance_ways(
    mounts: Sequence[Mount], mass_kg: float, centroid_mm: Vec3, acceleration: Array, cases: Sequence[str], notes: list[str]
) -> list[Way]:
    """Forces with the bolt of each mount in turn not yet bearing in its hole: it holds along its axis alone.

    Bolts in clearance holes do not all bear at once. Stiffness left: K - K P (PT K P)^-1 PT K, P two directions square to
    the bolt (those displacements are free, so no force goes with them). Mounts without a bolt, or that only push, are
    passed over; a note tells where the others would not hold the pack.
    """
    ways: list[Way] = []
    for i, one in enumerate(mounts):
        if one.bolt_axis is None or one.one_way is not None:
            continue
        loose = [*mounts[:i], _along_bolt(one, one.bolt_axis), *mounts[i + 1 :]]
        way = f"bolt of {one.name} not bearing in its hole"
        try:
            refuse_mechanism(loose, positions(loose), stiffnesses(loose), centroid_mm)
        except Mechanism as trouble:
            notes.append(_no_spare(f"shear at {one.name}", trouble.motions))
            continue
        ways.append((way, or_nan(loose, mass_kg, centroid_mm, acceleration, way, cases, notes)))
    return ways


def _along_bolt(mount: Mount, axis: Vec3) -> Mount:
    n = np.array(axis)
    k = float(1.0 / (n @ np.linalg.inv(np.array(mount.stiffness)) @ n))  # the same as condensing the free directions out
    held = k * np.outer(n, n)
    return replace(mount, stiffness=(vec3(held[0]), vec3(held[1]), vec3(held[2])))


def _slack_at_once(
    mounts: Sequence[Mount], mass_kg: float, centroid_mm: Vec3, acceleration: Array, notes: list[str]
) -> list[Way]:
    forces, held = slack_forces(positions(mounts), stiffnesses(mounts), mass_kg, np.array(centroid_mm), acceleration)
    for i in (int(n) for n in np.flatnonzero(np.logical_not(held))):
        left = [m for j, m in enumerate(mounts) if j != i]
        try:
            refuse_mechanism(left, positions(left), stiffnesses(left), centroid_mm)
        except Mechanism as trouble:
            notes.append(_no_spare(mounts[i].name, trouble.motions))
    return [(f"{m.name} slack", f) for m, f, ok in zip(mounts, forces, held, strict=True) if ok]


def _no_spare(name: str, motions: tuple[str, ...]) -> str:
    return f"without {name} the pack is free to move ({'; '.join(motions)}): no other mount stands in for it"


def slack_forces(
    at_mm: Array, stiffness: Array, mass_kg: Array | float, centroid_mm: Array, acceleration_g: Array
) -> tuple[Array, NDArray[np.bool_]]:
    """Forces with each mount slack in turn, for any leading shape of variants: (..., N slack, C, N, 3) and held (..., N).

    at_mm (..., N, 3), stiffness (..., N, 3, 3), mass_kg (...), centroid_mm (..., 3), acceleration_g (..., C, 3).
    held tells where the other mounts hold the pack; where they do not, the forces are nan.
    """
    at = np.asarray(at_mm, dtype=float)
    count = at.shape[-2]
    keep = 1.0 - np.eye(count)
    k = np.asarray(stiffness, dtype=float)[..., None, :, :, :] * keep[:, :, None, None]
    places = np.broadcast_to(at[..., None, :, :], (*at.shape[:-2], count, count, 3))
    centroid = np.asarray(centroid_mm, dtype=float)[..., None, :]
    held = np.logical_not(body.is_free(places, k, centroid))
    safe = np.where(held[..., None, None, None], k, np.asarray(stiffness, dtype=float)[..., None, :, :, :])
    mass = np.asarray(mass_kg, dtype=float)[..., None]
    forces = body.share(places, safe, mass, centroid, np.asarray(acceleration_g, dtype=float)[..., None, :, :])
    return np.where(held[..., None, None, None], forces, np.nan), held
