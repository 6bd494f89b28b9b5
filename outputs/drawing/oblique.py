"""Oblique views, and what is named in which of them."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from layout.frames import Array, Vec3, vec3
from outputs.drawing.projection import ViewAxes, isometric
from outputs.drawing.sight import STAND_OFF_MM, Slab, seen

OBLIQUE = tuple(
    (
        f"Seen from {'front' if x > 0 else 'rear'}, {'left' if y > 0 else 'right'}, {'above' if z > 0 else 'below'}",
        isometric(x, y, z),
    )
    for z in (1, -1)
    for x, y in ((1, 1), (1, -1), (-1, 1), (-1, -1))
)
"""The eight isometric views."""
MOST_VIEWS = 4
"""Oblique views on one sheet; what none of them shows is named as hidden."""

Shown = tuple[Vec3, bool]
"""The point to point at, and whether it is hidden."""


def chosen_views(samples: dict[str, Array], slabs: Sequence[Slab], clearly: float) -> list[dict[str, Shown]]:
    """For each oblique view what is named there: everything once, in as few views as show it well.

    samples: for each name points (n, 3) on what is to be named; clearly: the share of them that a view
    should show. The view that shows most comes first, then the one that shows
    most of the rest. What no view shows is named, as hidden, where most is.
    """
    share = [_shares(samples, slabs, axes) for _, axes in OBLIQUE]
    out: list[dict[str, Shown]] = [{} for _ in OBLIQUE]
    left = dict.fromkeys(samples)
    for least in (clearly, 0.0):
        while left:
            full = sum(map(bool, out)) >= MOST_VIEWS
            count = [
                0 if full and not out[k] else sum(name in left and part > least for name, (part, _) in row.items())
                for k, row in enumerate(share)
            ]
            best = int(np.argmax(count))
            if count[best] == 0:
                break
            for name in [n for n in left if n in share[best] and share[best][n][0] > least]:
                out[best][name] = (share[best][name][1], False)
                del left[name]
    most = max(range(len(out)), key=lambda k: len(out[k]))
    out[most].update({name: (vec3(samples[name][len(samples[name]) // 2]), True) for name in left})
    return out


def _shares(samples: dict[str, Array], slabs: Sequence[Slab], axes: ViewAxes) -> dict[str, tuple[float, Vec3]]:
    """For what a view shows: how much of it, and a point in the middle of that."""
    row = {}
    for name, points in samples.items():
        clear = seen(points + STAND_OFF_MM * np.array(axes.towards), axes.towards, slabs)
        if np.any(clear):
            found = points[clear]
            near = np.linalg.norm(found - found.mean(axis=0), axis=1).round(3)
            row[name] = (float(clear.mean()), vec3(found[int(np.argmin(near))]))
    return row
