"""What is packed into what, in whole units of length: the engine's question and its answer.

All lengths are integers in one unit chosen by the caller (the engine never sees millimetres). Boxes are half-open:
(x0, y0, z0, x1, y1, z1) holds x0 <= x < x1 and so on; two boxes that touch do not overlap.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

Triple = tuple[int, int, int]
Box = tuple[int, int, int, int, int, int]


@dataclass(frozen=True)
class Option:
    """One way to turn an item.

    size: extents of the body along x, y, z (any gap already included). zone: box that must lie in free space and hold no
    body, relative to the body's least corner; zones may overlap one another. tag: the caller's own label.
    """

    size: Triple
    zone: Box | None = None
    tag: object = None


@dataclass(frozen=True)
class Item:
    """A type of box: its options, at most and at least how many, and what one is worth (a positive integer)."""

    name: str
    options: tuple[Option, ...]
    most: int
    least: int = 0
    value: int = 1


@dataclass(frozen=True)
class Region:
    """The free space: the box from (0, 0, 0) to size, less the blocked boxes (which may overlap and stick out)."""

    size: Triple
    blocked: tuple[Box, ...] = ()


@dataclass(frozen=True)
class Placement:
    """One placed box: which item, which of its options, and where its least corner lies."""

    item: int
    option: int
    at: Triple


@dataclass(frozen=True)
class Packing:
    """The answer.

    value: sum of the values of what was placed; bound: no packing has a greater value; proven: value == bound, or it was
    shown that nothing meets the asked counts (feasible False). how: in words, what found and what proved it. cost and
    cost_bound: for pack_best, the linear cost reached and a lower bound on it.
    """

    placements: tuple[Placement, ...]
    value: int
    bound: int
    proven: bool
    seconds: float
    how: str
    feasible: bool = True
    cost: float | None = None
    cost_bound: float | None = None


def check_question(region: Region, items: Sequence[Item]) -> None:
    """Raise ValueError for a question without meaning: no size, no option, negative counts, worthless items."""
    if min(region.size) < 1:
        raise ValueError(f"region size {region.size}: each extent must be at least 1")
    for box in region.blocked:
        if any(box[k] >= box[k + 3] for k in range(3)):
            raise ValueError(f"blocked box {box}: its upper corner must exceed its lower corner on each axis")
    for item in items:
        if item.least < 0 or item.most < item.least:
            raise ValueError(f"item {item.name!r}: least {item.least} and most {item.most} must satisfy 0 <= least <= most")
        if item.value < 1:
            raise ValueError(f"item {item.name!r}: value {item.value} must be at least 1")
        for option in item.options:
            if min(option.size) < 1:
                raise ValueError(f"item {item.name!r}: option size {option.size}: each extent must be at least 1")
            if option.zone and any(option.zone[k] >= option.zone[k + 3] for k in range(3)):
                raise ValueError(f"item {item.name!r}: zone {option.zone}: its upper corner must exceed its lower corner")


def worth(items: Sequence[Item], placements: Sequence[Placement]) -> int:
    """Sum of the values of the placed items."""
    return sum(items[p.item].value for p in placements)
