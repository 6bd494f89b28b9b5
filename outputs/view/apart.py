"""Where each body goes when the view is drawn apart: a placement for the eye, no part of the design."""

from __future__ import annotations

import numpy as np

from layout.frames import Array, Vec3, vec3

SPREAD = {"box": 0.45, "liner": 0.25, "module": 0.35, "bracket": 0.12, "equipment": 0.3}
"""How far bodies of one group move out from the middle of their assembly, as a share of their distance from it."""

LIFTED = {"lid": 1.35, "gasket": 1.1, "clamp": 0.8, "pad": 0.7, "module": 0.6, "equipment": 0.25}
"""How far up a group moves as a whole, as a share of the pack's height."""

BOLT_MM = 70.0
"""How far a fastener is drawn out of its hole, backwards along its axis."""


def shift_of(group: str, middle_mm: Array, home_mm: Array, pack_mm: Array, size_mm: Array) -> Vec3:
    """Shift (mm, pack's frame) of a body when drawn fully apart.

    middle_mm: of the body; home_mm: of its assembly; pack_mm, size_mm: middle and size of the whole pack.
    """
    spread = SPREAD.get(group, 0.0) * (middle_mm - home_mm)
    return vec3(spread + lift(group, home_mm, pack_mm, size_mm))


def lift(group: str, home_mm: Array, pack_mm: Array, size_mm: Array) -> Array:
    """Shift of a group as a whole: up, or for brackets sideways out of the pack."""
    up = np.array([0.0, 0.0, LIFTED.get(group, 0.0) * size_mm[2]])
    if group != "bracket":
        return up
    out = (home_mm - pack_mm) / np.maximum(size_mm, 1.0)
    out[2] = 0.0
    far = int(np.argmax(np.abs(out)))
    side = np.zeros(3)
    side[far] = np.sign(out[far]) * 0.35 * size_mm[far] if out[far] else 0.0
    return up + side


def bolt_shift(home: Array, axis: Vec3) -> Vec3:
    """Shift of a fastener: with what it holds, and backwards along its axis (from head to tip)."""
    return vec3(home - BOLT_MM * np.array(axis))
