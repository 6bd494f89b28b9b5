"""A 3D scan of what surrounds the free space: open, noisy, not watertight. Only its surface counts."""

from __future__ import annotations

import numpy as np

from layout.errors import Problem
from layout.frames import Array, Extent

ODD_RATIO = 5.0
"""A scan this many times larger or smaller than the declared prisms is taken for one in another unit."""


def scan_problems(triangles: Array, declared: Extent) -> list[Problem]:
    """What is wrong with a scan (n, 3, 3) in mm, against the bounds of the declared prisms."""
    low, high = triangles.reshape(-1, 3).min(axis=0), triangles.reshape(-1, 3).max(axis=0)
    size = float(np.linalg.norm(high - low))
    wanted = float(np.linalg.norm(declared.size_mm))
    ratio = size / wanted
    if ratio > ODD_RATIO or ratio < 1.0 / ODD_RATIO:
        got = f"a scan {size:.0f} mm across, {ratio:.3g} times the declared free space ({wanted:.0f} mm)"
        remedy = "Name the unit the scan was exported in; 25.4 too large or small means inch taken for mm or the reverse"
        return [Problem("bay.scan.unit", got, "a scan about as large as the bay", remedy)]
    if np.any(low > declared.max_mm) or np.any(high < declared.min_mm):
        got = f"a scan from {np.round(low).tolist()} to {np.round(high).tolist()}"
        want = f"a scan that reaches the declared free space, {declared.min_mm} to {declared.max_mm}"
        return [Problem("bay.scan", got, want, "Move the scan into vehicle axes before exporting it")]
    return []
