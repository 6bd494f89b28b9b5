"""Plane outlines with arcs and holes: the one source of solid, flat pattern, area and drawing of a plate."""

from __future__ import annotations

import math
from dataclasses import dataclass

Vertex = tuple[float, float, float]
"""x, y in mm in the plate's own plane, and the bulge of the edge that starts there: tan(a quarter of the arc's included
angle), positive where the arc turns anticlockwise, 0 for a straight edge. (The convention of DXF polylines.)"""

Loop = tuple[Vertex, ...]
"""A closed outline: the last vertex joins the first. Outer loops run anticlockwise, cut-outs either way."""


@dataclass(frozen=True, slots=True)
class Hole:
    """A round hole or a slot, through the whole thickness.

    name: unique within the job, e.g. "BR2-H1". centre_mm in the profile's plane. slot_mm: distance between the end
    centres (0 for a round hole), along slot_angle_deg from the profile's x axis. fastener: what passes through, e.g. "M10".
    after_bending: made in the bent part, since it lies too near to a bend; the flat only carries a mark for it.
    """

    name: str
    centre_mm: tuple[float, float]
    diameter_mm: float
    fastener: str = ""
    slot_mm: float = 0.0
    slot_angle_deg: float = 0.0
    after_bending: bool = False

    @property
    def ends_mm(self) -> tuple[tuple[float, float], ...]:
        """Centres of its ends: one for a round hole, two for a slot."""
        if self.slot_mm <= 0.0:
            return (self.centre_mm,)
        angle, half = math.radians(self.slot_angle_deg), self.slot_mm / 2.0
        dx, dy = half * math.cos(angle), half * math.sin(angle)
        x, y = self.centre_mm
        return ((x - dx, y - dy), (x + dx, y + dy))


@dataclass(frozen=True, slots=True)
class Profile:
    """A flat outline with round holes or slots, and cut-outs of any other form."""

    outline: Loop
    holes: tuple[Hole, ...] = ()
    cutouts: tuple[Loop, ...] = ()


@dataclass(frozen=True, slots=True)
class Bend:
    """How one flange hangs on another.

    edge: index of the parent's outline edge (from vertex `edge` to the next) that the bend starts from. angle_deg:
    by how much the flange turns away from the parent's plane; positive turns towards the parent's +z side, negative
    away. inside_radius_mm, and k_factor (0 < K <= 0.5): place of the neutral line, as a share of the thickness.
    """

    edge: int
    angle_deg: float
    inside_radius_mm: float
    k_factor: float


def rectangle(width_mm: float, height_mm: float, at_mm: tuple[float, float] = (0.0, 0.0), corner_mm: float = 0.0) -> Loop:
    """Anticlockwise rectangle with its least corner at `at_mm` and, where asked, rounded corners of one radius."""
    x, y = at_mm
    if corner_mm <= 0.0:
        return ((x, y, 0.0), (x + width_mm, y, 0.0), (x + width_mm, y + height_mm, 0.0), (x, y + height_mm, 0.0))
    r, quarter = corner_mm, 0.41421356237309503  # tan(90 deg / 4)
    return (
        (x + r, y, 0.0),
        (x + width_mm - r, y, quarter),
        (x + width_mm, y + r, 0.0),
        (x + width_mm, y + height_mm - r, quarter),
        (x + width_mm - r, y + height_mm, 0.0),
        (x + r, y + height_mm, quarter),
        (x, y + height_mm - r, 0.0),
        (x, y + r, quarter),
    )
