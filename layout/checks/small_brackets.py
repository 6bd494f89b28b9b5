"""Standoffs (tube or block with a bolt through it) and saddles (a bridge plate on two side legs). Axes as in
layout.checks.brackets: force components along a, normal to the foot, along w.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from layout.checks.brackets import LEG, UNEVEN_WIDTH, Force
from layout.checks.rule import Check, Rule, Source, not_checked
from layout.errors import DesignError
from layout.tables import material

COLUMN = Rule(
    "standoff", "N / A + M / W", "f_o / gamma_M0", "MPa", Source("column with bending, elastic", "derived"),
    {
        "N": ("N", "pressure along the standoff"), "A": ("mm2", "area of the tube"), "M": ("N*mm", "moment at its foot"),
        "W": ("mm3", "section modulus"), "f_o": ("MPa", "proof strength"), "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip

TIPPING = Rule(
    "standoff's bolt with the couple of the side force", "F_t + H * h / (d_o / 2)", "F_tRd", "N",
    Source("equilibrium about the tube's edge", "derived"),
    {
        "F_t": ("N", "pull along the bolt"), "H": ("N", "side force"), "h": ("mm", "height"), "d_o": ("mm", "outside diameter"),
        "F_tRd": ("N", "tension resistance of the bolt"),
    },
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Standoff:
    """A tube of outside and inside diameter over its height, a bolt through it."""

    grade: str
    outside_mm: float
    inside_mm: float
    height_mm: float
    welded: bool = False

    def __post_init__(self) -> None:
        if not 0.0 <= self.inside_mm < self.outside_mm or self.height_mm <= 0.0:
            figure = f"{self.outside_mm:g}/{self.inside_mm:g} x {self.height_mm:g} mm"
            raise DesignError("standoff", "sizes make no tube", figure, "Give inside below outside diameter, and a height.")


def standoff_checks(part: str, case: str, tube: Standoff, force_n: Force, bolt_resistance_n: float) -> list[Check]:
    """The tube as a column bent by the side force, and its bolt with the couple that tips the tube on its edge."""
    if not all(math.isfinite(f) for f in force_n):
        return [not_checked("standoff", part, case, "the force at the mount is not a number", demand=math.inf)]
    side, metal = math.hypot(force_n[0], force_n[2]), material(tube.grade)
    wall = (tube.outside_mm - tube.inside_mm) / 2.0
    band = metal.strength(wall)
    column = COLUMN.check(
        part, case, N=abs(force_n[1]), A=math.pi / 4.0 * (tube.outside_mm**2 - tube.inside_mm**2), M=side * tube.height_mm,
        W=math.pi * (tube.outside_mm**4 - tube.inside_mm**4) / (32.0 * tube.outside_mm),
        f_o=band.haz_proof_mpa if tube.welded else band.proof_mpa, gamma_M0=metal.gamma_m0,
    )  # fmt: skip
    tipping = TIPPING.check(
        f"{part} bolt", case, F_t=max(force_n[1], 0.0), H=side, h=tube.height_mm, d_o=tube.outside_mm, F_tRd=bolt_resistance_n
    )
    return [column, tipping]


@dataclass(frozen=True, slots=True)
class Saddle:
    """A bridge plate over the mount hole between two side legs, all of one sheet. span_mm: between the legs' inner faces;
    leg_mm: height of the legs up to their fixings; width_mm: along the legs; hole_mm: the mount hole.
    """

    grade: str
    thickness_mm: float
    width_mm: float
    span_mm: float
    leg_mm: float
    hole_mm: float
    welded: bool = False

    def __post_init__(self) -> None:
        if min(self.thickness_mm, self.span_mm, self.leg_mm, self.width_mm - self.hole_mm) <= 0.0:
            raise DesignError("saddle", "sizes make no saddle", f"{self}", "Give sizes above 0 and a width above the hole.")


def saddle_checks(part: str, case: str, saddle: Saddle, force_n: Force) -> list[Check]:
    """Bridge as a simple beam with the net section under the bolt, legs as cantilevers that share the force along the span.

    Components: (along the legs' width, normal to the bridge, along the span).
    """
    if not all(math.isfinite(f) for f in force_n):
        return [not_checked("bracket leg", part, case, "the force at the mount is not a number", demand=math.inf)]
    across, normal, along = (abs(f) for f in force_n)
    metal, t = material(saddle.grade), saddle.thickness_mm
    band = metal.strength(t)
    shared = {
        "t": t, "f_o": band.haz_proof_mpa if saddle.welded else band.proof_mpa, "gamma_M0": metal.gamma_m0,
        "c_p": 6.0, "T": 0.0, "k_w": UNEVEN_WIDTH,
    }  # fmt: skip
    bridge = LEG.check(
        f"{part} bridge", case, N=along, M_1=normal * saddle.span_mm / 4.0, M_2=across * saddle.span_mm / 4.0,
        V=math.hypot(normal, across) / 2.0, b=saddle.width_mm - saddle.hole_mm, **shared,
    )  # fmt: skip
    legs = LEG.check(
        f"{part} legs", case, N=normal / 2.0 + along * saddle.leg_mm / saddle.span_mm,
        M_1=along / 2.0 * saddle.leg_mm + normal * saddle.span_mm / 8.0,
        M_2=across / 2.0 * saddle.leg_mm, V=math.hypot(along, across) / 2.0, b=saddle.width_mm, **shared,
    )  # fmt: skip
    return [bridge, legs]
