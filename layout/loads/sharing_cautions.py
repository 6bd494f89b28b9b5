"""What a reader must know about a set of mounts."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from layout.frames import Vec3
from layout.loads import body
from layout.loads.freedom import describe
from layout.loads.mounts import Mount, positions, refuse_bad, stiffnesses


def sharing_cautions(mounts: Sequence[Mount], mass_kg: float, centroid_mm: Vec3) -> tuple[str, ...]:
    """What a reader must know about these mounts: centroid outside them in plan, fewer than four of them.

    Raises:
        LoadsError: as solve_mounts for input without meaning.
    """
    refuse_bad(mounts, mass_kg, centroid_mm)
    cautions = []
    offsets = positions(mounts) - np.array(centroid_mm)
    for axis, (above, below) in enumerate((("ahead of", "behind"), ("left of", "right of"))):
        if (offsets[:, axis] > 1e-6).all() or (offsets[:, axis] < -1e-6).all():
            side = above if offsets[0, axis] > 0.0 else below
            text = "it hangs out from them and its weight pulls at some"
            cautions.append(f"all mounts lie {side} the pack's centroid: {text}")
    if (motion := _soft_motion(mounts, centroid_mm)) is not None:
        cautions.append(f"the mounts hardly hold against {motion}: forces there depend on small stiffnesses and distances")
    if len(mounts) == 3:
        cautions.append("three mounts: if one fails, nothing stands in for it")
    return tuple(cautions)


_SOFT = 1e-5
"""Share of the greatest stiffness of the pack on its mounts below which a motion is called soft (own choice)."""


def _soft_motion(mounts: Sequence[Mount], centroid_mm: Vec3) -> str | None:
    """The softest motion in words, where it is very soft against the stiffest."""
    centroid = np.array(centroid_mm)
    r = positions(mounts) - centroid
    length = body.lever(r)
    k, _ = body.stiffness_of_body(body.motions_of_mounts(r, length), stiffnesses(mounts))
    values, vectors = np.linalg.eigh(k)
    return describe(vectors[:, 0], float(length), centroid) if values[0] < _SOFT * values[-1] else None
