"""Local buckling of flat plates: elastic buckling stress, slenderness, effective width. EN 1993-1-5:2006 (from memory)."""

from __future__ import annotations

import math
from typing import Literal

from layout.checks.many import pulling
from layout.checks.rule import Check, Rule, Source
from layout.tables import Family, Material

Held = Literal["both edges", "one edge"]

FREE_EDGE = Rule(
    "free edge in compression", "b / t", "c_l * sqrt(f_r / f_y)", "-",
    Source("class 3 outstand: EN 1993-1-1:2005 Table 5.2 (14 at 235 MPa); EN 1999-1-1:2007 Table 6.2 (4 at 250 MPa)", "memory"),
    {
        "b": ("mm", "width of the outstand"), "t": ("mm", "thickness"), "c_l": ("-", "limit at the reference strength"),
        "f_r": ("MPa", "reference strength"), "f_y": ("MPa", "proof strength"),
    },
)  # fmt: skip

PLATE_BUCKLING = Rule(
    "plate buckling", "sigma", "rho * f_y / gamma_M1", "MPa",
    Source("EN 1993-1-5:2006 4.4 and Annex A; aluminium also EN 1999-1-1:2007 6.1.5", "memory"),
    {
        "sigma": ("MPa", "greatest compression"), "rho": ("-", "effective share of the width (see the note)"),
        "f_y": ("MPa", "proof strength"), "gamma_M1": ("-", "partial factor"),
    },
)  # fmt: skip

SHEAR_BUCKLING = Rule(
    "shear buckling", "tau",
    "min(1, 0.83 * sqrt(tau_cr * sqrt(3) / f_y), tau_cr * sqrt(3) / f_y) * f_y / sqrt(3) / gamma_M1", "MPa",
    Source("EN 1993-1-5:2006 5.3 (0.83 / lambda_w), no credit beyond the elastic buckling stress", "memory"),
    {
        "tau": ("MPa", "shear stress"), "tau_cr": ("MPa", "k_tau times the elastic stress sigma_E"),
        "f_y": ("MPa", "proof strength"), "gamma_M1": ("-", "partial factor"),
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


def effective_share(
    width_mm: float, thickness_mm: float, proof_mpa: float, e_mpa: float, family: Family, held: Held = "both edges"
) -> float:
    """Share of the width that still carries compression at the proof strength, uniform stress: k = 4 or 0.43.

    Aluminium: the lesser of that and of C1/x - C2/x^2, x = (b/t)/sqrt(250/f_o), class B with welds: 25, 150 held on both
    edges, 8, 16 held on one (EN 1999-1-1:2007 6.1.5, from memory).
    """
    factor = 4.0 if held == "both edges" else 0.43
    share = reduction(slenderness(width_mm, thickness_mm, proof_mpa, factor, e_mpa), held)
    if family == "steel":
        return share
    x = width_mm / thickness_mm / math.sqrt(250.0 / proof_mpa)
    first, second, limit = (25.0, 150.0, 15.0) if held == "both edges" else (8.0, 16.0, 4.0)
    return share if x <= limit else min(share, first / x - second / x**2)


def effective_width_mm(
    width_mm: float, thickness_mm: float, proof_mpa: float, e_mpa: float = 210000.0, family: Family = "steel",
    held: Held = "both edges",
) -> float:  # fmt: skip
    """Width that still carries compression at the proof strength."""
    return width_mm * effective_share(width_mm, thickness_mm, proof_mpa, e_mpa, family, held)


def free_edge_checks(
    part: str, case: str, width_mm: float, thickness_mm: float, proof_mpa: float, metal: Material, stress_mpa: float,
    *, gamma_m1: float = 1.1,
) -> list[Check]:  # fmt: skip
    """Free edge of a gusset or rib in compression: slenderness limit where it is kept, and the stress against buckling.

    Where the limit is passed it is left out: the effective share of the edge then lowers the permitted stress.
    """
    limit, reference = (14.0, 235.0) if metal.family == "steel" else (4.0, 250.0)
    within = FREE_EDGE.check(part, case, b=width_mm, t=thickness_mm, c_l=limit, f_r=reference, f_y=proof_mpa)
    share = effective_share(width_mm, thickness_mm, proof_mpa, metal.e_mpa, metal.family, "one edge")
    note = f"outstand {width_mm:.0f} x {thickness_mm:g} mm, k = 0.43, slenderness by EN 1993-1-5 (4.3)"
    buckles = PLATE_BUCKLING.check(part, case, note, sigma=pulling(stress_mpa), rho=share, f_y=proof_mpa, gamma_M1=gamma_m1)
    return [within, buckles] if within.holds else [buckles]
