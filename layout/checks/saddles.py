"""Saddles whose legs run along the bend: foot and legs are a channel that spans between the gussets beside the bolt.

Axes and force as in layout.checks.brackets. Foot and gussets are checked as those of a gusseted L whose strip under the bolt
the legs hold on its other two sides (HELD); the legs, which draw load to themselves because they are stiff, with all of it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from layout.checks.beams import Bar, Section, section
from layout.checks.brackets import Force
from layout.checks.gussets import RESTRAINT, GussetedL, gusseted_l_checks
from layout.checks.many import all_finite
from layout.checks.rule import Check, Rule, Source
from layout.checks.welds import weld_checks
from layout.errors import DesignError

HELD = 0.5
"""Restraint of the strip between gussets where a saddle's legs hold its other sides, in place of 0.75 (solid models)."""

CHANNEL = Rule(
    "saddle's channel between gussets", "k_f * F * (2 * s - d_w) / 8 / W + V / A", "f_o / gamma_M0", "MPa",
    Source("strip on two edges with the section of bridge and legs; held above a solid model in the tests", "derived"),
    {
        "k_f": ("-", "restraint of the strip by its gussets, as of a gusseted L"), "F": ("N", "force normal to the foot"),
        "s": ("mm", "clear width between the gussets"), "d_w": ("mm", "diameter of the washer"),
        "W": ("mm3", "least section modulus of bridge and legs"), "V": ("N", "force in the foot's plane"),
        "A": ("mm2", "area of bridge and legs"), "f_o": ("MPa", "proof strength"), "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class SaddleLegs:
    """The legs of a saddle, mm: thickness, depth below the foot, clear span between them (over the rail), length of each."""

    thickness_mm: float
    depth_mm: float
    span_mm: float
    length_mm: float

    def __post_init__(self) -> None:
        if not min(self.thickness_mm, self.depth_mm, self.span_mm, self.length_mm) > 0.0:
            raise DesignError("saddle", "sizes make no saddle", f"{self}", "Give the legs a size and a rail between them.")


@lru_cache(maxsize=256)
def channel_section(foot: GussetedL, legs: SaddleLegs) -> Section:
    """Bridge over both legs (less the hole) and the legs below it; heights from the legs' lower edge."""
    t, wide = foot.thickness_mm, legs.span_mm + 2.0 * legs.thickness_mm
    bridge = min(wide, foot.foot_arm_mm + foot.edge_mm)
    bars = [Bar(max(bridge - foot.hole_mm, 0.1 * bridge), t, legs.depth_mm + t / 2.0),
            Bar(2.0 * legs.thickness_mm, legs.depth_mm, legs.depth_mm / 2.0)]  # fmt: skip
    return section(bars)


def _values(foot: GussetedL, legs: SaddleLegs, across: Any, normal: Any, along: Any) -> dict[str, Any]:
    shape = channel_section(foot, legs)
    return {
        "k_f": RESTRAINT, "F": normal, "s": foot.clear_mm, "d_w": min(foot.washer_mm, foot.clear_mm), "W": shape.least_mm3,
        "V": (across**2 + along**2) ** 0.5, "A": shape.area_mm2, "gamma_M0": foot.metal.gamma_m0,
        "f_o": foot.metal.strength(foot.thickness_mm).haz_proof_mpa,
    }  # fmt: skip


def _flow(foot: GussetedL, legs: SaddleLegs, normal: Any) -> tuple[Any, Any]:
    """Force per mm of a leg's fillet along it (V S/I of half the force at each gusset) and across it (the bridge's edge)."""
    shape = channel_section(foot, legs)
    first = legs.thickness_mm * legs.depth_mm * abs(shape.centroid_mm - legs.depth_mm / 2.0)
    spread = max(min(foot.clear_mm, legs.length_mm), 1.0)
    return normal / 2.0 * first / shape.inertia_mm4, normal / 2.0 / spread


def saddle_checks(
    part: str, case: str, foot: GussetedL, legs: SaddleLegs, force_n: Force, *, filler: str = "5356"
) -> list[Check]:
    """All checks of the gusseted L, the channel of bridge and legs, and the legs' fillets (one each)."""
    found = gusseted_l_checks(part, case, foot, force_n, filler=filler)
    if not all_finite(force_n):
        return found
    across, normal, along = (abs(f) for f in force_n)
    found.append(CHANNEL.check(part, case, **_values(foot, legs, across, normal, along)))
    shear, edge = _flow(foot, legs, normal)
    grades, sheets = (foot.grade, foot.grade), (foot.thickness_mm, legs.thickness_mm)
    return found + weld_checks(f"{part} saddle legs", case, grades, sheets, foot.throat_mm, shear, 0.0, edge, filler=filler)
