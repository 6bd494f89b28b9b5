"""Cells of an uneven grid against a large mesh: a scan (a bare surface) or a keep-out from a file (a solid)."""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache

import numpy as np

from layout.frames import Array, Pose
from layout.space.cells import Lines
from layout.space.obstacle import Obstacle
from layout.space.triangles import winding_number
from layout.space.voxels import Box, Flags, any_in_cells, box_around, enclosed, nearer_than, surely_nearer, touched

FINE_MM = 3.0
COARSE_MM = 5.0


def mesh_free(mesh: Obstacle, frame: Pose, lines: Lines, clearance_mm: float, step_mm: float) -> Flags:
    """Cells of which every point keeps clearance and margin from the mesh, and lies outside of it where it is a solid.

    step_mm: edge of the equal cells on which the mesh is marked. It does not depend on the lines, so that finer lines
    over the same bounds never lose a cell.
    """
    reach = clearance_mm + mesh.margin_mm
    box = box_around(lines, reach, step_mm)
    return ~any_in_cells(_near(mesh, frame, box, reach), box, lines)


@lru_cache(maxsize=3)
def _near(mesh: Obstacle, frame: Pose, box: Box, reach_mm: float) -> Flags:
    marks = touched(mesh.triangles, frame, box)
    near = nearer_than(marks, box.step_mm, reach_mm)
    if mesh.solid:
        near = near | enclosed(marks, box, _is_within(mesh, frame))
    return near


def mesh_may_be_free(mesh: Obstacle, frame: Pose, lines: Lines, clearance_mm: float, step_mm: float) -> Flags:
    """All cells but those of which no point keeps clearance and margin."""
    reach = clearance_mm + mesh.margin_mm
    box = box_around(lines, reach, step_mm)
    blocked = surely_nearer(mesh.triangles, frame, box, reach)
    if mesh.solid:
        blocked |= enclosed(touched(mesh.triangles, frame, box), box, _is_within(mesh, frame))
    return ~any_in_cells(blocked, box, lines, every=True)


def _is_within(mesh: Obstacle, frame: Pose) -> Callable[[Array], Flags]:
    triangles = np.asarray(mesh.triangles, dtype=float)
    return lambda points: np.asarray(np.abs(winding_number(frame.point(points), triangles)) > 0.5)
