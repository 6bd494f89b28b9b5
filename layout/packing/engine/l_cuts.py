"""Ways to cut an L-shaped piece into two, and where the two lie in it.

A piece is (X, Y, x, y): the rectangle X by Y without what lies beyond x along the first axis and beyond y along the second;
x = X and y = Y for a rectangle. Cuts are paths of straight stretches, square to one another, that leave two such pieces,
turned over or not; a rectangle is also cut along a path with two bends. The idea is L. Lins, S. Lins and R. Morabito, "An
L-approach for packing (l, w)-rectangles into rectangular and L-shaped pieces", J. Opl Res. Soc. 54 (2003) 777-789 (from
memory; the list of cuts here was derived anew from what leaves two such pieces).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layout.packing.engine.space import Ints


@dataclass(frozen=True)
class Parts:
    """n pieces cut from one: shape (n, 4), X Y x y of each; at (n, 2): least corner of its bounds; over (n, 2): whether it is
    turned over along each axis.
    """

    shape: Ints
    at: Ints
    over: Ints

    def taken(self, which: NDArray[np.generic]) -> Parts:
        """Those picked by a mask or by indices."""
        return Parts(self.shape[which], self.at[which], self.over[which])

    def turned(self) -> Parts:
        """The same seen with the axes exchanged."""
        return Parts(self.shape[:, [1, 0, 3, 2]], self.at[:, ::-1], self.over[:, ::-1])


Cuts = tuple[Parts, Parts]


def cuts_of(piece: tuple[int, int, int, int], along: Ints, across: Ints) -> Cuts:
    """All cuts at the given lengths along both axes, as two lists of parts that belong together row by row."""
    swapped = (piece[1], piece[0], piece[3], piece[2])
    if piece[:2] == piece[2:]:
        found = [_two_bends(piece, along, across), _turned(_two_bends(swapped, across, along))]
    else:
        found = [
            _to_the_corner(piece, along, across),
            _turned(_to_the_corner(swapped, across, along)),
            _nested(piece, along, across),
            _from_the_inside(piece, along, across),
            _turned(_from_the_inside(swapped, across, along)),
        ]
    return joined([f[0] for f in found]), joined([f[1] for f in found])


def joined(parts: list[Parts]) -> Parts:
    """Several lists in a row."""
    shape, at, over = (np.concatenate([getattr(p, name) for p in parts]) for name in ("shape", "at", "over"))
    return Parts(shape, at, over)


def _turned(cuts: Cuts) -> Cuts:
    return cuts[0].turned(), cuts[1].turned()


def _parts(shape: tuple[object, ...], at: tuple[object, ...], over: tuple[int, int], n: int) -> Parts:
    def columns(values: tuple[object, ...]) -> Ints:
        return np.stack([np.broadcast_to(np.asarray(v, np.int64), n) for v in values], axis=1)

    return Parts(columns(shape), columns(at), columns(over))


def _grid(first: Ints, second: Ints) -> tuple[Ints, Ints]:
    return np.repeat(first, len(second)), np.tile(second, len(first))


def _to_the_corner(piece: tuple[int, int, int, int], along: Ints, across: Ints) -> Cuts:
    """From the bottom at p up to q, level to x, up to the inner corner (x, y)."""
    wide, high, x, y = piece
    p, q = _grid(along[along <= x], across[across <= y])
    n = len(p)
    left = _parts((x, high, p, high - q), (0, 0), (0, 1), n)
    right = _parts((wide - p, y, wide - x, q), (p, 0), (1, 0), n)
    p, q = _grid(along[along > x], across[across <= y])
    n = len(p)
    left_too = _parts((p, high, x, q), (0, 0), (0, 0), n)
    right_too = _parts((wide - x, y, wide - p, y - q), (x, 0), (1, 1), n)
    return joined([left, left_too]), joined([right, right_too])


def _nested(piece: tuple[int, int, int, int], along: Ints, across: Ints) -> Cuts:
    """From the top at p down to q, then level to the right."""
    wide, high, x, y = piece
    p, q = _grid(along[along <= x], across[across <= y])
    n = len(p)
    return _parts((wide, high, p, q), (0, 0), (0, 0), n), _parts((wide - p, high - q, x - p, y - q), (p, q), (0, 0), n)


def _from_the_inside(piece: tuple[int, int, int, int], along: Ints, across: Ints) -> Cuts:
    """From the upright face of the corner at height q level to p, then down."""
    wide, high, x, y = piece
    p, q = _grid(along[along <= x], across[across >= y])
    n = len(p)
    return _parts((x, high, p, high - q), (0, 0), (0, 1), n), _parts((wide - p, q, x - p, y), (p, 0), (0, 0), n)


def _two_bends(piece: tuple[int, int, int, int], along: Ints, across: Ints) -> Cuts:
    """A rectangle from the bottom at p up to q, back to r, up to the top."""
    wide, high = piece[:2]
    p, r = _grid(along, along)
    p, r = p[p >= r], r[p >= r]
    which, q = _grid(np.arange(len(p)), across)
    p, r, n = p[which], r[which], len(which)
    return _parts((p, high, r, q), (0, 0), (0, 0), n), _parts((wide - r, high, wide - p, high - q), (r, 0), (1, 1), n)
