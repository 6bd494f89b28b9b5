"""Where a box and its shell can lie in the bay: largest axis-parallel insides, for the search.

Pack frame throughout. The inner answer (`maximal_insides`) is safe: each inside, with its shell, keeps the clearance and
stays out of the mount points' columns. The outer answer (`bounding_insides`) is a bound: every inside that would pass the
judge lies in one of its boxes. Both come from a grid whose lines include the walls' own positions, so that rectilinear
parts of a bay lose nothing; sloping parts lose at most a step, which may be made smaller.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from layout.box.shell import Shell
from layout.frames import Array, Extent, Pose, Vec3, vec3
from layout.space.bay import Bay
from layout.space.cells import Lines
from layout.space.grid import Flags, column_free, column_may_be_free, may_be_free, surely_free
from layout.space.rectangles import maximal_rectangles

SAME_MM = 1e-7


@dataclass(frozen=True, eq=False)
class FreeGrid:
    """Cells of the bay in the pack's frame: free for the box body, and free for the lid flange.

    The two differ in the width of the mount points' columns only. inner: the cells are surely free; otherwise they may be.
    """

    frame: Pose
    lines: Lines
    body: Flags
    slab: Flags
    inner: bool


def exact_positions(bay: Bay, frame: Pose, clearance_mm: float, room_mm: float) -> tuple[Array, Array, Array]:
    """Positions along each axis of the frame at which a body would touch something: walls and bounds, with clearance."""
    found: list[list[float]] = [[], [], []]
    for obstacle in bay.obstacles:
        own = frame.inverse_point(obstacle.triangles) if obstacle is not bay.scan else np.zeros((0, 3, 3))
        reach = clearance_mm + obstacle.margin_mm
        low, high = own.min(axis=1), own.max(axis=1)
        for axis in range(3):
            flat = high[:, axis] - low[:, axis] < 1e-6
            levels = set(np.round(low[flat, axis], 6).tolist())
            if len(own):
                levels |= {round(float(low[:, axis].min()), 6), round(float(high[:, axis].max()), 6)}
            found[axis] += [v + d for v in levels for d in (-reach, 0.0, reach)]
    for column in bay.columns:
        for radius in (column.radius_mm, max(column.radius_mm, room_mm)):
            low, high = column.bar(radius).bounds()
            own = frame.inverse_point(Extent(vec3(low), vec3(high)).corners())
            for axis in range(3):
                found[axis] += [float(own[:, axis].min()), float(own[:, axis].max())]
    return distinct(found[0]), distinct(found[1]), distinct(found[2])


def distinct(values: list[float] | Array) -> Array:
    """Rising values, those nearer than SAME_MM to the one before left out."""
    rising = np.sort(np.asarray(values, dtype=float))
    return rising[np.concatenate([[True], np.diff(rising) > SAME_MM])] if len(rising) else rising


def filled(values: Array, low: float, high: float, step_mm: float) -> Array:
    """Lines from low to high: the given values between them, and equal steps of at most step_mm in between."""
    fixed = distinct([low, high, *values[(values > low) & (values < high)]])
    parts = [np.linspace(a, b, max(1, int(np.ceil((b - a) / step_mm - 1e-9))) + 1)[:-1] for a, b in zip(fixed, fixed[1:], strict=False)]
    return distinct(np.concatenate([*parts, fixed[-1:]]))


def grid_lines(bay: Bay, frame: Pose, clearance_mm: float, step_mm: float, room_mm: float) -> Lines:
    """Lines over the whole bay: the exact positions, filled up with steps."""
    bounds = [frame.inverse_point(bay.wall_triangles.reshape(-1, 3))[:, k] for k in range(3)]
    exact = exact_positions(bay, frame, clearance_mm, room_mm)
    x, y, z = (filled(exact[k], float(bounds[k].min()), float(bounds[k].max()), step_mm) for k in range(3))
    return Lines(x, y, z)


def free_grid(bay: Bay, shell: Shell, frame: Pose, clearance_mm: float, step_mm: float, inner: bool = True) -> FreeGrid:
    """The bay's free cells in a frame (position and turn of the pack), mount points' columns taken out."""
    lines = grid_lines(bay, frame, clearance_mm, step_mm, shell.mount_room_mm)
    cells, columns = (surely_free, column_free) if inner else (may_be_free, column_may_be_free)
    base = cells(bay, frame, lines, clearance_mm)
    wide = tuple((c.name, c.bar(shell.mount_room_mm)) for c in bay.columns)
    narrow = tuple((c.name, c.bar(0.0)) for c in bay.columns)
    return FreeGrid(frame, lines, base & columns(wide, frame, lines), base & columns(narrow, frame, lines), inner)


def _cover(lines: Array, low: Array, high: Array) -> tuple[Array, Array]:
    """First and past-the-last cell that intervals (low, high) reach into; beyond the grid: -1 or len(lines)."""
    first = np.searchsorted(lines, low + SAME_MM, side="right") - 1
    last = np.searchsorted(lines, high - SAME_MM, side="left")
    return first, last


def piece_fits_grid(grid: FreeGrid, piece: Extent) -> bool:
    """Whether a piece (pack frame) covers only free cells of the body's grid."""
    spans = [_cover(line, np.array(piece.min_mm[k]), np.array(piece.max_mm[k])) for k, line in enumerate(grid.lines.axes)]
    if any(first < 0 or last > n for (first, last), n in zip(spans, grid.lines.shape, strict=True)):
        return False
    (i0, i1), (j0, j1), (k0, k1) = ((int(a), int(b)) for a, b in spans)
    return bool(grid.body[i0:i1, j0:j1, k0:k1].all())


