"""A flat outline with its names, its bend lines and its dimensions from the datum corner, in paper millimetres."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from layout.design.flat import Flat
from layout.design.geometry import arc_of, edges, loop_extent_mm
from layout.design.moments import loop_moments
from layout.design.profile import Loop, Profile
from outputs.drawing.block import Block, block_of
from outputs.drawing.dimensions import FIRST, STEP, Feature, datum_mark, horizontal, row_below, row_left, vertical
from outputs.drawing.figures import Figures
from outputs.drawing.ink import Arc, Ink, Line, Pen, Point, moved
from outputs.drawing.letters import SMALL, width
from outputs.drawing.outlines import profile_inks
from outputs.drawing.places import Places

SAME_MM = 0.005
"""Coordinates closer than this are one and the same on paper."""


@dataclass(frozen=True)
class FlatView:
    """What is drawn of a flat: its profile, bend lines, and the names of holes and cut-outs as they stand in the tables.

    hole_names: one per hole of the profile, in order. cutout_names likewise.
    """

    flat: Flat
    hole_names: tuple[str, ...]
    cutout_names: tuple[str, ...]
    figures: Figures

    @property
    def datum(self) -> Point:
        """The lower left corner of the outline's extents, in the profile's plane."""
        x0, y0, _, _ = loop_extent_mm(self.flat.profile.outline)
        return (x0, y0)


def flat_block(view: FlatView, ratio: float) -> Block:
    """The view with everything around it; the datum corner lies at the origin."""
    x0, y0, x1, y1 = loop_extent_mm(view.flat.profile.outline)

    def put(p: Point) -> Point:
        return ((p[0] - x0) * ratio, (p[1] - y0) * ratio)

    shape = tuple(moved(i, ratio, (-x0 * ratio, -y0 * ratio)) for i in profile_inks(view.flat.profile))
    shape += tuple(moved(i, ratio, (-x0 * ratio, -y0 * ratio)) for i in bend_inks(view.flat))
    size = ((x1 - x0) * ratio, (y1 - y0) * ratio)
    around = _dimensions(view, put, size)
    crosses = _crosses(view.flat.profile, put, ratio)
    names = _names(view, put, ratio, (*shape, *crosses, *around), size)
    return block_of((*shape, *crosses, *names, *around, *datum_mark((0.0, 0.0))))


def bend_inks(flat: Flat) -> list[Ink]:
    """The middle of every bend."""
    return [Line((b.start_mm, b.end_mm), Pen.BEND) for b in flat.bend_lines]


def _crosses(profile: Profile, put: Callable[[Point], Point], ratio: float) -> list[Ink]:
    """Centre lines of holes and slots."""
    inks: list[Ink] = []
    for hole in profile.holes:
        (x, y), reach = put(hole.centre_mm), hole.diameter_mm * ratio / 2.0 + 1.5
        c, s = math.cos(math.radians(hole.slot_angle_deg)), math.sin(math.radians(hole.slot_angle_deg))
        along = reach + hole.slot_mm * ratio / 2.0
        inks.append(Line(((x - along * c, y - along * s), (x + along * c, y + along * s)), Pen.CENTRE))
        inks.append(Line(((x + reach * s, y - reach * c), (x - reach * s, y + reach * c)), Pen.CENTRE))
    return inks


def _names(view: FlatView, put: Callable[[Point], Point], ratio: float, drawn: tuple[Ink, ...], size: Point) -> list[Ink]:
    """Names of holes, cut-outs and bends, radii of corners."""
    places = Places(drawn, (-4.0, -3.0, size[0] + 30.0, size[1] + 12.0))
    out: list[Ink] = []
    for hole, name in zip(view.flat.profile.holes, view.hole_names, strict=True):
        out += places.name(put(hole.centre_mm), (hole.diameter_mm + hole.slot_mm) * ratio / 2.0, name)
    for cutout, name in zip(view.flat.profile.cutouts, view.cutout_names, strict=True):
        m = loop_moments(cutout)
        out += places.name(put((m.x_mm3 / m.area_mm2, m.y_mm3 / m.area_mm2)), 0.0, name)
    for number, bend in enumerate(view.flat.bend_lines, start=1):
        out += places.name(
            put(_share(bend.start_mm, bend.end_mm, 0.5)), 0.0, f"bend {number}, {bend.direction} {bend.angle_deg:g}°"
        )
    for radius, (arc, many) in corner_radii(view.flat.profile.outline).items():
        text = f"R{view.figures.length(radius)}" + (f" ({many}x)" if many > 1 else "")
        middle = arc.at(0.5)
        out += places.name(put(middle), 0.0, text)
    return out


def _share(a: Point, b: Point, share: float) -> Point:
    return (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)


def corner_radii(outline: Loop) -> dict[float, tuple[Arc, int]]:
    """Radii of the outline's arcs (rounded to 0.001 mm) with the last such arc and their number."""
    found: dict[float, tuple[Arc, int]] = {}
    for a, b in edges(outline):
        arc = arc_of(a, b)
        if arc is None:
            continue
        start, sweep = math.degrees(arc.start_rad), math.degrees(arc.sweep_rad)
        drawn = Arc(arc.centre_mm, arc.radius_mm, start if sweep > 0.0 else start + sweep, abs(sweep))
        key = round(arc.radius_mm, 3)
        found[key] = (drawn, found.get(key, (drawn, 0))[1] + 1)
    return found


