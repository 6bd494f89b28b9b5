"""Bolts that pass through packing (spacers): their shear resistance is reduced, since the packing lets them bend."""

from __future__ import annotations

from layout.checks.bolts import scope_note, tension_resistance_n
from layout.checks.rule import Check, Rule, Source
from layout.tables import bolt, bolt_class

PACKED = Source("EN 1993-1-8:2005 3.6.1(12) (formula seen in Steel Buildings in Europe, Part 5)", "seen")
_FACTOR = "min(9 * d / (8 * d + 3 * t_p), 1)"
GAMMA_M2 = 1.25

PACKED_SHEAR = Rule(
    "bolt shear through packing", "F_v", f"{_FACTOR} * alpha_v * f_ub * A_s / gamma_M2", "N", PACKED,
    {
        "F_v": ("N", "shear of the bolt"), "d": ("mm", "bolt diameter"), "t_p": ("mm", "packing thickness"),
        "alpha_v": ("-", "shear factor of the property class"), "f_ub": ("MPa", "nominal ultimate strength of the bolt"),
        "A_s": ("mm2", "tensile stress area"), "gamma_M2": ("-", "partial factor"),
    },
)  # fmt: skip

PACKED_COMBINED = Rule(
    "bolt shear through packing with tension", "F_v / F_vRd + F_t / (1.4 * F_tRd)", "1.0", "-", PACKED,
    {
        "F_v": ("N", "shear of the bolt"), "F_vRd": ("N", "shear resistance through the packing"),
        "F_t": ("N", "tension of the bolt"), "F_tRd": ("N", "tension resistance"),
    },
)  # fmt: skip


def packed_resistance_n(size: str, grade: str, packing_mm: float) -> float:
    """Shear resistance of a bolt, thread in the shear plane, through packing of a thickness (from a third of d on reduced)."""
    b, g = bolt(size), bolt_class(grade)
    factor = min(9.0 * b.diameter_mm / (8.0 * b.diameter_mm + 3.0 * packing_mm), 1.0)
    return factor * g.alpha_v_threads * g.fub_mpa * b.stress_area_mm2 / GAMMA_M2


def packed_checks(
    part: str, case: str, size: str, grade: str, tension_n: float, shear_n: float, packing_mm: float
) -> list[Check]:
    """Shear of one bolt through packing, and shear with tension. tension_n below 0 counts as none."""
    b, g = bolt(size), bolt_class(grade)
    note = scope_note(b, g)
    pull = 0.0 if tension_n < 0.0 else tension_n
    shear = PACKED_SHEAR.check(
        part, case, note, F_v=abs(shear_n), d=b.diameter_mm, t_p=packing_mm, alpha_v=g.alpha_v_threads, f_ub=g.fub_mpa,
        A_s=b.stress_area_mm2, gamma_M2=GAMMA_M2,
    )  # fmt: skip
    limits = {"F_vRd": packed_resistance_n(size, grade, packing_mm), "F_tRd": tension_resistance_n(size, grade)}
    return [shear, PACKED_COMBINED.check(part, case, note, F_v=abs(shear_n), F_t=pull, **limits)]
