"""Where the leg bolts sit on a mounting bar: the same places serve bar and bracket, so their holes are in line."""

from __future__ import annotations

import numpy as np

from layout.box.shell import Shell
from layout.brackets.plan import COLUMN_MM, ROW_PITCH_MM, BracketPlan, along
from layout.errors import DesignError
from layout.frames import Extent

EDGE_MM = 16.0
"""Least distance of a leg bolt from the end of bar or leg: more than 1.5 d0 of M8."""

SOCKET_MM = 12.0
"""Room a leg bolt's socket and washer need from the bend and from the foot."""

BEND_ROOM_MM = 37.0
"""Foot thickness and inside radius of the bend together, for 12 mm steel with 24 mm radius."""


def bar_holes(plan: BracketPlan, bar: int, inside: Extent, shell: Shell) -> tuple[tuple[float, float], ...]:
    """Holes of bar number `bar` (from 0): offsets along the wall from the bar's middle, and heights z in the pack's frame.

    Raises:
        DesignError: the wall is too low for two rows of bolts above the foot of the bracket.
    """
    low, high = _range(plan, inside, shell)
    if high - low < ROW_PITCH_MM - 1e-9:
        raise DesignError(
            f"bracket {plan.number} at mount {plan.mounts[0].name!r}",
            f"two rows of leg bolts {ROW_PITCH_MM:g} mm apart on the {plan.wall} wall",
            f"only {max(high - low, 0.0):.0f} mm of bar lies within reach of the bracket's leg",
            "Choose another arrangement or a higher box.",
        )
    if plan.upright:
        first = low if plan.n[2] > 0 else high - ROW_PITCH_MM
    else:
        first = min(max(plan.mounts[0].at_mm[2] - ROW_PITCH_MM / 2.0, low), high - ROW_PITCH_MM)
    heights = (first, first + ROW_PITCH_MM)
    off = plan.bolts_u_mm[bar] - plan.bars_u_mm[bar]
    direction = float(np.cross((0.0, 0.0, 1.0), plan.w)[along(plan.wall)])
    return tuple((off * direction + x, z) for z in heights for x in (-COLUMN_MM, COLUMN_MM))


def _range(plan: BracketPlan, inside: Extent, shell: Shell) -> tuple[float, float]:
    """Heights between which leg bolts can sit."""
    low = inside.min_mm[2] - shell.sheet_mm + EDGE_MM
    high = inside.max_mm[2] - shell.flange_below_mm - EDGE_MM
    if plan.upright:
        level = plan.mounts[0].at_mm[2]
        if plan.n[2] > 0:
            low = max(low, level + BEND_ROOM_MM + SOCKET_MM)
        else:
            high = min(high, level - BEND_ROOM_MM - SOCKET_MM)
    return low, high


def leg_holes(plan: BracketPlan, inside: Extent, shell: Shell) -> tuple[tuple[float, float, float], ...]:
    """All leg bolt places of a bracket on the bars' outer face, in the pack's frame."""
    places = []
    for bar, u in enumerate(plan.bars_u_mm):
        for x, z in bar_holes(plan, bar, inside, shell):
            h = np.cross((0.0, 0.0, 1.0), plan.w)
            point = plan.bar_face_mm * plan.w + np.array((0.0, 0.0, z)) + x * h
            point[along(plan.wall)] += u
            places.append((float(point[0]), float(point[1]), float(point[2])))
    return tuple(places)
