"""A thing that bounds the free space: walls, keep-outs, a scan."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from layout.frames import Array
from layout.space.round_bar import Bar

BLOCK = 256
"""Triangles per block of the index over a mesh."""
AT_ONCE = 128
"""Blocks handed out together."""


@dataclass(frozen=True, eq=False)
class Obstacle:
    """A thing that bounds the free space.

    triangles: (n, 3, 3), its surface (single precision where there are very many); for a round bar a many-sided one
    around it, used for grids only. solid: its inside is not free (keep-outs); otherwise only its surface counts (walls of
    the free space, a scan). bar: the exact bar. margin_mm: distance that belongs to it all round.
    """

    name: str
    triangles: NDArray[Any]
    margin_mm: float = 0.0
    solid: bool = False
    bar: Bar | None = None

    @cached_property
    def _index(self) -> _Index:
        return _index_of(self.triangles)

    @property
    def low(self) -> Array:
        """Least corner of its bounding box, (3,)."""
        return self._index.low.min(axis=0)

    @property
    def high(self) -> Array:
        """Greatest corner of its bounding box, (3,)."""
        return self._index.high.max(axis=0)

    def near(self, low: Array, high: Array) -> Iterator[Array]:
        """The triangles (m, 3, 3) whose bounding boxes meet the box from low to high, some ten thousand at a time."""
        if len(self.triangles) == 0:
            return
        index = self._index
        blocks = np.flatnonzero(np.all((index.low <= high) & (index.high >= low), axis=1))
        for first in range(0, len(blocks), AT_ONCE):
            picked = [index.order[k * BLOCK : (k + 1) * BLOCK] for k in blocks[first : first + AT_ONCE]]
            found = np.asarray(self.triangles[np.concatenate(picked)], dtype=float)
            found = found[np.all((found.min(axis=1) <= high) & (found.max(axis=1) >= low), axis=1)]
            if len(found):
                yield found


@dataclass(frozen=True, eq=False)
class _Index:
    """Triangles in an order in which neighbours in the list are neighbours in space, and bounds of blocks of them."""

    order: NDArray[np.int32]
    low: Array
    high: Array


def _index_of(triangles: NDArray[Any]) -> _Index:
    """Order along a Z-order curve (Morton, 1966, from memory); little more memory than the order itself."""
    order = np.argsort(_curve_place(triangles), kind="stable").astype(np.int32)
    count = -(-len(triangles) // BLOCK)
    low, high = np.zeros((count, 3)), np.zeros((count, 3))
    for first in range(0, count, BLOCK):
        blocks = range(first, min(first + BLOCK, count))
        part = triangles[order[first * BLOCK : (first + BLOCK) * BLOCK]]
        starts = np.arange(len(blocks)) * BLOCK
        low[blocks.start : blocks.stop] = np.minimum.reduceat(part.min(axis=1), starts, axis=0)
        high[blocks.start : blocks.stop] = np.maximum.reduceat(part.max(axis=1), starts, axis=0)
    return _Index(order, low, high)


def _curve_place(triangles: NDArray[Any]) -> NDArray[np.uint32]:
    corners = triangles[:, 0]
    low = corners.min(axis=0)
    size = max(float((corners.max(axis=0) - low).max()), 1e-9)
    place = np.zeros(len(triangles), dtype=np.uint32)
    for first in range(0, len(triangles), BLOCK * BLOCK):
        part = slice(first, first + BLOCK * BLOCK)
        cells = ((corners[part] - low) * (1023.0 / size)).astype(np.uint32)
        for axis in range(3):
            for bit in range(10):
                place[part] |= ((cells[:, axis] >> np.uint32(bit)) & np.uint32(1)) << np.uint32(3 * bit + axis)
    return place
