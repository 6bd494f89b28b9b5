"""Insulating sheets on the floor and the four walls, with cut-outs where bars pass. Pack frame."""

from __future__ import annotations

import shapely

from layout.box.carriers import CarrierBar
from layout.box.shell import Shell
from layout.design import Loop, Plate, Profile
from layout.frames import Axes, Extent, Pose

LINER = "insulating liner"
PLAY_MM = 1.0
"""Around a bar."""
LEAST_MM2 = 100.0
"""Scraps smaller than this are left out."""

_X, _Y, _Z = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)
_MINUS_Y = (0.0, -1.0, 0.0)
_FLAT: Axes = (_X, _Y, _Z)
_LENGTHWISE: Axes = (_X, _Z, _MINUS_Y)
_ACROSS: Axes = (_Y, _Z, _X)


def liner_sheets(prefix: str, inside: Extent, shell: Shell, bars: tuple[CarrierBar, ...]) -> tuple[Plate, ...]:
    """Sheets of the liner; several where bars part the floor. In a folded box they end before the bend of floor and wall."""
    t, r = shell.liner_mm, shell.fold_radius_mm
    up = max(t, r)
    if t <= 0.0:
        return ()
    (x0, y0, z0), (x1, y1, z1) = inside.min_mm, inside.max_mm
    sheets = {
        "floor": (Extent((x0 + r, y0 + r, z0), (x1 - r, y1 - r, z0 + t)), _FLAT, (0, 1)),
        "left": (Extent((x0, y1 - t, z0 + up), (x1, y1, z1)), _LENGTHWISE, (0, 2)),
        "right": (Extent((x0, y0, z0 + up), (x1, y0 + t, z1)), _LENGTHWISE, (0, 2)),
        "fore": (Extent((x1 - t, y0 + t, z0 + up), (x1, y1 - t, z1)), _ACROSS, (1, 2)),
        "aft": (Extent((x0, y0 + t, z0 + up), (x0 + t, y1 - t, z1)), _ACROSS, (1, 2)),
    }
    found: list[Plate] = []
    for name, (extent, axes, plan) in sheets.items():
        for profile in _pieces(extent, plan, bars):
            origin = (extent.min_mm[0], extent.max_mm[1] if axes is _LENGTHWISE else extent.min_mm[1], extent.min_mm[2])
            number = f"{prefix}-L{len(found) + 1}"
            found.append(Plate(number, f"liner, {name}", LINER, t, profile, Pose(origin, axes), group="liner"))
    return tuple(found)


def _pieces(extent: Extent, plan: tuple[int, int], bars: tuple[CarrierBar, ...]) -> list[Profile]:
    """The sheet less the bars that cross it, in its own plane from its lesser corner."""
    low, size = extent.min_mm, extent.size_mm
    sheet: shapely.Geometry = shapely.box(0.0, 0.0, size[plan[0]], size[plan[1]])
    for bar in bars:
        body = bar.extent
        if any(body.min_mm[a] > extent.max_mm[a] or body.max_mm[a] < low[a] for a in range(3)):
            continue
        u0, v0 = (body.min_mm[a] - low[a] - PLAY_MM for a in plan)
        u1, v1 = (body.max_mm[a] - low[a] + PLAY_MM for a in plan)
        sheet = shapely.difference(sheet, shapely.box(u0, v0, u1, v1))
    parts = [g for g in shapely.get_parts(sheet) if g.area > LEAST_MM2]
    return [Profile(_loop(p.exterior), (), tuple(_loop(r) for r in p.interiors)) for p in parts]


def _loop(ring: shapely.LinearRing) -> Loop:
    points = list(ring.coords)[:-1]
    if not ring.is_ccw:
        points.reverse()
    return tuple((float(x), float(y), 0.0) for x, y in points)
