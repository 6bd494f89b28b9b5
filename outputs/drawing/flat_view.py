"""A flat outline with its names, its bend lines and its dimensions from the datum corner, in paper millimetres."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from layout.design.flat import Flat
from layout.design.geometry import arc_of, edges, loop_extent_mm
from layout.design.moments import loop_moments
from layout.design.profile import Loop, Profile
from outputs.drawing.block import Block, block_of
from outputs.drawing.dimensions import FIRST, STEP, datum_mark, horizontal, row_below, row_left, vertical
from outputs.drawing.figures import Figures
from outputs.drawing.ink import Arc, Dim, Ink, Line, Pen, Point, moved
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
    names = _names(view, put, ratio, (*shape, *crosses), size)
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


def _distinct(points: list[Point], axis: int, low: float, high: float, at_low: bool) -> list[Point]:
    """One point for each coordinate between the extents, the nearest to the side where its figure stands."""
    other = 1 - axis
    chosen: dict[float, Point] = {}
    for p in sorted(points, key=lambda q: q[other]):
        if low + SAME_MM < p[axis] < high - SAME_MM:
            key = next((k for k in chosen if abs(k - p[axis]) < SAME_MM), p[axis])
            if key not in chosen or not at_low:
                chosen[key] = p
    return [chosen[k] for k in sorted(chosen)]


def _dimensions(view: FlatView, put: Callable[[Point], Point], size: Point) -> list[Ink]:
    """Figures of the outline's corners below and at the left, counted from the datum; overall sizes outside of them."""
    x0, y0, x1, y1 = loop_extent_mm(view.flat.profile.outline)
    points = outline_features(view.flat.profile.outline)
    say = view.figures.length
    out: list[Dim] = []
    below = -FIRST
    across = [(put(p), p[0] - x0, say(p[0] - x0)) for p in _distinct(points, 0, x0, x1, True)]
    if across:
        dims, _, _ = row_below((0.0, 0.0), across, -FIRST)
        out += dims
        below = -FIRST - max(width(t, SMALL) for _, _, t in across) - 3.0 - STEP / 2.0
    out.append(horizontal((0.0, 0.0), (size[0], 0.0), below, x1 - x0, say(x1 - x0)))
    left = -FIRST
    up = [(put(p), p[1] - y0, say(p[1] - y0)) for p in _distinct(points, 1, y0, y1, True)]
    if up:
        dims, _, _ = row_left((0.0, 0.0), up, -FIRST)
        out += dims
        left = -FIRST - max(width(t, SMALL) for _, _, t in up) - 3.0 - STEP / 2.0
    out.append(vertical((0.0, 0.0), (0.0, size[1]), left, y1 - y0, say(y1 - y0)))
    return list(out)
