"""Upper bounds on the number of boxes that need no search."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from layout.packing.engine.candidates import Candidates
from layout.packing.engine.model import Item


def volume_bound(items: Sequence[Item], volume: int) -> int:
    """Greatest value by volume: a fractional knapsack over the items' counts and volumes."""
    volumes = [min((int(np.prod(option.size)) for option in item.options), default=0) for item in items]
    left, total = float(volume), 0.0
    for n in sorted((n for n in range(len(items)) if volumes[n]), key=lambda n: -items[n].value / volumes[n]):
        used = min(float(items[n].most), left / volumes[n])
        total += used * items[n].value
        left -= used * volumes[n]
    return int(total + 1e-9)


def reachable_volume(candidates: Candidates) -> int:
    """Volume of the free space that some candidate covers (on pushed positions: all that any optimal packing need use)."""
    edges = [np.unique(np.concatenate((candidates.low[:, a], candidates.high[:, a], [0]))) for a in range(3)]
    first = [np.searchsorted(edges[a], candidates.low[:, a]) for a in range(3)]
    last = [np.searchsorted(edges[a], candidates.high[:, a]) for a in range(3)]
    marks = np.zeros([len(e) + 1 for e in edges], np.int32)
    for corner in range(8):
        pick = tuple(last[a] if corner >> a & 1 else first[a] for a in range(3))
        np.add.at(marks, pick, -1 if bin(corner).count("1") % 2 else 1)
    for axis in range(3):
        np.cumsum(marks, axis=axis, out=marks)
    cells = marks[: len(edges[0]) - 1, : len(edges[1]) - 1, : len(edges[2]) - 1] > 0
    dx, dy, dz = (np.diff(e) for e in edges)
    return int(np.einsum("ijk,i,j,k->", cells.astype(np.int64), dx, dy, dz))


def barnes_bound(length: int, width: int, a: int, b: int) -> int:
    """Most a x b rectangles (axis-parallel) in length x width.

    The waste is at least the greater of the least wastes for a x 1 and b x 1 strips. F. W. Barnes, "Packing the maximum
    number of m x n tiles in a large p x q rectangle", Discrete Mathematics 26 (1979) 93-100 (from memory).
    """
    waste = max(_strip_waste(length, width, a), _strip_waste(length, width, b))
    area = length * width
    waste += (area - waste) % (a * b) if area >= waste else 0
    return max((area - waste) // (a * b), 0)


def _strip_waste(length: int, width: int, a: int) -> int:
    r, s = length % a, width % a
    return min(r * s, (a - r) * (a - s))
