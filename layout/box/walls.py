"""The walls of a box by name: which way each looks, where it stands and from where to where it runs. Pack frame.

A box has the walls left, right, fore and aft. Where a corner of its plan is left out two more stand at the step; they
are named by the way they look, "fore step" and so on. Walls along x lap the ends of walls along y at every corner.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from layout.frames import DIRECTIONS, Array, Extent, Vec3
from layout.stepped import Stepped

WALLS = {"left": "+y", "right": "-y", "fore": "+x", "aft": "-x"}
STEP_WALLS = {"left step": "+y", "right step": "-y", "fore step": "+x", "aft step": "-x"}
LOOKS = {**WALLS, **STEP_WALLS}
"""The way each wall looks."""
NUMBERS = {name: 2 + i for i, name in enumerate(WALLS)} | dict.fromkeys(("left step", "right step"), 8)
NUMBERS |= dict.fromkeys(("fore step", "aft step"), 9)
"""Part numbers of the wall plates (B2 and so on): 6 and 7 are the flange and the lid."""
ELBOW_MM = 15.0
"""Room for a torch between what stands on one wall of a step and the uprights on the other (common practice, no source)."""

CORNER_MM = 12.0
"""From an inner corner to the uprights nearest to it in an elbow: plate, fillets of both (common practice, no source)."""


@dataclass(frozen=True)
class Wall:
    """One flat wall. face_mm: its inner face along the axis it is square to; low_mm, high_mm: its ends between the inner
    corners; elbow: the end (-1 low, +1 high) at which a step turns in, 0 where both ends are outer corners of the box.
    """

    name: str
    face_mm: float
    low_mm: float
    high_mm: float
    bottom_mm: float
    top_mm: float
    elbow: int = 0

    @property
    def direction(self) -> str:
        """The way it looks: "+x" and so on."""
        return LOOKS[self.name]

    @cached_property
    def w(self) -> Array:
        """Outward normal."""
        return np.array(DIRECTIONS[self.direction])

    @cached_property
    def h(self) -> Array:
        """Along the wall, to the right for one who looks at it from outside with z up: z x w."""
        return np.cross((0.0, 0.0, 1.0), self.w)

    @property
    def along(self) -> int:
        """Axis it runs along: 0 for walls that look to the sides, 1 for those that look ahead or back."""
        return along(self.name)

    @property
    def length_mm(self) -> float:
        """Between the inner corners."""
        return self.high_mm - self.low_mm

    @property
    def middle_mm(self) -> float:
        """Half-way between the inner corners."""
        return (self.low_mm + self.high_mm) / 2.0

    def outer_mm(self, sheet_mm: float) -> float:
        """Coordinate of the outer face along the outward normal."""
        return self.face_mm * float(self.w.sum()) + sheet_mm

    def plate_mm(self, sheet_mm: float) -> tuple[float, float]:
        """Ends of its plate: one along x laps the plate it meets at an outer corner, and begins at the corner of an elbow.

        One along y ends at the inner corners and, in an elbow, behind the plate along x.
        """
        laps = self.along == 0
        out, elbow = (sheet_mm, 0.0) if laps else (0.0, -sheet_mm)
        return self.low_mm - (elbow if self.elbow < 0 else out), self.high_mm + (elbow if self.elbow > 0 else out)

    def usable_mm(self, side_mm: float) -> tuple[float, float]:
        """Where uprights may stand on its outer face: between the inner corners.

        In an elbow those on the wall along y stand up to the weld of the corner, those on the wall along x clear of them.
        side_mm: from an inner face to the outermost of what stands on its wall.
        """
        off = side_mm + ELBOW_MM if self.along == 0 else CORNER_MM
        return self.low_mm + (off if self.elbow < 0 else 0.0), self.high_mm - (off if self.elbow > 0 else 0.0)

    def point(self, u_mm: float, out_mm: float, z_mm: float) -> Vec3:
        """The point at u along the wall, out_mm outward of its inner face, at a height."""
        at = [0.0, 0.0, z_mm]
        at[self.along] = u_mm
        at[1 - self.along] = self.face_mm + out_mm * float(self.w.sum())
        return (at[0], at[1], at[2])


def along(name: str) -> int:
    """Index of a wall's level axis: 0 for walls that look to the left or right, 1 for those that look fore or aft."""
    return 0 if LOOKS[name][1] == "y" else 1


def walls_of(inside: Extent) -> tuple[Wall, ...]:
    """The walls around an inside: left, right, fore, aft, and those of a step in its plan."""
    (x0, y0, z0), (x1, y1, z1) = inside.min_mm, inside.max_mm
    ends = {"left": (y1, x0, x1), "right": (y0, x0, x1), "fore": (x1, y0, y1), "aft": (x0, y0, y1)}
    if not isinstance(inside, Stepped):
        return tuple(Wall(name, *where, z0, z1) for name, where in ends.items())
    found = []
    for axis, (low, high) in ((1, ("right", "left")), (0, ("aft", "fore"))):
        cut, line = (high if inside.at_high(axis) else low), inside.line_mm(1 - axis)
        face, a, b = ends[cut]
        after = inside.at_high(1 - axis)  # the step lies at the high end of the wall that is cut short
        ends[cut] = (face, a, line) if after else (face, line, b)
        run = (line, b) if after else (a, line)
        found.append(Wall(f"{cut} step", inside.line_mm(axis), *run, z0, z1, elbow=-1 if after else 1))
    return (*(Wall(name, *where, z0, z1) for name, where in ends.items()), *found)


def wall_of(name: str, inside: Extent) -> Wall:
    """The wall of a name. Raises KeyError where the box has no such wall."""
    for wall in walls_of(inside):
        if wall.name == name:
            return wall
    raise KeyError(name)


def wall_at(inside: Extent, direction: str, at_mm: Vec3) -> Wall:
    """Of the walls that look one way, the one whose inner face lies nearest to a point (along its normal), then along it."""
    axis = "xyz".index(direction[1])

    def off(wall: Wall) -> tuple[float, float]:
        u = at_mm[wall.along]
        return round(abs(wall.face_mm - at_mm[axis]), 3), max(wall.low_mm - u, u - wall.high_mm, 0.0)

    return min((w for w in walls_of(inside) if w.direction == direction), key=off)
