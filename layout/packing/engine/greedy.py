"""First layouts at once: many quick fillings, each taking candidates in some order of corner and orientation."""

from __future__ import annotations

import itertools
import math
import time
from collections.abc import Sequence

import numpy as np

from layout.packing.engine.board import Board
from layout.packing.engine.candidates import Candidates, clashes
from layout.packing.engine.model import Item
from layout.packing.engine.space import Bools, Ints


def fill(candidates: Candidates, order: Ints, items: Sequence[Item], until: float = math.inf) -> Bools:
    """Take candidates in the order given (indices, best first) as long as they clash with none taken. Counts are kept.

    until: stop there on time.monotonic's clock.
    """
    chosen = np.zeros(len(candidates), bool)
    room = np.array([item.most for item in items], np.int64)
    pool, kinds = candidates.take(order), candidates.item[order]
    alive = room[kinds] > 0
    at = 0
    while True:
        ahead = np.argmax(alive[at:]) + at if at < len(alive) else len(alive)
        if ahead >= len(alive) or not alive[ahead] or time.monotonic() > until:
            return chosen
        chosen[order[ahead]] = True
        kind = kinds[ahead]
        room[kind] -= 1
        alive &= ~clashes(pool, int(ahead))
        if room[kind] <= 0:
            alive &= kinds != kind
        at = int(ahead) + 1


def orders(candidates: Candidates, items: Sequence[Item], seed: int) -> itertools.chain[Ints]:
    """Endless orders: first every corner and axis order with the options ranked, then random mixtures."""
    return itertools.chain(_corner_orders(candidates, items), _random_orders(candidates, items, seed))


def _corner_orders(c: Candidates, items: Sequence[Item]) -> itertools.starmap[Ints]:
    still = [a for a in range(3) if len(c) and (c.low[:, a] == c.low[0, a]).all()]
    moving = [a for a in range(3) if a not in still]
    axes = [(*order, *still) for order in itertools.permutations(moving)]
    signs = itertools.product(*((1,) if a in still else (1, -1) for a in range(3)))
    plans = itertools.product((0, 1, 2), signs, axes)
    return itertools.starmap(lambda rank, sign, axis: _corner_order(c, items, axis, sign, rank), plans)


def _corner_order(c: Candidates, items: Sequence[Item], axes: Sequence[int], signs: Sequence[int], rank: int) -> Ints:
    keys = [np.where(signs[a] > 0, c.low[:, a], -c.high[:, a]) for a in axes]
    extents = c.high - c.low
    values = np.array([item.value for item in items], float)[c.item]
    dense = np.round(np.prod(extents, axis=1) / values, 9)
    worth = dense if rank else -values
    turn = (extents[:, axes[0]], -extents[:, axes[1]], -extents[:, axes[2]])[rank]
    return np.lexsort((turn, keys[2], keys[1], keys[0], worth))


def _random_orders(c: Candidates, items: Sequence[Item], seed: int) -> itertools.starmap[Ints]:
    rounds = ((n,) for n in itertools.count())
    return itertools.starmap(lambda n: _random_order(c, items, np.random.default_rng((seed, n))), rounds)


def _random_order(c: Candidates, items: Sequence[Item], rng: np.random.Generator) -> Ints:
    """Corner order with a random corner, random leaning between axes and a random bonus for each option."""
    span = np.maximum(c.high.max(axis=0), 1)
    corner = rng.integers(0, 2, 3)
    distance = np.where(corner, span - c.high, c.low) / span
    weight = 10.0 ** rng.uniform(-2, 0, 3)
    kinds = c.item * 64 + c.option
    bonus = rng.uniform(0, 0.15, int(kinds.max(initial=0)) + 1)[kinds]
    values = np.array([item.value for item in items], float)[c.item]
    volume = np.prod(c.high - c.low, axis=1)
    worth = values / volume if rng.random() < 0.5 else values
    key = distance @ weight + bonus * rng.choice((0, 1)) - worth / worth.max() * rng.choice((0.0, 0.3, 3.0))
    return np.argsort(key, kind="stable")


def first_layouts(board: Board, candidates: Candidates, items: Sequence[Item], seed: int, rounds: int, seconds: float) -> None:
    """Put the best of so many fillings on the board (fewer when the seconds pass or the board is settled)."""
    values = np.array([item.value for item in items], np.int64)[candidates.item]
    least = np.array([item.least for item in items], np.int64)
    until = min(time.monotonic() + seconds, board.deadline)
    for order in itertools.islice(orders(candidates, items, seed), rounds):
        chosen = fill(candidates, order, items, until + seconds)
        counts = np.bincount(candidates.item[chosen], minlength=len(items))
        if int(values[chosen].sum()) > board.value and (counts >= least).all():
            board.offer(int(values[chosen].sum()), candidates.placements(chosen), "greedy")
        if board.over or time.monotonic() > until:
            return
