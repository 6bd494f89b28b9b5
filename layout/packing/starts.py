"""Places along one axis worth trying: sums of lengths from either end.

Any packing in an empty box can be pushed towards one end along each axis until every body touches the wall, another body
or a clear zone, so only such places need be tried (normal patterns: Christofides and Whitlock 1977, from memory). Taking
pushed-from-low places below a threshold and pushed-from-high places above it needs fewer still (meet in the middle:
Cote and Iori 2018, from memory). All lengths are whole numbers of a common unit.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

Push = Literal["low", "high", "middle"]


@dataclass(frozen=True)
class Edge:
    """What one stand takes along one axis: length, depth of its clear zone and on which end (-1 low, +1 high, 0 none)."""

    length: int
    zone: int
    end: int


def _closure(base: set[int], steps: set[int], limit: int) -> set[int]:
    found, fresh = set(base), set(base)
    while fresh:
        fresh = {v + s for v in fresh for s in steps if v + s <= limit} - found
        found |= fresh
    return found


def sums(edges: set[Edge], gap: int, limit: int) -> list[int]:
    """All places, from 0, at which a chain of bodies pushed to 0 can end (gap included), up to the limit.

    A clear zone may add its depth to the chain at most as often as zoned bodies fit one behind another.
    """
    plain = {e.length + gap for e in edges}
    zoned = {(e.length, e.zone) for e in edges if e.end}
    steps = {s + z for s, z in zoned} | {s + z + gap for s, z in zoned}
    found = _closure({0}, plain, limit)
    if not steps:
        return sorted(found)
    times = (limit + min(plain)) // min(steps)
    for _ in range(times):
        more = {v + s for v in found for s in steps if v + s <= limit} - found
        if not more:
            break
        found = _closure(found | more, plain, limit)
    return sorted(found)


def pushed(edge: Edge, chain: list[int], gap: int, room: int) -> set[int]:
    """Starts of one stand pushed towards 0 in a room of the given length."""
    last = room - edge.length - (edge.zone if edge.end > 0 else 0)
    if edge.end >= 0:
        return {v for v in chain if v <= last}
    near = {edge.zone} | {v + max(edge.zone - gap, 0) for v in chain if v > 0}
    return {v for v in near if edge.zone <= v <= last}


def starts(edge: Edge, edges: set[Edge], gap: int, room: int, push: Push) -> list[int]:
    """Starts of one stand worth trying along an axis of the given length."""
    return starts_of_all([edge], edges, gap, room, push)[0]


def starts_of_all(asked: list[Edge], edges: set[Edge], gap: int, room: int, push: Push) -> list[list[int]]:
    """Starts of several stands; where push is "middle" the threshold with the fewest starts in all is taken."""
    limit = room - min(e.length for e in edges)
    if limit < 0:
        return [[] for _ in asked]
    flipped = {Edge(e.length, e.zone, -e.end) for e in edges}
    low_chain, high_chain = sums(edges, gap, limit), sums(flipped, gap, limit)
    low = [pushed(e, low_chain, gap, room) for e in asked]
    mirrored = [pushed(Edge(e.length, e.zone, -e.end), high_chain, gap, room) for e in asked]
    high = [{room - e.length - v for v in m} for e, m in zip(asked, mirrored, strict=True)]
    if push == "low":
        return [sorted(s) for s in low]
    if push == "high":
        return [sorted(s) for s in high]
    best = _fewest(low, high, room)
    return [sorted({v for v in a if v < best} | {v for v in b if v >= best}) for a, b in zip(low, high, strict=True)]


def _fewest(low: list[set[int]], high: list[set[int]], room: int) -> int:
    """The threshold that leaves the fewest starts: those from low below it and those from high at or above it."""
    below, above = (np.sort(np.array([v for one in sets for v in one], dtype=np.int64)) for sets in (low, high))
    marks = np.unique(np.concatenate([[0, room + 1], below, above]))
    left = np.searchsorted(below, marks) + len(above) - np.searchsorted(above, marks)
    return int(marks[np.argmin(left)])
