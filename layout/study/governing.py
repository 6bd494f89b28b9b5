"""Which of many loads govern: the few that no check can find less severe than the ones left out.

Every strength check of the brackets is a utilisation u(y) of sizes y >= 0 (sizes of force components, pulls without
pressure, moments by size) with two properties: u grows (never falls) in each size, and the set {y : u(y) <= c} is convex for
every c (u is quasi-convex: sums and norms of sizes; slip x/(a - b y) too, since x/(a - b y) <= c is a straight limit).
So where y_0 <= sum l_i y_i with l_i >= 0 and sum l_i = 1, u(y_0) <= u(sum l_i y_i) <= max u(y_i): load 0 can be left out.
The sizes themselves are convex functions of the force vector, so this also covers forces in the convex hull of others. The
tests compare with all loads, check by check.
"""

from __future__ import annotations

import numpy as np

from layout.frames import Array

SAME = 1e-12
"""Sizes that differ by less than this share of the greatest count as equal (rounding of the sums that gave them)."""


def governing(sizes: Array) -> list[int]:
    """Indices of loads, shape (P, k) of sizes >= 0, that together are at least as severe as all P for every check.

    First those that no other reaches in all sizes at once; of these, one that lies at or below the straight line between
    two others is dropped too. A load with a size that is not a number is always kept.
    """
    sizes = np.asarray(sizes, dtype=float)
    if len(sizes) == 1:
        return [0]
    lost = np.isnan(sizes).any(axis=1)
    kept = _not_reached(sizes, [int(i) for i in np.flatnonzero(~lost)])
    for i in list(kept):
        others = [k for k in kept if k != i]
        if len(others) > 1 and _below_a_line(sizes[i], sizes[others]):
            kept = others
    return sorted([*kept, *(int(i) for i in np.flatnonzero(lost))])


def _not_reached(sizes: Array, among: list[int]) -> list[int]:
    """Of loads that are equal the first; else those with no other at least as great in every size."""
    if not among:
        return []
    order = [among[k] for k in np.argsort(-sizes[among].sum(axis=1), kind="stable")]
    rows = sizes[order]
    slack = SAME * max(float(rows.max()), 1e-300)
    reaches = np.ones((len(rows), len(rows)), dtype=bool)
    for k in range(rows.shape[1]):
        reaches &= rows[:, None, k] >= rows[None, :, k] - slack
    # one with a greater sum is never reached by one with a smaller sum: only those before it in order count
    reached = np.asarray(np.triu(reaches, 1).any(axis=0))
    return [i for i, out in zip(order, reached.tolist(), strict=True) if not out]


def _below_a_line(one: Array, others: Array) -> bool:
    """Whether some l y_j + (1 - l) y_k, 0 <= l <= 1, is at least `one` in every size: bounds of l from each size."""
    first, second = others[:, None, :], others[None, :, :]
    slope, missing = first - second, one - second  # l slope >= missing
    with np.errstate(divide="ignore", invalid="ignore"):
        limit = missing / slope
    low = np.where(slope > 0.0, limit, 0.0).max(axis=-1).clip(0.0)
    high = np.where(slope < 0.0, limit, 1.0).min(axis=-1).clip(None, 1.0)
    level = ((slope != 0.0) | (missing <= 0.0)).all(axis=-1)
    return bool((level & (low <= high)).any())
