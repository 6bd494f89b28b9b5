"""The walls of a box by name: which way each looks, where it stands and from where to where it runs. Pack frame.

A box has the walls left, right, fore and aft. Where a corner of its plan is left out two more stand at the step; they
are named by the way they look, "fore step" and so on. Walls along x lap the ends of walls along y at every corner.

Where the floor is at two heights one wall more stands between the floors, the riser, named likewise. The two walls that it
ends at are L-shaped, one plate each; they are two stretches here, "left" above the deep floor and "left upper" above the
upper one, so that whatever stands on a wall stands on one of them, with its own bottom.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np

from layout.frames import DIRECTIONS, Array, Extent, Vec3
from layout.stepped import corner_out, two_floors

WALLS = {"left": "+y", "right": "-y", "fore": "+x", "aft": "-x"}
STEP_WALLS = {"left step": "+y", "right step": "-y", "fore step": "+x", "aft step": "-x"}
UPPER = " upper"
"""Names the stretch of an L-shaped wall above the upper floor."""
LOOKS = {**WALLS, **STEP_WALLS, **{f"{name}{UPPER}": way for name, way in WALLS.items()}}
"""The way each wall looks."""
PANELS = {name: name.removesuffix(UPPER) for name in LOOKS}
"""The panel (one plate) that each wall is, or is part of."""
NUMBERS = {name: 2 + i for i, name in enumerate(WALLS)} | dict.fromkeys(("left step", "right step"), 8)
NUMBERS |= dict.fromkeys(("fore step", "aft step"), 9)
NUMBERS |= {f"{name}{UPPER}": NUMBERS[name] for name in WALLS}
"""Part numbers of the wall plates (B2 and so on): 1 is the floor, 6 and 7 are the flange and the lid."""
UPPER_FLOOR = "upper floor"
UPPER_FLOOR_NUMBER = 10
ELBOW_MM = 15.0
"""Room for a torch between what stands on one wall of a step and the uprights on the other (common practice, no source)."""

CORNER_MM = 12.0
"""From an inner corner to the uprights nearest to it in an elbow: plate, fillets of both (common practice, no source)."""


@dataclass(frozen=True)
class Wall:
    """One flat wall. face_mm: its inner face along the axis it is square to; low_mm, high_mm: its ends between the inner
    corners; elbow: the end (-1 low, +1 high) at which a step turns in, 0 where both ends are outer corners of the box.
    runs_on: the end at which the plate runs on, as the other stretch of an L; 0 where none does, and for the deep stretch,
    whose end there is an outer corner of what lies below. riser: between two floors; it reaches no lid flange and nothing
    stands on its outer face.
    """

    name: str
    face_mm: float
    low_mm: float
    high_mm: float
    bottom_mm: float
    top_mm: float
    elbow: int = 0
    runs_on: int = 0
    riser: bool = False

    @property
    def panel(self) -> str:
        """Name of the panel it is, or is part of."""
        return PANELS[self.name]

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

        One along y ends at the inner corners and, in an elbow, behind the plate along x. The upper stretch of an L begins
        where the deep one ends.
        """
        laps = self.along == 0
        if self.runs_on:
            off = sheet_mm if laps else 0.0
            ends = self.low_mm - off, self.high_mm + off
            return (self.low_mm + off, ends[1]) if self.runs_on < 0 else (ends[0], self.high_mm - off)
        out, elbow = (sheet_mm, 0.0) if laps else (0.0, -sheet_mm)
        return self.low_mm - (elbow if self.elbow < 0 else out), self.high_mm + (elbow if self.elbow > 0 else out)

    def usable_mm(self, side_mm: float) -> tuple[float, float]:
        """Where uprights may stand on its outer face: between the inner corners.

        In an elbow those on the wall along y stand up to the weld of the corner, those on the wall along x clear of them.
        side_mm: from an inner face to the outermost of what stands on its wall. On a riser nowhere; on the upper stretch of an
        L off the welds of the riser's corner.
        """
        if self.riser:
            return self.middle_mm, self.middle_mm
        if self.runs_on:
            low, high = (CORNER_MM if self.runs_on == way else 0.0 for way in (-1, 1))
            return self.low_mm + low, self.high_mm - high
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


@lru_cache(maxsize=64)
def walls_of(inside: Extent) -> tuple[Wall, ...]:
    """The walls around an inside: left, right, fore, aft, and those of a step."""
    (x0, y0, z0), (x1, y1, z1) = inside.min_mm, inside.max_mm
    ends = {"left": (y1, x0, x1), "right": (y0, x0, x1), "fore": (x1, y0, y1), "aft": (x0, y0, y1)}
    if two_floors(inside):
        return _round_two_floors(inside, ends)
    step = corner_out(inside)
    if step is None:
        return tuple(Wall(name, *where, z0, z1) for name, where in ends.items())
    found = []
    for axis, (low, high) in ((1, ("right", "left")), (0, ("aft", "fore"))):
        cut, line = (high if step.at_high(axis) else low), step.line_mm(1 - axis)
        face, a, b = ends[cut]
        after = step.at_high(1 - axis)  # the step lies at the high end of the wall that is cut short
        ends[cut] = (face, a, line) if after else (face, line, b)
        run = (line, b) if after else (a, line)
        found.append(Wall(f"{cut} step", step.line_mm(axis), *run, z0, z1, elbow=-1 if after else 1))
    return (*(Wall(name, *where, z0, z1) for name, where in ends.items()), *found)


def _round_two_floors(inside: Extent, ends: dict[str, tuple[float, float, float]]) -> tuple[Wall, ...]:
    """Walls where the floor is at two heights: four outermost ones, the upper stretches of the two Ls, the riser."""
    step = two_floors(inside)
    assert step is not None
    across, (z0, z1) = 1 - step.run, (step.min_mm[2], step.max_mm[2])
    line, level, after = step.line_mm(across), step.line_mm(2), step.at_high(across)
    short = (("aft", "fore"), ("right", "left"))[across][after]
    found, upper = [], []
    for name, (face, a, b) in ends.items():
        if along(name) != across:
            found.append(Wall(name, face, a, b, level if name == short else z0, z1))
            continue
        deep, high = ((a, line), (line, b)) if after else ((line, b), (a, line))
        found.append(Wall(name, face, *deep, z0, z1))
        upper.append(Wall(f"{name}{UPPER}", face, *high, level, z1, runs_on=-1 if after else 1))
    face, a, b = ends[short]
    return (*found, *upper, Wall(f"{short} step", line, a, b, z0, level, riser=True))


def panel_walls(panel: str, inside: Extent) -> tuple[Wall, ...]:
    """The stretches of a panel: one, or two where it is an L. Raises KeyError where the box has no such wall."""
    found = tuple(w for w in walls_of(inside) if w.panel == panel)
    if not found:
        raise KeyError(panel)
    return found


def panel_field(panel: str, inside: Extent) -> tuple[float, float, float, float]:
    """Bounds of a panel between its inner corners: along the wall, least and greatest, and up."""
    walls = panel_walls(panel, inside)
    low, high = min(w.low_mm for w in walls), max(w.high_mm for w in walls)
    return low, high, min(w.bottom_mm for w in walls), max(w.top_mm for w in walls)


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
