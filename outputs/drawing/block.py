"""Pieces of a sheet that are laid out as one: their ink around an own origin, and the room they take."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from outputs.drawing.ink import Arc, Box, Dim, Fill, Ink, Line, Point, Text, extent, moved
from outputs.drawing.letters import text_box


@dataclass(frozen=True, slots=True)
class Block:
    """Ink in paper millimetres around an own origin, and the rectangle it takes.

    parts: rectangles that hold all of it more closely, where corners of the whole are free; empty for the whole alone.
    """

    inks: tuple[Ink, ...]
    box: Box
    parts: tuple[Box, ...] = ()

    @property
    def taken(self) -> tuple[Box, ...]:
        """Rectangles that must stay clear of others."""
        return self.parts or (self.box,)

    @property
    def width(self) -> float:
        """From left to right."""
        return self.box[2] - self.box[0]

    @property
    def height(self) -> float:
        """From bottom to top."""
        return self.box[3] - self.box[1]

    def at(self, by: Point) -> tuple[Ink, ...]:
        """The ink, moved."""
        return tuple(moved(ink, 1.0, by) for ink in self.inks)

    def shifted(self, by: Point) -> Block:
        """The block, moved."""
        return Block(self.at(by), _moved(self.box, by), tuple(_moved(b, by) for b in self.parts))


def _moved(box: Box, by: Point) -> Box:
    return (box[0] + by[0], box[1] + by[1], box[2] + by[0], box[3] + by[1])


def flattened(inks: Iterable[Ink]) -> Iterable[Line | Arc | Fill | Text]:
    """Everything drawn, dimensions taken apart."""
    for ink in inks:
        if isinstance(ink, Dim):
            yield from ink.drawn
        else:
            yield ink


def ink_box(ink: Line | Arc | Fill | Text) -> Box:
    """Rectangle that one thing covers."""
    return text_box(ink) if isinstance(ink, Text) else extent([ink])


def bounds(boxes: Iterable[Box]) -> Box:
    """Least rectangle around rectangles. Raises ValueError for none."""
    listed = list(boxes)
    return (
        min(b[0] for b in listed),
        min(b[1] for b in listed),
        max(b[2] for b in listed),
        max(b[3] for b in listed),
    )


def block_of(inks: Iterable[Ink]) -> Block:
    """A block that takes just the room its ink covers, letters and dimensions included."""
    listed = tuple(inks)
    return Block(listed, bounds(ink_box(i) for i in flattened(listed)))


def joined(blocks: Iterable[Block]) -> Block:
    """Blocks that lie in one frame, as one."""
    listed = list(blocks)
    return Block(
        tuple(i for b in listed for i in b.inks), bounds(b.box for b in listed), tuple(t for b in listed for t in b.taken)
    )
