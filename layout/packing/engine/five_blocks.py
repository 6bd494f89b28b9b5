"""Rectangles of one size, two ways round, in rectangles: what cutting again and again into up to five blocks gives.

A rectangle is cut into five by a pinwheel (two of its blocks may be empty: then it is a plain cut), each block in the same
way, down to the edges of one tile. The idea is R. Morabito and S. Morales, "A simple and effective recursive procedure for the
manufacturer's pallet loading problem", J. Opl Res. Soc. 49 (1998) 819-828 (from memory); here all rectangles up to the one
asked for are solved once, from small to large, and only those are cut in five that plain cuts leave below Barnes' bound.
It finds, it does not prove: the proof is a bound that it meets.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from layout.packing.engine.bounds import barnes_bound
from layout.packing.engine.space import Ints

Laid = list[tuple[int, int, int, int]]
"""x, y and both extents of each tile."""
Cut = tuple[int, int, int, int]
"""x1, x2, y1, y2 of a pinwheel (see `blocks_of`)."""


@dataclass
class Table:
    """counts (length+1, width+1): tiles a x b laid in each rectangle; bounds: no more can be; cuts: how the count is reached,
    by (length, width), no entry where it is that of a smaller or turned rectangle or nothing fits. Filled by `fill_table`.
    """

    a: int
    b: int
    counts: Ints
    bounds: Ints
    cuts: dict[tuple[int, int], Cut]
    sums: Ints
    """Lengths that are sums of the two edges, up to the longer side."""
    below: Ints
    """For each length up to that the greatest such sum that is no longer."""

    def marks(self, length: int) -> Ints:
        """Where a length need be cut: sums of edges that what is left beyond, made as short as may be, leaves room for."""
        return np.unique(self.below[length - self.sums[self.sums <= length]])


def blocks_of(length: int, width: int, cut: Cut) -> tuple[tuple[int, int, int, int], ...]:
    """The five blocks (x, y, length, width) of a rectangle cut at x1 <= x2 and y1 <= y2."""
    x1, x2, y1, y2 = cut
    return (
        (0, 0, x1, y2),
        (x1, 0, length - x1, y1),
        (x1, y1, x2 - x1, y2 - y1),
        (0, y2, x2, width - y2),
        (x2, y1, length - x2, width - y1),
    )


def sums_up_to(longest: int, a: int, b: int) -> Ints:
    """All sums of a's and b's up to a length, 0 among them, rising."""
    return np.unique([i * a + j * b for i in range(longest // a + 1) for j in range((longest - i * a) // b + 1)])


def fill_table(length: int, width: int, a: int, b: int, over: Callable[[], bool]) -> Table | None:
    """The table of all rectangles up to length x width; None when over() said to stop before it was full."""
    shape = (length + 1, width + 1)
    bounds = np.array([[barnes_bound(x, y, a, b) for y in range(shape[1])] for x in range(shape[0])], np.int64)
    long, broad = np.ogrid[: shape[0], : shape[1]]
    bounds *= ((long >= a) & (broad >= b)) | ((long >= b) & (broad >= a))
    sums = sums_up_to(max(length, width), a, b)
    below = sums[np.searchsorted(sums, np.arange(max(shape)), "right") - 1]
    table = Table(a, b, np.zeros(shape, np.int64), bounds, {}, sums, below)
    normal = np.zeros(max(shape), bool)
    normal[table.sums] = True
    for x in range(1, length + 1):
        if over():
            return None
        if not normal[x]:
            table.counts[x] = table.counts[x - 1]
            continue
        for y in range(1, width + 1):
            _fill_one(table, x, y, bool(normal[y]))
    return table


def _fill_one(table: Table, x: int, y: int, normal: bool) -> None:
    counts = table.counts
    if not normal:
        counts[x, y] = counts[x, y - 1]
    elif y < x < counts.shape[1]:
        counts[x, y] = counts[y, x]
    elif table.bounds[x, y] > 0:
        best, cut = _plain_cut(table, x, y)
        if best < table.bounds[x, y]:
            best, cut = _five(table, x, y, best, cut)
        smaller = max(counts[x, y - 1], counts[x - 1, y])
        if best >= smaller:
            table.cuts[x, y] = cut
        counts[x, y] = max(best, smaller)


def _plain_cut(table: Table, x: int, y: int) -> tuple[int, Cut]:
    """The best of one tile and the cuts straight through."""
    best, cut = 1, (0, 0, 0, 0)
    for across, size in ((True, x), (False, y)):
        at = table.sums[(table.sums > 0) & (2 * table.sums <= size)]
        if not len(at):
            continue
        both = table.counts[at, y] + table.counts[x - at, y] if across else table.counts[x, at] + table.counts[x, y - at]
        k = int(both.argmax())
        if both[k] > best:
            best, cut = int(both[k]), (int(at[k]), int(at[k]), 0, y) if across else (0, x, int(at[k]), int(at[k]))
    return best, cut


def _five(table: Table, x: int, y: int, best: int, cut: Cut) -> tuple[int, Cut]:
    """The best pinwheel, where it is better than what is known."""
    counts = table.counts
    xs, ys = table.marks(x), table.marks(y)
    y1, y2 = (v[np.less_equal.outer(ys, ys).ravel()] for v in (np.repeat(ys, len(ys)), np.tile(ys, len(ys))))
    for x1 in xs[2 * xs <= x].tolist():
        x2 = xs[xs >= x1][:, None]
        total = counts[x1, y2] + counts[x - x1, y1] + counts[x2 - x1, y2 - y1]
        total = total + counts[x2, y - y2] + counts[x - x2, y - y1]
        k = int(total.argmax())
        if total.flat[k] > best:
            i, j = divmod(k, len(y1))
            best, cut = int(total.flat[k]), (x1, int(x2[i, 0]), int(y1[j]), int(y2[j]))
            if best >= table.bounds[x, y]:
                break
    return best, cut


def tiles_of(table: Table, length: int, width: int) -> Laid:
    """The tiles of the table's layout of a rectangle."""
    if not table.counts[length, width]:
        return []
    x, y = int(table.below[length]), int(table.below[width])
    if (x, y) not in table.cuts:
        for shorter in ((x - 1, y), (x, y - 1)):
            if table.counts[shorter] == table.counts[x, y]:
                return tiles_of(table, *shorter)
        return [(v, u, tall, wide) for u, v, wide, tall in tiles_of(table, y, x)]
    if table.counts[x, y] == 1:
        wide = table.a if x >= table.a and y >= table.b else table.b
        return [(0, 0, wide, table.a + table.b - wide)]
    found: Laid = []
    for u, v, long, broad in blocks_of(x, y, table.cuts[x, y]):
        found += [(u + i, v + j, wide, tall) for i, j, wide, tall in tiles_of(table, long, broad)]
    return found
