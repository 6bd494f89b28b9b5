"""Names beside what they name: each in a free place, with a leader where it has to stand off."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from itertools import pairwise

from outputs.drawing.block import flattened, ink_box
from outputs.drawing.ink import Arc, Box, Ink, Line, Pen, Point, Text, overlap
from outputs.drawing.letters import SMALL, text_box

DIRECTIONS = tuple((math.cos(math.radians(a)), math.sin(math.radians(a))) for a in (45, 135, 315, 225, 0, 180, 90, 270))


CELL = 15.0
"""Size of the squares by which what is taken is looked up."""


class Places:
    """What is taken already: rectangles, and the straight pieces of drawn lines."""

    def __init__(self, inks: Iterable[Ink] = (), limits: Box | None = None) -> None:
        self.boxes: dict[tuple[int, int], list[Box]] = {}
        self.pieces: dict[tuple[int, int], list[tuple[Point, Point]]] = {}
        self.limits = limits
        for ink in flattened(inks):
            if isinstance(ink, Line):
                self.draw(ink.points)
            elif isinstance(ink, Arc) and ink.radius > 12.0:
                self.draw([ink.at(k / 24.0) for k in range(25)])
            else:
                self.take(ink_box(ink))

    def take(self, box: Box) -> None:
        """Nothing else is put into this rectangle."""
        for cell in _cells(box):
            self.boxes.setdefault(cell, []).append(box)

    def draw(self, points: Sequence[Point]) -> None:
        """Nothing is put across this line."""
        for a, b in pairwise(points):
            parts = max(1, math.ceil(math.dist(a, b) / CELL))
            along = [(a[0] + (b[0] - a[0]) * k / parts, a[1] + (b[1] - a[1]) * k / parts) for k in range(parts + 1)]
            for p, q in pairwise(along):
                for cell in _cells((min(p[0], q[0]), min(p[1], q[1]), max(p[0], q[0]), max(p[1], q[1]))):
                    self.pieces.setdefault(cell, []).append((p, q))

    def free(self, box: Box, clear: float = 0.4) -> bool:
        """Whether nothing drawn meets the rectangle."""
        if self.limits is not None and not (
            box[0] >= self.limits[0] and box[1] >= self.limits[1] and box[2] <= self.limits[2] and box[3] <= self.limits[3]
        ):
            return False
        grown = (box[0] - clear, box[1] - clear, box[2] + clear, box[3] + clear)
        for cell in _cells(grown):
            if any(overlap(box, b, clear) for b in self.boxes.get(cell, ())):
                return False
            if any(_crosses(grown, a, b) for a, b in self.pieces.get(cell, ())):
                return False
        return True

    def name(self, at: Point, radius: float, text: str, height: float = SMALL) -> list[Ink]:
        """A name near a round thing: close by where there is room, else with a leader. The place is taken from then on."""
        for reach in (0.8, 3.5, 6.0, 9.0, 13.0, 18.0, 25.0, 34.0):
            for dx, dy in DIRECTIONS:
                tip = (at[0] + dx * (radius + reach), at[1] + dy * (radius + reach))
                label = _beside(tip, dx, dy, text, height)
                if not self.free(text_box(label, 0.2)):
                    continue
                self.take(text_box(label, 0.2))
                if reach < 1.0:
                    return [label]
                edge = (at[0] + dx * radius, at[1] + dy * radius)
                self.draw((edge, tip))
                return [Line((edge, tip), Pen.DIMENSION), label]
        label = _beside((at[0] + radius, at[1] + radius), 1.0, 1.0, text, height * 0.75)
        self.take(text_box(label))
        return [label]


def _cells(box: Box) -> list[tuple[int, int]]:
    """The squares that a rectangle meets."""
    x0, y0, x1, y1 = (math.floor(v / CELL) for v in box)
    return [(x, y) for x in range(x0, x1 + 1) for y in range(y0, y1 + 1)]


def _beside(tip: Point, dx: float, dy: float, text: str, height: float) -> Text:
    """A line of letters that grows away from a tip."""
    foot = tip[1] + (0.3 if dy > 0.3 else -height - 0.3 if dy < -0.3 else -height / 2.0)
    if dx > 0.3:
        return Text((tip[0] + 0.4, foot), text, height)
    if dx < -0.3:
        return Text((tip[0] - 0.4, foot), text, height, "right")
    return Text((tip[0], foot), text, height, "centre")


def _crosses(box: Box, a: Point, b: Point) -> bool:
    """Whether a straight piece meets a rectangle (clipping by each side in turn)."""
    low, high = 0.0, 1.0
    for p, d, least, most in ((a[0], b[0] - a[0], box[0], box[2]), (a[1], b[1] - a[1], box[1], box[3])):
        if abs(d) < 1e-12:
            if p < least or p > most:
                return False
            continue
        s, t = sorted(((least - p) / d, (most - p) / d))
        low, high = max(low, s), min(high, t)
        if low > high:
            return False
    return True
