"""Where the leg bolts sit on a mounting bar: the same places serve bar and bracket, so their holes are in line."""

from __future__ import annotations

import numpy as np

from layout.box.shell import Shell
from layout.box.walls import along, wall_of
from layout.brackets.planned import BracketPlan
from layout.errors import DesignError
from layout.frames import Array, Extent

SOCKET_MM = 12.0
"""Room a leg bolt's socket and washer need from the bend and from the foot."""

_COUNT = {2: "two", 3: "three", 4: "four"}

BEND_ROOM_MM = 37.0
"""Foot thickness and inside radius of the bend together, for 12 mm steel with 24 mm radius."""


def bar_holes(plan: BracketPlan, bar: int, inside: Extent, shell: Shell) -> tuple[tuple[float, float], ...]:
    """Holes of bar number `bar` (from 0): offsets along the wall from the bar's middle, and heights z in the pack's frame.

    Raises:
        DesignError: the wall is too low for the rows of bolts above the foot of the bracket.
    """
    pattern = plan.pattern
    low, high = _range(plan, bar, inside, shell)
    if high - low < plan.leg_span_mm - 1e-9:
        raise DesignError(
            f"bracket {plan.number} at mount {plan.mounts[0].name!r}",
            f"{_COUNT[plan.leg_rows]} rows of leg bolts {pattern.row_mm:g} mm apart on the {plan.wall} wall",
            f"only {max(high - low, 0.0):.0f} mm of bar lies within reach of the bracket's leg",
            "Choose another arrangement or a higher box.",
        )
    if plan.upright and not plan.facing:
        first = low if plan.n[2] > 0 else high - plan.leg_span_mm
    else:
        first = min(max(plan.mounts[0].at_mm[2] - plan.leg_span_mm / 2.0, low), high - plan.leg_span_mm)
    heights = [first + k * pattern.row_mm for k in range(plan.leg_rows)]
    off = plan.bolts_u_mm[bar] - plan.bars_u_mm[bar]
    direction = float(_along_wall(plan)[along(plan.wall)])
    return tuple((off * direction + x, z) for z in heights for x in (-pattern.column_mm, pattern.column_mm))


def _range(plan: BracketPlan, bar: int, inside: Extent, shell: Shell) -> tuple[float, float]:
    """Heights between which leg bolts of a bar can sit."""
    edge = plan.pattern.edge_mm
    low = wall_of(plan.wall, inside).bottom_mm - shell.sheet_mm + edge
    high = inside.max_mm[2] - shell.flange_below_mm - edge
    if plan.upright and not plan.facing:
        room = BEND_ROOM_MM + SOCKET_MM + plan.pattern.edge_mm - 16.0
        levels = [_level(plan, plan.bolts_u_mm[bar] + x) for x in (-plan.pattern.column_mm, plan.pattern.column_mm)]
        if plan.n[2] > 0:
            low = max(low, max(levels) + room)
        else:
            high = min(high, min(levels) - room)
    return low, high


def _along_wall(plan: BracketPlan) -> Array:
    """Own x of whatever lies on the wall: up x outward normal."""
    return np.array((-plan.w[1], plan.w[0], 0.0))


def _level(plan: BracketPlan, u_mm: float) -> float:
    """Height at which the bend's corner meets the bars' face at a place along the wall: raked packs have it inclined."""
    point = plan.bar_face_mm * plan.w
    point[along(plan.wall)] = u_mm
    level = float(np.dot(plan.mounts[0].at_mm, plan.n))
    return (level - float(np.dot(point, plan.n))) / float(plan.n[2])


def leg_holes(plan: BracketPlan, inside: Extent, shell: Shell) -> tuple[tuple[float, float, float], ...]:
    """All leg bolt places of a bracket on the bars' outer face, in the pack's frame."""
    places = []
    h = _along_wall(plan)
    for bar, u in enumerate(plan.bars_u_mm):
        for x, z in bar_holes(plan, bar, inside, shell):
            point = plan.bar_face_mm * plan.w + np.array((0.0, 0.0, z)) + x * h
            point[along(plan.wall)] += u
            places.append((float(point[0]), float(point[1]), float(point[2])))
    return tuple(places)
