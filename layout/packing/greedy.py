"""A first answer at once: many greedy rounds over the places, vectorised."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layout.frames import Array
from layout.packing.bodies import Body
from layout.packing.places import Ints, Places

Bools = NDArray[np.bool_]


class Conflicts:
    """Which places exclude which: bodies nearer than the gap, or a body in a clear zone; worked out for a place when asked."""

    def __init__(self, places: Places) -> None:
        p = self.places = places
        # one row per axis and end, each contiguous
        self.low, self.high = np.ascontiguousarray(p.low.T), np.ascontiguousarray((p.low + p.size).T)
        self.zoned = bool((p.zone_high > p.zone_low).all(axis=1).any())
        self.zone_low, self.zone_high = np.ascontiguousarray(p.zone_low.T), np.ascontiguousarray(p.zone_high.T)

    def of(self, k: int) -> Bools:
        """The places that place k excludes, shape (n,); itself included."""
        gap = self.places.gap
        clash = self._meet(self.low, self.high, self.low[:, k] - gap, self.high[:, k] + gap)
        if self.zoned:
            clash |= self._meet(self.zone_low, self.zone_high, self.low[:, k], self.high[:, k])
            clash |= self._meet(self.low, self.high, self.zone_low[:, k], self.zone_high[:, k])
        clash[k] = True
        return clash

    @staticmethod
    def _meet(low: Ints, high: Ints, from_: Ints, to: Ints) -> Bools:
        """Boxes (3, n) that overlap one box; an empty box overlaps none that has its edges on it."""
        clash = (low[0] < to[0]) & (high[0] > from_[0])
        for a in (1, 2):
            clash &= low[a] < to[a]
            clash &= high[a] > from_[a]
        return clash


def greedy(
    places: Places, bodies: tuple[Body, ...], clash: Conflicts, weight: Array, count: int, rounds: int, seed: int
) -> list[int]:
    """The best of many greedy rounds: most bodies, then least weight. weight: of each place, less is better.

    Each round takes places in the order of weight with noise, equipment first, as long as they exclude none taken.
    """
    rng = np.random.default_rng(seed)
    spread = float(np.ptp(weight)) or 1.0
    must = np.array([b.least > 0 for b in bodies])[places.body]
    limit = np.array([b.most for b in bodies])
    module = np.array([b.is_module for b in bodies])[places.body]
    best: list[int] = []
    best_rank = (-1, 0.0)
    for turn in range(rounds):
        noise = (0.0, 0.02, 0.1, 0.3, 1.0)[turn % 5] * spread
        key = weight + noise * rng.random(places.count) - 1e9 * must
        taken = _round(np.argsort(key, kind="stable"), places, clash, limit, module, count)
        rank = (len(taken), -float(weight[taken].sum()))
        if rank > best_rank:
            best, best_rank = taken, rank
    return best


def _round(
    order: NDArray[np.int64], places: Places, clash: Conflicts, limit: NDArray[np.int64], module: Bools, count: int
) -> list[int]:
    free = np.ones(places.count, dtype=bool)
    left, modules = limit.copy(), count
    taken: list[int] = []
    while True:
        alive = order[free[order]]
        if not len(alive):
            return taken
        k = int(alive[0])
        taken.append(k)
        free &= ~clash.of(k)
        left[places.body[k]] -= 1
        if left[places.body[k]] == 0:
            free &= places.body != places.body[k]
        if module[k]:
            modules -= 1
            if modules == 0:
                free &= ~module
        order = alive
