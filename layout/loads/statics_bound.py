"""What statics alone allows a mount to carry, however the tray between the mounts is built.

A vertical force inside the mounts' outline, on mounts that all press: no mount can carry more than in the worst set of
three that balances the force by itself (basic solutions of the linear programme max R_i with R >= 0 and three equations
of balance; derivation).

Why it is needed: tray models do not bound the share for every tray. Against finite elements of a 600 x 400 x 3 mm tray
with rails of random place and size, a mount carried more than any tray model said in 9 of 120 trials with mounts in a
regular pattern (up to 1.7 times, with rails as stiff as walls that miss the mounts) and more often in irregular ones.
This bound was never exceeded.
"""

from __future__ import annotations

from itertools import combinations

import numpy as np

from layout.frames import Array


def greatest_shares(plan_mm: Array, force_at_mm: Array) -> Array | None:
    """Greatest share (N,) of one vertical force at a point (2,) that each mount (N, 2) can carry, all pressing.

    None where the point lies outside the mounts' outline, so that no three balance it by pressing.
    """
    shares = np.zeros(len(plan_mm))
    right = np.array([1.0, *force_at_mm])
    found = False
    for three in combinations(range(len(plan_mm)), 3):
        rows = np.vstack([np.ones(3), plan_mm[list(three)].T])
        size = np.abs(rows[1:] - rows[1:, :1]).max()
        if abs(np.linalg.det(rows)) < 1e-6 * max(size, 1.0) ** 2:
            continue
        carried = np.linalg.solve(rows, right)
        if carried.min() >= -1e-9:
            found = True
            shares[list(three)] = np.maximum(shares[list(three)], carried)
    return shares if found else None


def bound_forces(rigid: Array, shares: Array, couple_forces: Array) -> tuple[Array, Array]:
    """Rigid forces (C, N, 3) with the vertical ones replaced by bounds: towards the vertical force, and against it.

    shares (N,) from `greatest_shares`; couple_forces (T, C, N): what each tray makes of the couple that remains when the
    vertical force is put at the point of the shares. A mount may also carry nothing of the force. Mounts reach their
    bounds in different ways of sharing, so these forces do not sum to the load.
    """
    total = rigid[..., 2].sum(axis=-1, keepdims=True)
    push = total * shares
    towards, against = rigid.copy(), rigid.copy()
    down = total <= 0.0
    low, high = couple_forces.min(axis=0), couple_forces.max(axis=0)
    towards[..., 2] = push + np.where(down, low, high)
    against[..., 2] = np.where(down, high, low)
    return towards, against
