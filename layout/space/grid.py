"""Cells that are surely free, and cells that may be free, of a bay seen in the pack's frame.

Surely free: every point of the cell keeps the clearance from everything, so a body made of such cells passes the judge.
May be free: all but the cells of which no point keeps it, so whatever passes the judge lies in such cells.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from layout.frames import Array, Pose
from layout.space.bay import BAR_SIDES, Bay, Obstacle
from layout.space.cells import Index, Lines, Near, fill, sort_down
from layout.space.round_bar import Bar
from layout.space.solids import bar_triangles
from layout.space.triangles import box_triangle_distance, winding_number

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


def surely_free(bay: Bay, frame: Pose, lines: Lines, clearance_mm: float) -> Flags:
    """Cells of which every point keeps the clearance from walls, keep-outs and scan; shape of the grid."""
    free = np.ones(lines.shape, dtype=bool)
    for group in _grouped(bay):
        free &= _clear_cells(layers_of(group, frame, clearance_mm), lines, closed=group is bay.walls)
    return free


def _grouped(bay: Bay) -> list[tuple[Obstacle, ...]]:
    scan = [(bay.scan,)] if bay.scan else []
    return [bay.walls, *((o,) for o in bay.keep_outs), *scan]


def column_free(bars: tuple[tuple[str, Bar], ...], frame: Pose, lines: Lines) -> Flags:
    """Cells that no point of the given round columns lies in (columns as many-sided bars around the round ones)."""
    free = np.ones(lines.shape, dtype=bool)
    for name, bar in bars:
        obstacle = Obstacle(name, bar_triangles(bar, BAR_SIDES, around=True), solid=True)
        free &= _clear_cells(layers_of((obstacle,), frame, 0.0), lines, closed=False)
    return free


def _clear_cells(layers: list[Layer], lines: Lines, closed: bool) -> Flags:
    """Cells clear of some surfaces; closed: the surfaces are the walls, and free cells lie inside of them."""
    triangles = np.concatenate([one.triangles for one in layers])
    reach = np.concatenate([np.full(len(one.triangles), max(one.reach_mm, DRAWN_IN_MM)) for one in layers])
    near = sort_down(lines, triangles, reach)
    free = np.ones(lines.shape, dtype=bool)
    solid = closed or layers[0].obstacle.solid
    blocked = _blocked_pairs(lines, near, triangles, reach, DRAWN_IN_MM if solid else -DRAWN_IN_MM)
    if solid:
        low, high = lines.box(near.empty)
        turns = np.abs(winding_number((low + high) / 2.0, triangles)) > 0.5
        fill(near.empty, turns if closed else ~turns, free)
        touched = np.unique(near.cell)
        cells = np.column_stack(np.unravel_index(touched, lines.shape))
        low, high = lines.box(np.column_stack([cells, cells + 1]))
        turns = np.abs(winding_number((low + high) / 2.0, triangles)) > 0.5
        free.reshape(-1)[touched] = turns if closed else ~turns
    free.reshape(-1)[blocked] = False
    return free


def _blocked_pairs(lines: Lines, near: Near, triangles: Array, reach: Array, drawn_in: float) -> Index:
    """Flat indices of cells nearer to a triangle than its reach; exact."""
    sure = near.distance_mm < reach[near.triangle] - 2.0 * abs(drawn_in)
    blocked = np.zeros(int(np.prod(lines.shape)), dtype=bool)
    blocked[near.cell[sure]] = True
    open_ = ~sure & ~blocked[near.cell]
    cell, tri = near.cell[open_], near.triangle[open_]
    index = np.column_stack(np.unravel_index(cell, lines.shape))
    low, high = lines.box(np.column_stack([index, index + 1]))
    distance = box_triangle_distance(low + drawn_in, high - drawn_in, triangles[tri])
    close = (distance <= 0.0) | (distance < reach[tri])
    blocked[cell[close]] = True
    return np.flatnonzero(blocked)


def may_be_free(bay: Bay, frame: Pose, lines: Lines, clearance_mm: float) -> Flags:
    """Cells some point of which may keep the clearance: all but the surely blocked ones."""
    maybe = np.ones(lines.shape, dtype=bool)
    for group in _grouped(bay):
        maybe &= ~_surely_blocked(layers_of(group, frame, clearance_mm, within=True), lines, closed=group is bay.walls)
    return maybe


def column_may_be_free(bars: tuple[tuple[str, Bar], ...], frame: Pose, lines: Lines) -> Flags:
    """Cells not wholly within one of the columns (columns as many-sided bars within the round ones)."""
    maybe = np.ones(lines.shape, dtype=bool)
    for name, bar in bars:
        obstacle = Obstacle(name, bar_triangles(bar, BAR_SIDES, around=False), solid=True)
        maybe &= ~_surely_blocked(layers_of((obstacle,), frame, 0.0), lines, closed=False)
    return maybe


def _surely_blocked(layers: list[Layer], lines: Lines, closed: bool) -> Flags:
    triangles = np.concatenate([one.triangles for one in layers])
    reach = np.concatenate([np.full(len(one.triangles), one.reach_mm) for one in layers])
    near = sort_down(lines, triangles, np.maximum(reach, DRAWN_IN_MM))
    blocked = np.zeros(lines.shape, dtype=bool)
    if closed or layers[0].obstacle.solid:
        low, high = lines.box(near.empty)
        turns = np.abs(winding_number((low + high) / 2.0, triangles)) > 0.5
        fill(near.empty, ~turns if closed else turns, blocked)
    index = np.column_stack(np.unravel_index(near.cell, lines.shape))
    low, high = lines.box(np.column_stack([index, index + 1]))
    half_diagonal = np.linalg.norm(high - low, axis=1) / 2.0
    sure = near.distance_mm + half_diagonal < reach[near.triangle]
    flat = blocked.reshape(-1)
    flat[near.cell[sure]] = True
    _block_before_facets(lines, near, triangles, reach, flat)
    if layers[0].obstacle.solid and not closed:
        _block_within(lines, near, triangles, flat)
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
        flat_triangles = (triangles[members] - origin) @ np.column_stack([u, v])
        facet = shapely.buffer(shapely.union_all(shapely.polygons(flat_triangles)), DRAWN_IN_MM, join_style="mitre")
        shadows = shapely.convex_hull(shapely.multipoints(corners @ np.column_stack([u, v])))
        shapely.prepare(facet)
        flat[cells[shapely.covers(facet, shadows)]] = True


def _block_within(lines: Lines, near: Near, triangles: Array, flat: Flags) -> None:
    """Block cells all of whose corners lie in a convex solid."""
    if not is_convex(triangles):
        return
    normal = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-300)[:, None]
    cells = np.unique(near.cell)
    corners = cell_corners(lines, cells)
    inside = np.ones(len(cells), dtype=bool)
    for n, a in zip(normal, triangles[:, 0], strict=True):
        inside &= ((corners - a) @ n).max(axis=1) <= DRAWN_IN_MM
    flat[cells[inside]] = True


def is_convex(triangles: Array) -> bool:
    """Whether a closed surface bounds a convex solid: no corner before any of its faces."""
    if len(triangles) > 500:
        return False
    normal = np.cross(triangles[:, 1] - triangles[:, 0], triangles[:, 2] - triangles[:, 0])
    normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-300)[:, None]
    heights = triangles.reshape(-1, 3) @ normal.T - np.einsum("ni,ni->n", triangles[:, 0], normal)
    return bool(heights.max() < 1e-6)


def cell_corners(lines: Lines, cells: Index) -> Array:
    """The eight corners of single cells (flat indices), shape (m, 8, 3)."""
    index = np.column_stack(np.unravel_index(cells, lines.shape))
    low, high = lines.box(np.column_stack([index, index + 1]))
    both = np.stack([low, high], axis=1)
    pick = np.array([(a, b, c) for a in (0, 1) for b in (0, 1) for c in (0, 1)])
    return np.stack([both[:, pick[:, k], k] for k in range(3)], axis=2)


def _plane(triangle: Array) -> tuple[Array, Array, Array, Array]:
    a, b, c = triangle
    n = np.cross(b - a, c - a)
    n /= np.linalg.norm(n)
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
