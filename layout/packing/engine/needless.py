"""Drops candidates that another can always replace: same item, and clashing with no more.

Candidate b is needless beside a of the same item when every clash row of a is a row of b: in any packing with b, a is free
to take its place. Only neighbours are compared (same option, the next start along one axis): that finds most, cheaply.
Replacing changes the place, so this is for counts and values, not for costs that depend on the place.
"""

from __future__ import annotations

import time
from collections.abc import Sequence

import numpy as np
from scipy import sparse

from layout.packing.engine.candidates import Candidates
from layout.packing.engine.model import Item
from layout.packing.engine.rows import Rows, clash_rows
from layout.packing.engine.space import Bools, Ints

_ROUNDS = 4


def not_needless(items: Sequence[Item], candidates: Candidates, protected: Bools, deadline: float) -> Ints:
    """Indices of the candidates left when those that a neighbour can replace are dropped; the protected ones stay.

    Stops early at the deadline (time.monotonic's clock); what is left is then larger, and as good.
    """
    left = np.arange(len(candidates))
    for _ in range(_ROUNDS):
        if time.monotonic() > deadline:
            break
        here = candidates.take(left)
        keep = _kept(clash_rows(items, here), here) | protected[left]
        if keep.all():
            break
        left = left[keep]
    return left


def _kept(rows: Rows, candidates: Candidates) -> Bools:
    by_candidate = rows.matrix.T.tocsr()
    lengths = np.diff(by_candidate.indptr)
    keep = np.ones(len(candidates), bool)
    for axis in range(3):
        first, second = _neighbours(candidates, axis)
        common = _common(by_candidate, first, second)
        second_goes = keep[first] & keep[second] & (common == lengths[first])
        first_goes = keep[first] & keep[second] & (common == lengths[second]) & ~second_goes
        for a, b, drop_b, drop_a in zip(first.tolist(), second.tolist(), second_goes, first_goes, strict=True):
            if drop_b and keep[a]:
                keep[b] = False
            elif drop_a and keep[b]:
                keep[a] = False
    return keep


def _neighbours(c: Candidates, axis: int) -> tuple[Ints, Ints]:
    """Pairs of the same option that differ only in being the next start up the axis."""
    others = [k for k in range(3) if k != axis]
    order = np.lexsort((c.low[:, axis], c.low[:, others[0]], c.low[:, others[1]], c.option, c.item))
    first, second = order[:-1], order[1:]
    same = (c.item[first] == c.item[second]) & (c.option[first] == c.option[second])
    same &= (c.low[first][:, others] == c.low[second][:, others]).all(axis=1)
    return first[same], second[same]


def _common(by_candidate: sparse.csr_matrix, first: Ints, second: Ints) -> Ints:
    """How many rows both of each pair lie in."""
    return np.asarray(by_candidate[first].multiply(by_candidate[second]).sum(axis=1), np.int64).ravel()
