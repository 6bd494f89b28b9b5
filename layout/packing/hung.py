"""Equipment that hangs on an outer face of the box: how it may stand there and what that asks of the box. Pack frame, mm."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from layout.box.shell import Shell
from layout.frames import Axes, Extent, Vec3, vec3
from layout.job.box import Equipment

PLATE_MM = 4.0
"""Mounting plate between the box's side (its bars) and what hangs on it."""

FACES = {"fore face": "+x", "aft face": "-x", "left face": "+y", "right face": "-y", "top face": "+z"}


def below_flange_mm(shell: Shell) -> float:
    """From the inside's top down to where something may hang on a wall: under flange and nuts, with 2 mm, in whole mm."""
    return float(ceil(shell.flange_below_mm + 2.0))


@dataclass(frozen=True)
class Hook:
    """sign * (low corner of what hangs - wall of the inside) <= limit_mm along an axis; high: which of the two walls."""

    axis: int
    high: bool
    sign: float
    limit_mm: float


@dataclass(frozen=True)
class Pocket:
    """One way to hang a piece: its size along the pack's axes, its axes, and the free space it must lie in.

    face: direction of the wall. limit: an axis-parallel space free of everything, clearance kept.
    """

    kind: Equipment
    face: str
    size_mm: Vec3
    axes: Axes
    limit: Extent
    shell: Shell

    @property
    def stand_off_mm(self) -> float:
        """From the inside of the wall to the near face of what hangs on it."""
        if self.face == "+z":
            return self.shell.flange_above_mm + PLATE_MM
        return self.shell.side_mm + PLATE_MM

    def hooks(self) -> tuple[Hook, ...]:
        """What ties it to the box: at the wall, within the wall's extents, below the lid flange."""
        axis, plus = "xyz".index(self.face[1]), self.face[0] == "+"
        off, size = self.stand_off_mm, self.size_mm
        at = off if plus else -(off + size[axis])
        out = [Hook(axis, plus, 1.0, at), Hook(axis, plus, -1.0, -at)]
        for other in range(3):
            if other == axis:
                continue
            below_top = below_flange_mm(self.shell) if other == 2 else 0.0
            out.append(Hook(other, False, -1.0, 0.0))
            out.append(Hook(other, True, 1.0, -(size[other] + below_top)))
        return tuple(out)


def ways_to_hang(kind: Equipment) -> tuple[tuple[Vec3, Axes], ...]:
    """Sizes along pack axes and own axes of a piece on its face: own z stands off the wall, own x lies level or upright."""
    face = FACES[kind.where]
    axis, sign = "xyz".index(face[1]), 1.0 if face[0] == "+" else -1.0
    off = [0.0, 0.0, 0.0]
    off[axis] = sign
    along = [i for i in range(3) if i != axis]
    out = []
    for first in along:
        own_x = [0.0, 0.0, 0.0]
        own_x[first] = 1.0
        own_y = _cross(off, own_x)
        axes = (vec3(own_x), vec3(own_y), vec3(off))
        size = [0.0, 0.0, 0.0]
        for own, length in zip(axes, kind.size_mm, strict=True):
            for i in range(3):
                size[i] += abs(own[i]) * length
        out.append((vec3(size), axes))
    return tuple(out)


def _cross(a: list[float], b: list[float]) -> list[float]:
    return [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
