"""Flat hard cases once more: is there a layout of so many tiles, by cutting the rectangle into L-shaped pieces?

Each piece is asked for so many tiles that the other can make up the rest, by an upper bound on the other. What the pieces
hold is bounded from below by their two cuts into rectangles (see five_blocks.py), and from above by colours: with the cells
(i, j) of a piece coloured by (i + j) mod a, or (i - j) mod a, each 1 x a strip holds each colour once, and each tile is b such
strips; so a piece with N cells of its rarest colour holds no more than N / b tiles (after F. W. Barnes, see bounds.py).
Near the bound little may be wasted, few cuts are left, and the search soon ends, deeper by a level each time it fails.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from layout.packing.engine.five_blocks import Laid, Table, tiles_of
from layout.packing.engine.l_cuts import Parts, cuts_of
from layout.packing.engine.space import Ints

Piece = tuple[int, int, int, int]
Cut = tuple[Parts, Parts]
DEEPEST = 8
"""Levels of cuts at most."""


@dataclass(frozen=True)
class _Choices:
    """Cuts of a piece that might give `need`, row by row: the parts, each made as small as may be, and their bounds (n, 2)."""

    need: int
    one: Parts
    two: Parts
    a: Ints
    b: Ints
    most: Ints


class LSearch:
    """Looks for layouts of pieces of one rectangle; remembers what it found and what it did not."""

    def __init__(self, table: Table, over: Callable[[], bool]) -> None:
        self.table, self.over = table, over
        self.colours = [(m, self._coloured(m, sign)) for m in (table.a, table.b) for sign in (1, -1)]
        self.found: dict[Piece, tuple[int, Cut | None]] = {}
        self.choices: dict[Piece, _Choices] = {}
        self.missed: dict[Piece, tuple[int, int]] = {}

    def _coloured(self, modulus: int, sign: int) -> Ints:
        """Cells of each colour below each corner, shape (length+1, width+1, modulus)."""
        x, y = np.ogrid[: self.table.counts.shape[0] - 1, : self.table.counts.shape[1] - 1]
        one = ((x + sign * y) % modulus)[:, :, None] == np.arange(modulus)
        return np.pad(one.astype(np.int64).cumsum(axis=0).cumsum(axis=1), ((1, 0), (1, 0), (0, 0)))

    def normal(self, shapes: Ints) -> Ints:
        """The pieces made as small as what can stand in them asks; those that are rectangles as such."""
        wide, high, x, y = self.table.below[shapes].T
        wide, high = np.where(y == 0, x, wide), np.where(x == 0, y, high)  # one arm only; none: nothing
        x, y = np.where(x == 0, wide, x), np.where(y == 0, high, y)
        whole = (x == wide) | (y == high)
        return np.stack([wide, high, np.where(whole, wide, x), np.where(whole, high, y)], axis=1)

    def least(self, shapes: Ints) -> Ints:
        """Tiles that cuts into two rectangles give."""
        counts, (wide, high, x, y) = self.table.counts, shapes.T
        return np.maximum(counts[wide, y] + counts[x, high - y], counts[x, high] + counts[wide - x, y])

    def most(self, shapes: Ints) -> Ints:
        """Tiles that colours and area allow."""
        wide, high, x, y = shapes.T
        tile = self.table.a * self.table.b
        found = (wide * y + x * (high - y)) // tile
        for modulus, cells in self.colours:
            rarest = (cells[wide, y] + cells[x, high] - cells[x, y]).min(axis=1)
            found = np.minimum(found, rarest * modulus // tile)
        return np.asarray(found)

    def holds(self, piece: Piece, need: int) -> bool:
        """Whether a layout of at least `need` tiles is found, deeper and deeper until time is up."""
        return any(self._holds(piece, need, depth) for depth in range(2, DEEPEST + 1) if not self.over())

    def _holds(self, piece: Piece, need: int, depth: int) -> bool:
        if need <= 0 or need <= self._known(piece):
            return True
        missed, deep = self.missed.get(piece, (need + 1, 0))
        if depth <= 1 or self.over() or (missed <= need and deep >= depth):
            return False
        if self._by_some_cut(piece, need, depth):
            return True
        if not self.over():
            self.missed[piece] = (need, depth)
        return False

    def _known(self, piece: Piece) -> int:
        """Tiles that the piece is known to hold: by one cut at least."""
        if piece not in self.found:
            one, two, a, b = self._cut(piece)
            both = self.least(a) + self.least(b)
            plain = int(self.least(np.array([piece]))[0])
            k = int(both.argmax()) if len(both) else -1
            better = k >= 0 and both[k] > plain
            self.found[piece] = (int(both[k]), (_row(one, k), _row(two, k))) if better else (plain, None)
        return self.found[piece][0]

    def _cut(self, piece: Piece) -> tuple[Parts, Parts, Ints, Ints]:
        """All cuts, and both parts of each made as small as may be; none that leaves the piece as it is."""
        along, across = (np.union1d(self.table.marks(piece[k]), self.table.marks(piece[k + 2])) for k in (0, 1))
        one, two = cuts_of(piece, along, across)
        a, b = self.normal(one.shape), self.normal(two.shape)
        smaller = (a != piece).any(axis=1) & (b != piece).any(axis=1)
        return one.taken(smaller), two.taken(smaller), a[smaller], b[smaller]

    def _choices(self, piece: Piece, need: int) -> _Choices:
        """The cuts whose parts might hold `need` between them, the most promising first; kept."""
        kept = self.choices.get(piece)
        if kept is not None and kept.need <= need:
            return kept
        one, two, a, b = self._cut(piece)
        tile = self.table.a * self.table.b
        rough = sum((s[:, 0] * s[:, 3] + s[:, 2] * (s[:, 1] - s[:, 3])) // tile for s in (a, b))
        able = np.flatnonzero(rough >= need)
        one, two, a, b = one.taken(able), two.taken(able), a[able], b[able]
        most = np.stack([self.most(a), self.most(b)], axis=1)
        least = self.least(a) + self.least(b)
        order = np.argsort(-least, kind="stable")
        order = order[most[order].sum(axis=1) >= need]
        kept = _Choices(need, one.taken(order), two.taken(order), a[order], b[order], most[order])
        self.choices[piece] = kept
        return kept

    def _by_some_cut(self, piece: Piece, need: int, depth: int) -> bool:
        open_ = self._choices(piece, need)
        for row, (most_a, most_b) in enumerate(open_.most.tolist()):
            if most_a + most_b < need:
                continue
            first, second = _piece(open_.a[row]), _piece(open_.b[row])
            if self._together(first, second, need, (most_a, most_b), depth - 1):
                self.found[piece] = (need, (_row(open_.one, row), _row(open_.two, row)))
                return True
            if self.over():
                return False
        return False

    def _together(self, first: Piece, second: Piece, need: int, most: tuple[int, int], depth: int) -> bool:
        """Whether the two hold `need` between them, the first one as few as the other's bound asks, then more."""
        for mine in range(max(need - most[1], 0), most[0] + 1):
            if not self._holds(first, mine, depth):
                return False
            if self._holds(second, need - mine, depth):
                return True
        return False

    def tiles(self, piece: Piece) -> Laid:
        """The tiles of what was found for a piece."""
        cut = self.found.get(piece, (0, None))[1]
        if cut is not None:
            return [tile for part in cut for tile in self._tiles_of_part(part)]
        wide, high, x, y = piece
        counts = self.table.counts
        if counts[wide, y] + counts[x, high - y] >= counts[x, high] + counts[wide - x, y]:
            return [*tiles_of(self.table, wide, y), *_moved(tiles_of(self.table, x, high - y), 0, y)]
        return [*tiles_of(self.table, x, high), *_moved(tiles_of(self.table, wide - x, y), x, 0)]

    def _tiles_of_part(self, part: Parts) -> Laid:
        laid = self.tiles(_piece(self.normal(part.shape)[0]))
        wide, high = part.shape[0, :2].tolist()
        over_x, over_y = part.over[0].tolist()
        turned = [((wide - u - w) if over_x else u, (high - v - h) if over_y else v, w, h) for u, v, w, h in laid]
        return _moved(turned, *part.at[0].tolist())


def _moved(laid: Laid, x: int, y: int) -> Laid:
    return [(u + x, v + y, wide, tall) for u, v, wide, tall in laid]


def _piece(row: Ints) -> Piece:
    wide, high, x, y = row.tolist()
    return (wide, high, x, y)


def _row(parts: Parts, row: int) -> Parts:
    return parts.taken(np.array([row]))
