"""Flat plates parallel to the pack's axes, meshed on common lines so that welded neighbours share their nodes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from layout.design import Plate
from layout.design.geometry import hole_polygon, loop_points
from layout.fe.bricks import Block, Body, body_of_block, half_steps
from layout.fe.lines import drawn_together, filled, nearest
from layout.frames import Array

Flags = NDArray[np.bool_]
OPENING_MM = 25.0
"""Round holes and slots narrower than this (bolt holes) are left filled; wider ones and cut-outs are cut out of the mesh."""

SAME_SHARE = 0.3
SAME_MM = 0.45
"""Lines nearer than this, or than a share of the thinnest sheet, become one: bars end a little short of the walls."""


@dataclass(frozen=True, eq=False)
class Grid:
    """Lines along the pack's three axes, mm."""

    x: Array
    y: Array
    z: Array

    def along(self, axis: int) -> Array:
        """Lines along one axis."""
        return (self.x, self.y, self.z)[axis]


def extent_of(plate: Plate) -> Array:
    """Least and greatest corner in the pack's frame, (2, 3). The plate must be parallel to the axes (see `is_parallel`)."""
    points = loop_points(plate.profile.outline)
    low, high = points.min(axis=0), points.max(axis=0)
    ends = plate.pose.point([(*low, 0.0), (*high, plate.thickness_mm)])
    return np.array([ends.min(axis=0), ends.max(axis=0)])


def _cutouts(plate: Plate) -> list[Array]:
    """Least and greatest corner of each cut-out in the pack's frame."""
    found = []
    for cutout in plate.profile.cutouts:
        points = loop_points(cutout)
        corners = plate.pose.point([(*points.min(axis=0), 0.0), (*points.max(axis=0), plate.thickness_mm)])
        found.append(np.array([corners.min(axis=0), corners.max(axis=0)]))
    return found


def is_parallel(plate: Plate) -> bool:
    """Whether the plate's own axes lie along the pack's."""
    return bool(np.allclose(np.sort(np.abs(plate.pose.matrix).ravel())[-3:], 1.0, atol=1e-9))


def normal_axis(plate: Plate) -> int:
    """The pack's axis square to the plate."""
    return int(np.argmax(np.abs(plate.pose.axes[2])))


def grid_of(plates: tuple[Plate, ...], extra: tuple[tuple[int, float], ...], step_mm: float) -> Grid:
    """Common lines: faces, edges and cut-outs of all plates, extra ones (axis, place), and between them at most step_mm."""
    least = max(SAME_SHARE * min(p.thickness_mm for p in plates), SAME_MM)
    ends = [e for p in plates for e in (extent_of(p), *_cutouts(p))]
    found = []
    for axis in range(3):
        wanted = [float(v) for e in ends for v in e[:, axis]] + [v for a, v in extra if a == axis]
        found.append(filled(drawn_together(wanted, least), step_mm))
    return Grid(*found)


def plate_body(plate: Plate, grid: Grid, mass_kg: float) -> Body:
    """One layer of bricks. Cells whose middle lies outside the outline, in a cut-out or in a wide hole are left out."""
    low, high = extent_of(plate)
    k = normal_axis(plate)
    lines = []
    for axis in range(3):
        a, b = nearest(grid.along(axis), low[axis]), nearest(grid.along(axis), high[axis])
        all_lines = grid.along(axis)
        inner = all_lines[(all_lines >= a - 1e-9) & (all_lines <= b + 1e-9)]
        lines.append(np.array([a, b]) if axis == k else inner)
    order = [(k + 1) % 3, (k + 2) % 3, k]
    halves = [half_steps(lines[axis]) for axis in order]
    points = np.empty((*(len(h) for h in halves), 3))
    for place, axis in enumerate(order):
        shape = [1, 1, 1]
        shape[place] = -1
        points[..., axis] = halves[place].reshape(shape)
    keep = _inside(plate)(points[1::2, 1::2, 1::2])
    return body_of_block(plate.number, plate.material, plate.thickness_mm, mass_kg, Block(points, keep), plate.group)


def _inside(plate: Plate) -> Callable[[Array], Flags]:
    profile = plate.profile
    rings = [loop_points(c) for c in profile.cutouts]
    rings += [np.array(hole_polygon(h).exterior.coords) for h in profile.holes if h.diameter_mm >= OPENING_MM]
    face = shapely.Polygon(loop_points(profile.outline), rings)

    def test(points: Array) -> Flags:
        own = plate.pose.inverse_point(points)
        return np.asarray(shapely.contains_xy(face, own[..., 0], own[..., 1]), dtype=bool)

    return test
