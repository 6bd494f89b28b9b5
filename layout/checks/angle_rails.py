"""An angle used as a rail: bent about both its legs' directions and twisted between the places that hold it.

Thin-walled section of two rectangles that meet in a corner. Forces by size, so that no combination of signs is missed.
"""

from __future__ import annotations

from dataclasses import dataclass

from layout.checks.rule import Check, Rule, Source
from layout.tables import material

ANGLE = Rule(
    "angle between mount and bar",
    "sqrt((F_n * l / W_n + F_w * l / W_w + F_a / A)**2 + 3 * (T * t / J + 1.5 * (F_n + F_w) / A)**2)",
    "f_o / gamma_M0", "MPa",
    Source("beam of an angle section, each leg's direction apart, with St Venant torsion J = sum b t^3 / 3 and no credit "
           "for warping or gussets; von Mises (EN 1993-1-1:2005 6.2.1(5), from memory)", "derived"),
    {
        "F_n": ("N", "force along the mount's normal"), "F_w": ("N", "force along the wall's normal"),
        "F_a": ("N", "force along the angle"), "l": ("mm", "from the mount to the nearest bolt that holds the angle"),
        "W_n": ("mm3", "least section modulus for bending along the normal"),
        "W_w": ("mm3", "least section modulus for bending along the wall's normal"), "A": ("mm2", "area of the section"),
        "T": ("N*mm", "twisting moment"), "J": ("mm4", "torsion constant"), "t": ("mm", "thickness"),
        "f_o": ("MPa", "proof strength"), "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class AngleSection:
    """An angle of one thickness: leg_mm along the mount's normal, foot_mm along the wall's normal, outside sizes.

    welded: something is welded across it (heat-affected zone counts).
    """

    grade: str
    thickness_mm: float
    leg_mm: float
    foot_mm: float
    welded: bool = False

    @property
    def area_mm2(self) -> float:
        """Area of both legs, the corner once."""
        return self.thickness_mm * (self.leg_mm + self.foot_mm - self.thickness_mm)

    @property
    def torsion_mm4(self) -> float:
        """J of the open section, sum of b t^3 / 3."""
        return (self.leg_mm + self.foot_mm - self.thickness_mm) * self.thickness_mm**3 / 3.0

    def modulus_mm3(self, along_mm: float, across_mm: float) -> float:
        """Least section modulus for bending in the direction of the leg `along_mm`; the other leg lies across it."""
        t = self.thickness_mm
        a1, a2 = along_mm * t, (across_mm - t) * t
        middle = (a1 * along_mm / 2.0 + a2 * t / 2.0) / (a1 + a2)
        second = t * along_mm**3 / 12.0 + a1 * (along_mm / 2.0 - middle) ** 2
        second += (across_mm - t) * t**3 / 12.0 + a2 * (middle - t / 2.0) ** 2
        return second / max(middle, along_mm - middle)


def angle_checks(
    part: str, case: str, shape: AngleSection, arm_mm: float, force_n: tuple[float, float, float], twist_nmm: float
) -> list[Check]:
    """An angle held at a distance `arm_mm` from a force (a along it, n along its leg, w along its foot) and a twist.

    Bending about legs' directions, not principal axes: the moduli are those of the geometric axes with the greatest
    fibre distance, and both bendings are added by size; the product of inertia of an unequal angle is covered by a factor:
    each modulus is divided by 1.5 (unsymmetrical bending raises the stress of an angle held by nothing else; own choice).
    """
    metal = material(shape.grade)
    band = metal.strength(shape.thickness_mm)
    values = {
        "F_a": abs(force_n[0]), "F_n": abs(force_n[1]), "F_w": abs(force_n[2]), "l": arm_mm, "T": twist_nmm,
        "W_n": shape.modulus_mm3(shape.leg_mm, shape.foot_mm) / 1.5,
        "W_w": shape.modulus_mm3(shape.foot_mm, shape.leg_mm) / 1.5,
        "A": shape.area_mm2, "J": shape.torsion_mm4, "t": shape.thickness_mm,
        "f_o": band.haz_proof_mpa if shape.welded else band.proof_mpa, "gamma_M0": metal.gamma_m0,
    }  # fmt: skip
    return [ANGLE.check(part, case, "W_n and W_w are taken 1.5 times lower for unsymmetrical bending", **values)]
