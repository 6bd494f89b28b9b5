"""Places in layers: modules whose bases lie level, layer upon layer, so that bars can run under each layer from wall to wall.

An arrangement in layers is easier to hold, to build and to empty than one whose modules interlock; the search tries both.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations_with_replacement

import numpy as np
from numpy.typing import NDArray

from layout.frames import Extent
from layout.packing.bodies import Body
from layout.packing.places import Places, down_to

MOST_LAYERS = 5
MOST_STACKS = 8
"""Stacks of layers tried per room."""


def layered(places: Places, bodies: tuple[Body, ...], room: Extent, count: int) -> Iterator[Places]:
    """The places narrowed to one stack of layers after another: the lowest stacks that could hold the count, first.

    Each layer is as high as one of the stands; lower ones may stand in it too. Equipment keeps all its places.
    """
    module = np.array([b.is_module for b in bodies])[places.body]
    low, high = places.low[:, 2], places.low[:, 2] + places.size[:, 2]
    top = np.where(module, np.maximum(high, places.zone_high[:, 2]), high)
    heights = np.unique((top - low)[module])
    for stack in _stacks(heights, _footprint(places, module), places, room, count):
        fits = ~module
        base = 0
        for height in stack:
            fits |= module & (low == base) & (top <= base + height)
            base += height + places.gap
        if (fits & module).any():
            yield _taken(places, fits)


def _footprint(places: Places, module: NDArray[np.bool_]) -> float:
    """Least area, in square units, that a module takes in plan."""
    size = places.size[module, :2] + places.gap
    return float(np.prod(size, axis=1).min()) if len(size) else np.inf


def _stacks(
    heights: NDArray[np.int64], footprint: float, places: Places, room: Extent, count: int
) -> list[tuple[int, ...]]:
    """Heights of the layers, from the floor up."""
    x, y, z = (down_to(v, places.unit_mm) for v in room.size_mm)
    per_layer = int((x + places.gap) * (y + places.gap) // footprint)
    if not per_layer or not len(heights):
        return []
    least = -(-count // per_layer)
    found = []
    for number in range(least, min(MOST_LAYERS, max(least, 1) + 2) + 1):
        for stack in combinations_with_replacement(heights[::-1].tolist(), number):
            if sum(stack) + places.gap * (number - 1) <= z:
                found.append(stack)
    found.sort(key=lambda s: (sum(s) + places.gap * (len(s) - 1), s))
    both = [order for stack in found[:MOST_STACKS] for order in dict.fromkeys((stack, stack[::-1]))]
    return both[:MOST_STACKS]


def _taken(places: Places, keep: NDArray[np.bool_]) -> Places:
    columns = ("body", "stand", "low", "size", "zone_low", "zone_high")
    return replace(places, **{name: getattr(places, name)[keep] for name in columns})
