"""Lines of a grid that lose nothing on walls square to the frame: the walls' own positions, filled up with steps."""

from __future__ import annotations

from itertools import pairwise

import numpy as np

from layout.frames import Array, Extent, Pose, vec3
from layout.space.cells import Lines
from layout.space.model import Bay
from layout.space.obstacle import Obstacle

SAME_MM = 1e-7
LARGE_MESH = 2000
"""Surfaces of more triangles than this are handled as meshes on equal cells, and give no lines of their own."""


def exact_positions(bay: Bay, frame: Pose, clearance_mm: float, room_mm: float) -> tuple[Array, Array, Array]:
    """Positions along each axis of the frame at which a body would touch something: walls and bounds, with clearance."""
    found: list[list[float]] = [[], [], []]
    for obstacle in bay.obstacles:
        reach = clearance_mm + obstacle.margin_mm
        for axis, levels in enumerate(_levels(obstacle, frame)):
            found[axis] += [v + d for v in levels for d in (-reach, 0.0, reach)]
    for column in bay.columns:
        for radius in (column.radius_mm, max(column.radius_mm, room_mm)):
            low, high = column.bar(radius).bounds()
            own = frame.inverse_point(Extent(vec3(low), vec3(high)).corners())
            for axis in range(3):
                found[axis] += [float(own[:, axis].min()), float(own[:, axis].max())]
    return distinct(found[0]), distinct(found[1]), distinct(found[2])


def _levels(obstacle: Obstacle, frame: Pose) -> list[set[float]]:
    """Along each axis of the frame: where the obstacle has flat faces square to it, and where it ends."""
    if len(obstacle.triangles) > LARGE_MESH:
        return [set(), set(), set()]
    own = frame.inverse_point(obstacle.triangles)
    low, high = own.min(axis=1), own.max(axis=1)
    found = []
    for axis in range(3):
        flat = high[:, axis] - low[:, axis] < 1e-6
        ends = [low[:, axis].min(), high[:, axis].max()]
        found.append({round(float(v), 6) for v in [*low[flat, axis], *ends]})
    return found


def distinct(values: list[float] | Array) -> Array:
    """Rising values, those nearer than SAME_MM to the one before left out."""
    rising = np.sort(np.asarray(values, dtype=float))
    return rising[np.concatenate([[True], np.diff(rising) > SAME_MM])] if len(rising) else rising


def filled(values: Array, low: float, high: float, step_mm: float) -> Array:
    """Lines from low to high: the given values between them, and equal steps of at most step_mm in between.

    The number of steps is a power of two, so that half the step keeps every line: refining never loses a box.
    """
    fixed = distinct([low, high, *values[(values > low) & (values < high)]])
    parts = []
    for a, b in pairwise(fixed):
        pieces = 2 ** max(0, int(np.ceil(np.log2((b - a) / step_mm) - 1e-9)))
        parts.append(np.linspace(a, b, pieces + 1)[:-1])
    return distinct(np.concatenate([*parts, fixed[-1:]]))


def grid_lines(bay: Bay, frame: Pose, clearance_mm: float, step_mm: float, room_mm: float) -> Lines:
    """Lines over the whole bay: the exact positions, filled up with steps."""
    bounds = [frame.inverse_point(bay.wall_triangles.reshape(-1, 3))[:, k] for k in range(3)]
    exact = exact_positions(bay, frame, clearance_mm, room_mm)
    x, y, z = (filled(exact[k], float(bounds[k].min()), float(bounds[k].max()), step_mm) for k in range(3))
    return Lines(x, y, z)
