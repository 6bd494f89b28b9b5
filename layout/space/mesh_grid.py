"""Cells of an uneven grid against a large mesh: a scan (a bare surface) or a keep-out from a file (a solid)."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from layout.frames import Array, Pose
from layout.space.cells import Lines
from layout.space.obstacle import Obstacle
from layout.space.triangles import winding_number
from layout.space.voxels import Flags, any_in_cells, box_around, enclosed, nearer_than, surely_nearer, touched

FINEST_MM = 2.0
COARSEST_MM = 5.0


def fine_step(lines: Lines) -> float:
    """Edge of the equal cells for a grid: a quarter of its widest step, between 2 and 5 mm."""
    widest = max(float(np.diff(line).max()) for line in lines.axes)
    return min(max(widest / 4.0, FINEST_MM), COARSEST_MM)


def mesh_free(mesh: Obstacle, frame: Pose, lines: Lines, clearance_mm: float, step_mm: float) -> Flags:
    """Cells of which every point keeps clearance and margin from the mesh, and lies outside of it where it is a solid.

    step_mm: edge of the equal cells on which the mesh is marked.
    """
    reach = clearance_mm + mesh.margin_mm
    box = box_around(lines, reach, step_mm)
    marks = touched(mesh.triangles, frame, box)
    near = nearer_than(marks, box.step_mm, reach)
    if mesh.solid:
        near |= enclosed(marks, box, _is_within(mesh, frame))
    return ~any_in_cells(near, box, lines)


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
