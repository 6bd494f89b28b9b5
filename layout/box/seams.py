"""The welds of the box: every seam once. Pack frame."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np

from layout.box.shell import Shell
from layout.box.walls import WALLS, wall_at, walls_of
from layout.design import Plate, Weld
from layout.frames import DIRECTIONS, Extent, Vec3, vec3

SAME_MM = 1e-6
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
        *(seam for bar in parts.bars for seam in _bar(bar, inside, parts)),
        *(seam for rib in parts.ribs for seam in _rib(rib, parts)),
        *(seam for bar in parts.floor_bars for seam in _floor_bar(bar, inside, parts)),
    ]
    throats = {"corner": shell.sheet_mm, "fillet": shell.fillet_mm}
    return tuple(Weld(f"{prefix}-W{i + 1}", kind, throats[kind], path, joins) for i, (kind, path, joins) in enumerate(found))


def _around(inside: Extent, shell: Shell, parts: SeamParts) -> list[Seam]:
    """Walls to floor and walls to flange, from outer corner to outer corner."""
    t = shell.sheet_mm
    found: list[Seam] = []
    for wall in walls_of(inside):
        ends = wall.low_mm + (t if wall.elbow < 0 else -t), wall.high_mm + (-t if wall.elbow > 0 else t)
        number = parts.panels[wall.name].number
        below, above = (tuple(wall.point(u, t, z) for u in ends) for z in (wall.bottom_mm, wall.top_mm))
        found.append(("corner", below, (parts.panels["bottom"].number, number)))
        found.append(("fillet", above, (number, parts.flange.number)))
    return found


def _uprights(inside: Extent, shell: Shell, parts: SeamParts) -> list[Seam]:
    """The upright corners: filled from outside; a fillet in the elbow of a step."""
    walls, t = walls_of(inside), shell.sheet_mm
    found: list[Seam] = []
    for end, side in product((w for w in walls if w.along == 1), (w for w in walls if w.along == 0)):
        meet = all(min(abs(a.low_mm - b.face_mm), abs(a.high_mm - b.face_mm)) < SAME_MM for a, b in ((end, side), (side, end)))
        if meet:
            x, y = end.point(0.0, t, 0.0)[0], side.point(0.0, t, 0.0)[1]
            elbow = end.elbow != 0 and side.elbow != 0
            path = ((x, y, end.bottom_mm), (x, y, end.top_mm))
            numbers = (parts.panels[end.name].number, parts.panels[side.name].number)
            found.append(("fillet" if elbow else "corner", path, numbers))
    return found


def _bar(bar: Plate, inside: Extent, parts: SeamParts) -> list[Seam]:
    """Both long edges of a bar on its wall."""
    looks = next(d for d in WALLS.values() if np.allclose(bar.pose.axes[2], DIRECTIONS[d]))
    wall = wall_at(inside, looks, bar.pose.origin_mm).name
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


def _floor_bar(bar: Plate, inside: Extent, parts: SeamParts) -> list[Seam]:
    """Both long edges of a bar on the floor, and the upright edges of its ends at the walls."""
    length = max(v[0] for v in bar.profile.outline)
    width, floor = max(v[1] for v in bar.profile.outline), parts.panels["bottom"].number
    found: list[Seam] = [
        ("fillet", tuple(vec3(bar.pose.point((x, y, 0.0))) for x in (0.0, length)), (bar.number, floor)) for y in (0.0, width)
    ]
    axis = "x" if abs(bar.pose.axes[0][0]) > 0.5 else "y"
    for x, looks in ((0.0, f"-{axis}"), (length, f"+{axis}")):
        wall = wall_at(inside, looks, vec3(bar.pose.point((x, width / 2.0, 0.0)))).name
        for y in (0.0, width):
            path = tuple(vec3(bar.pose.point((x, y, z))) for z in (0.0, bar.thickness_mm))
            found.append(("fillet", path, (bar.number, parts.panels[wall].number)))
    return found
