"""Inside radii of bends, pointed at where a view looks along the bend."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike

from layout.design import FoldedPlate
from layout.design.flat import BendFrame, bend_frames
from layout.frames import Vec3, vec3
from outputs.drawing.dimensions import arrow
from outputs.drawing.figures import Figures
from outputs.drawing.ink import Ink, Line, Pen, Point, Text
from outputs.drawing.letters import SMALL, text_box
from outputs.drawing.places import Places
from outputs.drawing.projection import ViewAxes

REACHES = (7.0, 10.0, 14.0, 19.0, 25.0, 32.0)
"""Lengths of the leader that are tried, mm of paper."""


def inner_point(frame: BendFrame) -> Vec3:
    """The middle of the inside arc, half way round, at the start of the bend; in the part's own frame."""
    half = frame.angle_rad / 2.0
    inside = frame.thickness_mm if frame.angle_rad > 0.0 else 0.0
    off = inside - frame.centre_z_mm
    return vec3(frame.pose.point((0.0, -off * math.sin(half), frame.centre_z_mm + off * math.cos(half))))


def radius_inks(
    part: FoldedPlate, axes: ViewAxes, ratio: float, by: Point, drawn: Sequence[Ink], figures: Figures
) -> list[Ink]:
    """Each inside radius once, with how many bends have it in this view; drawn: what its figure must not stand on.

    ratio, by: how the view is put on paper.
    """
    found: dict[float, list[BendFrame]] = {}
    for frame in bend_frames(part):
        if abs(float(frame.pose.vector((1.0, 0.0, 0.0)) @ np.array(axes.towards))) > 1.0 - 1e-9:
            found.setdefault(round(frame.inside_radius_mm, 3), []).append(frame)
    places = Places(drawn)
    inks: list[Ink] = []
    for radius, frames in found.items():
        text = f"R{figures.length(radius)}" + (f" ({len(frames)}x)" if len(frames) > 1 else "")
        inks += _leader(frames[0], axes, ratio, by, text, places)
    return inks


def _leader(frame: BendFrame, axes: ViewAxes, ratio: float, by: Point, text: str, places: Places) -> list[Ink]:
    """From inside the bend to its inner face; the figure stands where nothing else is."""

    def put(point: ArrayLike) -> Point:
        u, v = axes.flat(point)
        return (float(u) * ratio + by[0], float(v) * ratio + by[1])

    tip, centre = put(inner_point(frame)), put(frame.pose.point((0.0, 0.0, frame.centre_z_mm)))
    size = math.dist(tip, centre) or 1.0
    away = math.atan2((centre[1] - tip[1]) / size, (centre[0] - tip[0]) / size)
    tried = [(reach, turn) for reach in REACHES for turn in (0.0, 0.35, -0.35)]
    labels = [_label(tip, away + turn, reach, text) for reach, turn in tried]
    end, label = next(((e, t) for e, t in labels if places.free(text_box(t, 0.2))), labels[0])
    places.take(text_box(label, 0.2))
    return [Line((tip, end), Pen.DIMENSION), arrow(tip, end), label]


def _label(tip: Point, angle: float, reach: float, text: str) -> tuple[Point, Text]:
    end = (tip[0] + reach * math.cos(angle), tip[1] + reach * math.sin(angle))
    right = math.cos(angle) >= 0.0
    return end, Text((end[0] + (0.6 if right else -0.6), end[1] - SMALL / 2.0), text, SMALL, "left" if right else "right")
