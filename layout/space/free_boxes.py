"""Where a box and its shell can lie in the bay: largest axis-parallel insides, for the search.

Pack frame throughout. The inner answer (`maximal_insides`) is safe: each inside, with its shell, keeps the clearance and
stays out of the mount points' columns. The outer answer (`bounding_insides`) is a bound: every inside that would pass the
judge lies in one of its boxes. Both come from a grid whose lines include the walls' own positions, so that rectilinear
parts of a bay lose nothing; sloping parts lose at most a step, which may be made smaller.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from layout.box.shell import Shell
from layout.frames import Array, Extent, Pose, Vec3
from layout.space.cells import Index, Lines
from layout.space.grid import Flags, column_free, column_may_be_free, may_be_free, surely_free
from layout.space.lines import SAME_MM, distinct, filled, grid_lines
from layout.space.model import Bay
from layout.space.parts import main_part_only
from layout.space.rectangles import maximal_rectangles

BEYOND_MM = 2e-7
GROWN_MM = 1e-5
"""Outer boxes are grown by this, more than the judge's tolerance."""


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


def free_grid(bay: Bay, shell: Shell, frame: Pose, clearance_mm: float, step_mm: float, inner: bool = True) -> FreeGrid:
    """The bay's free cells in a frame (position and turn of the pack), mount points' columns taken out."""
    columns = column_free if inner else column_may_be_free
    lines, base = _base(bay, frame, clearance_mm, step_mm, shell.mount_room_mm, inner)
    body = base & columns(bay.columns, shell.mount_room_mm, frame, lines)
    return FreeGrid(frame, lines, body, base & columns(bay.columns, 0.0, frame, lines), inner)


@lru_cache(maxsize=6)
def _base(bay: Bay, frame: Pose, clearance_mm: float, step_mm: float, room_mm: float, inner: bool) -> tuple[Lines, Flags]:
    """Lines of a grid and its free cells, mount points' columns not asked; kept, and not to be written to."""
    lines = grid_lines(bay, frame, clearance_mm, step_mm, room_mm)
    base = (surely_free if inner else may_be_free)(bay, frame, lines, clearance_mm)
    if bay.scan is not None:
        base = main_part_only(bay, frame, lines, base)
    base.setflags(write=False)
    return lines, base


def _cover(lines: Array, low: Array, high: Array) -> tuple[Index, Index]:
    """First and past-the-last cell that intervals (low, high) reach into; beyond the grid: -1 or len(lines)."""
    first = np.searchsorted(lines, low + SAME_MM, side="right") - 1
    last = np.searchsorted(lines, high - SAME_MM, side="left")
    return first.astype(np.int64), last.astype(np.int64)


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
    plans = _Plans(small, shell)
    floors = distinct(small.lines.z + shell.below_mm)
    tops = distinct(small.lines.z - shell.flange_above_mm)
    if not grid.inner:
        # a step of the top smaller than the slab is high: whatever the top in it, the slab claims some height
        step = (shell.flange_below_mm + shell.flange_above_mm) / 2.0
        both = distinct(np.concatenate([floors, tops]))
        floors = tops = filled(both, float(both[0]), float(both[-1]), step)
    found: list[Extent] = []
    for top in tops[::-1].tolist():
        slab = _slab_map(plans, top, tops)
        if slab is not None and slab.any():
            found += _below_top(plans, floors, top, slab, least_mm)
    listed = _none_within_another(found)
    return listed if grid.inner else [e.grown(GROWN_MM) for e in listed]


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


class _Plans:
    """Plan maps of where the inside may lie, by the heights a piece claims; each is made once."""

    def __init__(self, grid: FreeGrid, shell: Shell) -> None:
        self.grid, self.shell = grid, shell
        self.xs, self.ys = (_inside_lines(line, shell) for line in (grid.lines.x, grid.lines.y))
        self._made: dict[tuple[int, int, bool], Flags] = {}

    def at(self, low: float, high: float, slab: bool) -> Flags | None:
        """Where the inside's plan may lie for a piece that claims heights low to high; None: off the grid."""
        line = self.grid.lines.z
        if high - low <= 2 * SAME_MM:
            return np.ones((len(self.xs) - 1, len(self.ys) - 1), dtype=bool)
        first, last = (int(v) for v in _cover(line, np.array(low), np.array(high)))
        if first < 0 or last > len(line) - 1:
            return None
        key = (first, last, slab)
        if key not in self._made:
            cells = self.grid.slab if slab else self.grid.body
            free: Flags = np.asarray(cells[:, :, first:last].all(axis=2))
            out = self.shell.slab_out_mm if slab else self.shell.side_mm
            self._made[key] = _plan(free, self.grid, self.xs, self.ys, out)
        return self._made[key]


