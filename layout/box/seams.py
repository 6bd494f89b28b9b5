"""The welds of the box: every seam once. Pack frame."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layout.box.shell import Shell
from layout.brackets.plan import WALLS
from layout.design import Plate, Weld
from layout.frames import DIRECTIONS, Extent, Vec3, vec3

Seam = tuple[str, tuple[Vec3, ...], tuple[str, str]]
"""Kind, path, numbers of the two parts."""


@dataclass(frozen=True)
class SeamParts:
    """What is welded together. panels: by name ("bottom", "left" ...)."""

    panels: dict[str, Plate]
    bars: tuple[Plate, ...]
    ribs: tuple[Plate, ...]
    flange: Plate
    floor_bars: tuple[Plate, ...] = ()


def seams(prefix: str, inside: Extent, shell: Shell, parts: SeamParts) -> tuple[Weld, ...]:
    """Corners outside, bars along both edges, ribs along both sides, flange outside below.

    Throat: of a corner filled from outside the sheet's thickness; of a fillet 0.7 of it (Shell.fillet_mm).
    """
    found = [
        *_around(inside, shell, parts),
        *_uprights(inside, shell, parts),
        *(seam for bar in parts.bars for seam in _bar(bar, parts)),
        *(seam for rib in parts.ribs for seam in _rib(rib, parts)),
        *(seam for bar in parts.floor_bars for seam in _floor_bar(bar, parts)),
    ]
    throats = {"corner": shell.sheet_mm, "fillet": shell.fillet_mm}
    return tuple(Weld(f"{prefix}-W{i + 1}", kind, throats[kind], path, joins) for i, (kind, path, joins) in enumerate(found))


def _corners(inside: Extent, shell: Shell) -> tuple[float, float, float, float]:
    t = shell.sheet_mm
    return inside.min_mm[0] - t, inside.max_mm[0] + t, inside.min_mm[1] - t, inside.max_mm[1] + t


def _around(inside: Extent, shell: Shell, parts: SeamParts) -> list[Seam]:
    """Walls to floor and walls to flange."""
    xa, xb, ya, yb = _corners(inside, shell)
    z0, z1 = inside.min_mm[2], inside.max_mm[2]
    ends = {
        "left": ((xa, yb), (xb, yb)),
        "right": ((xa, ya), (xb, ya)),
        "fore": ((xb, ya), (xb, yb)),
        "aft": ((xa, ya), (xa, yb)),
    }
    found: list[Seam] = []
    for wall, plan in ends.items():
        number = parts.panels[wall].number
        found.append(("corner", tuple((x, y, z0) for x, y in plan), (parts.panels["bottom"].number, number)))
        found.append(("fillet", tuple((x, y, z1) for x, y in plan), (number, parts.flange.number)))
    return found


def _uprights(inside: Extent, shell: Shell, parts: SeamParts) -> list[Seam]:
    """The four upright corners."""
    xa, xb, ya, yb = _corners(inside, shell)
    z0, z1 = inside.min_mm[2], inside.max_mm[2]
    return [
        ("corner", ((x, y, z0), (x, y, z1)), (parts.panels[end].number, parts.panels[side].number))
        for end, x in (("fore", xb), ("aft", xa))
        for side, y in (("left", yb), ("right", ya))
    ]


def _bar(bar: Plate, parts: SeamParts) -> list[Seam]:
    """Both long edges of a bar on its wall."""
    wall = next(name for name, d in WALLS.items() if np.allclose(bar.pose.axes[2], DIRECTIONS[d]))
    width = max(v[0] for v in bar.profile.outline)
    height = max(v[1] for v in bar.profile.outline)
    return [
        ("fillet", tuple(vec3(bar.pose.point((x, y, 0.0))) for y in (0.0, height)), (bar.number, parts.panels[wall].number))
        for x in (0.0, width)
    ]


def _rib(rib: Plate, parts: SeamParts) -> list[Seam]:
    """Both sides of a rib under the floor."""
    length = max(v[0] for v in rib.profile.outline)
    height = max(v[1] for v in rib.profile.outline)
    floor = parts.panels["bottom"].number
    return [
        ("fillet", tuple(vec3(rib.pose.point((x, height, side))) for x in (0.0, length)), (rib.number, floor))
        for side in (0.0, rib.thickness_mm)
    ]


def _floor_bar(bar: Plate, parts: SeamParts) -> list[Seam]:
    """Both long edges of a bar on the floor, and the upright edges of its ends at the walls."""
    length = max(v[0] for v in bar.profile.outline)
    width, floor = max(v[1] for v in bar.profile.outline), parts.panels["bottom"].number
    found: list[Seam] = [
        ("fillet", tuple(vec3(bar.pose.point((x, y, 0.0))) for x in (0.0, length)), (bar.number, floor)) for y in (0.0, width)
    ]
    low, high = ("aft", "fore") if abs(bar.pose.axes[0][0]) > 0.5 else ("right", "left")
    for x, wall in ((0.0, low), (length, high)):
        for y in (0.0, width):
            path = tuple(vec3(bar.pose.point((x, y, z))) for z in (0.0, bar.thickness_mm))
            found.append(("fillet", path, (bar.number, parts.panels[wall].number)))
    return found
