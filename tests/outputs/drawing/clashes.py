"""What runs into what on a sheet: letters into letters, dimension figures into visible edges."""

from __future__ import annotations

from itertools import combinations, pairwise

from outputs.drawing.block import flattened
from outputs.drawing.ink import Arc, Box, Dim, Line, Pen, Point, Text
from outputs.drawing.letters import text_box
from outputs.drawing.sheet import Sheet


def letters(sheet: Sheet) -> list[tuple[str, Box]]:
    """Every line of letters with the rectangle of its capitals."""
    out = []
    for ink in flattened(sheet.inks):
        if isinstance(ink, Text) and ink.text.strip():
            x0, y0, x1, y1 = text_box(ink)
            low = (x0, y0 + 0.25 * ink.height_mm, x1, y1) if ink.angle_deg == 0.0 else (x0, y0, x1 - 0.25 * ink.height_mm, y1)
            out.append((ink.text, low))
    return out


def overlaps(sheet: Sheet) -> list[tuple[str, str]]:
    """Pairs of lines of letters that touch."""
    return [
        (a, b)
        for (a, p), (b, q) in combinations(letters(sheet), 2)
        if p[0] < q[2] and q[0] < p[2] and p[1] < q[3] and q[1] < p[3]
    ]


def edges(sheet: Sheet) -> list[tuple[Point, Point]]:
    """Straight pieces of everything drawn with the pen of visible edges, arcs as short chords."""
    out: list[tuple[Point, Point]] = []
    for ink in flattened(sheet.inks):
        if isinstance(ink, Line) and ink.pen is Pen.VISIBLE:
            out += list(zip(ink.points, ink.points[1:], strict=False))
        elif isinstance(ink, Arc) and ink.pen is Pen.VISIBLE:
            points = [ink.at(k / 16.0) for k in range(17)]
            out += list(pairwise(points))
    return out


def figures_on_edges(sheet: Sheet) -> list[str]:
    """Figures of dimensions that a visible edge runs through."""
    lines = edges(sheet)
    out = []
    for dim in (i for i in sheet.inks if isinstance(i, Dim)):
        for text in (t for t in dim.drawn if isinstance(t, Text)):
            if any(meets(text_box(text), a, b) for a, b in lines):
                out.append(text.text)
    return out


def meets(box: Box, a: Point, b: Point) -> bool:
    """Whether a piece of line runs into a rectangle: sampled every 0.1 mm, which no figure is smaller than."""
    length = ((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) ** 0.5
    n = max(1, int(length / 0.1))
    if max(a[0], b[0]) < box[0] or min(a[0], b[0]) > box[2] or max(a[1], b[1]) < box[1] or min(a[1], b[1]) > box[3]:
        return False
    for k in range(n + 1):
        x, y = a[0] + (b[0] - a[0]) * k / n, a[1] + (b[1] - a[1]) * k / n
        if box[0] < x < box[2] and box[1] < y < box[3]:
            return True
    return False
