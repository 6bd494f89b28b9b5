"""Exact volume, mass, centroid and inertia of parts, from their profiles alone.

All results are in the frame the part's pose leads to (the pack's). Bodies add with `+`.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from layout.design.bevels import wedges
from layout.design.flat import BendFrame, bend_frames, flat_poses, profile_of
from layout.design.hardware import axis_pose, pieces
from layout.design.moments import AreaMoments, loop_moments, profile_moments
from layout.design.parts import Block, FoldedPlate, Hardware, Part, Plate
from layout.errors import DesignError
from layout.frames import Array, Pose, Vec3, vec3

DensityOf = Callable[[str], float]
"""Density in kg/m3 of a material named as in the part."""

STEEL_KG_M3 = 7850.0
"""Density of fastener steel. Source: EN 1993-1-1, 3.2.6 and common tables (from memory)."""


@dataclass(frozen=True)
class VolumeMoments:
    """Integrals over a body.

    Volume (mm3), of r (mm4, shape (3,)) and of r r^T (mm5, shape (3, 3)), about the frame's origin.
    """

    volume_mm3: float
    first_mm4: Array
    second_mm5: Array

    def __add__(self, other: VolumeMoments) -> VolumeMoments:
        return VolumeMoments(
            self.volume_mm3 + other.volume_mm3, self.first_mm4 + other.first_mm4, self.second_mm5 + other.second_mm5
        )

    @property
    def centroid_mm(self) -> Vec3:
        """Centre of volume."""
        return vec3(self.first_mm4 / self.volume_mm3)

    def seen_from(self, pose: Pose) -> VolumeMoments:
        """The same body in the outer frame of `pose`."""
        r, o = pose.matrix, np.array(pose.origin_mm)
        first = r @ self.first_mm4
        cross = np.outer(first, o)
        second = r @ self.second_mm5 @ r.T + cross + cross.T + self.volume_mm3 * np.outer(o, o)
        return VolumeMoments(self.volume_mm3, first + self.volume_mm3 * o, second)


@dataclass(frozen=True)
class BodyMass:
    """What a body weighs and where.

    mass_kg, volume_mm3, centroid_mm; inertia_kgmm2: inertia tensor about the centroid, axes of the frame, with the products of
    inertia as negative integrals (I = integral of (r.r) E - r r^T): the tensor of rigid-body mechanics.
    """

    mass_kg: float
    volume_mm3: float
    centroid_mm: Vec3
    inertia_kgmm2: tuple[Vec3, Vec3, Vec3]

    def __add__(self, other: BodyMass) -> BodyMass:
        mass = self.mass_kg + other.mass_kg
        a, b = np.array(self.centroid_mm), np.array(other.centroid_mm)
        centroid = (self.mass_kg * a + other.mass_kg * b) / mass
        inertia = self._inertia_about(centroid) + other._inertia_about(centroid)
        return BodyMass(mass, self.volume_mm3 + other.volume_mm3, vec3(centroid), _rows(inertia))

    def _inertia_about(self, point_mm: Array) -> Array:
        return np.array(self.inertia_kgmm2) + self.mass_kg * _point_inertia(np.array(self.centroid_mm) - point_mm)


def _point_inertia(r: Array) -> Array:
    return float(r @ r) * np.eye(3) - np.outer(r, r)


def _rows(matrix: Array) -> tuple[Vec3, Vec3, Vec3]:
    return (vec3(matrix[0]), vec3(matrix[1]), vec3(matrix[2]))


def prism(area: AreaMoments, low_mm: float, high_mm: float) -> VolumeMoments:
    """A section in the xy plane drawn out from z = low to z = high."""
    z0, z1, z2 = high_mm - low_mm, (high_mm**2 - low_mm**2) / 2.0, (high_mm**3 - low_mm**3) / 3.0
    a, sx, sy = area.area_mm2, area.x_mm3, area.y_mm3
    second = np.array(
        [
            [area.xx_mm4 * z0, area.xy_mm4 * z0, sx * z1],
            [area.xy_mm4 * z0, area.yy_mm4 * z0, sy * z1],
            [sx * z1, sy * z1, a * z2],
        ]
    )
    return VolumeMoments(a * z0, np.array([sx * z0, sy * z0, a * z1]), second)


def bend_sector(frame: BendFrame) -> VolumeMoments:
    """The metal of one bend, in the frame of `frame.pose`.

    Polar about the bend's axis: y = rho sin(phi), z = centre -+ rho cos(phi) for a bend up or down, phi from 0 to the angle,
    rho from Ri to Ri + t; integrals in closed form.
    """
    a, ri, ro = abs(frame.angle_rad), frame.inside_radius_mm, frame.inside_radius_mm + frame.thickness_mm
    side = -1.0 if frame.angle_rad > 0.0 else 1.0
    rho1, rho2, rho3 = (ro**2 - ri**2) / 2.0, (ro**3 - ri**3) / 3.0, (ro**4 - ri**4) / 4.0
    s, c = math.sin(a), math.cos(a)
    area = AreaMoments(  # x here: y of the frame; y here: z of the frame less the axis height
        rho1 * a,
        rho2 * (1.0 - c),
        side * rho2 * s,
        rho3 * (a - s * c) / 2.0,
        rho3 * (a + s * c) / 2.0,
        side * rho3 * s * s / 2.0,
    )
    # the section lies in (y, z) and is drawn out along x: turn (u, v, w) = (y, z, x) into (x, y, z)
    body = prism(area, 0.0, frame.length_mm)
    turn = Pose((0.0, 0.0, frame.centre_z_mm), ((0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0)))
    return body.seen_from(turn)


def volume_moments(part: Part | Hardware) -> VolumeMoments:
    """Integrals over a part or fastener, in the frame its pose leads to. Raises DesignError for a fold that cannot be made."""
    if isinstance(part, Plate):
        return _plate(part).seen_from(part.pose)
    if isinstance(part, FoldedPlate):
        return _folded(part).seen_from(part.pose)
    if isinstance(part, Hardware):
        bodies = [prism(s.area(), s.low_mm, s.high_mm).seen_from(p.pose) for p in pieces(part) for s in p.sections]
        return _sum(bodies)
    (x0, y0, z0), (x1, y1, z1) = part.extent.min_mm, part.extent.max_mm
    w, d = x1 - x0, y1 - y0
    area = AreaMoments(w * d, 0.0, 0.0, d * w**3 / 12.0, w * d**3 / 12.0, 0.0)
    centred = prism(area, z0, z1)
    return centred.seen_from(Pose(((x0 + x1) / 2.0, (y0 + y1) / 2.0, 0.0))).seen_from(part.pose)


def _plate(part: Plate) -> VolumeMoments:
    """The plate less its bevels and the holes drilled in its edges, own frame."""
    whole = prism(profile_moments(part.profile), 0.0, part.thickness_mm)
    for wedge in wedges(part):
        less = AreaMoments() - loop_moments(wedge.section)
        whole = whole + prism(less, 0.0, wedge.length_mm).seen_from(wedge.pose)
    for hole in part.tapped:
        area = math.pi * hole.drill_mm**2 / 4.0
        second = -area * hole.drill_mm**2 / 16.0
        drilled = prism(AreaMoments(-area, 0.0, 0.0, second, second, 0.0), 0.0, hole.depth_mm)
        whole = whole + drilled.seen_from(axis_pose(hole.at_mm, hole.axis))
    return whole


def _folded(part: FoldedPlate) -> VolumeMoments:
    flats = [
        prism(profile_moments(profile_of(part, i)), 0.0, part.thickness_mm).seen_from(pose)
        for i, pose in enumerate(flat_poses(part))
    ]
    return _sum(flats + [bend_sector(f).seen_from(f.pose) for f in bend_frames(part)])


def _sum(bodies: list[VolumeMoments]) -> VolumeMoments:
    total = bodies[0]
    for body in bodies[1:]:
        total = total + body
    return total


def body_mass(part: Part | Hardware, density_of: DensityOf | None = None) -> BodyMass:
    """Mass, centroid and inertia of a part in the pack's frame.

    density_of: kg/m3 by material name; without it the material tables are asked. Fasteners are steel. A Block with a stated
    mass keeps that mass spread evenly over its body, moved as a whole to its stated centroid; without one its material
    counts.

    Raises DesignError for a Block with neither mass nor material.
    """
    moments = volume_moments(part)
    if isinstance(part, Block) and part.mass_kg is not None:
        mass = part.mass_kg
    elif isinstance(part, Hardware):
        mass = moments.volume_mm3 * STEEL_KG_M3 * 1e-9
    else:
        if not part.material:
            raise DesignError(part.number, "its mass is not known", "no mass, no material", "State its mass or its material.")
        mass = moments.volume_mm3 * (density_of or _table_density)(part.material) * 1e-9
    inertia = _central_inertia(moments, mass)
    centroid = moments.centroid_mm
    if isinstance(part, Block) and part.centroid_mm is not None:
        centroid = vec3(part.pose.point(part.centroid_mm))
    return BodyMass(mass, moments.volume_mm3, centroid, inertia)


def _central_inertia(m: VolumeMoments, mass_kg: float) -> tuple[Vec3, Vec3, Vec3]:
    c = m.first_mm4 / m.volume_mm3
    second = (m.second_mm5 / m.volume_mm3 - np.outer(c, c)) * mass_kg
    return _rows(np.trace(second) * np.eye(3) - second)


def _table_density(material: str) -> float:
    from layout.tables import material as row  # the tables are only needed where no density is handed in

    return float(row(material).density_kg_m3)