def outline_features(outline: Loop) -> list[Point]:
    """Corners of the outline that need a dimension: those where two straight edges meet; where an arc rounds a corner, the
    point where its neighbours would meet; ends of any other arc."""
    n = len(outline)
    points: list[Point] = []
    for i, (x, y, bulge) in enumerate(outline):
        before = outline[i - 1][2]
        if bulge == 0.0 and before == 0.0:
            points.append((x, y))
            continue
        if bulge != 0.0:
            meet = None
            if outline[(i + 1) % n][2] == 0.0 and before == 0.0:
                meet = _meeting(outline[i - 1], outline[i], outline[(i + 1) % n], outline[(i + 2) % n])
            points += [meet] if meet is not None else [(x, y), outline[(i + 1) % n][:2]]
    return points


def _meeting(a: tuple[float, ...], b: tuple[float, ...], c: tuple[float, ...], d: tuple[float, ...]) -> Point | None:
    """Where the lines a-b and c-d meet, if they do so beyond b and before c; None for others."""
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]
    det = ux * vy - uy * vx
    if abs(det) < 1e-9 * math.hypot(ux, uy) * math.hypot(vx, vy):
        return None
    wx, wy = c[0] - b[0], c[1] - b[1]
    s, t = (wx * vy - wy * vx) / det, (wx * uy - wy * ux) / det
    return (b[0] + s * ux, b[1] + s * uy) if s >= -1e-9 and t <= 1e-9 else None


def _distinct(points: list[Point], axis: int, span: Point, across: Point) -> tuple[list[Point], list[Point]]:
    """One point for each coordinate between the extents `span`, the nearest to a side of `across`: those that are nearer to its
    low end, where the row below or at the left stands, and those nearer to its high end."""
    other = 1 - axis
    chosen: dict[float, Point] = {}
    for p in sorted(points, key=lambda q: min(q[other] - across[0], across[1] - q[other])):
        if span[0] + SAME_MM < p[axis] < span[1] - SAME_MM and not any(abs(k - p[axis]) < SAME_MM for k in chosen):
            chosen[p[axis]] = p
    low = [chosen[k] for k in sorted(chosen) if chosen[k][other] - across[0] <= across[1] - chosen[k][other] + SAME_MM]
    return low, [chosen[k] for k in sorted(chosen) if chosen[k] not in low]


def along_axis(start: Point, end: Point) -> int | None:
    """0 for a line along x, 1 along y, None for any other."""
    dx, dy = abs(end[0] - start[0]), abs(end[1] - start[1])
    return 0 if dy < SAME_MM else 1 if dx < SAME_MM else None


def _dimensions(view: FlatView, put: Callable[[Point], Point], size: Point) -> list[Ink]:
    """Figures of corners and bend lines in rows around the view, counted from the datum, each at the side that is nearer;
    overall sizes below and at the left, outside of them."""
    x0, y0, x1, y1 = loop_extent_mm(view.flat.profile.outline)
    corners, say = outline_features(view.flat.profile.outline), view.figures.length
    level, steep = (
        [p for b in view.flat.bend_lines if along_axis(b.start_mm, b.end_mm) == k for p in (b.start_mm, b.end_mm)]
        for k in (0, 1)
    )
    below, above = _distinct(corners + steep, 0, (x0, x1), (y0, y1))
    left, right = _distinct(corners + level, 1, (y0, y1), (x0, x1))
    across = [[(put(p), p[0] - x0, say(p[0] - x0)) for p in row] for row in (below, above)]
    up = [[(put(p), p[1] - y0, say(p[1] - y0)) for p in row] for row in (left, right)]
    out = row_below((0.0, 0.0), across[0], -FIRST)[0] + row_below((0.0, 0.0), across[1], size[1] + FIRST, 1.0)[0]
    out += row_left((0.0, 0.0), up[0], -FIRST)[0] + row_left((0.0, 0.0), up[1], size[0] + FIRST, 1.0)[0]
    out.append(horizontal((0.0, 0.0), (size[0], 0.0), _outside(across[0]), x1 - x0, say(x1 - x0)))
    out.append(vertical((0.0, 0.0), (0.0, size[1]), _outside(up[0]), y1 - y0, say(y1 - y0)))
    return list(out)


def _outside(row: Sequence[Feature]) -> float:
    """Where the overall dimension stands outside of a row of figures."""
    longest = max((width(text, SMALL) for _, _, text in row), default=None)
    return -FIRST if longest is None else -FIRST - longest - 3.0 - STEP / 2.0
