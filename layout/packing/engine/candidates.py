"""Every box that could be placed: arrays of placements at the start positions, thinned to those that can rest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layout.packing.engine.model import Item, Placement
from layout.packing.engine.space import Bools, Ints, Space, free_starts
from layout.packing.engine.starts import Starts


@dataclass(frozen=True)
class Candidates:
    """n possible placements, as columns.

    item, option: (n,) indices; low, high: (n, 3) corners of the body; zone_low, zone_high: (n, 3) corners of the zone, equal
    where there is none; pushed_up: (n, 3), whether the start belongs to the set pushed up that axis.
    """

    item: Ints
    option: Ints
    low: Ints
    high: Ints
    zone_low: Ints
    zone_high: Ints
    pushed_up: Bools

    def __len__(self) -> int:
        return len(self.item)

    @property
    def zoned(self) -> Bools:
        """Whether each has a zone."""
        return np.asarray((self.zone_high > self.zone_low).all(axis=1), bool)

    def take(self, which: NDArray[np.generic]) -> Candidates:
        """Those picked by a mask or by indices."""
        return Candidates(
            self.item[which],
            self.option[which],
            self.low[which],
            self.high[which],
            self.zone_low[which],
            self.zone_high[which],
            self.pushed_up[which],
        )

    def placements(self, which: NDArray[np.generic]) -> tuple[Placement, ...]:
        """The picked ones as placements, sorted by corner."""
        found = [
            Placement(int(self.item[n]), int(self.option[n]), (int(self.low[n, 0]), int(self.low[n, 1]), int(self.low[n, 2])))
            for n in (np.flatnonzero(which) if which.dtype == np.bool_ else which)
        ]
        return tuple(sorted(found, key=lambda p: (p.at, p.item, p.option)))


def candidates_at(space: Space, items: Sequence[Item], starts: list[list[tuple[Starts, Starts, Starts]]]) -> Candidates:
    """All placements at the given starts whose body and zone lie in free space."""
    parts = [_none()]
    for n, item in enumerate(items):
        for m, option in enumerate(item.options):
            if item.most < 1:
                continue
            sets = starts[n][m]
            axes = (sets[0].all, sets[1].all, sets[2].all)
            ok = free_starts(space, axes, (0, 0, 0), option.size)
            if option.zone:
                ok &= free_starts(space, axes, option.zone[:3], option.zone[3:])
            where = np.argwhere(ok)
            low = np.stack([axes[a][where[:, a]] for a in range(3)], axis=1).astype(np.int64)
            up = np.stack([where[:, a] >= len(sets[a].low) for a in range(3)], axis=1)
            parts.append(_columns(n, m, low, items, up))
    return joined(parts)


def of_placements(items: Sequence[Item], placements: Sequence[Placement]) -> Candidates:
    """Placements as candidates (not assumed to be pushed anywhere)."""
    parts = [_none()]
    for p in placements:
        parts.append(_columns(p.item, p.option, np.array([p.at], np.int64), items, np.zeros((1, 3), bool)))
    return joined(parts)


def joined(parts: Sequence[Candidates]) -> Candidates:
    """Several sets in a row."""
    return Candidates(
        np.concatenate([p.item for p in parts]),
        np.concatenate([p.option for p in parts]),
        np.concatenate([p.low for p in parts]),
        np.concatenate([p.high for p in parts]),
        np.concatenate([p.zone_low for p in parts]),
        np.concatenate([p.zone_high for p in parts]),
        np.concatenate([p.pushed_up for p in parts]),
    )


def index_of(candidates: Candidates, placements: Sequence[Placement]) -> Ints:
    """The row of each placement among the candidates; -1 where it is not there."""
    if not len(candidates) or not placements:
        return np.full(len(placements), -1, np.int64)
    same = np.ones((len(placements), len(candidates)), bool)
    same &= np.array([p.item for p in placements])[:, None] == candidates.item
    same &= np.array([p.option for p in placements])[:, None] == candidates.option
    for axis in range(3):
        same &= np.array([p.at[axis] for p in placements])[:, None] == candidates.low[:, axis]
    return np.where(same.any(axis=1), same.argmax(axis=1), -1)


def mask_of(candidates: Candidates, placements: Sequence[Placement]) -> Bools | None:
    """The placements as a choice of candidates; None where one is not among them, or there are none."""
    at = index_of(candidates, placements)
    if not len(at) or (at < 0).any():
        return None
    chosen = np.zeros(len(candidates), bool)
    chosen[at] = True
    return chosen


def _none() -> Candidates:
    flat, corner = np.zeros(0, np.int64), np.zeros((0, 3), np.int64)
    return Candidates(flat, flat, corner, corner, corner, corner, np.zeros((0, 3), bool))


def _columns(item: int, option: int, low: Ints, items: Sequence[Item], up: Bools) -> Candidates:
    chosen = items[item].options[option]
    zone = np.array(chosen.zone or (0, 0, 0, 0, 0, 0), np.int64)
    count = np.ones(len(low), np.int64)
    return Candidates(item * count, option * count, low, low + np.array(chosen.size), low + zone[:3], low + zone[3:], up)


def clashes(candidates: Candidates, n: int) -> Bools:
    """Which candidates cannot stand beside candidate n (itself among them)."""
    c = candidates
    body = ((c.low < c.high[n]) & (c.low[n] < c.high)).all(axis=1)
    if c.zone_high[n, 0] > c.zone_low[n, 0]:
        body |= ((c.low < c.zone_high[n]) & (c.zone_low[n] < c.high)).all(axis=1)
    return body | ((c.zone_low < c.high[n]) & (c.low[n] < c.zone_high)).all(axis=1)
