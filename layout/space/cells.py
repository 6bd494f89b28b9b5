"""Cells of a grid in the pack's frame and the surfaces near them.

A grid is three rising lists of lines. Surfaces are sorted down from the whole grid to single cells by halving index
ranges; what is left at the end are pairs of a cell and a triangle that may be nearer than asked.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layout.frames import Array
from layout.space.triangles import point_triangle_squared

Index = NDArray[np.int64]
PAIR_CHUNK = 60_000


@dataclass(frozen=True, eq=False)
class Lines:
    """The lines of a grid along x, y and z, rising, in one frame; cells lie between neighbours."""

    x: Array
    y: Array
    z: Array

    @property
    def axes(self) -> tuple[Array, Array, Array]:
        """The three lists."""
        return self.x, self.y, self.z

    @property
    def shape(self) -> tuple[int, int, int]:
        """Number of cells along each axis."""
        return len(self.x) - 1, len(self.y) - 1, len(self.z) - 1

    def box(self, blocks: Index) -> tuple[Array, Array]:
        """Least and greatest corners (m, 3) of blocks (m, 6) of cells, given as first and past-the-last indices."""
        low = np.column_stack([line[blocks[:, k]] for k, line in enumerate(self.axes)])
        high = np.column_stack([line[blocks[:, k + 3]] for k, line in enumerate(self.axes)])
        return low, high


@dataclass(frozen=True, eq=False)
class Near:
    """What sorting found: pairs of single cell (index into the flattened grid) and triangle, and blocks without any.

    distance_mm: from the middle of the cell to the triangle. empty: (m, 6) blocks that no surface comes near.
    """

    cell: Index
    triangle: Index
    distance_mm: Array
    empty: Index


def _halves(blocks: Index) -> tuple[Index, Index]:
    """Blocks cut in up to eight at the middle of each index range; and which block each child comes from."""
    parent = np.arange(len(blocks))
    for axis in range(3):
        first, last = blocks[:, axis], blocks[:, axis + 3]
        wide = last - first > 1
        middle = (first + last) // 2
        left, right = blocks.copy(), blocks[wide].copy()
        left[wide, axis + 3] = middle[wide]
        right[:, axis] = middle[wide]
        blocks = np.concatenate([left, right])
        parent = np.concatenate([parent, parent[wide]])
    return blocks, parent


def _centre_distance(centres: Array, triangles: Array) -> Array:
    out = np.zeros(len(centres))
    for first in range(0, len(centres), PAIR_CHUNK):
        part = slice(first, first + PAIR_CHUNK)
        out[part] = np.sqrt(point_triangle_squared(centres[part], triangles[part]))
    return out


def sort_down(lines: Lines, triangles: Array, reach: Array) -> Near:
    """All pairs of cell and triangle (n, 3, 3) of which some points are nearer than reach (n,), and a few more.

    Triangles are in the frame of the lines. A pair left out is surely at least `reach` apart.
    """
    low_t, high_t = triangles.min(axis=1), triangles.max(axis=1)
    blocks = np.array([[0, 0, 0, *lines.shape]], dtype=np.int64)
    block = np.zeros(len(triangles), dtype=np.int64)
    tri = np.arange(len(triangles), dtype=np.int64)
    empty = []
    while True:
        low, high = lines.box(blocks)
        apart = np.maximum(low[block] - high_t[tri], low_t[tri] - high[block]).max(axis=1)
        keep = apart < reach[tri]
        block, tri = block[keep], tri[keep]
        distance = _centre_distance((low[block] + high[block]) / 2.0, triangles[tri])
        half_diagonal = np.linalg.norm(high - low, axis=1)[block] / 2.0
        keep = distance < reach[tri] + half_diagonal
        block, tri, distance = block[keep], tri[keep], distance[keep]
        used = np.zeros(len(blocks), dtype=bool)
        used[block] = True
        empty.append(blocks[~used])
        if np.all(blocks[used][:, 3:] - blocks[used][:, :3] == 1):
            cell = np.ravel_multi_index(tuple(blocks[block][:, :3].T), lines.shape)
            return Near(cell.astype(np.int64), tri, distance, np.concatenate(empty))
        blocks, block, tri = _descend(blocks, used, block, tri)


def _descend(blocks: Index, used: NDArray[np.bool_], block: Index, tri: Index) -> tuple[Index, Index, Index]:
    """Cut the blocks that some triangle is near; every pair goes on to all children of its block."""
    renumber = np.cumsum(used) - 1
    children, parent = _halves(blocks[used])
    order = np.argsort(parent, kind="stable")
    starts = np.searchsorted(parent[order], np.arange(int(used.sum()) + 1))
    mine = renumber[block]
    count = starts[mine + 1] - starts[mine]
    total = np.repeat(np.cumsum(count) - count, count)
    child = order[np.repeat(starts[mine], count) + np.arange(int(count.sum())) - total]
    return children, child.astype(np.int64), np.repeat(tri, count)


def fill(blocks: Index, values: NDArray[np.bool_], into: NDArray[np.bool_]) -> None:
    """Write one value per block (m, 6) into a grid of cells."""
    for (i0, j0, k0, i1, j1, k1), value in zip(blocks.tolist(), values.tolist(), strict=True):
        into[i0:i1, j0:j1, k0:k1] = value
