"""Threads in tapped metal: stripping of the inner and of the outer thread, by the areas of VDI 2230 and ISO 898."""

from __future__ import annotations

import math

from layout.checks.bolt_rules import GAMMA_M2
from layout.checks.many import pulling
from layout.checks.rule import Check, Rule, Source
from layout.tables import bolt, bolt_class, material

CHAMFER_PITCHES = 0.8
"""Engagement lost to chamfers and run-out, in pitches (VDI 2230-1, from memory)."""
SHEAR_RATIO = 0.6
"""Shear strength over ultimate strength (VDI 2230-1 gives 0.6 to 0.7; the low end)."""

_STRIPPING = Source("VDI 2230-1 5.5.5 (areas of the threads, bending factor C3 at its least 0.897)", "memory")
_AREA = "pi * d_a * (m_eff / P) * (P / 2 + x * 0.57735)"
_SYMBOLS = {
    "F_t": ("N", "tension in the bolt"), "C_3": ("-", "bending of the flanks"), "r_s": ("-", "shear over ultimate strength"),
    "m_eff": ("mm", "engagement less 0.8 pitch"), "P": ("mm", "pitch"), "gamma_M2": ("-", "partial factor"),
}  # fmt: skip

STRIP_INNER = Rule(
    "stripping of the tapped thread", "F_t", f"C_3 * r_s * f_u * {_AREA} / gamma_M2", "N", _STRIPPING,
    {
        **_SYMBOLS, "f_u": ("MPa", "ultimate strength of the tapped metal"), "d_a": ("mm", "bolt diameter"),
        "x": ("mm", "d - d_2"),
    },
)  # fmt: skip

STRIP_OUTER = Rule(
    "stripping of the bolt thread", "F_t", f"C_3 * r_s * f_u * {_AREA} / gamma_M2", "N", _STRIPPING,
    {
        **_SYMBOLS, "f_u": ("MPa", "ultimate strength of the bolt"), "d_a": ("mm", "bore of the inner thread D_1"),
        "x": ("mm", "d_2 - D_1"),
    },
)  # fmt: skip


ENGAGED = Rule(
    "bolt reaches into the thread", "0.8 * P", "m", "mm", _STRIPPING,
    {"P": ("mm", "pitch"), "m": ("mm", "engagement of bolt and thread")},
)  # fmt: skip


def thread_checks(
    part: str, case: str, size: str, grade: str, metal: str, engagement_mm: float, tension_n: float, *, welded: bool = False,
    metal_mm: float | None = None,
) -> list[Check]:  # fmt: skip
    """Stripping of a thread tapped in a metal, engagement_mm deep (at most the metal's thickness metal_mm, where given).

    Engagement below one diameter in steel, two in aluminium, is noted: there the thread gives way before the bolt. A bolt
    that does not reach into its thread by 0.8 of a pitch gives a check that does not hold, whatever its load.
    """
    b, g, m = bolt(size), bolt_class(grade), material(metal)
    if not engagement_mm > CHAMFER_PITCHES * b.pitch_mm:
        return [ENGAGED.check(part, case, "too short a bolt, or metal too thin for a thread", P=b.pitch_mm, m=engagement_mm)]
    band = m.strength(engagement_mm if metal_mm is None else metal_mm)
    wanted = (1.0 if m.family == "steel" else 2.0) * b.diameter_mm
    note = "" if engagement_mm >= wanted else f"engagement below {wanted:g} mm: the thread strips before the bolt breaks"
    shared = {
        "F_t": pulling(tension_n), "C_3": 0.897, "r_s": SHEAR_RATIO, "P": b.pitch_mm, "gamma_M2": GAMMA_M2,
        "m_eff": max(engagement_mm - CHAMFER_PITCHES * b.pitch_mm, 0.0),
    }  # fmt: skip
    inner = STRIP_INNER.check(
        part, case, note, f_u=band.haz_ultimate_mpa if welded else band.ultimate_mpa, d_a=b.diameter_mm,
        x=b.diameter_mm - b.pitch_diameter_mm, **shared,
    )  # fmt: skip
    bore = b.inner_minor_diameter_mm
    outer = STRIP_OUTER.check(part, case, note, f_u=g.fub_mpa, d_a=bore, x=b.pitch_diameter_mm - bore, **shared)
    return [inner, outer]


def needed_engagement_mm(size: str, grade: str, metal: str, thickness_mm: float) -> float:
    """Engagement at which the tapped metal holds the bolt's own tension resistance (inner thread, same partial factor)."""
    b, g, m = bolt(size), bolt_class(grade), material(metal)
    x = b.diameter_mm - b.pitch_diameter_mm
    per_mm = math.pi * b.diameter_mm / b.pitch_mm * (b.pitch_mm / 2.0 + x * 0.57735) * 0.897 * SHEAR_RATIO
    return 0.9 * g.fub_mpa * b.stress_area_mm2 / (per_mm * m.ultimate_mpa(thickness_mm)) + CHAMFER_PITCHES * b.pitch_mm