def maximal_insides(
    bay: Bay, shell: Shell, frame: Pose, clearance_mm: float, step_mm: float, least_mm: Vec3 = (1.0, 1.0, 1.0)
) -> list[Extent]:
    """All insides, none within another, that fit with their shell on the grid; the largest volume first.

    least_mm: smaller insides are not listed. Every one of them passes the judge.
    """
    return insides_of(free_grid(bay, shell, frame, clearance_mm, step_mm), shell, least_mm)


def bounding_insides(
    bay: Bay, shell: Shell, frame: Pose, clearance_mm: float, step_mm: float, least_mm: Vec3 = (1.0, 1.0, 1.0)
) -> list[Extent]:
    """Boxes such that every inside (at least least_mm) that passes the judge in this frame lies within one of them."""
    return insides_of(free_grid(bay, shell, frame, clearance_mm, step_mm, inner=False), shell, least_mm)


def insides_of(grid: FreeGrid, shell: Shell, least_mm: Vec3) -> list[Extent]:
    """Maximal insides on a grid, inner or outer as the grid is."""
    small = _compressed(grid)
    xs, ys = (_inside_lines(line, shell) for line in (small.lines.x, small.lines.y))
    floors = distinct(small.lines.z + shell.below_mm)
    tops = distinct(small.lines.z - shell.flange_above_mm)
    if not grid.inner:
        floors = tops = distinct(np.concatenate([floors, tops]))
    found: list[Extent] = []
    for top in tops[::-1]:
        slab = _slab_map(small, shell, xs, ys, top, tops)
        if slab is None or not slab.any():
            continue
        found += _below_top(small, shell, (xs, ys, floors), float(top), slab, least_mm)
    return _none_within_another(found)


def _inside_lines(line: Array, shell: Shell) -> Array:
    offsets = (shell.side_mm, -shell.side_mm, shell.slab_out_mm, -shell.slab_out_mm)
    return distinct(np.concatenate([line + o for o in offsets]))


def _compressed(grid: FreeGrid) -> FreeGrid:
    """The same cells with lines dropped where the layers on both sides are alike."""
    body, slab = grid.body, grid.slab
    kept = []
    for axis, line in enumerate(grid.lines.axes):
        b, s = np.moveaxis(body, axis, 0), np.moveaxis(slab, axis, 0)
        change = (b[1:] != b[:-1]).any(axis=(1, 2)) | (s[1:] != s[:-1]).any(axis=(1, 2))
        first = np.concatenate([[0], np.flatnonzero(change) + 1])
        body, slab = np.moveaxis(b[first], 0, axis), np.moveaxis(s[first], 0, axis)
        kept.append(np.concatenate([line[first], line[-1:]]))
    return FreeGrid(grid.frame, Lines(*kept), body, slab, grid.inner)


