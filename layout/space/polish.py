"""The last millimetres: an inside found on a grid, grown face by face until the judge's own test stops it."""

from __future__ import annotations

import numpy as np

from layout.box.shell import Shell
from layout.frames import Extent, Pose, vec3
from layout.space.judge import is_clear
from layout.space.judge_arrangement import column_clear
from layout.space.model import Bay

ORDER = ((0, 1), (0, 0), (1, 1), (1, 0), (2, 1), (2, 0))
"""Axis and side (1: the greater one) in which the faces are moved: ahead, behind, left, right, up, down."""


def shell_clear(bay: Bay, shell: Shell, frame: Pose, inside: Extent, clearance_mm: float) -> bool:
    """Whether the box around an inside keeps the clearance and stays out of the mount points' columns; exact."""
    bodies = shell.bodies(inside)
    for name, piece in shell.pieces(inside):
        room = shell.mount_room_mm if piece in bodies else 0.0
        if any(column_clear(c, room, piece, frame, name) for c in bay.columns):
            return False
        if not is_clear(bay, piece, frame, clearance_mm):
            return False
    return True


def grown_to_walls(
    bay: Bay, shell: Shell, frame: Pose, inside: Extent, clearance_mm: float, upto_mm: float, to_mm: float = 0.1
) -> Extent:
    """An inside that fits, each face moved outward as far as the exact test allows, to within to_mm, at most upto_mm.

    Faces are moved one after the other (see ORDER), so the answer is one of several. An inside that does not fit comes
    back unchanged.
    """
    if not shell_clear(bay, shell, frame, inside, clearance_mm):
        return inside
    for axis, side in ORDER:
        low, high = 0.0, upto_mm
        if shell_clear(bay, shell, frame, _moved(inside, axis, side, high), clearance_mm):
            low = high
        while high - low > to_mm:
            middle = (low + high) / 2.0
            fits = shell_clear(bay, shell, frame, _moved(inside, axis, side, middle), clearance_mm)
            low, high = (middle, high) if fits else (low, middle)
        inside = _moved(inside, axis, side, low)
    return inside


def _moved(inside: Extent, axis: int, side: int, by_mm: float) -> Extent:
    ends = np.array([inside.min_mm, inside.max_mm])
    ends[side, axis] += by_mm if side else -by_mm
    return Extent(vec3(ends[0]), vec3(ends[1]))
