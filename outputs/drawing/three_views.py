"""Main view, view beside it and view above or below it: where each stands on paper, and the way from model to paper."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from numpy.typing import ArrayLike

from layout.frames import Extent
from outputs.drawing.block import Block, joined
from outputs.drawing.dimensions import arrow
from outputs.drawing.ink import Arc, Box, Fill, Ink, Line, Pen, Point, Text, box_of_points, moved
from outputs.drawing.letters import SMALL
from outputs.drawing.projection import Angle, Side, ViewAxes, stands_at

APART = 8.0
"""Free paper between two views with their dimensions."""


@dataclass(frozen=True)
class Spot:
    """One view on paper. box: the rectangle that the model's extent takes there."""

    title: str
    axes: ViewAxes
    ratio: float
    by: Point
    box: Box

    def put(self, point_mm: ArrayLike) -> Point:
        """A model point on paper."""
        u, v = self.axes.flat(point_mm)
        return (float(u) * self.ratio + self.by[0], float(v) * self.ratio + self.by[1])

    def place(self, inks: tuple[Ink, ...]) -> tuple[Ink, ...]:
        """A view in mm of the model, on paper."""
        return tuple(moved(i, self.ratio, self.by) for i in inks)


@dataclass(frozen=True)
class Spots:
    """The three views of an object."""

    main: Spot
    side: Spot
    plan: Spot

    @property
    def all(self) -> tuple[Spot, Spot, Spot]:
        """Main view, view from the left, view from above."""
        return (self.main, self.side, self.plan)


def three_spots(main: ViewAxes, extent: Extent, ratio: float, angle: Angle, titles: tuple[str, str, str]) -> Spots:
    """Places of a main view, the view from its left and the view from above.

    extent: of the object in model axes. The main view's lower left corner lies at the origin; the others touch it, until
    `stood_apart` moves them away. First angle: the view from the left stands at the right, the one from above below; third
    angle: the reverse.
    """
    side, plan = main.seen_from("left"), main.seen_from("above")
    boxes = [_box(axes, extent, ratio) for axes in (main, side, plan)]
    by = (-boxes[0][0], -boxes[0][1])
    high, wide = boxes[0][3] - boxes[0][1], boxes[0][2] - boxes[0][0]
    beside: dict[Side, float] = {"right": wide - boxes[1][0], "left": -boxes[1][2]}
    under: dict[Side, float] = {"below": -boxes[2][3], "above": high - boxes[2][1]}
    moves = (by, (beside[stands_at(angle, "left")], by[1]), (by[0], under[stands_at(angle, "above")]))
    spots = [
        Spot(t, a, ratio, m, (b[0] + m[0], b[1] + m[1], b[2] + m[0], b[3] + m[1]))
        for t, a, m, b in zip(titles, (main, side, plan), moves, boxes, strict=True)
    ]
    return Spots(*spots)


def stood_apart(views: Sequence[Block], angle: Angle) -> Block:
    """Main view, side and plan with all that stands around them, moved apart along their common lines until they are clear."""
    main, side, plan = views
    right, below = stands_at(angle, "left") == "right", stands_at(angle, "above") == "below"
    dx = main.box[2] + APART - side.box[0] if right else main.box[0] - APART - side.box[2]
    dy = main.box[1] - APART - plan.box[3] if below else main.box[3] + APART - plan.box[1]
    return joined([main, side.shifted((dx, 0.0)), plan.shifted((0.0, dy))])


def _box(axes: ViewAxes, extent: Extent, ratio: float) -> Box:
    x0, y0, x1, y1 = box_of_points((float(u), float(v)) for u, v in axes.flat(extent.corners()))
    return (x0 * ratio, y0 * ratio, x1 * ratio, y1 * ratio)


def axes_mark(spot: Spot, at: Point) -> list[Ink]:
    """The model's axes as this view shows them: two arrows, and the third towards the viewer (dot) or away (cross)."""
    inks: list[Ink] = []
    for k, letter in enumerate("xyz"):
        unit = [0.0, 0.0, 0.0]
        unit[k] = 1.0
        u, v = (float(c) for c in spot.axes.flat(unit))
        if abs(u) + abs(v) < 1e-6:
            towards = spot.axes.towards[k] > 0.0
            inks.append(Arc(at, 1.1, pen=Pen.DIMENSION))
            if towards:
                inks.append(Fill(tuple((at[0] + 0.4 * a, at[1] + 0.4 * b) for a, b in ((1, 0), (0, 1), (-1, 0), (0, -1)))))
            else:
                inks += [Line(((at[0] - 0.8, at[1] + s * 0.8), (at[0] + 0.8, at[1] - s * 0.8)), Pen.DIMENSION) for s in (1, -1)]
            inks.append(Text((at[0] - u * 4.0 - 1.4, at[1] - 4.2), letter, SMALL, "right"))
            continue
        tip = (at[0] + 9.0 * u, at[1] + 9.0 * v)
        inks.append(Line(((at[0] + 1.1 * u, at[1] + 1.1 * v), tip), Pen.DIMENSION))
        inks.append(arrow(tip, at))
        inks.append(Text((tip[0] + 2.2 * u, tip[1] + 2.0 * v - SMALL / 2.0), letter, SMALL, "centre"))
    return inks


def centroid_mark(at: Point) -> list[Ink]:
    """Centre of mass: a circle with two quarters filled."""
    r = 2.2
    inks: list[Ink] = [Arc(at, r, pen=Pen.DIMENSION)]
    for start in (0.0, 180.0):
        edge = [Arc(at, r, start, 90.0).at(k / 6.0) for k in range(7)]
        inks += [Fill((at, a, b)) for a, b in pairwise(edge)]
    inks += [
        Line(((at[0] - 4.0, at[1]), (at[0] + 4.0, at[1])), Pen.CENTRE),
        Line(((at[0], at[1] - 4.0), (at[0], at[1] + 4.0)), Pen.CENTRE),
    ]
    return inks
