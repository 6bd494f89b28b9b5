"""Round bars along an axis of the frame on a grid of cells: exact, without triangles."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layout.frames import Array, Pose
from layout.space.cells import Lines
from layout.space.round_bar import Bar

DRAWN_IN_MM = 5e-7
"""Half the judge's tolerance: cells that only touch a bar are free."""


@dataclass(frozen=True)
class Span:
    """A round bar along one axis of the frame: where its axis lies across (the other two coordinates), and its ends."""

    axis: int
    across_mm: tuple[float, float]
    low_mm: float
    high_mm: float
    radius_mm: float


def along_axis(bar: Bar, frame: Pose) -> Span | None:
    """The bar (vehicle axes) in the frame; None where it does not run along one of the frame's axes."""
    ends = np.array([frame.inverse_point(bar.start_mm), frame.inverse_point(bar.end_mm)])
    direction = frame.inverse_vector(bar.direction)
    axis = int(np.argmax(np.abs(direction)))
    if np.abs(np.delete(direction, axis)).max() > 1e-12:
        return None
    u, v = (float(c) for c in np.delete(ends[0], axis))
    low, high = sorted(float(e) for e in ends[:, axis])
    return Span(axis, (u, v), low, high, bar.radius_mm)


def bar_cells(span: Span, lines: Lines, whole: bool) -> NDArray[np.bool_]:
    """Cells that hold a point of the bar (more than touching it); whole: only those that lie wholly within it."""
    others = [a for a in range(3) if a != span.axis]
    line = lines.axes[span.axis]
    if whole:
        along = (line[:-1] >= span.low_mm - DRAWN_IN_MM) & (line[1:] <= span.high_mm + DRAWN_IN_MM)
    else:
        along = (line[1:] > span.low_mm + DRAWN_IN_MM) & (line[:-1] < span.high_mm - DRAWN_IN_MM)
    away = [_away(lines.axes[a], middle, whole) for a, middle in zip(others, span.across_mm, strict=True)]
    distance = np.hypot(away[0][:, None], away[1][None, :])
    across = distance <= span.radius_mm + DRAWN_IN_MM if whole else distance < span.radius_mm - DRAWN_IN_MM
    shape = [1, 1, 1]
    shape[span.axis] = -1
    return np.asarray(np.expand_dims(across, span.axis) & along.reshape(shape))


def _away(line: Array, middle: float, furthest: bool) -> Array:
    """Distance of a coordinate to the nearest point of each interval, or to its furthest one."""
    if furthest:
        return np.maximum(np.abs(line[:-1] - middle), np.abs(line[1:] - middle))
    return np.maximum(np.maximum(line[:-1] - middle, middle - line[1:]), 0.0)
