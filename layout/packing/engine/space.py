"""Which boxes lie wholly in free space: a summed-area table over the region's own walls."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layout.packing.engine.model import Region

Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


@dataclass(frozen=True)
class Space:
    """The region cut along every wall.

    walls: for each axis the sorted coordinates of all wall faces, the region's two ends among them. taken[i, j, k]: the
    cell between walls i and i+1 (j, k alike) is blocked. table: number of blocked cells below each corner.
    """

    size: tuple[int, int, int]
    walls: tuple[Ints, Ints, Ints]
    taken: Bools
    table: Ints

    @property
    def volume(self) -> int:
        """The free volume."""
        dx, dy, dz = (np.diff(w) for w in self.walls)
        return int(np.einsum("ijk,i,j,k->", (~self.taken).astype(np.int64), dx, dy, dz))


def space_of(region: Region) -> Space:
    """Cut the region along its walls."""
    lows = np.array([b[:3] for b in region.blocked], np.int64).reshape(-1, 3)
    highs = np.array([b[3:] for b in region.blocked], np.int64).reshape(-1, 3)
    size = np.array(region.size, np.int64)
    lows, highs = np.clip(lows, 0, size), np.clip(highs, 0, size)
    keep = (lows < highs).all(axis=1)
    lows, highs = lows[keep], highs[keep]
    walls = tuple(np.unique(np.concatenate(([0, size[a]], lows[:, a], highs[:, a]))) for a in range(3))
    first = [np.searchsorted(walls[a], lows[:, a]) for a in range(3)]
    last = [np.searchsorted(walls[a], highs[:, a]) for a in range(3)]
    taken = np.zeros([len(w) - 1 for w in walls], bool)
    for n in range(len(lows)):
        taken[first[0][n] : last[0][n], first[1][n] : last[1][n], first[2][n] : last[2][n]] = True
    return Space(region.size, (walls[0], walls[1], walls[2]), taken, summed(taken))


def summed(cells: NDArray[np.generic]) -> Ints:
    """Summed-area table with a leading zero layer on each axis; shape grows by one on each axis."""
    table = np.zeros([n + 1 for n in cells.shape], np.int64)
    inner = cells.astype(np.int64)
    for axis in range(cells.ndim):
        inner = np.cumsum(inner, axis=axis)
    table[tuple(slice(1, None) for _ in cells.shape)] = inner
    return table


def free_starts(space: Space, starts: tuple[Ints, Ints, Ints], low: tuple[int, int, int], high: tuple[int, int, int]) -> Bools:
    """For each (x, y, z) of starts: whether the box from start + low to start + high lies in free space."""
    inside, first, last = [], [], []
    for axis in range(3):
        a, b = starts[axis] + low[axis], starts[axis] + high[axis]
        inside.append((a >= 0) & (b <= space.size[axis]))
        walls = space.walls[axis]
        first.append(np.searchsorted(walls, np.clip(a, 0, space.size[axis]), "right") - 1)
        last.append(np.searchsorted(walls, np.clip(b, 0, space.size[axis]), "left"))
    within = inside[0][:, None, None] & inside[1][None, :, None] & inside[2][None, None, :]
    return within & (block_sum(space.table, first, last) == 0)


def block_sum(table: Ints, first: list[Ints], last: list[Ints]) -> Ints:
    """Sums over all blocks [first, last) taken from a summed-area table, over the product of the three index lists."""
    total: Ints | int = 0
    for corner in range(8):
        pick = [last[a] if corner >> a & 1 else first[a] for a in range(3)]
        sign = 1 if bin(corner).count("1") % 2 else -1
        total = total + sign * table[np.ix_(*pick)]
    return np.asarray(total)
