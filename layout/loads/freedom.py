"""Free motions of a body on its mounts, found from its stiffness and named in words."""

from __future__ import annotations

import numpy as np

from layout.frames import Array
from layout.loads.body import FREE

_AXES = "xyz"


def free_motions(k: Array, length_mm: float, centroid_mm: Array) -> tuple[str, ...]:
    """Each free motion in words; empty where there is none.

    k: scaled stiffness (6, 6) for (u, length * theta) about the centroid. Pure translations come first, then rotations
    with the axis they turn about (a point on it, in vehicle axes).
    """
    values, vectors = np.linalg.eigh(k)
    greatest = values[-1]
    if greatest <= 0.0:
        return ("every translation and every rotation",)
    null = vectors[:, values < FREE * greatest]
    if null.shape[1] == 0:
        return ()
    _, strength, mix = np.linalg.svd(null[3:, :], full_matrices=True)
    turning = int((strength > 1e-6).sum())
    pure = null @ mix[turning:].T
    turns = null @ mix[:turning].T
    names = [describe(v, length_mm, centroid_mm) for v in _aligned(pure, 0)]
    return tuple(names + [describe(v, length_mm, centroid_mm) for v in _aligned(turns, 3)])


def _aligned(basis: Array, start: int) -> list[Array]:
    """The same space with a basis along x, y, z where those lie in it. basis (6, k), block of 3 rows from `start`."""
    if basis.shape[1] == 0:
        return []
    block = basis[start : start + 3]
    found = []
    for axis in range(3):
        target = np.eye(3)[axis]
        mix, *_ = np.linalg.lstsq(block, target, rcond=None)
        if np.linalg.norm(block @ mix - target) < 1e-6:
            found.append(basis @ mix)
    return found if len(found) == basis.shape[1] else list(basis.T)


def describe(motion: Array, length_mm: float, centroid_mm: Array) -> str:
    """One motion (u, length * theta) about the centroid in words."""
    u, theta = motion[:3], motion[3:] / length_mm
    if np.linalg.norm(theta) * length_mm < 1e-4 * np.linalg.norm(u):
        return f"translation along {_direction(u)}"
    point = np.asarray(centroid_mm) + np.cross(theta, u) / (theta @ theta)
    pitch = (u @ theta) / (theta @ theta)
    through = ", ".join(f"{v + 0.0:.0f}" for v in np.round(point))
    text = f"rotation about the axis along {_direction(theta)} through ({through}) mm"
    return text if abs(pitch) < 1e-3 * length_mm else f"{text}, with {pitch:.0f} mm of slide per radian"


def _direction(v: Array) -> str:
    unit = v / np.linalg.norm(v)
    axis = int(np.argmax(np.abs(unit)))
    if abs(unit[axis]) > 1.0 - 1e-9:
        return _AXES[axis]
    unit = unit * np.sign(unit[axis])
    return "(" + ", ".join(f"{x + 0.0:.3f}" for x in np.round(unit, 3)) + ")"
