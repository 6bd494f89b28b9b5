"""Local buckling of flat plates: elastic buckling stress, slenderness, effective width. EN 1993-1-5:2006 (from memory)."""

from __future__ import annotations

import math
from typing import Literal

from layout.checks.rule import Check, Rule, Source

Held = Literal["both edges", "one edge"]

_EC35 = Source("EN 1993-1-5:2006 4.4 and Annex A", "memory")

FREE_EDGE = Rule(
    "free edge in compression", "b / t", "14 * sqrt(235 / f_y * E / 210000)", "-",
    Source("EN 1993-1-1:2005 Table 5.2, class 3 outstand; scaled with E for other metals", "memory"),
    {
        "b": ("mm", "width of the outstand"), "t": ("mm", "thickness"), "f_y": ("MPa", "proof strength"),
        "E": ("MPa", "modulus of elasticity"),
    },
)  # fmt: skip

PLATE_BUCKLING = Rule(
    "plate buckling", "sigma", "min(k * pi**2 * E / (12 * (1 - nu**2)) * (t / b)**2, f_y) / gamma_M1", "MPa", _EC35,
    {
        "sigma": ("MPa", "greatest compression"), "k": ("-", "buckling factor"), "E": ("MPa", "modulus of elasticity"),
        "nu": ("-", "Poisson's ratio"), "t": ("mm", "thickness"), "b": ("mm", "width"), "f_y": ("MPa", "proof strength"),
        "gamma_M1": ("-", "partial factor"),
    },
)  # fmt: skip

SHEAR_BUCKLING = Rule(
    "shear buckling", "tau", "min(k_t * pi**2 * E / (12 * (1 - nu**2)) * (t / b)**2, f_y / sqrt(3)) / gamma_M1", "MPa",
    Source("EN 1993-1-5:2006 Annex A.3, no credit beyond buckling", "memory"),
    {
        "tau": ("MPa", "shear stress"), "k_t": ("-", "buckling factor in shear"), "E": ("MPa", "modulus of elasticity"),
        "nu": ("-", "Poisson's ratio"), "t": ("mm", "thickness"), "b": ("mm", "shorter side"), "f_y": ("MPa", "proof strength"),
        "gamma_M1": ("-", "partial factor"),
    },
)  # fmt: skip


def euler_stress_mpa(e_mpa: float, poisson: float, thickness_mm: float, width_mm: float) -> float:
    """sigma_E = pi^2 E / (12 (1 - nu^2)) (t/b)^2: 190 000 (t/b)^2 MPa for steel."""
    return math.pi**2 * e_mpa / (12.0 * (1.0 - poisson**2)) * (thickness_mm / width_mm) ** 2


def shear_factor(length_mm: float, width_mm: float) -> float:
    """k_tau of a plate held on four sides: 5.34 + 4 (b/a)^2 for a >= b, 4 + 5.34 (b/a)^2 else (EN 1993-1-5 Annex A.3)."""
    long, short = max(length_mm, width_mm), min(length_mm, width_mm)
    return 5.34 + 4.0 * (short / long) ** 2


def slenderness(width_mm: float, thickness_mm: float, proof_mpa: float, factor: float, e_mpa: float = 210000.0) -> float:
    """lambda_p = sqrt(f_y / sigma_cr) = (b/t) / (28.4 eps sqrt(k)), with eps = sqrt(235/f_y) scaled by E."""
    eps = math.sqrt(235.0 / proof_mpa * e_mpa / 210000.0)
    return (width_mm / thickness_mm) / (28.4 * eps * math.sqrt(factor))


def reduction(slender: float, held: Held = "both edges", stress_ratio: float = 1.0) -> float:
    """Effective share rho of the width in compression (EN 1993-1-5 4.4(2)): internal (4.2) or outstand (4.3) part."""
    if held == "one edge":
        return 1.0 if slender <= 0.748 else min((slender - 0.188) / slender**2, 1.0)
    limit = 0.5 + math.sqrt(0.085 - 0.055 * stress_ratio)
    return 1.0 if slender <= limit else min((slender - 0.055 * (3.0 + stress_ratio)) / slender**2, 1.0)


def effective_width_mm(
    width_mm: float, thickness_mm: float, proof_mpa: float, e_mpa: float = 210000.0, held: Held = "both edges"
) -> float:
    """Width that still carries compression at the proof strength: k = 4 held on both edges, 0.43 on one, uniform stress."""
    factor = 4.0 if held == "both edges" else 0.43
    return width_mm * reduction(slenderness(width_mm, thickness_mm, proof_mpa, factor, e_mpa), held)


def free_edge_checks(
    part: str, case: str, width_mm: float, thickness_mm: float, proof_mpa: float, e_mpa: float, stress_mpa: float,
    *, poisson: float = 0.3, gamma_m1: float = 1.1,
) -> list[Check]:  # fmt: skip
    """Free edge of a gusset or rib in compression: slenderness limit, or, where that is exceeded, buckling with k = 0.43.

    Below the limit the proof strength is reached first and the buckling check is the same as a check on stress.
    """
    within = FREE_EDGE.check(part, case, b=width_mm, t=thickness_mm, f_y=proof_mpa, E=e_mpa)
    buckles = PLATE_BUCKLING.check(
        part, case, "free edge, k = 0.43", sigma=max(stress_mpa, 0.0), k=0.43, E=e_mpa, nu=poisson, t=thickness_mm, b=width_mm,
        f_y=proof_mpa, gamma_M1=gamma_m1,
    )  # fmt: skip
    return [buckles] if not within.holds else [within, buckles]
