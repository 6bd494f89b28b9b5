"""Bolts, washers and nuts as simple bodies: what is drawn, what is weighed and what must not be run into.

Simplifications, each on the heavy or large side: a bolt is its head and a plain shank of the nominal diameter over the full
length (no thread, no chamfer, no socket), a washer a flat ring, a nut a hexagon of full height with a bore of the nominal
diameter. Real threads and sockets make the fastener lighter by a tenth or so. Hexagons are drawn at their full width across
flats.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np

from layout.design.moments import AreaMoments
from layout.design.parts import Hardware
from layout.errors import DesignError
from layout.frames import Pose, Vec3, vec3
from layout.tables import UnknownName, bolt, bolt_sizes
from layout.tables.fasteners import BoltSize

HEX_AREA = 2.0 * math.sqrt(3.0) / 4.0
"""Area of a hexagon over the square of its width across flats."""


def sizes_of(size: str) -> BoltSize:
    """Row of the bolt table for a thread size such as "M10". Raises DesignError for a size that is not in it."""
    try:
        return bolt(size)
    except UnknownName:
        known = ", ".join(bolt_sizes())
        raise DesignError(f"fastener {size}", "this thread size is not in the table", size, f"Use one of {known}.") from None


@dataclass(frozen=True, slots=True)
class Turned:
    """A body of one section along its axis z from low to high: a hexagon (across flats) or a disc, less a round bore."""

    form: Literal["hexagon", "disc"]
    across_mm: float
    bore_mm: float
    low_mm: float
    high_mm: float

    def area(self) -> AreaMoments:
        """Integrals of the section about its own centre. Hexagon: second moment 5/(36 sqrt 3) ... in closed form (any axis)."""
        if self.form == "disc":
            area = math.pi * self.across_mm**2 / 4.0
            second = area * self.across_mm**2 / 16.0
        else:
            side = self.across_mm / math.sqrt(3.0)
            area = HEX_AREA * self.across_mm**2
            second = 5.0 * math.sqrt(3.0) / 16.0 * side**4
        bore = math.pi * self.bore_mm**2 / 4.0
        second -= bore * self.bore_mm**2 / 16.0
        return AreaMoments(area - bore, 0.0, 0.0, second, second, 0.0)


@dataclass(frozen=True)
class Piece:
    """One loose body of a fastener: what it is (the same text for the same body), its turned sections, and where it lies.

    pose: own z along the bolt's axis from head to tip, own origin under the head for a bolt, on the upper face of a washer
    or nut.
    """

    name: str
    sections: tuple[Turned, ...]
    pose: Pose


def axis_pose(at_mm: Vec3, axis: Vec3) -> Pose:
    """Frame at a point with its z along `axis`; x as near to the outer x (else y) as it can be."""
    z = np.array(axis, dtype=float)
    z = z / np.linalg.norm(z)
    near = np.array([1.0, 0.0, 0.0]) if abs(z[0]) < 0.9 else np.array([0.0, 1.0, 0.0])
    x = near - (near @ z) * z
    x = x / np.linalg.norm(x)
    return Pose(at_mm, (vec3(x), vec3(np.cross(z, x)), vec3(z)))


def bolt_sections(kind: str, size: str, length_mm: float) -> tuple[Turned, ...]:
    """Head (z from -k to 0) and shank (z from 0 to the length). Raises DesignError for a kind that is not known."""
    s = sizes_of(size)
    shank = Turned("disc", s.diameter_mm, 0.0, 0.0, length_mm)
    if kind in ("hex bolt", "hex screw"):
        return (Turned("hexagon", s.hex_af_mm, 0.0, -s.hex_height_mm, 0.0), shank)
    if kind == "threaded rod":
        return (shank,)
    if kind == "cap screw":
        return (Turned("disc", s.cap_diameter_mm, 0.0, -s.cap_height_mm, 0.0), shank)
    raise DesignError(
        f"fastener {size}", "this kind of fastener is not known", kind,
        "Use 'hex bolt', 'hex screw', 'cap screw' or 'threaded rod'.",
    )


def pieces(fastener: Hardware) -> tuple[Piece, ...]:
    """Bolt, washers and nuts of one fastener, in the pack's frame.

    Where there is a nut, one washer lies under the nut if there are two or more, the others under the head; without a nut
    all lie under the head. head_mm is the face under the head; the grip begins there and ends at the nut, washers included.
    """
    s = sizes_of(fastener.size)
    pose = axis_pose(fastener.head_mm, fastener.axis)

    def at(z: float) -> Pose:
        return pose.then(Pose((0.0, 0.0, z)))

    name = f"{fastener.kind} {fastener.size}x{fastener.length_mm:g} {fastener.bolt_class}"
    out = [Piece(name, bolt_sections(fastener.kind, fastener.size, fastener.length_mm), pose)]
    washer = (Turned("disc", s.washer_outer_mm, s.washer_inner_mm, 0.0, s.washer_thickness_mm),)
    nut = (Turned("hexagon", s.hex_af_mm, s.diameter_mm, 0.0, s.nut_height_mm),)
    if fastener.rings:
        forms = {"nut": nut, "washer": washer}
        return (*out, *(Piece(f"{r.kind} {fastener.size}", forms[r.kind], at(r.at_mm)) for r in fastener.rings))
    below = 1 if fastener.nuts and fastener.washers >= 2 else 0
    above = fastener.washers - below
    z = 0.0
    for _ in range(above):
        out.append(Piece(f"washer {fastener.size}", washer, at(z)))
        z += s.washer_thickness_mm
    z = fastener.grip_mm - below * s.washer_thickness_mm
    for _ in range(below):
        out.append(Piece(f"washer {fastener.size}", washer, at(z)))
        z += s.washer_thickness_mm
    for _ in range(fastener.nuts):
        out.append(Piece(f"nut {fastener.size}", nut, at(z)))
        z += s.nut_height_mm
    return tuple(out)
