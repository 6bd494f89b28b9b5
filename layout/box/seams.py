"""The welds of the box: every seam once. Pack frame."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np

from layout.box.shell import Shell
from layout.box.walls import UPPER_FLOOR, WALLS, Wall, wall_at, walls_of
from layout.design import Plate, Weld
from layout.frames import DIRECTIONS, Extent, Vec3, vec3
from layout.stepped import floors_of

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
        *(seam for rib in parts.ribs for seam in _rib(rib, inside, parts)),
        *(seam for bar in parts.floor_bars for seam in _floor_bar(bar, inside, parts)),
    ]
    throats = {"corner": shell.sheet_mm, "fillet": shell.fillet_mm}
    return tuple(Weld(f"{prefix}-W{i + 1}", kind, throats[kind], path, joins) for i, (kind, path, joins) in enumerate(found))


def _around(inside: Extent, shell: Shell, parts: SeamParts) -> list[Seam]:
    """Walls to floor and walls to flange, from outer corner to outer corner; a riser to both its floors."""
    t = shell.sheet_mm
    found: list[Seam] = []
    for wall in walls_of(inside):
        ends = _ends(wall, t)
        number = parts.panels[wall.name].number
        below = tuple(wall.point(u, t, wall.bottom_mm) for u in ends)
        found.append(("corner", below, (_floor_below(wall, inside, parts), number)))
        if wall.riser:  # the fillet under the upper floor, whose edge stands at the riser's outer face
            level = wall.top_mm - t
            joins = (number, parts.panels[UPPER_FLOOR].number)
            found.append(("fillet", tuple(wall.point(u, t, level) for u in (wall.low_mm, wall.high_mm)), joins))
        else:
            above = tuple(wall.point(u, t, wall.top_mm) for u in ends)
            found.append(("fillet", above, (number, parts.flange.number)))
    return found


def _ends(wall: Wall, t: float) -> tuple[float, float]:
    """Where a wall's level seams end: at the outer corners, in an elbow at the corner of both plates, and at the riser's outer
    face where the plate runs on.
    """
    low = wall.low_mm + (t if wall.elbow < 0 or wall.runs_on < 0 else -t)
    return low, wall.high_mm + (-t if wall.elbow > 0 or wall.runs_on > 0 else t)


def _floor_below(wall: Wall, inside: Extent, parts: SeamParts) -> str:
    upper = len(floors_of(inside)) > 1 and wall.bottom_mm > inside.min_mm[2] + SAME_MM
    return parts.panels[UPPER_FLOOR if upper else "bottom"].number


def _uprights(inside: Extent, shell: Shell, parts: SeamParts) -> list[Seam]:
    """The upright corners: filled from outside; a fillet in the elbow of a step. A riser's end below the upper floor."""
    walls, t = walls_of(inside), shell.sheet_mm
    found: list[Seam] = []
    for end, side in product((w for w in walls if w.along == 1), (w for w in walls if w.along == 0)):
        if _meet(end, side):
            x, y = end.point(0.0, t, 0.0)[0], side.point(0.0, t, 0.0)[1]
            elbow = end.elbow != 0 and side.elbow != 0
            bottom, top = max(end.bottom_mm, side.bottom_mm), min(end.top_mm, side.top_mm)
            path = ((x, y, bottom), (x, y, top - t if end.riser or side.riser else top))
            numbers = (parts.panels[end.name].number, parts.panels[side.name].number)
            found.append(("fillet" if elbow else "corner", path, numbers))
    return found


def _meet(end: Wall, side: Wall) -> bool:
    """Whether two walls square to one another meet at a corner: not where the plate of one runs on."""
    for one, other in ((end, side), (side, end)):
        at = [u for u, way in ((one.low_mm, -1), (one.high_mm, 1)) if one.runs_on != way]
        if min(abs(u - other.face_mm) for u in at) >= SAME_MM:
            return False
    return True


def _bar(bar: Plate, inside: Extent, parts: SeamParts) -> list[Seam]:
    """Both long edges of a bar on its wall."""
    looks = next(d for d in WALLS.values() if np.allclose(bar.pose.axes[2], DIRECTIONS[d]))
    width = max(v[0] for v in bar.profile.outline)
    wall = wall_at(inside, looks, vec3(bar.pose.point((width / 2.0, 0.0, 0.0)))).name
    height = max(v[1] for v in bar.profile.outline)
    return [
        ("fillet", tuple(vec3(bar.pose.point((x, y, 0.0))) for y in (0.0, height)), (bar.number, parts.panels[wall].number))
        for x in (0.0, width)
    ]


def _rib(rib: Plate, inside: Extent, parts: SeamParts) -> list[Seam]:
    """Both sides of a rib under its floor."""
    length = max(v[0] for v in rib.profile.outline)
    height = max(v[1] for v in rib.profile.outline)
    floor = _floor_at(rib.pose.origin_mm[2] + height, inside, parts)
    return [
        ("fillet", tuple(vec3(rib.pose.point((x, height, side))) for x in (0.0, length)), (rib.number, floor))
        for side in (0.0, rib.thickness_mm)
    ]


def _floor_bar(bar: Plate, inside: Extent, parts: SeamParts) -> list[Seam]:
    """Both long edges of a bar on the floor, and the upright edges of its ends at the walls."""
    length = max(v[0] for v in bar.profile.outline)
    width, floor = max(v[1] for v in bar.profile.outline), _floor_at(bar.pose.origin_mm[2], inside, parts)
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


def _floor_at(height_mm: float, inside: Extent, parts: SeamParts) -> str:
    """Number of the floor nearest to a height."""
    levels = [piece.min_mm[2] for piece in floors_of(inside)]
    upper = len(levels) > 1 and abs(levels[1] - height_mm) < abs(levels[0] - height_mm)
    return parts.panels[UPPER_FLOOR if upper else "bottom"].number
