"""Dimensions in paper millimetres: between extension lines, and as rows of figures counted from the datum.

ISO 129-1 (from memory): arrows 15 to 30 degrees wide, extension lines a little past the dimension line, figures above the
line and readable from below or from the right.
"""

from __future__ import annotations

from collections.abc import Sequence

from outputs.drawing.ink import Arc, Dim, Fill, Line, Mark, Pen, Point, Text
from outputs.drawing.letters import SMALL, width

ARROW = 2.5
GAP = 1.0
PAST = 2.0
FIRST = 8.0
"""From the view to the first dimension line."""
STEP = 7.0
"""From one dimension line to the next."""
PITCH = 3.6
"""Least distance between the figures of a row."""


def arrow(tip: Point, to: Point) -> Fill:
    """Filled arrowhead of about 18 degrees whose tip lies at `tip`, pointing away from `to`."""
    dx, dy = to[0] - tip[0], to[1] - tip[1]
    size = (dx * dx + dy * dy) ** 0.5 or 1.0
    dx, dy = dx / size * ARROW, dy / size * ARROW
    side = 0.16
    return Fill((tip, (tip[0] + dx - dy * side, tip[1] + dy + dx * side), (tip[0] + dx + dy * side, tip[1] + dy - dx * side)))


def horizontal(start: Point, end: Point, y: float, value_mm: float, text: str) -> Dim:
    """Dimension along x at height y; both points on paper."""
    a, b = (start, end) if start[0] <= end[0] else (end, start)
    drawn: list[Mark] = [_extension(p, (p[0], y)) for p in (a, b)]
    needed = width(text, SMALL) + 2.0 * ARROW + 2.0
    middle = ((a[0] + b[0]) / 2.0, y + 0.8)
    if b[0] - a[0] >= needed:
        drawn += [Line(((a[0], y), (b[0], y)), Pen.DIMENSION), arrow((a[0], y), (b[0], y)), arrow((b[0], y), (a[0], y))]
        drawn.append(Text(middle, text, SMALL, "centre"))
    else:
        far = b[0] + 2.0 * ARROW + width(text, SMALL) + 1.0
        drawn += [Line(((a[0] - 2.0 * ARROW, y), (far, y)), Pen.DIMENSION)]
        drawn += [arrow((a[0], y), (a[0] - 1.0, y)), arrow((b[0], y), (b[0] + 1.0, y))]
        drawn.append(Text((b[0] + 2.0 * ARROW, y + 0.8), text, SMALL))
    return Dim(a, b, (b[0], y), 0.0, value_mm, text, tuple(drawn))


def vertical(start: Point, end: Point, x: float, value_mm: float, text: str) -> Dim:
    """Dimension along y at x; its figure is read from the right."""
    a, b = (start, end) if start[1] <= end[1] else (end, start)
    drawn: list[Mark] = [_extension(p, (x, p[1])) for p in (a, b)]
    needed = width(text, SMALL) + 2.0 * ARROW + 2.0
    if b[1] - a[1] >= needed:
        drawn += [Line(((x, a[1]), (x, b[1])), Pen.DIMENSION), arrow((x, a[1]), (x, b[1])), arrow((x, b[1]), (x, a[1]))]
        drawn.append(Text((x - 0.8, (a[1] + b[1]) / 2.0), text, SMALL, "centre", 90.0))
    else:
        far = b[1] + 2.0 * ARROW + width(text, SMALL) + 1.0
        drawn += [Line(((x, a[1] - 2.0 * ARROW), (x, far)), Pen.DIMENSION)]
        drawn += [arrow((x, a[1]), (x, a[1] - 1.0)), arrow((x, b[1]), (x, b[1] + 1.0))]
        drawn.append(Text((x - 0.8, b[1] + 2.0 * ARROW), text, SMALL, "left", 90.0))
    return Dim(a, b, (x, b[1]), 90.0, value_mm, text, tuple(drawn))


def _extension(feature: Point, at: Point) -> Line:
    dx, dy = at[0] - feature[0], at[1] - feature[1]
    size = (dx * dx + dy * dy) ** 0.5 or 1.0
    dx, dy = dx / size, dy / size
    return Line(((feature[0] + dx * GAP, feature[1] + dy * GAP), (at[0] + dx * PAST, at[1] + dy * PAST)), Pen.DIMENSION)


def spread(places: Sequence[float], pitch: float) -> list[float]:
    """Places, in ascending order, moved as little as need be so that neighbours stand at least `pitch` apart."""
    groups: list[list[float]] = []  # each: sum of wanted first places, count
    for k, p in enumerate(places):
        groups.append([p - k * pitch, 1.0])
        while len(groups) > 1 and groups[-1][0] / groups[-1][1] < groups[-2][0] / groups[-2][1]:
            last = groups.pop()
            groups[-1][0] += last[0]
            groups[-1][1] += last[1]
    firsts = [total / count for total, count in groups for _ in range(int(count))]
    return [first + k * pitch for k, first in enumerate(firsts)]


Feature = tuple[Point, float, str]
"""Point on paper, value, text."""
Row = tuple[list[Dim], float, float]


def row_below(datum: Point, features: Sequence[Feature], y: float, out: float = -1.0) -> Row:
    """Figures counted from the datum along x, in a row whose upper end is at y; with out = 1 in a row above, whose lower end
    is at y.

    Returns the dimensions and the least and greatest x of the row. Each leader runs down from its feature, kinks where its
    figure had to move aside, and ends at the figure, which is read from the right.
    """
    ordered = sorted(features, key=lambda f: f[0][0])
    places = spread([f[0][0] for f in ordered], PITCH)
    dims = []
    for (point, value, text), x in zip(ordered, places, strict=True):
        leader = ((point[0], point[1] + out * GAP), (point[0], y - out * 4.0), (x, y - out), (x, y))
        letters = Text((x + SMALL / 2.0, y + out * 0.8), text, SMALL, "right" if out < 0.0 else "left", 90.0)
        dims.append(Dim(datum, point, (x, y), 0.0, value, text, (Line(leader, Pen.DIMENSION), letters)))
    return dims, min(places, default=0.0) - SMALL, max(places, default=0.0) + SMALL


def row_left(datum: Point, features: Sequence[Feature], x: float, out: float = -1.0) -> Row:
    """Figures counted from the datum along y, in a row whose right end is at x; with out = 1 in a row at the right, whose left
    end is at x. As `row_below`."""
    ordered = sorted(features, key=lambda f: f[0][1])
    places = spread([f[0][1] for f in ordered], PITCH)
    dims = []
    for (point, value, text), y in zip(ordered, places, strict=True):
        leader = ((point[0] + out * GAP, point[1]), (x - out * 4.0, point[1]), (x - out, y), (x, y))
        letters = Text((x + out * 0.8, y - SMALL / 2.0), text, SMALL, "right" if out < 0.0 else "left")
        dims.append(Dim(datum, point, (x, y), 90.0, value, text, (Line(leader, Pen.DIMENSION), letters)))
    return dims, min(places, default=0.0) - SMALL, max(places, default=0.0) + SMALL


def datum_mark(at: Point) -> tuple[Mark, ...]:
    """The origin that coordinates count from: a small circle with a dot, as for running dimensions."""
    dot = Fill(tuple((at[0] + 0.5 * dx, at[1] + 0.5 * dy) for dx, dy in ((1, 0), (0, 1), (-1, 0), (0, -1))))
    return (Arc(at, 1.6, pen=Pen.DIMENSION), dot)
