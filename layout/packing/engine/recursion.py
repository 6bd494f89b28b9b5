"""Plain rectangles in a plain rectangle by cutting again and again: into five blocks at once, then into L-shapes."""

from __future__ import annotations

import threading
from collections.abc import Sequence

import numpy as np

from layout.packing.engine.board import Board
from layout.packing.engine.five_blocks import Laid, Table, fill_table, sums_up_to, tiles_of
from layout.packing.engine.flat import plate_of
from layout.packing.engine.l_shapes import LSearch
from layout.packing.engine.model import Item, Placement, Region

_MOST_LENGTHS = 60_000
"""Pairs of lengths that are sums of edges: with more of them the table would take too long."""
_AT_ONCE = 6_000
"""With no more of them the table is filled before anything else."""


class RecursionRun:
    """Layouts by cutting, in a thread of its own; `stop` ends it."""

    def __init__(self, region: Region, items: Sequence[Item], board: Board) -> None:
        self._items, self._board = items, board
        plate = plate_of(region, items)
        assert plate is not None
        self._length, self._width, self._a, self._b = plate[:4]
        self._table: Table | None = None
        self._stopped = False
        self.thread = threading.Thread(target=self._run)

    @staticmethod
    def suits(region: Region, items: Sequence[Item]) -> bool:
        """Whether the question is of the flat kind this is for, and not too fine."""
        plate = plate_of(region, items)
        return plate is not None and plate[4] and _pairs(plate[:4]) <= _MOST_LENGTHS

    def stop(self) -> None:
        """End the search."""
        self._stopped = True

    def run_briefly(self) -> None:
        """The table in the caller's thread, where it is small."""
        if _pairs((self._length, self._width, self._a, self._b)) <= _AT_ONCE:
            self._fill()

    def _over(self) -> bool:
        return self._stopped or self._board.over

    def _fill(self) -> None:
        self._table = fill_table(self._length, self._width, self._a, self._b, self._over)
        if self._table is not None:
            self._offer(tiles_of(self._table, self._length, self._width), "five blocks")

    def _run(self) -> None:
        if self._table is None:
            self._fill()
        if self._table is None or self._over():
            return
        search = LSearch(self._table, self._over)
        wide, high, x, y = search.normal(np.array([(self._length, self._width) * 2]))[0].tolist()
        worth = self._items[0].value
        while not self._over():
            wanted = self._board.value // worth + 1
            if not search.holds((wide, high, x, y), wanted):
                return
            self._offer(search.tiles((wide, high, x, y)), "L-shapes")

    def _offer(self, laid: Laid, who: str) -> None:
        option = {o.size[:2]: n for n, o in enumerate(self._items[0].options)}
        placed = tuple(Placement(0, option[wide, tall], (x, y, 0)) for x, y, wide, tall in laid[: self._items[0].most])
        if len(placed) >= self._items[0].least:
            self._board.offer(len(placed) * self._items[0].value, placed, who)


def _pairs(plate: tuple[int, int, int, int]) -> int:
    sums = sums_up_to(max(plate[:2]), *plate[2:])
    return int((sums <= plate[0]).sum()) * int((sums <= plate[1]).sum())
