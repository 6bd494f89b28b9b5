"""Every way the load may be shared that a check has to survive: rigid body, equal mounts, one mount slack, soft tray.

The rigid answer alone errs on the unsafe side for middle mounts when there are more than four, or when the tray is
soft against its mounts. Each way of sharing balances force and moments of the case by itself; none is a mean of others.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from layout.frames import Array, Extent, Vec3, vec3
from layout.loads import body
from layout.loads.cases import LoadCase, accelerations
from layout.loads.mounts import Mount, mount_forces, positions, pushes, refuse_bad, refuse_mechanism, stiffnesses
from layout.loads.tray import TRAYS, Tray, tray_share
from layout.loads.trouble import Mechanism

RIGID = "rigid body on its mounts"
EQUAL = "rigid body, mounts equally stiff"


@dataclass(frozen=True)
class Envelope:
    """Forces of the pack on its mounts in every case and every way of sharing.

    ways, cases, mounts: names along the axes of forces_n (W, C, N, 3), N, vehicle axes; nan where a way does not exist
    for a case (a mount pulled off, or a mechanism: see notes).
    """

    ways: tuple[str, ...]
    cases: tuple[str, ...]
    mounts: tuple[str, ...]
    forces_n: Array
    notes: tuple[str, ...] = ()

    def vectors(self, mount: str, case: str) -> tuple[tuple[str, Vec3], ...]:
        """Every force to check for one mount and case, with the name of its way of sharing."""
        rows = self.forces_n[:, self.cases.index(case), self.mounts.index(mount), :]
        return tuple((way, vec3(row)) for way, row in zip(self.ways, rows, strict=True) if not np.isnan(row).any())

    def worst(self, mount: str, case: str) -> tuple[str, Vec3]:
        """The greatest force by length (a check looks at all of them: the longest need not be the worst for it)."""
        return max(self.vectors(mount, case), key=lambda named: float(np.linalg.norm(named[1])))

    def rigid(self, case: str) -> tuple[tuple[str, Vec3], ...]:
        """Mount and force of the rigid answer, which sums to the load of the case."""
        return tuple(zip(self.mounts, map(vec3, self.forces_n[0, self.cases.index(case)]), strict=True))


def envelope_forces(
    mounts: Sequence[Mount],
    mass_kg: float,
    centroid_mm: Vec3,
    cases: Sequence[LoadCase],
    *,
    soft_tray: bool = False,
    one_slack: bool | None = None,
    extent: Extent | None = None,
) -> Envelope:
    """Forces to check, per way of sharing, case and mount.

    soft_tray: the box is not stiff against its mounts. one_slack: also with each mount slack in turn; None: with more
    than four mounts or a soft tray. extent: of the pack in vehicle axes, the loaded area of the tray; where not given,
    the rectangle round the mounts. With up to four mounts and a stiff tray: the rigid answer and that of equal mounts.

    Raises:
        Mechanism, LoadsError: as solve_mounts, for the mounts as given.
    """
    many = soft_tray or len(mounts) > 4
    cases = tuple(cases)
    acceleration = accelerations(cases)
    names = tuple(m.name for m in mounts)
    rigid = mount_forces(mounts, mass_kg, centroid_mm, acceleration)
    ways: list[tuple[str, Array]] = [(RIGID, rigid)]
    notes: list[str] = []
    if (equal := _equal(mounts)) is not None:
        ways.append((EQUAL, _or_nan(equal, mass_kg, centroid_mm, acceleration, EQUAL, cases, notes)))
    if many if one_slack is None else one_slack:
        ways += _slack(mounts, mass_kg, centroid_mm, acceleration, cases, notes)
    if many:
        ways += _trays(mounts, rigid, extent, notes)
    forces = np.array([f for _, f in ways])
    return Envelope(tuple(n for n, _ in ways), tuple(c.name for c in cases), names, forces, tuple(notes))


def _or_nan(
    mounts: Sequence[Mount],
    mass_kg: float,
    centroid_mm: Vec3,
    acceleration: Array,
    way: str,
    cases: tuple[LoadCase, ...],
    notes: list[str],
) -> Array:
    """Forces of all cases; nan for a case that leaves these mounts a free motion, with a note."""
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
            notes.append(f"{way}, {case.name}: {'; '.join(trouble.motions)}")
    return np.array(rows)


def _equal(mounts: Sequence[Mount]) -> list[Mount] | None:
    """The same mounts, all with the mean stiffness; None where they differ in kind, or do not differ at all."""
    k = np.array([m.stiffness for m in mounts], dtype=float)
    values = np.linalg.eigvalsh(k)
    if len(mounts) < 3 or (values[:, 0] < 1e-3 * values[:, 2]).any() or np.allclose(k, k[0], rtol=1e-9):
        return None
    mean = k.mean(axis=0)
    return [replace(m, stiffness=(vec3(mean[0]), vec3(mean[1]), vec3(mean[2]))) for m in mounts]


def _slack(
    mounts: Sequence[Mount],
    mass_kg: float,
    centroid_mm: Vec3,
    acceleration: Array,
    cases: tuple[LoadCase, ...],
    notes: list[str],
) -> list[tuple[str, Array]]:
    ways = []
    if all(m.one_way is None for m in mounts):
        return _slack_at_once(mounts, mass_kg, centroid_mm, acceleration, notes)
    for i, slack in enumerate(mounts):
        way = f"{slack.name} slack"
        left = [m for m in mounts if m is not slack]
        try:
            refuse_mechanism(left, positions(left), stiffnesses(left), centroid_mm)
        except Mechanism as trouble:
            notes.append(_no_spare(slack.name, trouble.motions))
            continue
        forces = _or_nan(left, mass_kg, centroid_mm, acceleration, way, cases, notes)
        ways.append((way, np.insert(forces, i, 0.0, axis=1)))
    return ways


def _slack_at_once(
    mounts: Sequence[Mount], mass_kg: float, centroid_mm: Vec3, acceleration: Array, notes: list[str]
) -> list[tuple[str, Array]]:
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


def _trays(
    mounts: Sequence[Mount], rigid: Array, extent: Extent | None, notes: list[str]
) -> list[tuple[str, Array]]:
    """The rigid forces with the vertical ones shared by each tray, among the mounts that hold vertically."""
    at, push = positions(mounts), pushes(mounts)
    upright = stiffnesses(mounts)[:, 2, 2]
    holds = upright > _UPRIGHT * upright.max()
    low, high = loaded_area(at, extent)
    ways = []
    for tray in TRAYS:
        share = tray_share(at[holds, :2], low, high, tray)
        if share is None:
            notes.append(f"{tray.name}: not possible, the mounts that hold vertically lie on one line in plan")
            continue
        if np.isnan(push).all():
            forces = rigid.copy()
            forces[:, holds] = tray_forces(at[holds], rigid[:, holds], share)
        else:
            forces = np.array([_tray_on_contacts(at, push, holds, f, low, high, tray) for f in rigid])
        ways.append((tray.name, forces))
    return ways


_UPRIGHT = 1e-3
"""Share of the greatest vertical stiffness below which a mount is no support of the tray."""


def loaded_area(at: Array, extent: Extent | None) -> tuple[Array, Array]:
    """Corners in plan (2,) of the area the pack loads: its extent, or the rectangle round the mounts."""
    if extent is not None:
        return np.array(extent.min_mm[:2]), np.array(extent.max_mm[:2])
    return at[:, :2].min(axis=0), at[:, :2].max(axis=0)


def tray_forces(at: Array, rigid: Array, share: Array) -> Array:
    """The rigid forces (..., N, 3) with the vertical ones shared anew; vertical force and its moments stay the same.

    at (N, 3); share (N, 3) from tray_share. Horizontal forces stay: a tray is stiff in its own plane.
    """
    vertical = rigid[..., 2]
    wrench = np.stack([vertical.sum(axis=-1), vertical @ at[:, 0], vertical @ at[:, 1]], axis=-1)
    out = rigid.copy()
    out[..., 2] = wrench @ share.T
    return out


def _tray_on_contacts(
    at: Array, push: Array, holds: NDArray[np.bool_], rigid: Array, low: Array, high: Array, tray: Tray
) -> Array:
    """One case (N, 3) with push-only mounts: those the tray would pull are dropped, one after the other."""
    level = np.abs(np.nan_to_num(push[:, 2])) > 1e-6
    used = holds & (np.isnan(push[:, 0]) | (np.abs(rigid[:, 2]) > 0.0))
    wrench = np.array([f @ rigid[holds, 2] for f in (np.ones(int(holds.sum())), at[holds, 0], at[holds, 1])])
    out = np.full_like(rigid, np.nan)
    while used.sum() >= 3:
        share = tray_share(at[used, :2], low, high, tray)
        if share is None:
            return out
        forces = rigid.copy()
        forces[holds, 2] = 0.0
        forces[used, 2] = share @ wrench
        pull = np.where(level & used, -forces[:, 2] * np.sign(np.where(level, push[:, 2], 1.0)), -np.inf)
        if pull.max() <= 1e-9 * np.abs(forces).max():
            return forces
        used = used & (np.arange(len(used)) != int(pull.argmax()))
    return out


def sharing_cautions(mounts: Sequence[Mount], mass_kg: float, centroid_mm: Vec3) -> tuple[str, ...]:
    """What a reader must know about these mounts: centroid outside them in plan, fewer than four of them.

    Raises:
        LoadsError: as solve_mounts for input without meaning.
    """
    refuse_bad(mounts, mass_kg, centroid_mm)
    cautions = []
    offsets = positions(mounts) - np.array(centroid_mm)
    for axis, (above, below) in enumerate((("ahead of", "behind"), ("left of", "right of"))):
        if (offsets[:, axis] > 1e-6).all() or (offsets[:, axis] < -1e-6).all():
            side = above if offsets[0, axis] > 0.0 else below
            text = "it hangs out from them and its weight pulls at some"
            cautions.append(f"all mounts lie {side} the pack's centroid: {text}")
    if len(mounts) == 3:
        cautions.append("three mounts: if one fails, nothing stands in for it")
    return tuple(cautions)
