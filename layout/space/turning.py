"""A turn about the vertical at the end of the way in: lifted a little, turned, pulled straight out.

At the start of the way, outside, the box may be turned freely; so what has to be looked for is one turn in the bay.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from layout.frames import DIRECTIONS, Array, Extent, Pose, turned_about_z, vec3
from layout.space.judge import is_clear
from layout.space.model import Bay

ANGLES_DEG = (5, -5, 10, -10, 15, -15, 20, -20, 30, -30, 45, -45, 90, -90)
LIFTS_MM = (0.0, 25.0, 50.0, 100.0, 150.0, 200.0)
SLICE_DEG = 1.0


@dataclass(frozen=True)
class Turn:
    """A way with a turn: the box goes in turned by angle_deg to lift_mm (vehicle axes) off its place, and turns back there."""

    angle_deg: float
    lift_mm: Array
    pose: Pose


def turned_pose(pose: Pose, about_mm: Array, angle_deg: float, shift_mm: Array) -> Pose:
    """The pose turned about the vertical through a point, then shifted; vehicle axes."""
    turn = turned_about_z(angle_deg)
    origin = about_mm + turn.vector(np.array(pose.origin_mm) - about_mm) + shift_mm
    axes = turn.vector(pose.axes)
    return Pose(vec3(origin), (vec3(axes[0]), vec3(axes[1]), vec3(axes[2])))


def turns(bay: Bay, pieces: list[Extent], pose: Pose, side: str, clearance_mm: float) -> Iterator[Turn]:
    """Turns that can be made near the place: the lift towards the side and the turn itself are clear.

    Between slices of one degree a point moves no further than its distance from the axis times half the slice from the
    nearer slice; that much is added to the clearance, so the turn as a whole is judged safely.
    """
    about = pose.point(pieces[0].centre_mm)
    arm = max(float(np.hypot(*(pose.point(p.corners()) - about)[:, :2].T).max()) for p in pieces)
    more = arm * np.radians(SLICE_DEG / 2.0)
    for lift in LIFTS_MM:
        shift = lift * np.array(DIRECTIONS[side])
        if not _lifted(bay, pieces, pose, shift, clearance_mm):
            return
        for sense in (1.0, -1.0):
            for angle in np.arange(SLICE_DEG, 90.0 + SLICE_DEG, SLICE_DEG):
                now = turned_pose(pose, about, sense * angle, shift)
                if not all(is_clear(bay, p, now, clearance_mm + more) for p in pieces):
                    break
                if round(sense * angle) in ANGLES_DEG:
                    yield Turn(float(sense * angle), shift, now)


def _lifted(bay: Bay, pieces: list[Extent], pose: Pose, shift: Array, clearance_mm: float) -> bool:
    own = pose.inverse_vector(shift)
    for piece in pieces:
        low, high = np.array(piece.min_mm), np.array(piece.max_mm)
        swept = Extent(vec3(low + np.minimum(own, 0.0)), vec3(high + np.maximum(own, 0.0)))
        if not is_clear(bay, swept, pose, clearance_mm):
            return False
    return True
