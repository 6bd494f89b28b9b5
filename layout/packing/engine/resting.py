"""Drops candidates that cannot rest: after pushing, every box of some optimal packing touches something on all three axes.

A packing in which no box can be pushed further (those of the low sets down, those of the high sets up) exists with the same
items (see starts.py). In it each box rests, on each axis, on a wall, on a body, or on the edge of a zone; so a candidate
with nothing to rest on among walls and remaining candidates is dropped, until none is left to drop.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from layout.packing.engine.candidates import Candidates
from layout.packing.engine.model import Item
from layout.packing.engine.space import Bools, Ints, Space
from layout.packing.engine.starts import drawn_out

_FINEST = 160


def that_rest(space: Space, items: Sequence[Item], candidates: Candidates) -> Candidates:
    """The candidates that can rest on walls or on one another on every axis."""
    drawn = np.ones((len(items), max((len(item.options) for item in items), default=1), 3), bool)
    for n, item in enumerate(items):
        for m, option in enumerate(item.options):
            drawn[n, m] = [drawn_out(option, axis) for axis in range(3)]
    while len(candidates):
        keep = np.ones(len(candidates), bool)
        for axis in range(3):
            keep &= _resting(space, candidates, axis, drawn[candidates.item, candidates.option, axis])
        if keep.all():
            break
        candidates = candidates.take(keep)
    return candidates


def _resting(space: Space, c: Candidates, axis: int, drawn: Bools) -> Bools:
    keep = np.zeros(len(c), bool)
    for up in (False, True):
        group = np.flatnonzero(c.pushed_up[:, axis] == up)
        if group.size:
            keep[group] = _resting_one_way(space, c.take(group), axis, up, drawn[group])
    return keep


def _resting_one_way(space: Space, c: Candidates, axis: int, up: bool, drawn: Bools) -> Bools:
    near, far = (c.high, c.low) if up else (c.low, c.high)
    zone_near, zone_far = (c.zone_high, c.zone_low) if up else (c.zone_low, c.zone_high)
    others = [k for k in range(3) if k != axis]
    zoned = c.zoned
    beyond = zoned & ((zone_far[:, axis] < far[:, axis]) if up else (zone_far[:, axis] > far[:, axis]))
    before = zoned & ((zone_near[:, axis] > near[:, axis]) if up else (zone_near[:, axis] < near[:, axis]))
    beyond |= zoned & ~drawn
    before |= zoned & ~drawn
    body, zone = (c.low[:, others], c.high[:, others]), (c.zone_low[:, others], c.zone_high[:, others])
    walls = _wall_faces(space, axis, up)
    planes = np.unique(np.concatenate((far[:, axis], zone_far[beyond, axis], walls[0])))
    grids = [_cuts(np.concatenate((body[0][:, k], body[1][:, k], walls[1][:, k], walls[2][:, k]))) for k in range(2)]
    bodies = _Sheets(planes, grids)
    bodies.add(walls[0], walls[1], walls[2])
    bodies.add(far[:, axis], body[0], body[1])
    rests = bodies.meets(near[:, axis], body[0], body[1])
    if before.any():
        rests[before] |= bodies.meets(zone_near[before, axis], zone[0][before], zone[1][before])
    if beyond.any():
        zones = _Sheets(planes, grids)
        zones.add(zone_far[beyond, axis], zone[0][beyond], zone[1][beyond])
        rests |= zones.meets(near[:, axis], body[0], body[1])
    return rests


def _cuts(values: Ints) -> Ints:
    """Cell edges for one axis; thinned when very many (coarser cells can only let more candidates rest)."""
    found = np.unique(values)
    step = -(-len(found) // _FINEST)
    return found if step <= 1 else np.unique(np.concatenate((found[::step], found[-1:])))


def _wall_faces(space: Space, axis: int, up: bool) -> tuple[Ints, Ints, Ints]:
    """Wall faces that stop a push: coordinate (m,) and the corners (m, 2) of each face cell on the other two axes."""
    taken = np.moveaxis(space.taken, axis, 0)
    padded = np.pad(taken, ((1, 1), (0, 0), (0, 0)), constant_values=True)
    face = (padded[1:] & ~padded[:-1]) if up else (padded[:-1] & ~padded[1:])
    where = np.argwhere(face)
    first, second = (space.walls[k] for k in range(3) if k != axis)
    low = np.stack((first[where[:, 1]], second[where[:, 2]]), axis=1)
    high = np.stack((first[where[:, 1] + 1], second[where[:, 2] + 1]), axis=1)
    return space.walls[axis][where[:, 0]], low, high


class _Sheets:
    """Rectangles marked on parallel planes, and the question whether a rectangle meets a mark on its plane."""

    def __init__(self, planes: Ints, grids: list[Ints]) -> None:
        self.planes, self.grids = planes, grids
        self.marks = np.zeros((len(planes), len(grids[0]) + 1, len(grids[1]) + 1), np.int64)
        self.table: Ints | None = None

    def _rectangle(self, low: Ints, high: Ints) -> tuple[Ints, Ints, Ints, Ints]:
        first = [np.maximum(np.searchsorted(self.grids[k], low[:, k], "right") - 1, 0) for k in range(2)]
        last = [np.searchsorted(self.grids[k], high[:, k], "left") for k in range(2)]
        return first[0], last[0], first[1], last[1]

    def add(self, plane: Ints, low: Ints, high: Ints) -> None:
        """Mark rectangles from low (m, 2) to high (m, 2) on planes (m,), each of which must be known."""
        at = np.searchsorted(self.planes, plane)
        a, b, c, d = self._rectangle(low, high)
        for row, column, sign in ((a, c, 1), (b, c, -1), (a, d, -1), (b, d, 1)):
            np.add.at(self.marks, (at, row, column), sign)

    def meets(self, plane: Ints, low: Ints, high: Ints) -> Bools:
        """Whether each rectangle shares a cell with a mark on its plane."""
        if self.table is None:
            marked = (self.marks.cumsum(axis=1).cumsum(axis=2) > 0).astype(np.int64).cumsum(axis=1).cumsum(axis=2)
            self.table = np.pad(marked, ((0, 0), (1, 0), (1, 0)))
        at = np.minimum(np.searchsorted(self.planes, plane), len(self.planes) - 1)
        a, b, c, d = self._rectangle(low, high)
        found = self.table[at, b, d] - self.table[at, a, d] - self.table[at, b, c] + self.table[at, a, c]
        return (found > 0) & (self.planes[at] == plane)
