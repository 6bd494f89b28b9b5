"""A piece of equipment on a wall of the box: where its feet lie and what is between foot and metal. Pack frame."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layout.arrangement import Arrangement, PlacedEquipment
from layout.box.shell import Shell
from layout.box.walls import LOOKS, along, wall_at, wall_of
from layout.frames import DIRECTIONS, Array, Extent, Vec3, vec3
from layout.job.box import EquipmentFixing
from layout.job.model import Job
from layout.tables import bolt

PAD_MM = 24.0
"""Side of the square spacer under a foot: twice the least edge distance of a screw in its upright."""
PAD_AXES = {"+x": (1, 2), "-x": (1, 2), "+y": (0, 2), "-y": (0, 2), "+z": (0, 1), "-z": (0, 1)}
"""Own axes of a face along which a pattern of feet counts."""


@dataclass(frozen=True)
class Fixture:
    """A piece that is screwed to uprights on a wall.

    hung: outside the box, its screws tapped into the upright; else inside, its screws through upright and wall with nuts on the
    feet. points_mm: where each screw's axis meets the face of the feet. pad_mm: spacer between foot and metal (upright's outer
    face where it hangs, wall's inner face where it stands inside).
    """

    number: str
    piece: PlacedEquipment
    fixing: EquipmentFixing
    wall: str
    hung: bool
    points_mm: tuple[Vec3, ...]
    pad_mm: float

    @property
    def name(self) -> str:
        """Name as in the job file."""
        return self.piece.kind.name

    @property
    def outward(self) -> Array:
        """Outward normal of the wall."""
        return np.array(DIRECTIONS[LOOKS[self.wall]])

    @property
    def axes(self) -> Array:
        """Rows u, v, w: level along the wall, up, and from the metal into the piece (right-handed)."""
        w = self.outward if self.hung else -self.outward
        up = np.array((0.0, 0.0, 1.0))
        return np.array([np.cross(up, w), up, w])

    @property
    def centroid_mm(self) -> Vec3:
        """Centre of mass of the piece."""
        return vec3(self.piece.pose.point(self.piece.kind.centroid_offset_mm))

    def places(self) -> list[tuple[float, float]]:
        """Along the wall and up, of each screw."""
        return [(p[along(self.wall)], p[2]) for p in self.points_mm]


def feet_mm(piece: PlacedEquipment, fixing: EquipmentFixing) -> tuple[Vec3, ...]:
    """Where the screws' axes meet the face of the feet, pack frame."""
    first, second = PAD_AXES[fixing.face]
    axis, sign = "xyz".index(fixing.face[1]), 1.0 if fixing.face[0] == "+" else -1.0
    points = []
    for x, y in fixing.pattern_mm:
        own = np.zeros(3)
        own[first], own[second], own[axis] = x, y, sign * piece.kind.size_mm[axis] / 2.0
        points.append(vec3(piece.pose.point(own)))
    return tuple(points)


def wanted_fixtures(
    job: Job, arrangement: Arrangement, shell: Shell, carried: frozenset[str] = frozenset()
) -> tuple[list[Fixture], dict[str, str]]:
    """Pieces to be screwed to walls, and why others with feet are not. carried: names of those that covers carry."""
    found: list[Fixture] = []
    lost: dict[str, str] = {}
    for i, piece in enumerate(arrangement.equipment):
        fixing = piece.kind.fixing
        on_lid = piece.outside and piece.face == "+z"
        if fixing is None or on_lid or piece.kind.name in carried:
            continue
        wall = standing_at(piece, arrangement.inside)
        why = _unfit(piece, fixing, wall)
        if why:
            lost[piece.kind.name] = why
            continue
        one = Fixture(f"{job.job.drawing_number}-E{i + 1}", piece, fixing, wall, piece.outside, feet_mm(piece, fixing), 0.0)
        pad = _pad_mm(one, arrangement.inside, shell)
        if pad < -1e-6:
            lost[piece.kind.name] = f"its feet lie {-pad:.1f} mm inside the metal of the {wall} wall"
            continue
        found.append(Fixture(one.number, piece, fixing, wall, piece.outside, one.points_mm, max(pad, 0.0)))
    return found, lost


def standing_at(piece: PlacedEquipment, inside: Extent) -> str:
    """Name of the wall that a piece stands at or hangs on; nothing where it is none."""
    if piece.face in ("", "+z", "-z"):
        return ""
    return wall_at(inside, piece.face, vec3(piece.extent.centre_mm)).name


def _unfit(piece: PlacedEquipment, fixing: EquipmentFixing, wall: str) -> str:
    """Why a piece is not screwed to a wall, or nothing."""
    if not wall:
        return "it stands at no wall of the box: hang it on a side, or let it stand at a wall"
    out = piece.pose.vector(DIRECTIONS[fixing.face])
    towards = -np.array(DIRECTIONS[piece.face]) if piece.outside else np.array(DIRECTIONS[piece.face])
    if float(out @ towards) < 1.0 - 1e-9:
        return f"its face {fixing.face} with the feet does not look to the {wall} wall"
    size = bolt(fixing.bolt)
    if not piece.outside and size.hex_height_mm + size.washer_thickness_mm > 6.0:
        return f"heads of {fixing.bolt} do not fit the 6 mm outside its upright: use M6 or smaller"
    return ""


def _pad_mm(fixture: Fixture, inside: Extent, shell: Shell) -> float:
    """From the metal to the face of the feet, along the screws."""
    base = float(np.dot(fixture.points_mm[0], fixture.outward))
    wall = wall_of(fixture.wall, inside).outer_mm(shell.sheet_mm)
    return base - (wall + shell.bar_mm) if fixture.hung else (wall - shell.sheet_mm) - base
