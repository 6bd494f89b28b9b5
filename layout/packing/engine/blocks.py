"""Layouts from blocks of equal boxes: quick, for questions with too many start positions to list.

The free space is kept as the list of its largest boxes, which may overlap. Each step takes the one nearest a corner of the
region, lays a block of one item in that corner of it (as many boxes side by side along one, two or three axes as fit or are
left), and cuts the block out of every box of the list. Repeated with changing rules and chance: a greedy randomised
construction after F. Parreno, R. Alvarez-Valdes, J. M. Tamarit, J. F. Oliveira, "A maximal-space algorithm for the container
loading problem", INFORMS J. on Computing 20 (2008) 412-422 (idea from memory).
"""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import permutations

import numpy as np

from layout.packing.engine.board import Board
from layout.packing.engine.model import Item, Placement, Region, worth
from layout.packing.engine.space import Bools, Ints, Space

MOST_SPACES = 400
"""With more free boxes than this (a region of many small blocked boxes) no layouts are made from blocks."""
ORDERS = tuple(permutations(range(3)))
CHOICES = 6
"""At most so many of the best blocks are left to chance."""


@dataclass(frozen=True)
class Block:
    """Boxes of one option side by side: how many along each axis."""

    item: int
    option: int
    number: tuple[int, int, int]
    size: tuple[int, int, int]


