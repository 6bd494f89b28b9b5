"""Plain L brackets: one plate bent once, a foot bolted to the vehicle, an upright bolted to the box.

Axes of a bracket: a along the bend, n normal to the foot (from the vehicle's metal into the free space, along the upright),
w along the foot away from the upright. force_n: what acts on the foot at the mount hole, components (a, n, w), in N.
The upright is held at its lowest row of fixings. Forces are taken by size, so that no combination of signs is missed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from layout.checks.many import all_finite
from layout.checks.rule import Check, Rule, Source, not_checked
from layout.errors import DesignError
from layout.tables import Material, material

Force = tuple[float, float, float]

_ELASTIC = Source(
    "elastic beam stresses, 6 F e/(b t^2), torsion of a rectangle T (3 + 1.8 t/b)/(b t^2) (Timoshenko), von Mises combination",
    "derived",
)

UNEVEN_WIDTH = 1.1
"""A plate bent across its width carries up to a tenth more in places than M/W says (solid models of seven brackets)."""

LEG = Rule(
    "bracket leg",
    "sqrt((N / (b * t) + k_w * c_p * M_1 / (b * t**2) + 6 * M_2 / (t * b**2))**2"
    " + 3 * (1.5 * V / (b * t) + (3 + 1.8 * t / b) * T / (b * t**2))**2)",
    "f_o / gamma_M0", "MPa", _ELASTIC,
    {
        "N": ("N", "axial force"), "M_1": ("N*mm", "bending of the plate"), "M_2": ("N*mm", "bending in the plate's own plane"),
        "V": ("N", "shear force"), "T": ("N*mm", "torsion of the plate"), "b": ("mm", "width, less holes"),
        "t": ("mm", "thickness"), "k_w": ("-", "uneven stress over the width, from solid models"),
        "c_p": ("-", "6 elastic; 4 plastic, where the job declares it and the metal is ductile"),
        "f_o": ("MPa", "proof strength"), "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip

BEND = Rule(
    "bracket bend, inner face", "N / (b * t) + k_w * k_c * 6 * M_1 / (b * t**2) + 6 * M_2 / (t * b**2)", "f_o / gamma_M0",
    "MPa",
    Source("curved beam of Winkler and Bach, rectangular section (Timoshenko, Strength of Materials II)", "derived"),
    {
        "N": ("N", "force across the section"), "M_1": ("N*mm", "moment at the middle of the bend"), "b": ("mm", "width"),
        "t": ("mm", "thickness"), "k_w": ("-", "uneven stress over the width, from solid models"),
        "k_c": ("-", "stress at the inner face over that of a straight beam"),
        "M_2": ("N*mm", "bending in the plate's own plane"), "f_o": ("MPa", "proof strength"),
        "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip

BEND_RADIUS = Rule(
    "inside bend radius", "r_min", "r", "mm", Source("least inside radius of the grade, table of bend radii", "memory"),
    {"r_min": ("mm", "least inside radius"), "r": ("mm", "inside radius")},
)  # fmt: skip

HOLE_TO_BEND = Rule(
    "bolt head clear of the bend", "d_w / 2 + r + t", "e", "mm",
    Source("common practice, no source: washer or head stands on flat metal", "memory"),
    {
        "d_w": ("mm", "diameter of washer or head"), "r": ("mm", "inside radius"), "t": ("mm", "thickness"),
        "e": ("mm", "from the hole to the outer face of the other leg"),
    },
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class PlainL:
    """Sizes of a plain L, in mm.

    foot_arm_mm: from the mount hole to the inner face of the upright. leg_arm_mm: from the middle of the foot's thickness to
    the lowest row of fixings in the upright. width_mm: along the bend. holes_mm: sum of the hole diameters in that row.
    washer_mm: washer on the foot. welded: a weld crosses one of the sections (heat-affected zone counts). lean: sine of the
    angle by which foot and upright are not square (a force normal to the foot then also bends the upright over its arm).
    """

    grade: str
    thickness_mm: float
    radius_mm: float
    width_mm: float
    foot_arm_mm: float
    leg_arm_mm: float
    holes_mm: float = 0.0
    washer_mm: float = 0.0
    welded: bool = False
    lean: float = 0.0

    def __post_init__(self) -> None:
        sizes = {"thickness": self.thickness_mm, "width": self.width_mm, "arm of the foot": self.foot_arm_mm}
        for name, value in sizes.items():
            if not (math.isfinite(value) and value > 0.0):
                raise DesignError("bracket", f"{name} must be above 0", f"{value:g} mm", "Give a size.")
        if self.width_mm - self.holes_mm <= 0.0:
            raise DesignError("bracket", "the holes take all of the upright", f"{self.holes_mm:g} of {self.width_mm:g} mm",
                              "Widen the bracket.")  # fmt: skip

    @property
    def metal(self) -> Material:
        """The grade's table entry."""
        return material(self.grade)

    @property
    def proof_mpa(self) -> float:
        """Proof strength, beside a weld where welded."""
        band = self.metal.strength(self.thickness_mm)
        return band.haz_proof_mpa if self.welded else band.proof_mpa


