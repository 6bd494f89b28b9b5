"""How much an angle gives along its bend, between the last leg bolts and a mount beyond them: a cantilever of L section.

Axes along the bend (a), up the leg (n) and out along the foot (w). The leg's back lies at w = 0, the foot's underside at n = 0.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from layout.frames import Array
from layout.tables import material


@dataclass(frozen=True, slots=True)
class Rectangle:
    """Part of a section: from n0 to n1 and from w0 to w1, mm."""

    n0: float
    n1: float
    w0: float
    w1: float


@dataclass(frozen=True)
class AngleSection:
    """Leg and foot of one thickness. leg_mm: height of the leg from the foot's underside; foot_mm: depth from its back."""

    grade: str
    thickness_mm: float
    leg_mm: float
    foot_mm: float

    @property
    def _parts(self) -> tuple[Rectangle, Rectangle]:
        t = self.thickness_mm
        return Rectangle(0.0, self.leg_mm, 0.0, t), Rectangle(0.0, t, t, self.foot_mm)

    @property
    def area_mm2(self) -> float:
        """Of leg and foot."""
        return sum((p.n1 - p.n0) * (p.w1 - p.w0) for p in self._parts)

    @property
    def centroid_mm(self) -> Array:
        """(n, w)."""
        sums = sum((p.n1 - p.n0) * (p.w1 - p.w0) * np.array([p.n0 + p.n1, p.w0 + p.w1]) / 2.0 for p in self._parts)
        return np.asarray(sums) / self.area_mm2

    @property
    def moments_mm4(self) -> Array:
        """Second moments about the centroid, (2, 2): integrals of n n, n w and w w."""
        found = np.zeros((2, 2))
        for p in self._parts:
            b, h = p.w1 - p.w0, p.n1 - p.n0
            off = np.array([p.n0 + p.n1, p.w0 + p.w1]) / 2.0 - self.centroid_mm
            found += b * h * np.outer(off, off) + np.diag([b * h**3, h * b**3]) / 12.0
        return found

    @property
    def torsion_mm4(self) -> float:
        """Of thin legs: sum of length times t^3/3, middle lines taken."""
        t = self.thickness_mm
        return (self.leg_mm + self.foot_mm - t) * t**3 / 3.0

    @cached_property
    def shear_centre_mm(self) -> Array:
        """(n, w) where the middle lines of leg and foot cross (thin angle)."""
        return np.array([self.thickness_mm, self.thickness_mm]) / 2.0


def overhang_give(section: AngleSection, length_mm: float, at_mm: tuple[float, float], side: float) -> Array:
    """Flexibility at a point of the free end, (3, 3), mm/N, along a, n, w: the other end is held in every way.

    at_mm: (n, w) of the point. side: +1 where the free end lies towards +a of the held one, -1 towards -a. Bending about
    inclined principal axes (moment = E J curvature with the full J), axial force off the centroid, St Venant torsion about the
    shear centre, shear in each leg (Timoshenko and Gere, Mechanics of Materials: unsymmetric bending, thin angles; from memory;
    held against solid models in the tests). What a section may warp is left free, so the figure is on the soft side.
    """
    metal = material(section.grade)
    e, g, t, length = metal.e_mpa, metal.g_mpa, section.thickness_mm, length_mm
    arm = np.array(at_mm) - section.centroid_mm
    inverse = np.linalg.inv(section.moments_mm4)
    # moment over E at a distance s from the free end: s F_t - side arm F_a; integrated over the length
    transverse = np.zeros((2, 3))
    transverse[0, 1] = transverse[1, 2] = 1.0
    axial = np.zeros((2, 3))
    axial[:, 0] = -side * arm
    give = length**3 / 3.0 * transverse.T @ inverse @ transverse + length * axial.T @ inverse @ axial
    mixed = length**2 / 2.0 * transverse.T @ inverse @ axial
    give = (give + mixed + mixed.T) / e
    give[0, 0] += length / (e * section.area_mm2)
    give[1, 1] += 1.2 * length / (g * t * section.leg_mm)
    give[2, 2] += 1.2 * length / (g * t * section.foot_mm)
    off = np.array(at_mm) - section.shear_centre_mm
    twist = np.array([0.0, -off[1], off[0]])
    return np.asarray(give + length / (g * section.torsion_mm4) * np.outer(twist, twist))