class BlocksRun:
    """Makes one layout from blocks after another, in a thread of its own; `stop` ends it after the one at hand."""

    def __init__(self, region: Region, space: Space, items: Sequence[Item], board: Board, seed: int) -> None:
        self._region, self._space, self._items, self._board = region, space, items, board
        self._rng = np.random.default_rng(seed)
        self._stopped = False
        self._round = 0
        self.thread = threading.Thread(target=self._run)

    @staticmethod
    def suits(items: Sequence[Item]) -> bool:
        """Whether the question is one for blocks: nothing that must stay clear before a box."""
        return all(option.zone is None for item in items for option in item.options)

    def stop(self) -> None:
        """End the search."""
        self._stopped = True

    def run_briefly(self, seconds: float) -> None:
        """Layouts for so long, in the caller's thread; one in any case."""
        until = time.monotonic() + seconds
        self._until(lambda: self._over() or time.monotonic() > until)

    def _run(self) -> None:
        self._until(self._over)

    def _over(self) -> bool:
        return self._stopped or self._board.over

    def _until(self, over: Callable[[], bool]) -> None:
        free = free_boxes(self._space)
        if not len(free) or len(free) > MOST_SPACES:
            return
        while True:
            placed = self._layout(free)
            enough = all(sum(p.item == n for p in placed) >= item.least for n, item in enumerate(self._items))
            if enough:
                self._board.offer(worth(self._items, placed), tuple(placed), "blocks")
            self._round += 1
            if over():
                return

    def _layout(self, free: Ints) -> list[Placement]:
        chance, deep, by_fit = self._habits()
        left = np.array([item.most for item in self._items])
        sizes = np.array([o.size for item in self._items for o in item.options], np.int64)
        owner = np.array([n for n, item in enumerate(self._items) for _ in item.options])
        placed: list[Placement] = []
        while len(free):
            at, corner = self._nearest(free)
            room = free[at, 3:] - free[at, :3]
            blocks = self._blocks(room, left, deep)
            if not blocks:
                free = np.delete(free, at, axis=0)
                continue
            block = self._picked(blocks, room, by_fit, chance)
            low = np.where(corner, free[at, 3:] - block.size, free[at, :3])
            placed += _boxes(block, low, self._items[block.item].options[block.option].size)
            left[block.item] -= int(np.prod(block.number))
            free = cut(free, low, low + np.array(block.size))
            usable = left[owner] > 0
            free = free[_holds_any(free, sizes[usable])] if usable.any() else free[:0]
        return placed

    def _habits(self) -> tuple[float, int, bool]:
        """Chance, number of axes along which boxes stand side by side, and whether the fit counts rather than the worth."""
        if self._round < 6:
            return 0.0, 3 - self._round % 3, self._round >= 3
        return float(self._rng.choice((0.1, 0.3, 0.6))), int(self._rng.integers(1, 4)), bool(self._rng.integers(2))

    def _nearest(self, free: Ints) -> tuple[int, Ints]:
        """The free box one corner of which lies nearest to the region's same corner; which ends of the axes that is."""
        size = np.array(self._region.size)
        ends = np.stack([free[:, :3], size - free[:, 3:]])
        corner = ends.argmin(axis=0)
        reach = np.sort(ends.min(axis=0), axis=1)
        volume = np.prod(free[:, 3:] - free[:, :3], axis=1)
        at = int(np.lexsort((-volume, reach[:, 2], reach[:, 1], reach[:, 0]))[0])
        return at, corner[at]

    def _blocks(self, room: Ints, left: Ints, deep: int) -> list[Block]:
        found: dict[tuple[object, ...], Block] = {}
        for n, item in enumerate(self._items):
            if left[n] <= 0:
                continue
            for m, option in enumerate(item.options):
                most = [int(r) // s for r, s in zip(room, option.size, strict=True)]
                if min(most) < 1:
                    continue
                for order in ORDERS:
                    number, spare = [1, 1, 1], int(left[n])
                    for axis in order[:deep]:
                        number[axis] = min(most[axis], spare)
                        spare //= number[axis]
                    size = tuple(k * s for k, s in zip(number, option.size, strict=True))
                    block = Block(n, m, (number[0], number[1], number[2]), (size[0], size[1], size[2]))
                    found.setdefault((n, m, *number), block)
        return list(found.values())

    def _picked(self, blocks: list[Block], room: Ints, by_fit: bool, chance: float) -> Block:
        def rank(block: Block) -> tuple[float, ...]:
            value = float(np.prod(block.number)) * self._items[block.item].value
            gaps = sorted(int(r) - s for r, s in zip(room, block.size, strict=True))
            return (*(float(g) for g in gaps), -value) if by_fit else (-value, *(float(g) for g in gaps))

        if chance <= 0.0 or len(blocks) == 1:
            return min(blocks, key=rank)
        best = sorted(blocks, key=rank)[: max(2, min(CHOICES, round(chance * len(blocks))))]
        return best[int(self._rng.integers(len(best)))]


def _boxes(block: Block, low: Ints, size: tuple[int, int, int]) -> list[Placement]:
    return [
        Placement(block.item, block.option, (int(low[0]) + i * size[0], int(low[1]) + j * size[1], int(low[2]) + k * size[2]))
        for i in range(block.number[0])
        for j in range(block.number[1])
        for k in range(block.number[2])
    ]


def free_boxes(space: Space) -> Ints:
    """The largest free boxes of a region, (m, 6); more than MOST_SPACES where there were too many to go on."""
    free = np.array([[0, 0, 0, *space.size]], np.int64)
    for cell in np.argwhere(space.taken):
        low = np.array([space.walls[a][cell[a]] for a in range(3)])
        high = np.array([space.walls[a][cell[a] + 1] for a in range(3)])
        free = cut(free, low, high)
        if len(free) > MOST_SPACES:
            break
    return free


def cut(free: Ints, low: Ints, high: Ints) -> Ints:
    """The free boxes (m, 6) after a box has been taken out of them; none lies within another."""
    meets = ((free[:, :3] < high) & (free[:, 3:] > low)).all(axis=1)
    if not meets.any():
        return free
    hit, parts = free[meets], []
    for axis in range(3):
        below, above = hit[hit[:, axis] < low[axis]].copy(), hit[hit[:, axis + 3] > high[axis]].copy()
        below[:, axis + 3], above[:, axis] = low[axis], high[axis]
        parts += [below, above]
    new = np.unique(np.concatenate(parts), axis=0)
    rest = free[~meets]
    others = np.concatenate((rest, new))
    low_in, high_in = new[:, None, :3] >= others[None, :, :3], new[:, None, 3:] <= others[None, :, 3:]
    inside = np.asarray(np.concatenate((low_in, high_in), axis=2).all(axis=2), bool)
    inside[np.arange(len(new)), len(rest) + np.arange(len(new))] = False
    return np.concatenate((rest, new[~inside.any(axis=1)]))


def _holds_any(free: Ints, sizes: Ints) -> Bools:
    room = free[:, 3:] - free[:, :3]
    fits = np.asarray((room[:, None, :] >= sizes[None, :, :]).all(axis=2), bool)
    return np.asarray(fits.any(axis=1), bool)
