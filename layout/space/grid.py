"""Cells that are surely free, and cells that may be free, of a bay seen in the pack's frame.

Surely free: every point of the cell keeps the clearance from everything, so a body made of such cells passes the judge.
May be free: all but the cells of which no point keeps it, so whatever passes the judge lies in such cells.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray

from layout.frames import Array, Pose
from layout.space.cells import Index, Lines, Near, fill, sort_down
from layout.space.columns import along_axis, bar_cells
from layout.space.inside import convex_planes, in_prisms, within_solid
from layout.space.lines import LARGE_MESH
from layout.space.mesh_grid import COARSE_MM, FINE_MM, mesh_free, mesh_may_be_free
from layout.space.model import BAR_SIDES, Bay, Column
from layout.space.obstacle import Obstacle
from layout.space.solids import bar_triangles
from layout.space.triangles import box_triangle_distance

DRAWN_IN_MM = 5e-7
"""Cells beside solid things are drawn in by this, half the judge's tolerance, so that an exact fit is seen as one."""

Flags = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Layer:
    """One obstacle as the grid sees it: its triangles in the frame, and the distance to keep from it."""

    obstacle: Obstacle
    triangles: Array
    reach_mm: float


def layers_of(obstacles: tuple[Obstacle, ...], frame: Pose, clearance_mm: float, within: bool = False) -> list[Layer]:
    """The obstacles in the frame, each with clearance plus its own margin.

    Round bars are many-sided ones around them, or (within) inside of them.
    """
    layers = []
    for o in obstacles:
        inner = o.bar is not None and within
        own = bar_triangles(o.bar, BAR_SIDES, around=False) if o.bar is not None and inner else o.triangles
        layers.append(Layer(o, frame.inverse_point(own), clearance_mm + o.margin_mm))
    return layers


def surely_free(bay: Bay, frame: Pose, lines: Lines, clearance_mm: float, mesh_step_mm: float = FINE_MM) -> Flags:
    """Cells of which every point keeps the clearance from walls, keep-outs and scan; shape of the grid.

    mesh_step_mm: edge of the equal cells on which a scan or another large mesh is marked.
    """
    free = _clear_cells(layers_of(bay.walls, frame, clearance_mm), lines, _within_space(bay, frame))
    plain, meshes = _sorted_out(bay)
    solids = layers_of(plain, frame, clearance_mm)
    free &= _clear_cells(solids, lines, _outside_solids(solids))
    for mesh in meshes:
        free &= mesh_free(mesh, frame, lines, clearance_mm, mesh_step_mm)
    return free


def _sorted_out(bay: Bay) -> tuple[tuple[Obstacle, ...], tuple[Obstacle, ...]]:
    """Keep-outs with few faces, and large meshes with the scan."""
    plain = tuple(o for o in bay.keep_outs if len(o.triangles) <= LARGE_MESH)
    return plain, tuple(o for o in bay.obstacles[len(bay.walls) :] if o not in plain)


def column_obstacles(columns: tuple[Column, ...], room_mm: float, around: bool) -> tuple[Obstacle, ...]:
    """The mount points' columns, at least room_mm in radius, as many-sided bars around the round ones or within them."""
    bars = [(c.name, c.bar(room_mm)) for c in columns]
    return tuple(Obstacle(name, bar_triangles(bar, BAR_SIDES, around), solid=True) for name, bar in bars)


def column_free(columns: tuple[Column, ...], room_mm: float, frame: Pose, lines: Lines) -> Flags:
    """Cells that no point of the mount points' columns lies in. Exact for columns along an axis of the frame."""
    free = np.ones(lines.shape, dtype=bool)
    slanted = []
    for column in columns:
        span = along_axis(column.bar(room_mm), frame)
        if span is None:
            slanted.append(column)
        else:
            free &= ~bar_cells(span, lines, whole=False)
    solids = layers_of(column_obstacles(tuple(slanted), room_mm, around=True), frame, 0.0)
    return free & _clear_cells(solids, lines, _outside_solids(solids))


Side = Callable[[Array], Flags]
"""Tells of points (m, 3) in the frame whether they are on the free side of some surfaces they do not lie in."""


def _within_space(bay: Bay, frame: Pose) -> Side:
    return lambda points: in_prisms(bay, frame.point(points))


