"""Lines of a mesh along one axis: those that parts demand, drawn together where they all but coincide, and filled up."""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import pairwise

import numpy as np

from layout.frames import Array


def drawn_together(wanted: Iterable[float], least_mm: float) -> Array:
    """Sorted lines in which any nearer to each other than least_mm have become one (the first of each cluster)."""
    kept: list[float] = []
    for value in sorted(wanted):
        if not kept or value - kept[-1] >= least_mm:
            kept.append(value)
    return np.array(kept)


def filled(lines: Array, step_mm: float) -> Array:
    """The lines with evenly spaced ones between, so that no gap is wider than step_mm."""
    out = [float(lines[0])]
    for a, b in pairwise(lines):
        count = max(1, math.ceil((b - a) / step_mm - 1e-9))
        out.extend(a + (b - a) * k / count for k in range(1, count + 1))
    return np.array(out)


def split_to(lines: Array, cells: int) -> Array:
    """The lines with the widest gaps halved until there are at least that many cells; more are left as they are."""
    out = sorted(float(v) for v in lines)
    while len(out) - 1 < cells:
        widest = int(np.argmax(np.diff(out)))
        out.insert(widest + 1, (out[widest] + out[widest + 1]) / 2.0)
    return np.array(out)


def nearest(lines: Array, value: float) -> float:
    """The line nearest to a value."""
    return float(lines[int(np.argmin(np.abs(lines - value)))])