def _plan(free: Flags, grid: FreeGrid, xs: Array, ys: Array, out: float) -> Flags:
    """Cells of the inside's plan (between xs and ys) that, widened by `out`, cover only free cells of a plan map."""
    blocked = np.ones((free.shape[0] + 2, free.shape[1] + 2), dtype=np.int32)
    blocked[1:-1, 1:-1] = ~free
    table = np.zeros((blocked.shape[0] + 1, blocked.shape[1] + 1), dtype=np.int32)
    table[1:, 1:] = blocked.cumsum(axis=0).cumsum(axis=1)
    spans = []
    for own, line in ((xs, grid.lines.x), (ys, grid.lines.y)):
        low, high = own[:-1] - out, own[1:] + out
        wide = high - low > 2 * SAME_MM
        if not grid.inner:
            # No line of the grid lies between the places that the faces of an inside with an end in the cell can take
            # (see _inside_lines): they lie in the same cells as those of one with its end in the middle.
            wide = np.diff(own) > 10 * GROWN_MM
            middle = (own[:-1] + own[1:]) / 2.0
            low, high = middle - out - BEYOND_MM, middle + out + BEYOND_MM
        first, last = _cover(line, low, high)
        spans.append((np.clip(first + 1, 0, len(line)), np.clip(last + 1, 1, len(line) + 1), wide))
    (i0, i1, wide_x), (j0, j1, wide_y) = spans
    rows = table[i1] - table[i0]
    clear: Flags = (rows[:, j1] == rows[:, j0]) | ~(wide_x[:, None] & wide_y[None, :])
    return clear


def _slab_map(plans: _Plans, top: float, tops: Array) -> Flags | None:
    """Where in the inside's plan the lid flange fits when the inside ends at `top` (outer grid: in the step below it)."""
    low, high = top - plans.shell.flange_below_mm, top + plans.shell.flange_above_mm
    if not plans.grid.inner:
        at = int(np.searchsorted(tops, top - SAME_MM))
        high = (float(tops[at - 1]) if at else -np.inf) + plans.shell.flange_above_mm + BEYOND_MM
        low -= BEYOND_MM
    return plans.at(low, high, slab=True)


def _body_map(plans: _Plans, floors: Array, floor: float, top: float) -> Flags | None:
    low, high = floor - plans.shell.below_mm, top
    if not plans.grid.inner:
        at = int(np.searchsorted(floors, floor - SAME_MM))
        low = float(floors[min(at + 1, len(floors) - 1)]) - plans.shell.below_mm - BEYOND_MM
        at = int(np.searchsorted(floors, top - SAME_MM))
        high = float(floors[max(at - 1, 0)]) + BEYOND_MM
    return plans.at(low, high, slab=False)


def _below_top(plans: _Plans, floors: Array, top: float, slab: Flags, least_mm: Vec3) -> list[Extent]:
    """Maximal insides that end at one top: as the floor goes down the free plan shrinks; each new plan is searched."""
    found: list[Extent] = []
    lower = floors[floors <= top - least_mm[2] + SAME_MM][::-1].tolist()
    plan, at = None, np.nan
    for floor in [*lower, None]:
        body = None if floor is None else _body_map(plans, floors, floor, top)
        next_plan = None if body is None else body & slab
        if plan is not None and (next_plan is None or not np.array_equal(plan, next_plan)):
            listed = maximal_rectangles(plan, plans.xs, plans.ys, least_mm[0], least_mm[1])
            found += [Extent((x0, y0, at), (x1, y1, top)) for x0, y0, x1, y1 in listed]
        if next_plan is None or not next_plan.any():
            break
        plan, at = next_plan, floor
    return found


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