def curvature_factor(radius_mm: float, thickness_mm: float) -> float:
    """Stress at the inner face of a curved bar of rectangular section over 6 M/(b t^2) (Winkler-Bach).

    sigma_i = M (r_n - r_i)/(A e r_i), r_n = t/ln(r_o/r_i), e = r_m - r_n. 1.52 at r = t/2, 1.29 at r = t, 1 for a straight bar.
    A radius below a quarter of the thickness is taken as a quarter (the theory has no meaning at a sharp corner).
    """
    inner = max(radius_mm, 0.25 * thickness_mm)
    outer, middle = inner + thickness_mm, inner + thickness_mm / 2.0
    neutral = thickness_mm / math.log(outer / inner)
    return (neutral - inner) * thickness_mm / (6.0 * (middle - neutral) * inner)


def plain_l_checks(part: str, case: str, bracket: PlainL, force_n: Force, *, plastic: bool = False) -> list[Check]:
    """Foot at the bend, the bend itself, and the upright at its lowest row of fixings; bend radius and room for the head.

    plastic: the job declares that a crash may bend the plate plastically; taken only for metals with at least 15 per cent
    elongation, else noted and left out. Raises DesignError for sizes that make no bracket.
    """
    if not all_finite(force_n):
        return [not_checked("bracket leg", part, case, "the force at the mount is not a number", demand=math.inf)]
    across, normal, along = (abs(f) for f in force_n)
    factor, note = _shape(bracket.metal, plastic)
    foot, bend, upright = leg_values(bracket, across, normal, along, factor)
    return [
        *_made(part, case, bracket),
        LEG.check(f"{part} foot", case, note, **foot),
        BEND.check(f"{part} bend", case, "", **bend),
        LEG.check(f"{part} upright", case, note, **upright),
    ]


def leg_values(bracket: PlainL, across: Any, normal: Any, along: Any, factor: float) -> tuple[dict[str, Any], ...]:
    """What the rules need at foot, bend and upright, from sizes of force (numbers or arrays); factor: 6 elastic, 4 plastic."""
    t, b, r = bracket.thickness_mm, bracket.width_mm, bracket.radius_mm
    shared = {"t": t, "f_o": bracket.proof_mpa, "gamma_M0": bracket.metal.gamma_m0, "k_w": UNEVEN_WIDTH}
    straight, to_middle = max(bracket.foot_arm_mm - r, 0.0), bracket.foot_arm_mm + t / 2.0
    foot = {
        "N": along, "M_1": normal * straight, "M_2": across * straight, "V": (normal**2 + across**2) ** 0.5, "T": 0.0, "b": b,
        "c_p": factor, **shared,
    }  # fmt: skip
    bend = {
        "N": (along**2 + normal**2) ** 0.5, "M_1": normal * to_middle + along * (r + t / 2.0), "M_2": across * to_middle,
        "b": b, "k_c": 1.0 if factor == 4.0 else curvature_factor(r, t), **shared,
    }  # fmt: skip
    upright = {
        "N": normal, "M_1": normal * (to_middle + bracket.lean * bracket.leg_arm_mm) + along * bracket.leg_arm_mm,
        "M_2": across * bracket.leg_arm_mm,
        "V": (along**2 + across**2) ** 0.5, "T": across * to_middle, "b": b - bracket.holes_mm, "c_p": factor, **shared,
    }  # fmt: skip
    return foot, bend, upright


def _made(part: str, case: str, bracket: PlainL) -> list[Check]:
    """What the shop can make: bend radius, and a head that stands on flat metal."""
    t = bracket.thickness_mm
    found = [BEND_RADIUS.check(part, case, r_min=bracket.metal.min_bend_radius_mm(t), r=bracket.radius_mm)]
    if bracket.washer_mm > 0.0:
        found.append(HOLE_TO_BEND.check(part, case, d_w=bracket.washer_mm, r=bracket.radius_mm, t=t, e=bracket.foot_arm_mm + t))
    return found


def _shape(metal: Material, plastic: bool) -> tuple[float, str]:
    if not plastic:
        return 6.0, ""
    if not metal.ductile:
        return 6.0, f"{metal.name} is not ductile enough for plastic bending: elastic section taken"
    return 4.0, "plastic bending declared by the job: the bracket is deformed and must be replaced after such a load"
