"""Ways of sharing of a pack whose tray is soft against its mounts: trays that bend, and what statics allows at most."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from layout.frames import Array, Extent, Vec3
from layout.loads.mounts import Mount, positions, pushes, stiffnesses
from layout.loads.slack import Way
from layout.loads.statics_bound import bound_forces, greatest_shares
from layout.loads.tray import TRAYS, Tray, tray_share

BOUND = "bound by statics for any tray"

_GAP = (
    "the job leaves the bound by statics out: shares by trays hold for floors that are plain or evenly ribbed; a few heavy "
    "rails that miss the mounts can load one up to 1.7 times as much (finite elements)"
)

_UPRIGHT = 1e-3
"""Share of the greatest vertical stiffness below which a mount is no support of the tray."""


def tray_ways(mounts: Sequence[Mount], rigid: Array, extent: Extent | None, notes: list[str]) -> list[Way]:
    """The rigid forces with the vertical ones shared by each tray, among the mounts that hold vertically."""
    at, push = positions(mounts), pushes(mounts)
    holds = _holds(mounts)
    low, high = loaded_area(at, extent)
    ways = []
    for tray in TRAYS:
        share = tray_share(at[holds, :2], low, high, tray)
        if share is None:
            if tray.ends is None:
                notes.append(f"{tray.name}: not possible, the mounts that hold vertically lie on one line in plan")
            continue
        if np.isnan(push).all():
            forces = rigid.copy()
            forces[:, holds] = tray_forces(at[holds], rigid[:, holds], share)
        else:
            forces = np.array([_tray_on_contacts(at, push, holds, f, low, high, tray) for f in rigid])
        ways.append((tray.name, forces))
    return ways


def bound_ways(
    mounts: Sequence[Mount],
    rigid: Array,
    centroid_mm: Vec3,
    extent: Extent | None,
    wanted: bool | None,
    notes: list[str],
) -> list[Way]:
    """Bounds by statics for two-way mounts, left out only where `wanted` is False; a note says where there is none."""
    at = positions(mounts)
    holds = _holds(mounts)
    if wanted is False:
        notes.append(_GAP)
        return []
    shares = greatest_shares(at[holds, :2], np.array(centroid_mm[:2]))
    low, high = loaded_area(at, extent)
    trays = [t for t in (tray_share(at[holds, :2], low, high, tray) for tray in TRAYS) if t is not None]
    if shares is None or not trays or any(m.one_way is not None for m in mounts):
        notes.append(
            "no bound by statics for these mounts (one only pushes, or the centroid lies outside them): the trays may fall "
            "short of what one mount carries; use finite elements"
        )
        return []
    vertical = rigid[:, holds, 2]
    force = vertical.sum(axis=1)
    couple = vertical @ at[holds, :2] - force[:, None] * np.array(centroid_mm[:2])
    parts = np.array([couple @ (t[:, 1:]).T for t in trays])
    towards, against = rigid.copy(), rigid.copy()
    towards[:, holds], against[:, holds] = bound_forces(rigid[:, holds], shares, parts)
    return [(f"{BOUND}, most pressed", towards), (f"{BOUND}, most relieved", against)]


def _holds(mounts: Sequence[Mount]) -> NDArray[np.bool_]:
    """Which mounts hold vertically."""
    upright = stiffnesses(mounts)[:, 2, 2]
    return np.asarray(upright > _UPRIGHT * upright.max(), dtype=bool)


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
