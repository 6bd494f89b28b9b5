"""What each place costs in terms of the job's wishes that simply add up over the bodies."""

from __future__ import annotations

from itertools import product

import numpy as np

from layout.frames import Array, Extent, Pose


def share_ahead(low_mm: Array, size_mm: Array, frame: Pose) -> Array:
    """Share of the volume of boxes that lies ahead of the reference axle (vehicle x > 0), by cutting them at x = 0.

    low_mm, size_mm: shape (n, 3), axis-parallel in `frame`. The volume of a unit cube below a plane sum w_i u_i = t is
    sum over corners of (-1)^|corner| max(t - w . corner, 0)^k / (k! prod w), k the number of non-zero w (Lasserre 1983,
    from memory; checked in the tests against sampling).
    """
    low, size = np.atleast_2d(low_mm), np.atleast_2d(size_mm)
    normal = frame.matrix[0]  # vehicle x of each pack axis
    weights = np.abs(size * normal)
    # coordinates measured from the corner that lies furthest ahead, going back
    corner = np.where(normal > 0, low + size, low)
    furthest = corner @ normal + frame.origin_mm[0]
    used = np.abs(normal) > 1e-9
    w = weights[:, used]
    k = w.shape[1]
    behind = np.zeros(len(low))
    for pick in product((0, 1), repeat=k):
        term = np.maximum(furthest - w @ np.array(pick, dtype=float), 0.0) ** k
        behind += (-1) ** sum(pick) * term
    factorial = (1, 1, 2, 6)[k]
    share = behind / (factorial * np.prod(w, axis=1))
    return np.clip(share, 0.0, 1.0)


def mass_ahead(extents: list[Extent], masses_kg: list[float], frame: Pose) -> float:
    """Mass of uniform bodies ahead of the reference axle, kg."""
    if not extents:
        return 0.0
    low, size = np.array([e.min_mm for e in extents]), np.array([e.size_mm for e in extents])
    return float(share_ahead(low, size, frame) @ np.array(masses_kg))
