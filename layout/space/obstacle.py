"""A thing that bounds the free space: walls, keep-outs, a scan."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from layout.frames import Array
from layout.space.round_bar import Bar

BLOCK = 256
"""Triangles per block of the index; a large mesh is sorted in space first (see `sorted_in_space`)."""


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
    def _blocks(self) -> tuple[Array, Array]:
        starts = np.arange(0, len(self.triangles), BLOCK)
        low = np.minimum.reduceat(self.triangles.min(axis=1), starts, axis=0)
        high = np.maximum.reduceat(self.triangles.max(axis=1), starts, axis=0)
        return low.astype(float), high.astype(float)

    @property
    def low(self) -> Array:
        """Least corner of its bounding box, (3,)."""
        return self._blocks[0].min(axis=0)

    @property
    def high(self) -> Array:
        """Greatest corner of its bounding box, (3,)."""
        return self._blocks[1].max(axis=0)

    def near(self, low: Array, high: Array) -> Array:
        """The triangles (m, 3, 3) whose bounding boxes meet the box from low to high."""
        if len(self.triangles) == 0:
            return np.zeros((0, 3, 3))
        first, last = self._blocks
        parts = [
            np.asarray(self.triangles[k * BLOCK : (k + 1) * BLOCK], dtype=float)
            for k in np.flatnonzero(np.all((first <= high) & (last >= low), axis=1))
        ]
        if not parts:
            return np.zeros((0, 3, 3))
        found = np.concatenate(parts)
        return found[np.all((found.min(axis=1) <= high) & (found.max(axis=1) >= low), axis=1)]


def sorted_in_space(triangles: NDArray[Any]) -> NDArray[Any]:
    """The same triangles in an order in which neighbours in the list are neighbours in space (Z-order curve)."""
    if len(triangles) <= BLOCK:
        return triangles
    low = triangles.reshape(-1, 3).min(axis=0)
    size = float((triangles.reshape(-1, 3).max(axis=0) - low).max())
    code = np.zeros(len(triangles), dtype=np.uint64)
    for axis in range(3):
        place = ((triangles[:, 0, axis] - low[axis]) * (1023.0 / size)).astype(np.uint64)
        for bit in range(10):
            code |= ((place >> np.uint64(bit)) & np.uint64(1)) << np.uint64(3 * bit + axis)
    return triangles[np.argsort(code, kind="stable")]
