"""One bracket to be: its mounts, its wall, and the axes it is designed in. Pack frame.

Axes. w: outward normal of the wall. n: the mount's normal. For angle brackets a = n x w (unit) runs along the bend, up = w x a
along the leg in the wall's plane, out = a x n along the foot: where n is square to w, up = n and out = w. Where the pack is
turned or raked against the vehicle, n leans out of the wall's plane (n . w not 0) and the bend is not a right angle. A standoff
stands on a mount that faces the wall (n = -w): up is z, a along the wall, out = up.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from layout.box.walls import LOOKS
from layout.brackets.pattern import LegPattern, leg_pattern
from layout.frames import DIRECTIONS, Array, Pose, Vec3, vec3
from layout.job.bay import MountPoint
from layout.tables import bolt

SOCKET_PLAY_MM = 1.5
UNTURNED = Pose()
WEB_ROOM_MM = 14.0
"""For a web of a standoff's column and the fillet outside it: 8 mm and a leg of 6 mm."""


@dataclass(frozen=True)
class PackMount:
    """A mount point in the pack's frame. normal: unit vector from the vehicle's metal into the free space."""

    entry: MountPoint
    at_mm: Vec3
    normal: Vec3

    @property
    def name(self) -> str:
        """Name as in the job file."""
        return self.entry.name


@dataclass(frozen=True)
class BracketPlan:
    """One bracket to be: its mounts, its wall, and the bars on that wall.

    bars_u_mm: positions of the bars along the wall (x on left and right walls, y on fore and aft walls). bolts_u_mm: middle of
    each bar's leg bolts along the wall, leg_rows rows of two, as near to a mount as the bar allows. kind: "plain L",
    "gusseted L", "saddle" or
    "standoff". frame: the pack's frame in vehicle axes. slot_mm: how much longer than wide its mount holes may be.
    cut: whether its foot and ends may be cut back where the bay is narrower than they would be. bar_mm: thickness of the bars.
    why: what of the mounts' place (or the job) its kind follows from, in words. without: stretches along the bend in which no
    gusset may stand, because it would run into something.
    """

    number: str
    wall: str
    mounts: tuple[PackMount, ...]
    bars_u_mm: tuple[float, ...]
    bar_face_mm: float
    bar_width_mm: float
    bolts_u_mm: tuple[float, ...]
    kind: str = "gusseted L"
    leg_bolt: str = "M8"
    frame: Pose = UNTURNED
    slot_mm: float = 0.0
    cut: bool = False
    bar_mm: float = 15.0
    why: str = ""
    without: tuple[tuple[float, float], ...] = ()
    leg_rows: int = 2

    @property
    def bolts_on_bar(self) -> int:
        """How many leg bolts a bar carries."""
        return 2 * self.leg_rows

    @property
    def leg_span_mm(self) -> float:
        """From the lowest to the highest row of leg bolts."""
        return (self.leg_rows - 1) * self.pattern.row_mm

    @property
    def pattern(self) -> LegPattern:
        """Where its leg bolts sit on a bar; of a standoff, so far apart that their sockets pass its column."""
        pattern = leg_pattern(self.leg_bolt)
        if not self.facing:
            return pattern
        own = self.socket_hole_mm / 2.0 + WEB_ROOM_MM + bolt(self.leg_bolt).socket_outside_mm / 2.0 + SOCKET_PLAY_MM
        return replace(pattern, column_mm=max(pattern.column_mm, float(math.ceil(own))))

    @property
    def socket_hole_mm(self) -> float:
        """Diameter in which the socket of the first mount's bolt turns, anywhere in its slot."""
        size = bolt(self.mounts[0].entry.thread)
        return float(math.ceil(size.socket_outside_mm + 2.0 * SOCKET_PLAY_MM + self.slot_mm))

    @property
    def bolt_edge_mm(self) -> float:
        """Least distance of a leg bolt from the long edge of its bar."""
        offs = (abs(a - b) for a, b in zip(self.bars_u_mm, self.bolts_u_mm, strict=True))
        return self.bar_width_mm / 2.0 - self.pattern.column_mm - max(offs)

    @property
    def facing(self) -> bool:
        """Whether its mount looks at the wall: a standoff."""
        return self.kind == "standoff"

    @cached_property
    def w(self) -> Array:
        """Outward normal of the wall."""
        return np.array(DIRECTIONS[LOOKS[self.wall]])

    @cached_property
    def n(self) -> Array:
        """Normal of the mounts."""
        return np.array(self.mounts[0].normal)

    @cached_property
    def a(self) -> Array:
        """Direction along the bend; of a standoff, level along the wall."""
        if self.facing:
            return np.cross((0.0, 0.0, 1.0), self.w)
        across = np.cross(self.n, self.w)
        return np.asarray(across if self.lean == 0.0 else across / np.linalg.norm(across))

    @cached_property
    def up(self) -> Array:
        """Up the leg, in the wall's plane."""
        return np.cross(self.w, self.a)

    @cached_property
    def out(self) -> Array:
        """Out along the foot, in the plane of the vehicle's metal."""
        return np.cross(self.a, self.n)

    @cached_property
    def lean(self) -> float:
        """Sine of the angle by which the mounts' normal leans out of the wall's plane, positive outward; of a standoff 0."""
        return 0.0 if self.facing else float(np.dot(self.n, self.w))

    @cached_property
    def foot_axes(self) -> Array:
        """Rows a, n, out: the axes of what acts on the foot."""
        return np.array([self.a, self.n, self.out])

    @cached_property
    def leg_axes(self) -> Array:
        """Rows a, up, w: the axes of what acts on leg and bars."""
        return np.array([self.a, self.up, self.w])

    @property
    def bend_deg(self) -> float:
        """By how much the foot turns away from the leg's plane: 90 where the mount's normal is square to the wall's."""
        return 90.0 if self.lean == 0.0 else math.degrees(math.acos(self.lean))

    @property
    def upright(self) -> bool:
        """True where the mount normal is (nearly) vertical, so that the bend runs along the wall."""
        return abs(self.n[2]) > 0.5

    @cached_property
    def origin_mm(self) -> Array:
        """Where bar face and vehicle's metal would meet, at 0 along a. Of a standoff: on the bars' face before it."""
        if self.facing:
            at = np.array(self.mounts[0].at_mm)
            return self.bar_face_mm * self.w + float(at @ self.a) * self.a + float(at @ self.up) * self.up
        level = float(np.dot(self.mounts[0].at_mm, self.n))
        if self.lean == 0.0:
            return level * self.n + self.bar_face_mm * self.w
        return np.asarray(np.linalg.solve(np.array([self.w, self.n, self.a]), (self.bar_face_mm, level, 0.0)))

    @cached_property
    def leg_pose(self) -> Pose:
        """Frame (a, up, w) at the origin."""
        return Pose(vec3(self.origin_mm), (vec3(self.a), vec3(self.up), vec3(self.w)))

    @cached_property
    def foot_pose(self) -> Pose:
        """Frame (a, n, out) at the origin."""
        return Pose(vec3(self.origin_mm), (vec3(self.a), vec3(self.n), vec3(self.out)))

    def stand_mm(self, mount: PackMount) -> float:
        """Distance of a mount along the foot from where its plane meets the bars' face; of a standoff, from the bar's face."""
        if self.facing:
            return float(np.dot(mount.at_mm, self.w)) - self.bar_face_mm
        return float(self.foot_pose.inverse_point(mount.at_mm)[2])
