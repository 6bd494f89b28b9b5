"""Edges of a plate that are chamfered at 45 degrees on its face z = 0: the wedges that are taken off."""

from __future__ import annotations

import math
from dataclasses import dataclass

import shapely

from layout.design.geometry import hole_polygon
from layout.design.parts import Plate
from layout.design.profile import Loop
from layout.errors import DesignError
from layout.frames import Pose


@dataclass(frozen=True, slots=True)
class Wedge:
    """What a bevel takes off: the triangle (0, 0), (leg, 0), (0, leg) in the xy plane of `pose`, drawn out along its z."""

    pose: Pose
    leg_mm: float
    length_mm: float
    start_mm: tuple[float, float]
    end_mm: tuple[float, float]

    @property
    def section(self) -> Loop:
        """The triangle."""
        return ((0.0, 0.0, 0.0), (self.leg_mm, 0.0, 0.0), (0.0, self.leg_mm, 0.0))


def wedges(plate: Plate) -> tuple[Wedge, ...]:
    """One wedge per bevel, in the plate's own frame: x inward from the edge, y up, z along it.

    Raises:
        DesignError: an edge that is not straight or whose ends are not square corners of the outline, a leg that is not less
            than the thickness, or a hole in the way.
    """
    return tuple(_wedge(plate, bevel.edge, bevel.leg_mm) for bevel in plate.bevels)


def _wedge(plate: Plate, edge: int, leg_mm: float) -> Wedge:
    loop = plate.profile.outline
    n = len(loop)
    before, a, b, after = loop[edge - 1], loop[edge % n], loop[(edge + 1) % n], loop[(edge + 2) % n]
    length = math.dist(a[:2], b[:2])
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    square = all(abs((q[0] - p[0]) * ux + (q[1] - p[1]) * uy) < 1e-6 for p, q in ((before, a), (b, after)))
    inward = all((p[0] - a[0]) * -uy + (p[1] - a[1]) * ux > leg_mm for p in (before, after))
    if not (square and inward and before[2] == a[2] == b[2] == 0.0 and 0.0 < leg_mm < plate.thickness_mm):
        figure = f"edge {edge}, leg {leg_mm:g} mm, sheet {plate.thickness_mm:g} mm"
        raise DesignError(plate.number, "a bevel runs between two square corners and is less than the sheet", figure,
                          "Bevel a straight edge, or less deep.")  # fmt: skip
    strip = shapely.LineString([a[:2], b[:2]]).buffer(leg_mm)
    for hole in plate.profile.holes:
        if hole_polygon(hole).intersects(strip):
            raise DesignError(plate.number, "holes keep clear of a bevel", f"hole {hole.name!r}", "Move it inward.")
    pose = Pose((a[0], a[1], 0.0), ((-uy, ux, 0.0), (0.0, 0.0, 1.0), (ux, uy, 0.0)))
    return Wedge(pose, leg_mm, length, (a[0], a[1]), (b[0], b[1]))
