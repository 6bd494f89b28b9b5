"""Equal cells and large meshes: which cells a surface touches, and which are nearer to it than a given distance.

The marking is conservative: a cell is touched where the bounding box of a triangle and the triangle's plane both reach
it, so every cell that holds a point of the surface is marked, and a few more.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from layout.frames import Array, Pose
from layout.space.cells import Index, Lines

Flags = NDArray[np.bool_]
CHUNK = 100_000
"""Triangles looked at together."""
MOST_CELLS = 27
"""A triangle whose bounding box reaches more cells than this is cut in four."""
TOUCH = 1e-6
"""Cells are widened by this share of their size: a surface between two cells touches both."""


@dataclass(frozen=True)
class Box:
    """A block of equal cells: least corner, edge of a cell, number of cells along each axis."""

    origin_mm: tuple[float, float, float]
    step_mm: float
    shape: tuple[int, int, int]


def box_around(lines: Lines, reach_mm: float, step_mm: float, most: int = 12_000_000) -> Box:
    """Equal cells over a grid and as far around it as reach_mm; the step grows where there would be more than `most`."""
    first, last = (np.array([line[k] for line in lines.axes]) for k in (0, -1))
    step = max(step_mm, float((np.prod(last - first + 2.0 * reach_mm) / most) ** (1.0 / 3.0)))
    around = int(np.ceil(reach_mm / step)) + 1
    shape = np.ceil((last - first) / step - TOUCH).astype(int) + 2 * around
    x, y, z = (float(v) for v in first - around * step)
    return Box((x, y, z), step, (int(shape[0]), int(shape[1]), int(shape[2])))


def in_chunks(triangles: NDArray[Any], frame: Pose) -> Iterator[Array]:
    """A mesh in the frame, some triangles at a time, double precision."""
    for first in range(0, len(triangles), CHUNK):
        yield frame.inverse_point(np.asarray(triangles[first : first + CHUNK], dtype=float))


def touched(triangles: NDArray[Any], frame: Pose, box: Box) -> Flags:
    """Cells of the box (in the frame) that a mesh (vehicle axes) touches."""
    marks = np.zeros(box.shape, dtype=bool)
    for chunk in in_chunks(triangles, frame):
        _mark((chunk - np.array(box.origin_mm)) / box.step_mm, marks)
    return marks


def _mark(triangles: Array, marks: Flags) -> None:
    """Mark cells touched by triangles given in cell units."""
    limit = np.array(marks.shape)
    while len(triangles):
        low = np.floor(triangles.min(axis=1) - TOUCH).astype(np.int64)
        high = np.floor(triangles.max(axis=1) + TOUCH).astype(np.int64)
        seen = np.all((high >= 0) & (low < limit), axis=1)
        triangles = triangles[seen]
        low, high = np.maximum(low[seen], 0), np.minimum(high[seen], limit - 1)
        count = np.prod(high - low + 1, axis=1)
        alone, small = count == 1, (count > 1) & (count <= MOST_CELLS)
        marks[low[alone, 0], low[alone, 1], low[alone, 2]] = True
        _mark_small(triangles[small], low[small], high[small], count[small], marks)
        triangles = _quartered(triangles[count > MOST_CELLS])


def _quartered(triangles: Array) -> Array:
    a, b, c = triangles[:, 0], triangles[:, 1], triangles[:, 2]
    ab, bc, ca = (a + b) / 2.0, (b + c) / 2.0, (c + a) / 2.0
    return np.concatenate([np.stack(t, axis=1) for t in ((a, ab, ca), (ab, b, bc), (ca, bc, c), (ab, bc, ca))])


def _mark_small(triangles: Array, low: Index, high: Index, count: Index, marks: Flags) -> None:
    owner = np.repeat(np.arange(len(triangles)), count)
    number = np.arange(len(owner)) - np.repeat(np.cumsum(count) - count, count)
    wide = (high - low + 1)[owner]
    cell = low[owner]
    cell[:, 2] += number % wide[:, 2]
    number //= wide[:, 2]
    cell[:, 1] += number % wide[:, 1]
    cell[:, 0] += number // wide[:, 1]
    normal = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    level = np.einsum("ni,ni->n", normal, triangles[:, 0])
    reach = np.abs(normal).sum(axis=1) * (0.5 + TOUCH) + 1e-12
    height = np.einsum("ni,ni->n", normal[owner], cell + 0.5) - level[owner]
    met = cell[np.abs(height) <= reach[owner]]
    marks[met[:, 0], met[:, 1], met[:, 2]] = True


def nearer_than(marks: Flags, step_mm: float, reach_mm: float) -> Flags:
    """Cells whose distance (cell to cell) to a marked one is below reach_mm; marked ones included.

    The squared distance of two cells is the sum of squares of the cells between them along each axis, so it is found
    one axis after the other.
    """
    if reach_mm <= 0.0 or not marks.any():
        return marks
    limit = (reach_mm / step_mm) ** 2
    furthest = int(np.ceil(reach_mm / step_mm))
    far = np.uint16(min(4 * furthest * furthest + 4, 2**14))
    squared = np.where(marks, np.uint16(0), far)
    for axis in range(3):
        squared = _along(squared, axis, furthest)
    near: Flags = squared < limit
    return near


def _along(squared: NDArray[np.uint16], axis: int, furthest: int) -> NDArray[np.uint16]:
    """Least of the squared distances of cells along an axis, each plus the square of the number of cells in between."""
    least = squared.copy()
    n = squared.shape[axis]
    source, target = np.moveaxis(squared, axis, 0), np.moveaxis(least, axis, 0)
    for offset in range(1, min(furthest + 2, n)):
        more = np.uint16((offset - 1) ** 2)
        np.minimum(target[offset:], source[:-offset] + more, out=target[offset:])
        np.minimum(target[:-offset], source[offset:] + more, out=target[:-offset])
    return least


def surely_nearer(triangles: NDArray[Any], frame: Pose, box: Box, reach_mm: float) -> Flags:
    """Cells every point of which is nearer to a mesh than reach_mm: judged by points on the mesh, about one per cell."""
    marks = np.zeros(box.shape, dtype=bool)
    held = np.zeros((*box.shape, 3), dtype=np.float32)
    limit = np.array(box.shape)
    for chunk in in_chunks(triangles, frame):
        points = _points_on((chunk - np.array(box.origin_mm)) / box.step_mm)
        cell = np.floor(points).astype(np.int64)
        seen = np.all((cell >= 0) & (cell < limit), axis=1)
        x, y, z = cell[seen].T
        marks[x, y, z] = True
        held[x, y, z] = points[seen]
    if not marks.any():
        return marks
    from scipy import ndimage

    nearest = ndimage.distance_transform_edt(~marks, return_distances=False, return_indices=True)
    middles = np.indices(box.shape, dtype=np.float32) + np.float32(0.5)
    away2 = np.zeros(box.shape, dtype=np.float32)
    for axis in range(3):
        away2 += (held[..., axis][tuple(nearest)] - middles[axis]) ** 2
    sure: Flags = (np.sqrt(away2) + np.sqrt(3.0) / 2.0 + 1e-3) * box.step_mm < reach_mm
    return sure


def _points_on(triangles: Array) -> Array:
    """Corners and middles of triangles in cell units, large ones cut up until no edge is longer than a cell."""
    found = []
    while len(triangles):
        found += [triangles.reshape(-1, 3), triangles.mean(axis=1)]
        edges = triangles - np.roll(triangles, 1, axis=1)
        triangles = _quartered(triangles[(edges**2).sum(axis=2).max(axis=1) > 1.0])
    return np.concatenate(found)


def enclosed(marks: Flags, box: Box, inside: Callable[[Array], Flags]) -> Flags:
    """Unmarked cells within a closed surface that touches the marked ones; `inside` is asked once per connected part."""
    from scipy import ndimage

    labels, number = ndimage.label(~marks)
    if number == 0:
        return np.zeros_like(marks)
    flat = labels.ravel()
    parts, first = np.unique(flat, return_index=True)
    parts, first = parts[parts > 0], first[parts > 0]
    cells = np.column_stack(np.unravel_index(first, marks.shape))
    middles = np.array(box.origin_mm) + (cells + 0.5) * box.step_mm
    within = np.zeros(number + 1, dtype=bool)
    within[parts] = inside(middles)
    return np.asarray(within[labels])


def any_in_cells(flags: Flags, box: Box, lines: Lines, every: bool = False) -> Flags:
    """For each cell of an uneven grid: whether any of the equal cells that reach into it is flagged (or every one is)."""
    table = np.zeros(tuple(n + 1 for n in flags.shape), dtype=np.int32)
    table[1:, 1:, 1:] = flags.cumsum(axis=0, dtype=np.int32).cumsum(axis=1, dtype=np.int32).cumsum(axis=2, dtype=np.int32)
    wanted = np.ones(lines.shape, dtype=np.int64)
    for axis, line in enumerate(lines.axes):
        at = (line - box.origin_mm[axis]) / box.step_mm
        first = np.clip(np.floor(at[:-1] + TOUCH).astype(int), 0, flags.shape[axis])
        last = np.clip(np.ceil(at[1:] - TOUCH).astype(int), 0, flags.shape[axis])
        table = np.take(table, last, axis=axis) - np.take(table, first, axis=axis)
        wanted *= np.moveaxis((last - first).reshape(-1, 1, 1), 0, axis)
    found: Flags = (table == wanted) if every else (table > 0)
    return found
