"""All maximal rectangles of free cells in a plan map with uneven lines."""

from __future__ import annotations

import numpy as np

from layout.frames import Array
from layout.space.grid import Flags

Rectangle = tuple[float, float, float, float]
"""x least, y least, x greatest, y greatest; mm."""


def maximal_rectangles(free: Flags, xs: Array, ys: Array, least_x: float, least_y: float) -> list[Rectangle]:
    """Rectangles of free cells (between lines xs and ys; free has one row per x interval) that cannot be widened.

    Those smaller than least_x or least_y are left out. Rows that are alike are joined first; then, per last row, the
    usual stack over the heights of free columns (folklore, as for the largest rectangle under a histogram).
    """
    free, xs = _joined(free, xs)
    turned, ys = _joined(free.T, ys)
    free = np.ascontiguousarray(turned.T)
    rows, columns = free.shape
    start = np.zeros(columns, dtype=np.int64)
    found: list[Rectangle] = []
    for row in range(rows):
        start = np.where(free[row], start, row + 1)
        below = free[row + 1] if row + 1 < rows else np.zeros(columns, dtype=bool)
        blocked_below = np.concatenate([[0], np.cumsum(~below)]).tolist()
        for first, left, right in _under_row(start.tolist(), row + 1):
            wide, long = ys[right] - ys[left], xs[row + 1] - xs[first]
            if blocked_below[right] - blocked_below[left] == 0 or wide < least_y - 1e-7 or long < least_x - 1e-7:
                continue
            found.append((float(xs[first]), float(ys[left]), float(xs[row + 1]), float(ys[right])))
    return found


def _joined(free: Flags, lines: Array) -> tuple[Flags, Array]:
    change = np.flatnonzero((free[1:] != free[:-1]).any(axis=1)) + 1
    first = np.concatenate([[0], change])
    return free[first], np.concatenate([lines[first], lines[-1:]])


def _under_row(start: list[int], end: int) -> list[tuple[int, int, int]]:
    """(first row, left column, right column) of rectangles that end at a row and cannot be widened sideways or upward."""
    stack: list[tuple[int, int]] = []  # (first row, left column), first rows falling from bottom to top of the stack
    found = []
    for column, first in enumerate([*start, end]):
        left = column
        while stack and stack[-1][0] < first:
            top, left = stack.pop()
            found.append((top, left, column))
        if first < end and (not stack or stack[-1][0] > first):
            stack.append((first, left))
    return found
