"""A first answer at once: many greedy rounds over the places, vectorised."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from layout.frames import Array
from layout.packing.bodies import Body
from layout.packing.places import Places

Bools = NDArray[np.bool_]


def conflicts(places: Places) -> Bools:
    """Which places exclude which, shape (n, n): bodies nearer than the gap, or a body in a clear zone; itself included."""
    low, high = places.low, places.low + places.size
    reach = high + places.gap
    clash = np.ones((places.count, places.count), dtype=bool)
    for a in range(3):
        clash &= (low[:, None, a] < reach[None, :, a]) & (low[None, :, a] < reach[:, None, a])
    zone = np.ones_like(clash)
    for a in range(3):
        zone &= (places.zone_low[:, None, a] < high[None, :, a]) & (low[None, :, a] < places.zone_high[:, None, a])
    clash |= zone | zone.T
    np.fill_diagonal(clash, True)
    return clash


def greedy(
    places: Places, bodies: tuple[Body, ...], clash: Bools, weight: Array, count: int, rounds: int, seed: int
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
    order: NDArray[np.int64], places: Places, clash: Bools, limit: NDArray[np.int64], module: Bools, count: int
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
        free &= ~clash[k]
        left[places.body[k]] -= 1
        if left[places.body[k]] == 0:
            free &= places.body != places.body[k]
        if module[k]:
            modules -= 1
            if modules == 0:
                free &= ~module
        order = alive