def _outside_solids(layers: list[Layer]) -> Side:
    def side(points: Array) -> Flags:
        free = np.ones(len(points), dtype=bool)
        for one in layers:
            corners = one.triangles.reshape(-1, 3)
            at = np.flatnonzero(np.all((points >= corners.min(axis=0)) & (points <= corners.max(axis=0)), axis=1))
            free[at] &= ~within_solid(points[at], one.triangles)
        return free

    return side


def _clear_cells(layers: list[Layer], lines: Lines, side: Side) -> Flags:
    """Cells clear of some surfaces and on their free side."""
    free = np.ones(lines.shape, dtype=bool)
    if not layers:
        return free
    triangles, reach = _merged(layers)
    near = sort_down(lines, triangles, np.maximum(reach, DRAWN_IN_MM))
    flat = free.reshape(-1)
    flat[_blocked_pairs(lines, near, triangles, reach)] = False
    touched = np.unique(near.cell)
    touched = touched[flat[touched]]
    flat[touched] = side(cell_corners(lines, touched).mean(axis=1))
    low, high = lines.box(near.empty)
    fill(near.empty, side((low + high) / 2.0), free)
    return free


def _merged(layers: list[Layer]) -> tuple[Array, Array]:
    triangles = np.concatenate([one.triangles for one in layers])
    reach = np.concatenate([np.full(len(one.triangles), one.reach_mm) for one in layers])
    return triangles, reach


def _blocked_pairs(lines: Lines, near: Near, triangles: Array, reach: Array) -> Index:
    """Flat indices of cells nearer to a triangle than its reach; exact."""
    sure = near.distance_mm < reach[near.triangle] - 2.0 * DRAWN_IN_MM
    blocked = np.zeros(int(np.prod(lines.shape)), dtype=bool)
    blocked[near.cell[sure]] = True
    open_ = ~sure & ~blocked[near.cell]
    cell, tri = near.cell[open_], near.triangle[open_]
    index = np.column_stack(np.unravel_index(cell, lines.shape))
    low, high = lines.box(np.column_stack([index, index + 1]))
    distance = box_triangle_distance(low + DRAWN_IN_MM, high - DRAWN_IN_MM, triangles[tri])
    close = (distance <= 0.0) | (distance < reach[tri])
    blocked[cell[close]] = True
    return np.flatnonzero(blocked)


def may_be_free(bay: Bay, frame: Pose, lines: Lines, clearance_mm: float) -> Flags:
    """Cells some point of which may keep the clearance: all but the surely blocked ones."""
    blocked = _surely_blocked(layers_of(bay.walls, frame, clearance_mm), lines, _within_space(bay, frame))
    plain, meshes = _sorted_out(bay)
    solids = layers_of(plain, frame, clearance_mm, within=True)
    blocked |= _surely_blocked(solids, lines, _outside_solids(solids))
    for one in solids:
        _block_within(lines, one.triangles, blocked.reshape(-1))
    for mesh in meshes:
        blocked |= ~mesh_may_be_free(mesh, frame, lines, clearance_mm, COARSE_MM)
    return ~blocked


def column_may_be_free(columns: tuple[Column, ...], room_mm: float, frame: Pose, lines: Lines) -> Flags:
    """Cells not wholly within one of the mount points' columns."""
    blocked = np.zeros(lines.shape, dtype=bool)
    slanted = []
    for column in columns:
        span = along_axis(column.bar(room_mm), frame)
        if span is None:
            slanted.append(column)
        else:
            blocked |= bar_cells(span, lines, whole=True)
    for one in layers_of(column_obstacles(tuple(slanted), room_mm, around=False), frame, 0.0):
        _block_within(lines, one.triangles, blocked.reshape(-1))
    return ~blocked


def _surely_blocked(layers: list[Layer], lines: Lines, side: Side) -> Flags:
    blocked = np.zeros(lines.shape, dtype=bool)
    if not layers:
        return blocked
    triangles, reach = _merged(layers)
    near = sort_down(lines, triangles, np.maximum(reach, DRAWN_IN_MM))
    low, high = lines.box(near.empty)
    fill(near.empty, ~side((low + high) / 2.0), blocked)
    index = np.column_stack(np.unravel_index(near.cell, lines.shape))
    low, high = lines.box(np.column_stack([index, index + 1]))
    half_diagonal = np.linalg.norm(high - low, axis=1) / 2.0
    sure = near.distance_mm + half_diagonal < reach[near.triangle]
    flat = blocked.reshape(-1)
    flat[near.cell[sure]] = True
    _block_before_facets(lines, near, triangles, reach, flat)
    return blocked


