"""Flat hard cases: one rectangle type, two ways round, in a rectangle, aiming at a count that the bound allows.

When the area left over at that count is small, few skylines are possible. A beam of partial fillings grows from the bottom:
each step takes the lowest (then leftmost) level stretch of the skyline and lays a rectangle at its left or right end,
either way round, or gives the stretch up as waste. A partial filling dies when its waste, plus the least waste its columns
must still incur (heights that are no sum of the two edges), exceeds what the count allows; equal skylines count once. All
fillings of the beam are moved at once as arrays. The search finds, it does not prove: the proof is the bound it meets.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from layout.packing.engine.space import Bools, Ints

_GIVE_UPS = 8
BREADTHS = (500, 3000, 12000, 40000)


@dataclass(frozen=True)
class Plate:
    """width columns by height; rectangles a x b (both ways round), `count` wanted."""

    width: int
    height: int
    a: int
    b: int
    count: int

    @property
    def spare(self) -> int:
        """Area that may be wasted."""
        return self.width * self.height - self.count * self.a * self.b


@dataclass(frozen=True)
class _Beam:
    """Partial fillings: skyline heights (n, width), waste (n,), and for each the step that led to it.

    parent: row in the beam before; x, y, wide: where the last rectangle was laid and its extent along the columns.
    """

    heights: Ints
    waste: Ints
    parent: Ints
    x: Ints
    y: Ints
    wide: Ints


Laid = list[tuple[int, int, int]]


def lay(plate: Plate, breadth: int, roughness: float, right: bool, over: Callable[[], bool]) -> Laid | None:
    """(x, y, extent along x) of each rectangle of a layout with the count wanted, or None where the beam found none.

    breadth: fillings kept per step; roughness: how much a step in the skyline counts against a filling, beside waste;
    right: also lay at the right end of a stretch.
    """
    lost = least_waste(plate.height, plate.a, plate.b)
    rng = np.random.default_rng(breadth)
    key = rng.integers(1, 2**62, plate.width)
    beam = _start(plate)
    history = []
    for _ in range(plate.count):
        if over():
            return None
        grown = _grow(plate, beam, lost, right)
        must = grown.waste + lost[plate.height - grown.heights].sum(axis=1)
        alive = np.flatnonzero(must <= plate.spare)
        _, first = np.unique(grown.heights[alive].astype(np.int64) @ key, return_index=True)
        alive = alive[first]
        if not alive.size:
            return None
        if alive.size > breadth:
            steps = (np.diff(grown.heights[alive], axis=1) != 0).sum(axis=1)
            score = must[alive] + roughness * steps + 0.5 * rng.random(alive.size)
            alive = alive[np.argpartition(score, breadth)[:breadth]]
        beam = _pick(grown, alive)
        history.append(beam)
    return _trace(history)


def settings_to_try() -> Iterator[tuple[int, float, bool, bool]]:
    """(breadth, roughness, right, turned) from quick to slow; turned: columns along the other side of the plate."""
    for breadth in BREADTHS:
        for roughness in (2.0, 0.5):
            for right in (True, False):
                for turned in (False, True):
                    yield breadth, roughness, right, turned


def least_waste(longest: int, a: int, b: int) -> Ints:
    """For each length 0..longest: what is left over by the best sum of a's and b's."""
    reached = np.zeros(longest + 1, bool)
    reached[0] = True
    for n in range(1, longest + 1):
        reached[n] = (n >= a and reached[n - a]) or (n >= b and reached[n - b])
    lengths = np.arange(longest + 1)
    return lengths - np.maximum.accumulate(np.where(reached, lengths, 0))


def _start(plate: Plate) -> _Beam:
    zero = np.zeros(1, np.int64)
    return _Beam(np.zeros((1, plate.width), np.int32), zero, zero, zero, zero, zero)


def _pick(beam: _Beam, which: Ints) -> _Beam:
    return _Beam(beam.heights[which], beam.waste[which], beam.parent[which], beam.x[which], beam.y[which], beam.wide[which])


def _grow(plate: Plate, beam: _Beam, lost: Ints, right: bool) -> _Beam:
    """Every filling with one more rectangle."""
    heights, waste, parent = beam.heights, beam.waste, np.arange(len(beam.waste))
    column = np.arange(plate.width)
    found: list[_Beam] = []
    for _ in range(_GIVE_UPS):
        if not len(heights):
            break
        level, start, end, top = _stretch(plate, heights, column)
        for wide, tall in {(plate.a, plate.b), (plate.b, plate.a)}:
            for at_right in (False, True) if right else (False,):
                fits = np.flatnonzero((end - start >= wide + at_right) & (level + tall <= plate.height))
                x = (end[fits] - wide) if at_right else start[fits]
                raised = _raise(heights[fits], column, x, x + wide, level[fits] + tall)
                found.append(_Beam(raised, waste[fits], parent[fits], x, level[fits], np.full(len(fits), wide)))
        waste = waste + (end - start) * (top - level)
        goes_on = np.flatnonzero((waste <= plate.spare) & (level < plate.height))
        heights = _raise(heights[goes_on], column, start[goes_on], end[goes_on], top[goes_on])
        waste, parent = waste[goes_on], parent[goes_on]
        alive = waste + lost[plate.height - heights].sum(axis=1) <= plate.spare
        heights, waste, parent = heights[alive], waste[alive], parent[alive]
    return _Beam(
        np.concatenate([b.heights for b in found]),
        np.concatenate([b.waste for b in found]),
        np.concatenate([b.parent for b in found]),
        np.concatenate([b.x for b in found]),
        np.concatenate([b.y for b in found]),
        np.concatenate([b.wide for b in found]),
    )


def _stretch(plate: Plate, heights: Ints, column: Ints) -> tuple[Ints, Ints, Ints, Ints]:
    """The lowest, then leftmost level stretch of each skyline: its level, start, end, and the lower of its two banks."""
    row = np.arange(len(heights))
    level = heights.min(axis=1).astype(np.int64)
    start = heights.argmin(axis=1)
    beyond: Bools = (heights != level[:, None]) & (column > start[:, None])
    end = np.where(beyond.any(axis=1), beyond.argmax(axis=1), plate.width)
    left = np.where(start > 0, heights[row, np.maximum(start - 1, 0)], plate.height)
    right = np.where(end < plate.width, heights[row, np.minimum(end, plate.width - 1)], plate.height)
    return level, start, end, np.minimum(left, right).astype(np.int64)


def _raise(heights: Ints, column: Ints, start: Ints, end: Ints, to: Ints) -> Ints:
    inside = (column >= start[:, None]) & (column < end[:, None])
    return np.where(inside, to[:, None], heights).astype(np.int32)


def _trace(history: list[_Beam]) -> Laid:
    row, laid = 0, []
    for beam in reversed(history):
        laid.append((int(beam.x[row]), int(beam.y[row]), int(beam.wide[row])))
        row = int(beam.parent[row])
    return laid
