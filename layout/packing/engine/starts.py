"""Where a box may start: few positions per axis that still contain an optimal packing.

Push every box that starts below a threshold as far down the axis as it goes, and every other as far up. Each then rests on
a wall, a body or the edge of a zone, so its start is a wall face plus a sum of extents, from below or from above. The
"meet in the middle" of both sets (Cote and Iori, "The meet-in-the-middle principle for cutting and packing problems",
INFORMS J. on Computing 30 (2018); idea from memory) is much smaller than either; the threshold is chosen to make it
smallest. The argument needs that what a pushed box rests on starts on the same side of the threshold: it holds for bodies,
and for zones that are the body's own face drawn out (or lie within the body's span); other zones get the one-sided set.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layout.packing.engine.model import Item, Option
from layout.packing.engine.space import Ints, Space

_MOST_PLACES = 300_000
_FEWER_PLACES = 60_000


@dataclass(frozen=True)
class Step:
    """What one option adds to a chain of touching boxes along one axis, seen in the direction of the push.

    extent: of its body. ahead: how far its zone keeps bodies off the body's near face; None where the zone cannot matter.
    behind: how far its zone holds the body itself off what lies below; None likewise.
    """

    extent: int
    ahead: int | None
    behind: int | None


@dataclass(frozen=True)
class Starts:
    """Start positions of one option on one axis: `low` were pushed down, `high` pushed up; every low < every high."""

    low: Ints
    high: Ints

    @property
    def all(self) -> Ints:
        """Both, sorted."""
        return np.concatenate((self.low, self.high))


Table = list[list[tuple[Starts, Starts, Starts]]]


def start_sets(space: Space, items: Sequence[Item], sides: tuple[str, str, str]) -> Table:
    """Start positions for each item, option and axis. sides, per axis: "low" (pushed down), "high" (up) or "both"."""
    table: list[list[list[Starts]]] = [[[] for _ in item.options] for item in items]
    for axis in range(3):
        for n, options in enumerate(_axis_starts(space, items, axis, sides[axis])):
            for m, starts in enumerate(options):
                table[n][m].append(starts)
    return [[(s[0], s[1], s[2]) for s in options] for options in table]


def places_of(starts: Table) -> int:
    """How many places the starts span, free or not."""
    return sum(len(x.all) * len(y.all) * len(z.all) for options in starts for x, y, z in options)


def thinned(starts: Table) -> Table:
    """The same table when it spans few enough places to list; else one with evenly fewer starts (no longer exact)."""
    places = places_of(starts)
    if places <= _MOST_PLACES:
        return starts
    step = math.ceil((places / _FEWER_PLACES) ** (1 / 3))
    return [[(_every(x, step), _every(y, step), _every(z, step)) for x, y, z in options] for options in starts]


def _every(starts: Starts, step: int) -> Starts:
    return Starts(starts.low[::step], starts.high[::-step][::-1])


def _axis_starts(space: Space, items: Sequence[Item], axis: int, side: str) -> list[list[Starts]]:
    size = space.size[axis]
    lower = _pushed(_faces(space, axis, up=True), size, items, axis, flip=False)
    upper = _pushed(_faces(space, axis, up=False), size, items, axis, flip=True)
    if side == "both" and not _side_of_rest_is_kept(items, axis):
        side = "low"
    threshold = {"low": size + 1, "high": 0}.get(side)
    if threshold is None:
        threshold = _best_threshold(size, lower, upper)
    result = []
    for n, item in enumerate(items):
        row = []
        for m in range(len(item.options)):
            low, high = np.flatnonzero(lower[n][m]), np.flatnonzero(upper[n][m][::-1])
            row.append(Starts(low[low < threshold], high[high >= threshold]))
        result.append(row)
    return result


def _best_threshold(size: int, lower: list[list[NDArray[np.bool_]]], upper: list[list[NDArray[np.bool_]]]) -> int:
    """The threshold that leaves the fewest starts over all options."""
    total = np.zeros(size + 2, np.int64)
    for lows, highs in zip(lower, upper, strict=True):
        for low, high in zip(lows, highs, strict=True):
            if low.size:
                below = np.concatenate(([0], np.cumsum(low)))
                above = np.concatenate((np.cumsum(high)[::-1], [0]))
                total += np.pad(below + above, (0, size + 2 - below.size), constant_values=int(low.sum()))
    return int(np.argmin(total))


def _faces(space: Space, axis: int, up: bool) -> Ints:
    """Coordinates of the wall faces that stop a push down (up=True: free space above the face) or a push up."""
    taken = np.moveaxis(space.taken, axis, 0)
    solid = np.ones_like(taken[:1])
    padded = np.concatenate((solid, taken, solid))
    before, after = padded[:-1], padded[1:]
    face = (before & ~after) if up else (~before & after)
    found = space.walls[axis][face.any(axis=(1, 2))]
    return found if up else space.size[axis] - found


def _pushed(faces: Ints, size: int, items: Sequence[Item], axis: int, flip: bool) -> list[list[NDArray[np.bool_]]]:
    """reach[item][option][p]: p is a wall face plus a sum of extents (at most `most` boxes of each item in a chain)."""
    rest = np.zeros(size + 1, bool)
    rest[faces] = True
    steps = [[step_of(option, axis, flip) for option in item.options] for item in items]
    for item, options in zip(items, steps, strict=True):
        for _ in range(min(item.most, size)):
            before = rest.copy()
            for step in options:
                _add_step(rest, before, step)
            if (before == rest).all():
                break
    if any(shift < 0 for options in steps for step in options for shift in _shifts(step)):
        rest[:] = True
    return [[_starts(rest, step, size) for step in options] for options in steps]


def _shifts(step: Step) -> set[int]:
    """What one box can add to a chain: its extent or its zone's far edge, each with or without its zone held off below."""
    ends = {step.extent} if step.ahead is None else {step.extent, step.ahead}
    return ends if step.behind is None else ends | {end + step.behind for end in ends}


