"""All ways a set of boxes may be shifted in a grid of free cells: a lattice of offsets and the moves between them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse
from scipy.sparse import csgraph

from layout.frames import Array, Extent
from layout.space.cells import Lines
from layout.space.grid import Flags
from layout.space.lines import SAME_MM


@dataclass(frozen=True, eq=False)
class Lattice:
    """Offsets along the three axes of the frame (each list rising and holding 0), and where the boxes are free.

    free: at an offset; moves: per axis, along the step from an offset to the next, the whole way.
    """

    axes: tuple[Array, Array, Array]
    free: Flags
    moves: tuple[Flags, Flags, Flags]

    @property
    def start(self) -> tuple[int, int, int]:
        """Index of no offset at all."""
        i, j, k = (int(np.argmin(np.abs(a))) for a in self.axes)
        return i, j, k

    def offset(self, node: int) -> Array:
        """The offset of a flat index, (3,)."""
        return np.array([a[i] for a, i in zip(self.axes, np.unravel_index(node, self.free.shape), strict=True)])


def offset_axes(lines: Lines, pieces: list[Extent], step_mm: float) -> tuple[Array, Array, Array]:
    """Offsets at which the pieces' bounding box stays on the grid, in equal steps from 0."""
    low = np.min([p.min_mm for p in pieces], axis=0)
    high = np.max([p.max_mm for p in pieces], axis=0)
    axes: list[Array] = []
    for k, line in enumerate(lines.axes):
        down = max(0, int((low[k] - line[0]) / step_mm))
        up = max(0, int((line[-1] - high[k]) / step_mm))
        axes.append(np.arange(-down, up + 1, dtype=np.float64) * step_mm)
    return axes[0], axes[1], axes[2]


def lattice_of(free: Flags, lines: Lines, pieces: list[Extent], axes: tuple[Array, Array, Array]) -> Lattice:
    """Where the pieces are free: only where every cell they reach into is. Off the grid nothing is free."""
    table = _blocked_before(free)
    at = np.ones(tuple(len(a) for a in axes), dtype=bool)
    moves = [np.ones(tuple(len(a) - (k == axis) for k, a in enumerate(axes)), dtype=bool) for axis in range(3)]
    for piece in pieces:
        at &= _clear(table, lines, piece, axes, None)
        for axis in range(3):
            moves[axis] &= _clear(table, lines, piece, axes, axis)
    return Lattice(axes, at, (moves[0], moves[1], moves[2]))


def _blocked_before(free: Flags) -> NDArray[np.int32]:
    """Running counts of blocked cells, one blocked layer added all round."""
    blocked = np.ones(tuple(n + 2 for n in free.shape), dtype=np.int32)
    blocked[1:-1, 1:-1, 1:-1] = ~free
    table = np.zeros(tuple(n + 1 for n in blocked.shape), dtype=np.int32)
    table[1:, 1:, 1:] = blocked.cumsum(axis=0).cumsum(axis=1).cumsum(axis=2)
    return table


def _clear(table: NDArray[np.int32], lines: Lines, piece: Extent, axes: tuple[Array, Array, Array], along: int | None) -> Flags:
    count = table
    for axis, (line, offsets) in enumerate(zip(lines.axes, axes, strict=True)):
        first, last = (offsets[:-1], offsets[1:]) if axis == along else (offsets, offsets)
        low, high = piece.min_mm[axis] + first, piece.max_mm[axis] + last
        i0 = np.clip(np.searchsorted(line, low + SAME_MM, side="right"), 0, len(line))
        i1 = np.clip(np.searchsorted(line, high - SAME_MM, side="left") + 1, 1, len(line) + 1)
        count = np.take(count, i1, axis=axis) - np.take(count, i0, axis=axis)
    clear: Flags = count == 0
    return clear


def graph_of(lattice: Lattice) -> sparse.csr_matrix:
    """Neighbouring offsets joined where the move between them is free; weights in mm."""
    number = np.arange(lattice.free.size).reshape(lattice.free.shape)
    rows, columns, weights = [], [], []
    for axis, move in enumerate(lattice.moves):
        here = np.moveaxis(number, axis, 0)
        step = np.diff(lattice.axes[axis])
        free = np.moveaxis(move, axis, 0)
        rows.append(here[:-1][free])
        columns.append(here[1:][free])
        weights.append(np.broadcast_to(step.reshape(-1, 1, 1), free.shape)[free])
    return sparse.csr_matrix(
        (np.concatenate(weights), (np.concatenate(rows), np.concatenate(columns))), shape=(lattice.free.size, lattice.free.size)
    )


def shortest(lattice: Lattice, start: int, goals: Flags) -> list[int]:
    """Flat indices from the start to the nearest goal; [] where none can be reached."""
    away, before = csgraph.dijkstra(graph_of(lattice), directed=False, indices=start, return_predecessors=True)
    reached = np.flatnonzero(goals.ravel() & np.isfinite(away))
    if len(reached) == 0:
        return []
    node = int(reached[np.argmin(away[reached])])
    path = [node]
    while node != start:
        node = int(before[node])
        path.append(node)
    return path[::-1]


def joined(lattice: Lattice, start: int, goals: Flags) -> bool:
    """Whether some goal can be reached."""
    _, label = csgraph.connected_components(graph_of(lattice), directed=False)
    return bool(np.any(label[goals.ravel()] == label[start]))
