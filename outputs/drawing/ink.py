"""What a sheet is made of: lines, arcs, text and filled shapes in millimetres of paper, each drawn with a pen.

The origin is the sheet's lower left corner, x to the right, y up. A view holds the same things in millimetres of the model.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from enum import Enum
from typing import Literal

Point = tuple[float, float]
Box = tuple[float, float, float, float]
"""Least x, least y, greatest x, greatest y."""


class Pen(Enum):
    """Lines of the drawing: line type and meaning. ISO 128-2 (from memory): type number, wide or narrow.

    Each has its name, whether it is wide, and its dashes and gaps in multiples of its own width (empty: continuous).
    """

    VISIBLE = ("VISIBLE", True, ())
    """01.2 continuous wide: visible edges."""
    THIN = ("THIN", False, ())
    """01.1 continuous narrow: smooth edges, leaders, tables."""
    HIDDEN = ("HIDDEN", False, (12.0, 3.0))
    """02.1 dashed narrow: hidden edges."""
    CENTRE = ("CENTRE", False, (24.0, 3.0, 0.5, 3.0))
    """04.1 long-dashed dotted narrow: centre lines."""
    PHANTOM = ("PHANTOM", False, (24.0, 3.0, 0.5, 3.0, 0.5, 3.0))
    """05.1 long-dashed double-dotted narrow: adjacent parts, keep-outs."""
    BEND = ("BEND", False, ())
    """01.1 continuous narrow: bend lines on a flat pattern."""
    DIMENSION = ("DIMENSION", False, ())
    """01.1 continuous narrow: dimension and extension lines."""
    WELD = ("WELD", True, ())
    """01.2 continuous wide: the path of a seam."""
    FRAME = ("FRAME", True, ())
    """01.2 continuous wide: frame of the sheet and of the title block."""
    TEXT = ("TEXT", False, ())
    """Letters."""

    @property
    def layer(self) -> str:
        """Name of its layer in a DXF file."""
        return str(self.value[0])

    @property
    def wide(self) -> bool:
        """Whether it is the wide one of the two widths of the sheet's line group."""
        return bool(self.value[1])

    @property
    def dashes(self) -> tuple[float, ...]:
        """Dash and gap lengths in line widths."""
        return tuple(self.value[2])


@dataclass(frozen=True, slots=True)
class Line:
    """Open chain of straight pieces."""

    points: tuple[Point, ...]
    pen: Pen = Pen.VISIBLE


@dataclass(frozen=True, slots=True)
class Arc:
    """Arc from start to start + sweep, anticlockwise, degrees; sweep 360 is a full circle."""

    centre: Point
    radius: float
    start_deg: float = 0.0
    sweep_deg: float = 360.0
    pen: Pen = Pen.VISIBLE

    def at(self, share: float) -> Point:
        """The point at a share of the sweep."""
        angle = math.radians(self.start_deg + share * self.sweep_deg)
        return (self.centre[0] + self.radius * math.cos(angle), self.centre[1] + self.radius * math.sin(angle))


@dataclass(frozen=True, slots=True)
class Fill:
    """A filled outline of three or four corners (arrowheads, marks)."""

    points: tuple[Point, ...]
    pen: Pen = Pen.DIMENSION


@dataclass(frozen=True, slots=True)
class Text:
    """A line of letters. height_mm: of capitals. at: the foot of the first letter, of the middle, or of the last."""

    at: Point
    text: str
    height_mm: float
    anchor: Literal["left", "centre", "right"] = "left"
    angle_deg: float = 0.0


@dataclass(frozen=True, slots=True)
class Dim:
    """A dimension: the two points it measures between (paper mm), the direction it measures along, and how it is drawn.

    value_mm: what the text states, in millimetres of the model.
    """

    start: Point
    end: Point
    base: Point
    angle_deg: float
    value_mm: float
    text: str
    drawn: tuple[Line | Arc | Fill | Text, ...]


Ink = Line | Arc | Fill | Text | Dim
Mark = Line | Arc | Fill | Text


def moved(ink: Ink, scale: float, by: Point) -> Ink:
    """The same ink scaled about the origin, then moved. Letters keep their height."""

    def put(p: Point) -> Point:
        return (p[0] * scale + by[0], p[1] * scale + by[1])

    if isinstance(ink, Line):
        return Line(tuple(put(p) for p in ink.points), ink.pen)
    if isinstance(ink, Text):
        return Text(put(ink.at), ink.text, ink.height_mm, ink.anchor, ink.angle_deg)
    if isinstance(ink, Fill):
        return Fill(tuple(put(p) for p in ink.points), ink.pen)
    if isinstance(ink, Arc):
        return Arc(put(ink.centre), ink.radius * scale, ink.start_deg, ink.sweep_deg, ink.pen)
    drawn = tuple(moved(d, scale, by) for d in ink.drawn)
    return replace(ink, start=put(ink.start), end=put(ink.end), base=put(ink.base), drawn=drawn)  # type: ignore[arg-type]


def box_of_points(points: Iterable[Point]) -> Box:
    """Least rectangle around points. Raises ValueError for none."""
    listed = list(points)
    xs, ys = [p[0] for p in listed], [p[1] for p in listed]
    return (min(xs), min(ys), max(xs), max(ys))


def _arc_points(arc: Arc) -> list[Point]:
    """Ends and extreme points of an arc."""
    points = [arc.at(0.0), arc.at(1.0)]
    first = math.ceil(arc.start_deg / 90.0 - 1e-9)
    last = math.floor((arc.start_deg + arc.sweep_deg) / 90.0 + 1e-9)
    for k in range(first, last + 1):
        dx, dy = ((1, 0), (0, 1), (-1, 0), (0, -1))[k % 4]
        points.append((arc.centre[0] + arc.radius * dx, arc.centre[1] + arc.radius * dy))
    return points


def extent(inks: Iterable[Ink]) -> Box:
    """Least rectangle around lines, arcs and fills (letters and dimensions not counted). Raises ValueError for none."""
    points: list[Point] = []
    for ink in inks:
        if isinstance(ink, Line | Fill):
            points.extend(ink.points)
        elif isinstance(ink, Arc):
            points.extend(_arc_points(ink))
    return box_of_points(points)


def rectangle(box: Box, pen: Pen) -> Line:
    """The outline of a rectangle."""
    x0, y0, x1, y1 = box
    return Line(((x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)), pen)


def overlap(a: Box, b: Box, clear: float = 0.0) -> bool:
    """Whether two rectangles come closer than `clear`, or overlap."""
    return a[0] < b[2] + clear and b[0] < a[2] + clear and a[1] < b[3] + clear and b[1] < a[3] + clear