def _block_before_facets(lines: Lines, near: Near, triangles: Array, reach: Array, flat: Flags) -> None:
    """Block cells that lie wholly before (or behind) one flat facet and wholly nearer to it than the reach."""
    for members in facets(triangles):
        pairs = np.isin(near.triangle, members) & ~flat[near.cell]
        cells = np.unique(near.cell[pairs])
        if len(cells) == 0 or reach[members[0]] <= 0.0:
            continue
        corners = cell_corners(lines, cells)
        u, v, n, origin = _plane(triangles[members[0]])
        heights = np.abs((corners - origin) @ n).max(axis=1)
        close = heights < reach[members].min() + DRAWN_IN_MM
        cells, corners = cells[close], corners[close] - origin
        if len(cells) == 0:
            continue
        plane = np.column_stack([u, v])
        flat_triangles = (triangles[members] - origin) @ plane
        facet = shapely.buffer(shapely.union_all(shapely.polygons(flat_triangles)), DRAWN_IN_MM, join_style="mitre")
        shadows = _shadows(corners @ plane, square=bool(np.abs(n).max() > 1.0 - 1e-12))
        shapely.prepare(facet)
        flat[cells[shapely.covers(facet, shadows)]] = True


def _block_within(lines: Lines, triangles: Array, flat: Flags) -> None:
    """Block cells all of whose corners lie in a convex solid (others are left to the distance from the surface)."""
    planes = convex_planes(triangles)
    if planes is None:
        return
    corners = triangles.reshape(-1, 3)
    span = []
    for axis, line in enumerate(lines.axes):
        first = max(int(np.searchsorted(line, corners[:, axis].min(), side="left")) - 1, 0)
        span.append(np.arange(first, min(int(np.searchsorted(line, corners[:, axis].max(), side="right")), len(line) - 1)))
    cells = np.ravel_multi_index(np.meshgrid(*span, indexing="ij"), lines.shape).ravel()
    normal, level = planes
    inside = np.ones(len(cells), dtype=bool)
    points = cell_corners(lines, cells)
    for n, d in zip(normal, level, strict=True):
        inside &= (points @ n).max(axis=1) <= d + DRAWN_IN_MM
    flat[cells[inside]] = True


def cell_corners(lines: Lines, cells: Index) -> Array:
    """The eight corners of single cells (flat indices), shape (m, 8, 3)."""
    index = np.column_stack(np.unravel_index(cells, lines.shape))
    low, high = lines.box(np.column_stack([index, index + 1]))
    both = np.stack([low, high], axis=1)
    pick = np.array([(a, b, c) for a in (0, 1) for b in (0, 1) for c in (0, 1)])
    return np.stack([both[:, pick[:, k], k] for k in range(3)], axis=2)


def _shadows(corners: Array, square: bool) -> Any:
    """Outlines of cells (m, 8, 2) as seen along a facet's normal; square: the facet is square to the grid."""
    if not square:
        return shapely.convex_hull(shapely.multipoints(corners))
    low, high = corners.min(axis=1), corners.max(axis=1)
    return shapely.box(low[:, 0], low[:, 1], high[:, 0], high[:, 1])


def _plane(triangle: Array) -> tuple[Array, Array, Array, Array]:
    """Two directions in a triangle's plane, its normal, and a corner; along the axes where it is square to them."""
    a, b, c = triangle
    n = np.cross(b - a, c - a)
    n /= np.linalg.norm(n)
    axis = int(np.argmax(np.abs(n)))
    if abs(n[axis]) > 1.0 - 1e-12:
        u, v = np.delete(np.eye(3), axis, axis=0)
        return u, v, n, a
    u = (b - a) / np.linalg.norm(b - a)
    return u, np.cross(n, u), n, a


def facets(triangles: Array) -> list[Index]:
    """Indices of triangles that lie in one plane and face the same way, by plane; at most 2000 triangles are looked at."""
    if len(triangles) > 2000:
        return []
    normal = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    size = np.linalg.norm(normal, axis=1)
    good = np.flatnonzero(size > 1e-6)
    normal = normal[good] / size[good, None]
    offset = np.einsum("ni,ni->n", normal, triangles[good, 0])
    keys = np.round(np.column_stack([normal * 1e6, offset * 1e4]))
    _, group = np.unique(keys, axis=0, return_inverse=True)
    return [good[group == g] for g in range(int(group.max()) + 1)] if len(good) else []