def _plan(free: Flags, lines: Lines, xs: Array, ys: Array, out: float, inner: bool) -> Flags:
    """Cells of the inside's plan (between xs and ys) that, widened by `out`, cover only free cells of a plan map."""
    blocked = np.zeros((free.shape[0] + 2, free.shape[1] + 2), dtype=np.int64)
    blocked[:, [0, -1]] = blocked[[0, -1], :] = 1
    blocked[1:-1, 1:-1] = ~free
    table = np.zeros((blocked.shape[0] + 1, blocked.shape[1] + 1), dtype=np.int64)
    table[1:, 1:] = blocked.cumsum(axis=0).cumsum(axis=1)
    spans = []
    for own, line in ((xs, lines.x), (ys, lines.y)):
        low, high = (own[:-1] - out, own[1:] + out) if inner else (own[1:] - out, own[:-1] + out)
        first, last = _cover(line, low, high)
        spans.append((np.clip(first + 1, 0, len(line)), np.clip(last + 1, 1, len(line) + 1), high - low > 2 * SAME_MM))
    (i0, i1, wide_x), (j0, j1, wide_y) = spans
    count = table[np.ix_(i1, j1)] - table[np.ix_(i0, j1)] - table[np.ix_(i1, j0)] + table[np.ix_(i0, j0)]
    return (count == 0) | ~(wide_x[:, None] & wide_y[None, :])


def _levels(free: Flags, line: Array, low: float, high: float) -> Flags | None:
    """Plan map of what is free at all heights from low to high; None where the grid ends before."""
    if high - low <= 2 * SAME_MM:
        return np.ones(free.shape[:2], dtype=bool)
    first, last = _cover(line, np.array(low), np.array(high))
    if first < 0 or last > len(line) - 1:
        return None
    return free[:, :, int(first) : int(last)].all(axis=2)


def _slab_map(grid: FreeGrid, shell: Shell, xs: Array, ys: Array, top: float, tops: Array) -> Flags | None:
    """Where in the inside's plan the lid flange fits when the inside ends at `top` (outer grid: in the step below it)."""
    low, high = top - shell.flange_below_mm, top + shell.flange_above_mm
    if not grid.inner:
        at = int(np.searchsorted(tops, top - SAME_MM))
        high = (float(tops[at - 1]) if at else -np.inf) + shell.flange_above_mm
    levels = _levels(grid.slab, grid.lines.z, low, high)
    return None if levels is None else _plan(levels, grid.lines, xs, ys, shell.slab_out_mm, grid.inner)


def _below_top(
    grid: FreeGrid, shell: Shell, lines: tuple[Array, Array, Array], top: float, slab: Flags, least_mm: Vec3
) -> list[Extent]:
    """Maximal insides that end at one top: as the floor goes down the free plan shrinks; each new plan is searched."""
    xs, ys, floors = lines
    found: list[Extent] = []
    before: Flags | None = None
    listed: list[tuple[float, float, float, float]] = []
    below = floors[floors <= top - least_mm[2] + SAME_MM][::-1]
    maps = [(float(f), _body_map(grid, shell, xs, ys, floors, float(f), top)) for f in below]
    for at, (floor, body) in enumerate(maps):
        if body is None:
            break
        plan = body & slab
        following = maps[at + 1][1] if at + 1 < len(maps) else None
        if not plan.any():
            break
        if following is not None and np.array_equal(following & slab, plan):
            continue
        if before is None or not np.array_equal(before, plan):
            listed = maximal_rectangles(plan, xs, ys, least_mm[0], least_mm[1])
            before = plan
        found += [Extent((x0, y0, floor), (x1, y1, top)) for x0, y0, x1, y1 in listed]
    return found


def _body_map(grid: FreeGrid, shell: Shell, xs: Array, ys: Array, floors: Array, floor: float, top: float) -> Flags | None:
    low, high = floor - shell.below_mm, top
    if not grid.inner:
        at = int(np.searchsorted(floors, floor - SAME_MM))
        low = float(floors[min(at + 1, len(floors) - 1)]) - shell.below_mm
        at = int(np.searchsorted(floors, top - SAME_MM))
        high = float(floors[max(at - 1, 0)])
    levels = _levels(grid.body, grid.lines.z, low, high)
    return None if levels is None else _plan(levels, grid.lines, xs, ys, shell.side_mm, grid.inner)


def _none_within_another(boxes: list[Extent]) -> list[Extent]:
    """The boxes that lie in no other one, largest volume first."""
    if not boxes:
        return []
    order: Callable[[Extent], tuple[float, Vec3]] = lambda e: (-e.volume_mm3, e.min_mm)  # noqa: E731
    ranked = sorted(set(boxes), key=order)
    low, high = np.array([b.min_mm for b in ranked]), np.array([b.max_mm for b in ranked])
    kept: list[int] = []
    for k in range(len(ranked)):
        mine = kept
        inside = np.all((low[mine] <= low[k] + SAME_MM) & (high[mine] >= high[k] - SAME_MM), axis=1)
        if not inside.any():
            kept.append(k)
    return [ranked[k] for k in kept]