def _add_step(rest: NDArray[np.bool_], before: NDArray[np.bool_], step: Step) -> None:
    for shift in _shifts(step):
        if 0 < shift < len(rest):
            rest[shift:] |= before[: len(rest) - shift]


def _starts(rest: NDArray[np.bool_], step: Step, size: int) -> NDArray[np.bool_]:
    """Starts in 0..size-extent: on a rest, or held off one by the own zone."""
    found = rest.copy()
    if step.behind is not None:
        shift = step.behind
        if 0 < shift <= size:
            found[shift:] |= rest[: size + 1 - shift]
        elif -size <= shift < 0:
            found[:shift] |= rest[-shift:]
    return found[: max(size - step.extent + 1, 0)]


def step_of(option: Option, axis: int, flip: bool) -> Step:
    """What the option adds to a chain along the axis (flip: pushed up instead of down)."""
    extent = option.size[axis]
    if option.zone is None:
        return Step(extent, None, None)
    low, high = option.zone[axis], option.zone[axis + 3]
    if flip:
        low, high = extent - high, extent - low
    if drawn_out(option, axis):
        return Step(extent, high if high > extent else None, -low if low < 0 else None)
    return Step(extent, high if high != extent else None, -low if low != 0 else None)


def drawn_out(option: Option, axis: int) -> bool:
    """Whether the zone lies, seen along the axis, within the body, and touches or enters the body's span."""
    if option.zone is None:
        return True
    others = [k for k in range(3) if k != axis]
    shadowed = all(option.zone[k] >= 0 and option.zone[k + 3] <= option.size[k] for k in others)
    return shadowed and option.zone[axis] <= option.size[axis] and option.zone[axis + 3] >= 0


def _side_of_rest_is_kept(items: Sequence[Item], axis: int) -> bool:
    """Whether what a pushed box rests on always starts on the box's own side of it (see the module's text)."""
    options = [option for item in items for option in item.options]
    least = min((option.size[axis] for option in options), default=1)
    for option in options:
        if option.zone is None or drawn_out(option, axis):
            continue
        low, high, extent = option.zone[axis], option.zone[axis + 3], option.size[axis]
        if not (high > 0 and low < least and low < extent and high > extent - least):
            return False
    return True
