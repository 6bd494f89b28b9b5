"""Upper bounds by dual feasible functions: lengths are changed so that whatever fits an edge still fits it, then volumes count.

A function f on [0, 1] is dual feasible when lengths that sum to no more than 1 have values that do so too. With one such
function per axis, the products of the values of boxes packed in the unit cube sum to no more than 1. S. P. Fekete and
J. Schepers, "A general framework for bounds for higher-dimensional orthogonal packing problems", Mathematical Methods of
Operations Research 60 (2004) 311-329 (from memory; the tests check both facts by trial).
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from layout.packing.engine.model import Item

Ints = NDArray[np.int64]
Values = NDArray[np.float64]
STEPS = 12
"""Functions with up to so many steps are tried."""
THRESHOLDS = 10
"""So many thresholds at most, taken from the lengths themselves."""
SLACK = 1e-9


def values_on_edge(lengths: Ints, edge: int) -> Values:
    """Values of all functions tried, shape (functions, n), for whole lengths (n,) on an edge, each at most as long."""
    rows = [lengths / edge]
    for steps in range(1, STEPS + 1):
        scaled = lengths * (steps + 1)
        rows.append(np.where(scaled % edge == 0, lengths / edge, scaled // edge / steps))
    halves = np.unique(lengths[lengths * 2 <= edge])
    for least in np.unique(np.concatenate([halves, edge - lengths[lengths * 2 > edge] + 1])):
        if 0 < 2 * least <= edge and len(rows) <= STEPS + THRESHOLDS:
            short, long = lengths < least, lengths > edge - least
            rows.append(np.where(long, 1.0, np.where(short, 0.0, lengths / edge)))
    return np.unique(np.array(rows), axis=0)


def dual_feasible_bound(items: Sequence[Item], size: tuple[int, int, int]) -> int:
    """Greatest value that the least weights of the items allow, over all choices of one function per axis.

    Holds whatever is blocked in the space of that size, and whatever zones must stay clear.
    """
    options = [
        (n, option.size)
        for n, item in enumerate(items)
        for option in item.options
        if all(a <= b for a, b in zip(option.size, size, strict=True))
    ]
    if not options:
        return 0
    owner, sizes = np.array([n for n, _ in options]), np.array([s for _, s in options], np.int64)
    fx, fy, fz = (values_on_edge(sizes[:, axis], size[axis]) for axis in range(3))
    weights = np.einsum("ao,bo,co->abco", fx, fy, fz).reshape(-1, len(options))
    least = np.stack([weights[:, owner == n].min(axis=1, initial=np.inf) for n in range(len(items))], axis=1)
    return int(_most(items, least).min())


def _most(items: Sequence[Item], weights: Values) -> Values:
    """Greatest value for each row of weights (m, items): what must be there first, then the most value for the weight."""
    worth, most = np.array([i.value for i in items]), np.array([i.most for i in items], float)
    must = np.array([min(i.least, i.most) for i in items], float)
    finite = np.isfinite(weights)
    weights = np.where(finite, weights, 0.0)
    left = 1.0 + SLACK - weights @ must
    total = np.full(len(weights), float(worth @ must))
    spare = np.where(finite, most - must, 0.0)
    order = np.argsort(weights / worth, axis=1, kind="stable")
    for rank in range(len(items)):
        pick = order[:, rank]
        row = np.arange(len(weights))
        weight = weights[row, pick]
        with np.errstate(divide="ignore"):
            fits = np.where(weight > 0.0, np.maximum(left, 0.0) / np.where(weight > 0.0, weight, 1.0), np.inf)
        taken = np.minimum(spare[row, pick], fits)
        total += taken * worth[pick]
        left -= taken * weight
    return np.floor(total + 1e-6)
