"""Pieces of a sheet that are laid out as one: their ink around an own origin, and the room they take."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from outputs.drawing.ink import Arc, Box, Dim, Fill, Ink, Line, Point, Text, extent, moved
from outputs.drawing.letters import text_box


@dataclass(frozen=True, slots=True)
class Block:
    """Ink in paper millimetres around an own origin, and the rectangle it takes.

    own: its own ink. parts: rectangles that hold all of it more closely, where corners of the whole are free; empty for the
    whole alone. inner: further blocks, each with the way it is moved; their ink is only moved when it is asked for, so that
    many places can be tried at no cost.
    """

    own: tuple[Ink, ...]
    box: Box
    parts: tuple[Box, ...] = ()
    inner: tuple[tuple[Block, Point], ...] = ()

    @property
    def inks(self) -> tuple[Ink, ...]:
        """All ink."""
        return self.at((0.0, 0.0))

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
        return tuple(self._moved(by))

    def _moved(self, by: Point) -> Iterator[Ink]:
        if by == (0.0, 0.0):
            yield from self.own
        else:
            yield from (moved(ink, 1.0, by) for ink in self.own)
        for block, off in self.inner:
            yield from block._moved((by[0] + off[0], by[1] + off[1]))

    def shifted(self, by: Point) -> Block:
        """The block, moved."""
        return Block((), _moved_box(self.box, by), tuple(_moved_box(b, by) for b in self.parts), ((self, by),))


def _moved_box(box: Box, by: Point) -> Box:
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
    x0, y0, x1, y1 = zip(*boxes, strict=True)
    return (min(x0), min(y0), max(x1), max(y1))


def block_of(inks: Iterable[Ink]) -> Block:
    """A block that takes just the room its ink covers, letters and dimensions included."""
    listed = tuple(inks)
    return Block(listed, bounds(ink_box(i) for i in flattened(listed)))


def joined(blocks: Iterable[Block]) -> Block:
    """Blocks that lie in one frame, as one."""
    listed = list(blocks)
    parts = tuple(t for b in listed for t in b.taken)
    return Block((), bounds(b.box for b in listed), parts, tuple((b, (0.0, 0.0)) for b in listed))
