"""Balloons and weld symbols in columns at both sides of a view, with leaders that do not cross."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from outputs.drawing.dimensions import arrow, spread
from outputs.drawing.ink import Arc, Box, Fill, Ink, Line, Pen, Point, Text
from outputs.drawing.letters import MIDDLE, SMALL, width

RADIUS = 4.5
PITCH = 11.5
OFF = 16.0
"""From the view to the column."""

Side = Literal["left", "right"]


@dataclass(frozen=True, slots=True)
class Callout:
    """What is pointed at (paper), what is said there, and whether it is hidden in this view."""

    at: Point
    text: str
    hidden: bool = False


def _columns(callouts: Sequence[Callout], box: Box) -> list[tuple[Callout, Side, Point]]:
    """Each callout with its side and its place: half of them, from the left, at the left; ordered by height."""
    by_x = sorted(callouts, key=lambda c: (c.at, c.text))
    half = (len(by_x) + 1) // 2
    out: list[tuple[Callout, Side, Point]] = []
    sides: tuple[tuple[Side, list[Callout], float], ...] = (
        ("left", by_x[:half], box[0] - OFF),
        ("right", by_x[half:], box[2] + OFF),
    )
    for side, listed, x in sides:
        ordered = sorted(listed, key=lambda c: c.at[1])
        for callout, y in zip(ordered, spread([c.at[1] for c in ordered], PITCH), strict=True):
            out.append((callout, side, (x, y)))
    return out


def balloons(callouts: Sequence[Callout], box: Box) -> list[Ink]:
    """Item numbers in circles; leaders end in a dot on the part (ISO 6433, from memory), dashed where it is hidden."""
    inks: list[Ink] = []
    for callout, side, (x, y) in _columns(callouts, box):
        edge = (x + (RADIUS if side == "left" else -RADIUS), y)
        inks.append(Arc((x, y), RADIUS, pen=Pen.THIN))
        size = MIDDLE if len(callout.text) < 3 else SMALL
        inks.append(Text((x, y - size / 2.0), callout.text, size, "centre"))
        inks.append(Line((edge, callout.at), Pen.HIDDEN if callout.hidden else Pen.DIMENSION))
        u, v = callout.at
        inks.append(Fill(tuple((u + 0.7 * a, v + 0.7 * b) for a, b in ((1, 0), (0, 1), (-1, 0), (0, -1)))))
    return inks


@dataclass(frozen=True, slots=True)
class Seam:
    """A weld symbol: number, kind, throat and length as text."""

    at: Point
    number: str
    kind: str
    throat: str
    length: str
    hidden: bool = False


def weld_symbols(seams: Sequence[Seam], box: Box) -> list[Ink]:
    """ISO 2553 system A: arrow, reference line, symbol with throat before and length after it, number in the tail.

    The symbol stands on the continuous line: the weld is on the arrow's side; the dashed line stands for the other side and
    is left out where both sides are welded (layout of the symbol seen in reproductions, details from memory).
    """
    by_number = {s.number: s for s in seams}
    inks: list[Ink] = []
    for callout, side, (x, y) in _columns([Callout(s.at, s.number, s.hidden) for s in seams], box):
        seam = by_number[callout.text]
        inks += [Line(((x, y), callout.at), Pen.HIDDEN if seam.hidden else Pen.DIMENSION), arrow(callout.at, (x, y))]
        inks += _symbol(seam, x, y, side)
    return inks


def _symbol(seam: Seam, x: float, y: float, side: Side) -> list[Ink]:
    """Reference line from x outwards, with what stands on it and the tail at its far end."""
    before, after = width(seam.throat, SMALL), width(seam.length, SMALL)
    span = before + after + 9.0
    start = x - span if side == "left" else x
    far = start if side == "left" else start + span
    inks: list[Ink] = [Line(((start, y), (start + span, y)), Pen.DIMENSION)]
    if seam.kind != "double fillet":
        inks.append(Line(((start, y - 1.2), (start + span, y - 1.2)), Pen.HIDDEN))
    inks += [Text((start + 1.5, y + 0.9), seam.throat, SMALL)]
    inks += elementary(seam.kind, start + before + 3.0, y)
    inks += [Text((start + before + 7.0, y + 0.9), seam.length, SMALL)]
    away = -1.0 if side == "left" else 1.0
    inks += [Line(((far + away * 2.5, y + 2.5), (far, y), (far + away * 2.5, y - 2.5)), Pen.DIMENSION)]
    inks.append(Text((far + away * 3.2, y - SMALL / 2.0), seam.number, SMALL, "right" if side == "left" else "left"))
    return inks


def elementary(kind: str, x: float, y: float) -> list[Ink]:
    """Elementary symbol standing on a reference line, its lower left corner at (x, y); nothing for a kind without one."""
    if kind in ("fillet", "corner", "double fillet"):
        up = Line(((x, y), (x, y + 3.0), (x + 3.0, y)), Pen.THIN)
        down = Line(((x, y), (x, y - 3.0), (x + 3.0, y)), Pen.THIN)
        return [up, down] if kind == "double fillet" else [up]
    if kind == "square butt":
        return [Line(((x + d, y), (x + d, y + 3.0)), Pen.THIN) for d in (0.8, 2.2)]
    return []
