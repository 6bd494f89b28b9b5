"""Insulating sheets on the floor and the walls, with cut-outs where bars pass. Pack frame."""

from __future__ import annotations

import numpy as np
import shapely

from layout.box.carriers import CarrierBar
from layout.box.shell import Shell
from layout.box.walls import UPPER_FLOOR, Wall, walls_of
from layout.design import Loop, Plate, Profile
from layout.frames import Axes, Extent, Pose, vec3
from layout.stepped import drawn_in, floors_of, plan_of

LINER = "insulating liner"
PLAY_MM = 1.0
"""Around a bar."""
LEAST_MM = 5.0
"""Strips that are nowhere wider than this are left out: nobody cuts and glues them (common practice, no source)."""

Bounds = tuple[float, float, float, float]

_X, _Y, _Z = (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)
_MINUS_Y = (0.0, -1.0, 0.0)
_FLAT: Axes = (_X, _Y, _Z)
_LENGTHWISE: Axes = (_X, _Z, _MINUS_Y)
_ACROSS: Axes = (_Y, _Z, _X)


def liner_sheets(
    prefix: str, inside: Extent, shell: Shell, bars: tuple[CarrierBar, ...], others: tuple[Extent, ...] = ()
) -> tuple[Plate, ...]:
    """Sheets of the liner; several where bars part the floor. others: what passes through it besides.

    Slots for bars that are lowered in with their modules are open at the top. In a folded box the sheets end before the bend
    of floor and wall.
    """
    t, r = shell.liner_mm, shell.fold_radius_mm
    if t <= 0.0:
        return ()
    sheets = []
    for name, piece in zip(("floor", UPPER_FLOOR), floors_of(inside), strict=False):
        (x0, y0, z0), (x1, y1, _) = piece.min_mm, piece.max_mm
        floor = Extent((x0 + r, y0 + r, z0), (x1 - r, y1 - r, z0 + t))
        plain = drawn_in(piece, (r, r, 0.0), (r, r, 0.0))
        sheets.append((name, floor, _FLAT, (0, 1), shapely.Polygon([(x - x0 - r, y - y0 - r) for x, y in plan_of(plain)])))
    for wall in walls_of(inside):
        extent, plan = _on_wall(wall, t, max(t, r)), (wall.along, 2)
        whole = shapely.box(0.0, 0.0, extent.size_mm[plan[0]], extent.size_mm[2])
        sheets.append((wall.name, extent, _ACROSS if wall.along else _LENGTHWISE, plan, whole))
    found: list[Plate] = []
    for name, extent, axes, plan, sheet in sheets:
        for profile in _pieces(sheet, extent, plan, [*(_way_of(bar, inside.max_mm[2]) for bar in bars), *others]):
            origin = (extent.min_mm[0], extent.max_mm[1] if axes is _LENGTHWISE else extent.min_mm[1], extent.min_mm[2])
            number = f"{prefix}-L{len(found) + 1}"
            found.append(Plate(number, f"liner, {name}", LINER, t, profile, Pose(origin, axes), group="liner"))
    return tuple(found)


def _way_of(bar: CarrierBar, top_mm: float) -> Extent:
    """What a bar cuts: itself, or where it is not welded in, all of its way from the top."""
    if bar.welded:
        return bar.extent
    (x, y, _), low = bar.extent.max_mm, bar.extent.min_mm
    return Extent(low, (x, y, top_mm))


def _on_wall(wall: Wall, t: float, up_mm: float) -> Extent:
    """The sheet on a wall, from a height above the floor. One along x fills all corners, also the elbow of a step.

    That on a riser covers the edge of the liner on the upper floor. The two on an L meet above it.
    """
    across = wall.along == 1
    outer, elbow = (t, 0.0) if across else (0.0, -t)
    runs_on = -outer
    low = wall.low_mm + (elbow if wall.elbow < 0 else runs_on if wall.runs_on < 0 else outer)
    high = wall.high_mm - (elbow if wall.elbow > 0 else runs_on if wall.runs_on > 0 else outer)
    a, b = wall.point(low, -t, wall.bottom_mm + up_mm), wall.point(high, 0.0, wall.top_mm + (t if wall.riser else 0.0))
    return Extent(vec3(np.minimum(a, b)), vec3(np.maximum(a, b)))


def _pieces(sheet: shapely.Geometry, extent: Extent, plan: tuple[int, int], bodies: list[Extent]) -> list[Profile]:
    """The sheet less the bodies that cross it, in its own plane from its lesser corner."""
    low, whole = extent.min_mm, sheet.bounds
    for body in bodies:
        if any(body.min_mm[a] > extent.max_mm[a] or body.max_mm[a] < low[a] for a in range(3)):
            continue
        u0, v0 = (body.min_mm[a] - low[a] - PLAY_MM for a in plan)
        u1, v1 = (body.max_mm[a] - low[a] + PLAY_MM for a in plan)
        sheet = shapely.difference(sheet, _to_edges((u0, v0, u1, v1), whole))
    parts = [g for g in shapely.get_parts(sheet) if not g.buffer(-LEAST_MM / 2.0).is_empty]
    return [Profile(_loop(p.exterior), (), tuple(_loop(r) for r in p.interiors)) for p in parts]


def _to_edges(cut: Bounds, whole: Bounds) -> shapely.Polygon:
    """A cut-out, open to every edge of the sheet's bounds that it would leave a strip of less than LEAST_MM at."""
    low = [out - 1.0 if 0.0 < at - out < LEAST_MM else at for at, out in zip(cut[:2], whole[:2], strict=True)]
    high = [out + 1.0 if 0.0 < out - at < LEAST_MM else at for at, out in zip(cut[2:], whole[2:], strict=True)]
    return shapely.box(*low, *high)


def _loop(ring: shapely.LinearRing) -> Loop:
    points = list(ring.coords)[:-1]
    if not ring.is_ccw:
        points.reverse()
    return tuple((float(x), float(y), 0.0) for x, y in points)
