"""L brackets stiffened by gussets. Axes and force as in layout.checks.brackets.

The section at the root alone says little: solid models show the greatest stress where the load leaves the flange strip for
the gussets and at the gussets' toes. So five places are checked: root, sections along the taper, the flange strip between
the gussets, the toe, and the gussets' free edge; and the welds of the gussets.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from layout.checks.beams import Bar, Section, section
from layout.checks.brackets import Force
from layout.checks.buckling import free_edge_checks
from layout.checks.many import all_finite, hypot, named_by, pulling
from layout.checks.rule import Check, Rule, Source, not_checked
from layout.checks.welds import weld_checks
from layout.errors import DesignError
from layout.tables import Material, material

_OWN = Source("own beam and plate-strip model, held above solid finite elements in the tests", "derived")

IN_PLANE = 1.3
"""A force along the bend turns the foot in its own plane: solid models show up to a fifth more than M/W at the upright."""

SECTION = Rule(
    "gusseted section",
    "sqrt((k_e * (M_1 / W + N / A) + k_m * 6 * M_2 / (t * b**2))**2 + 3 * (1.5 * V_1 / A_g + 1.5 * V_2 / (b * t))**2)",
    "f_o / gamma_M0", "MPa", Source("section of plate and gussets, M c / I; stress along an inclined edge 1/cos^2", "derived"),
    {
        "M_1": ("N*mm", "moment about the bend's direction"), "W": ("mm3", "least section modulus of plate and gussets"),
        "N": ("N", "axial force"), "A": ("mm2", "area"), "k_e": ("-", "1/cos^2 of the slope of the gusset's free edge"),
        "k_m": ("-", "uneven stress where the foot's plane meets the upright, from solid models"),
        "M_2": ("N*mm", "moment in the foot's plane (plate alone)"), "t": ("mm", "plate thickness"), "b": ("mm", "plate width"),
        "V_1": ("N", "shear carried by the gussets"), "A_g": ("mm2", "area of the gussets"),
        "V_2": ("N", "shear along the bend"), "f_o": ("MPa", "proof strength"), "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip

RESTRAINT = 0.75
"""The strip between two gussets is held on its edges: three quarters of a simple beam's moment stayed at least a quarter above
the 99.5 percentile of fourteen solid models (one half would be a clamped strip).
"""

STRIP = Rule(
    "flange strip between gussets", "k_f * 6 * F * (2 * s - d_w) / 8 / (b_e * t**2) + 2 * V / (b_e * t) + sigma_g",
    "f_o / gamma_M0", "MPa", _OWN,
    {
        "F": ("N", "force normal to the strip"),
        "k_f": ("-", "restraint of the strip by its gussets, from solid models"),
        "V": ("N", "force in its plane, which enters at the face under the washer: V/(b t) and as much for bending"),
        "s": ("mm", "clear width between the gussets"),
        "d_w": ("mm", "diameter of the washer"), "b_e": ("mm", "width of strip that takes part"), "t": ("mm", "thickness"),
        "sigma_g": ("MPa", "stress of the whole section there"), "f_o": ("MPa", "proof strength"),
        "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip

TOE = Rule(
    "plate at the gusset toe", "6 * F * x / (b_t * t**2) + sigma_s / 2", "f_o / gamma_M0", "MPa", _OWN,
    {
        "F": ("N", "force normal to the foot"), "x": ("mm", "lever of what lies beyond the toe (load even over the washer)"),
        "b_t": ("mm", "width of plate beside the gussets that takes part"), "t": ("mm", "plate thickness"),
        "sigma_s": ("MPa", "the strip's stress, half of it carried into the toe"), "f_o": ("MPa", "proof strength"),
        "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class GussetedL:
    """Sizes of a gusseted L, in mm.

    foot_arm_mm: mount hole to the inner face of the upright. edge_mm: mount hole to the foot's free edge. width_mm: plate
    width that takes part along the bend (not more than the bracket has). gussets: how many stand in that width, one or more.
    clear_mm: clear width between the two gussets beside the hole (with one gusset: twice the way to it). reach_mm,
    height_mm: gusset along the foot and along the upright; nose_mm: its blunt end. throat_mm: of its fillets, both sides.
    notch_mm: cut out of the gusset's corner for the bend; no weld there. washer_mm, hole_mm: washer on the foot, hole in it.
    restraint: of the strip under the bolt by what holds its edges.
    """

    grade: str
    thickness_mm: float
    width_mm: float
    foot_arm_mm: float
    edge_mm: float
    gussets: int
    gusset_thickness_mm: float
    clear_mm: float
    reach_mm: float
    height_mm: float
    nose_mm: float
    throat_mm: float
    notch_mm: float
    washer_mm: float
    hole_mm: float
    restraint: float = RESTRAINT

    def __post_init__(self) -> None:
        if self.gussets < 1:
            raise DesignError("bracket", "a gusseted L has gussets", f"{self.gussets}", "Use the checks of the plain L.")
        for name in self.__dataclass_fields__:
            value = getattr(self, name)
            if isinstance(value, float) and not (math.isfinite(value) and value >= 0.0):
                raise DesignError("bracket", f"{name} must be a size of 0 or more", f"{value:g}", "Give a size.")
        if min(self.thickness_mm, self.width_mm, self.reach_mm, self.height_mm, self.gusset_thickness_mm) <= 0.0:
            raise DesignError("bracket", "a size is 0", f"{self}", "Give plate and gussets a size.")

    @property
    def metal(self) -> Material:
        """The grade's table entry."""
        return material(self.grade)

    def gusset_height_mm(self, at_mm: float) -> float:
        """Height of the gusset at a distance from the upright, nose included; 0 beyond its reach."""
        if at_mm > self.reach_mm:
            return 0.0
        return self.nose_mm + (self.height_mm - self.nose_mm) * (1.0 - at_mm / self.reach_mm)

    def section_at(self, at_mm: float) -> Section:
        """Plate and gussets together at a distance from the upright."""
        t, h = self.thickness_mm, self.gusset_height_mm(at_mm)
        bars = [Bar(self.width_mm, t, t / 2.0)]
        if h > 0.0:
            bars.append(Bar(self.gussets * self.gusset_thickness_mm, h, t + h / 2.0))
        return section(bars)

    @property
    def slope_factor(self) -> float:
        """1/cos^2 of the free edge's slope against the foot: the stress along it over the stress along the foot."""
        rise = (self.height_mm - self.nose_mm) / self.reach_mm
        return 1.0 + rise**2

    @property
    def strip_mm(self) -> float:
        """Width of flange strip that takes part beside the bolt, less the hole (see strip_width_mm)."""
        return strip_width_mm(self.washer_mm, self.hole_mm, self.clear_mm, (self.edge_mm, self.foot_arm_mm))


def gusseted_l_checks(part: str, case: str, bracket: GussetedL, force_n: Force, *, filler: str = "5356") -> list[Check]:
    """All places of a gusseted L under a force on its foot at the mount hole, components (along bend, normal, along foot).

    In aluminium every section lies beside a weld: the strength of the heat-affected zone counts.
    """
    if not all_finite(force_n):
        return [not_checked("gusseted section", part, case, "the force at the mount is not a number", demand=math.inf)]
    strength = _strength(bracket)
    section_check = _worst_section(part, case, bracket, force_n, strength)
    strip = _strip(part, case, bracket, force_n, strength)
    found = [section_check, strip, _toe(part, case, bracket, force_n, strip.demand, strength)]
    found += _edge(part, case, bracket, section_check.demand)
    return found + _welds(part, case, bracket, force_n, filler)


def strip_check(part: str, case: str, bracket: GussetedL, force_n: Force) -> Check:
    """The strip between two gussets as a beam on its edges under the washer, with the stress of the whole section added."""
    return _strip(part, case, bracket, force_n, _strength(bracket))


def _strip(part: str, case: str, bracket: GussetedL, force_n: Force, strength: dict[str, float]) -> Check:
    whole = SECTION.demand_of(**_section_values(bracket, force_n, _places(bracket)[-1]), **strength)
    flat = hypot(force_n[0], force_n[2])
    return STRIP.check(part, case, "", F=abs(force_n[1]), V=flat, sigma_g=whole, **_strip_sizes(bracket), **strength)


@lru_cache(maxsize=512)
def _strip_sizes(bracket: GussetedL) -> dict[str, float]:
    return {
        "k_f": bracket.restraint, "s": bracket.clear_mm, "d_w": min(bracket.washer_mm, bracket.clear_mm),
        "b_e": bracket.strip_mm, "t": bracket.thickness_mm,
    }  # fmt: skip


def pulled_strip_check(
    part: str, case: str, grade: str, thickness_mm: float, clear_mm: float, washer_mm: float, hole_mm: float,
    edges_mm: tuple[float, float], force_n: float,
) -> Check:  # fmt: skip
    """A strip between two gussets under one bolt's pull, e.g. the upright at a leg bolt. edges_mm: hole to the two ends."""
    metal = material(grade)
    return STRIP.check(
        part, case, "", F=pulling(force_n), V=0.0, k_f=RESTRAINT, s=clear_mm, d_w=min(washer_mm, clear_mm),
        t=thickness_mm, sigma_g=0.0,
        b_e=strip_width_mm(washer_mm, hole_mm, clear_mm, edges_mm), f_o=metal.strength(thickness_mm).haz_proof_mpa,
        gamma_M0=metal.gamma_m0,
    )  # fmt: skip


def strip_width_mm(washer_mm: float, hole_mm: float, clear_mm: float, edges_mm: tuple[float, float]) -> float:
    """Width of a strip on two edges that takes part beside a bolt: washer + 0.6 s, no farther than the ends, less the hole.

    The spread 2.4 x (1 - x/s) at x = s/2 is the one known for slabs on two edges (common practice); never below a tenth of s.
    """
    half = (washer_mm + 0.6 * clear_mm) / 2.0
    return max(min(half, edges_mm[0]) + min(half, edges_mm[1]) - hole_mm, 0.1 * clear_mm)


@lru_cache(maxsize=512)
def _strength(bracket: GussetedL) -> dict[str, float]:
    metal = bracket.metal
    return {"f_o": metal.strength(bracket.thickness_mm).haz_proof_mpa, "gamma_M0": metal.gamma_m0}


@lru_cache(maxsize=512)
def _places(bracket: GussetedL) -> tuple[dict[str, float], ...]:
    """What the section rule needs at eleven places from the root to the load or the toe, the last one last."""
    end = min(bracket.foot_arm_mm, bracket.reach_mm)
    found = []
    for at in (end * k / 10.0 for k in range(11)):
        shape, height = bracket.section_at(at), bracket.gusset_height_mm(at)
        area = bracket.gussets * bracket.gusset_thickness_mm * height
        found.append({
            "at": at, "arm": max(bracket.foot_arm_mm - at, 0.0), "lift": shape.centroid_mm - bracket.thickness_mm / 2.0,
            "W": shape.least_mm3, "A": shape.area_mm2, "k_e": bracket.slope_factor if height > 0.0 else 1.0,
            "A_g": area if area > 0.0 else bracket.width_mm * bracket.thickness_mm,
        })  # fmt: skip
    return tuple(found)


def _section_values(bracket: GussetedL, force_n: Any, place: dict[str, float]) -> dict[str, Any]:
    across, normal, along = abs(force_n[0]), abs(force_n[1]), abs(force_n[2])
    return {
        "M_1": normal * place["arm"] + along * place["lift"], "W": place["W"], "N": along, "A": place["A"],
        "k_e": place["k_e"], "k_m": IN_PLANE, "M_2": across * place["arm"], "t": bracket.thickness_mm, "b": bracket.width_mm,
        "V_1": normal, "A_g": place["A_g"], "V_2": across,
    }  # fmt: skip


@lru_cache(maxsize=512)
def _influence(bracket: GussetedL) -> tuple[tuple[float, ...], ...]:
    """The section rule's stresses per unit force at each place, to find the worst place without evaluating all as text."""
    t, b = bracket.thickness_mm, bracket.width_mm
    return tuple(
        (p["k_e"] * p["arm"] / p["W"], p["k_e"] * (p["lift"] / p["W"] + 1.0 / p["A"]), IN_PLANE * 6.0 * p["arm"] / (t * b**2),
         1.5 / p["A_g"], 1.5 / (b * t))
        for p in _places(bracket)
    )  # fmt: skip


def worst_place(bracket: GussetedL, force_n: Force) -> Any:
    """Index of the most stressed of the eleven places (of many forces: an array of them)."""
    across, normal, along = abs(force_n[0]), abs(force_n[1]), abs(force_n[2])
    squares = [
        (normal * i[0] + along * i[1] + across * i[2]) ** 2 + 3.0 * (normal * i[3] + across * i[4]) ** 2
        for i in _influence(bracket)
    ]
    return np.argmax(squares, axis=0)


def _worst_section(part: str, case: str, bracket: GussetedL, force_n: Force, strength: dict[str, float]) -> Check:
    """Root, and sections along the taper up to the load or the toe: the worst of eleven."""
    worst = worst_place(bracket, force_n)
    if not worst.ndim:
        place = _places(bracket)[worst]
        return SECTION.check(f"{part} at {place['at']:.0f} mm", case, **_section_values(bracket, force_n, place), **strength)
    table, names = _places_table(bracket)
    here = {key: row[worst] for key, row in table.items()}
    found = SECTION.check(part, case, **_section_values(bracket, force_n, here), **strength)
    return named_by(found, tuple(f"{part} {name}" for name in names), worst, part)


@lru_cache(maxsize=512)
def _places_table(bracket: GussetedL) -> tuple[dict[str, Any], tuple[str, ...]]:
    """`_places` by quantity, and what each place is called."""
    places = _places(bracket)
    table = {key: np.array([p[key] for p in places]) for key in places[0]}
    return table, tuple(f"at {p['at']:.0f} mm" for p in places)


def _toe(
    part: str, case: str, bracket: GussetedL, force_n: Force, strip_mpa: float, strength: dict[str, float]
) -> Check:
    """Plate at the gussets' ends: what lies beyond them hangs on the plate beside the gussets, not on all of its width."""
    return TOE.check(part, case, "", F=abs(force_n[1]), sigma_s=strip_mpa, **_toe_sizes(bracket), **strength)


@lru_cache(maxsize=512)
def _toe_sizes(bracket: GussetedL) -> dict[str, float]:
    """Lever of the load beyond the toe, even over the washer: all of it, a part of it, or none."""
    beyond, half = bracket.foot_arm_mm - bracket.reach_mm, bracket.washer_mm / 2.0
    part_out = max(beyond + half, 0.0) ** 2 / (4.0 * half) if half > 0.0 else max(beyond, 0.0)
    width = min(bracket.gussets * (bracket.gusset_thickness_mm + 2.0 * bracket.thickness_mm), bracket.width_mm)
    return {"x": beyond if beyond >= half else part_out, "b_t": width, "t": bracket.thickness_mm}


def _edge(part: str, case: str, bracket: GussetedL, stress_mpa: float) -> list[Check]:
    """Free edge of the gusset as an outstand: its width is the way from the inner corner square to the free edge."""
    width, tg = _edge_width_mm(bracket), bracket.gusset_thickness_mm
    proof = bracket.metal.strength(tg).haz_proof_mpa
    return free_edge_checks(part, case, width, tg, proof, bracket.metal, stress_mpa)


def _edge_width_mm(bracket: GussetedL) -> float:
    return bracket.height_mm * bracket.reach_mm / math.hypot(bracket.height_mm, bracket.reach_mm)


def _weld_flows(bracket: GussetedL, across: Any, normal: Any, along: Any) -> tuple[tuple[Any, Any, Any], tuple[Any, Any, Any]]:
    """Force per mm (along, across, normal) of each gusset's pair of fillets, along the foot and along the upright.

    All of the normal force and its moment go through them. Along the foot: the force normal to it with its offset from the
    middle of the weld; along the weld the flange force of the root section. Along the upright: the couple of the root
    section as bending of the weld, the force as shear.
    """
    foot = max(bracket.reach_mm - bracket.notch_mm - 2.0 * bracket.throat_mm, 1.0)
    leg = max(bracket.height_mm - bracket.notch_mm - 2.0 * bracket.throat_mm, 1.0)
    count = bracket.gussets
    offset = abs(bracket.foot_arm_mm - (bracket.reach_mm + bracket.notch_mm) / 2.0)
    moment = normal * bracket.foot_arm_mm
    flange = moment / (2.0 / 3.0 * (bracket.height_mm + bracket.thickness_mm)) + along
    on_foot = (flange / (count * foot), across / (count * foot), normal / (count * foot) * (1.0 + 6.0 * offset / foot))
    bending = 6.0 * moment / (count * leg**2) + along / (count * leg)
    return on_foot, (normal / (count * leg), across / (count * leg), bending)


def _welds(part: str, case: str, bracket: GussetedL, force_n: Force, filler: str) -> list[Check]:
    grades, sheets = (bracket.grade, bracket.grade), (bracket.thickness_mm, bracket.gusset_thickness_mm)
    found = []
    for name, flow in zip(("foot", "upright"), _weld_flows(bracket, *(abs(f) for f in force_n)), strict=True):
        found += weld_checks(
            f"{part} gusset to {name}", case, grades, sheets, bracket.throat_mm, *flow, sides=2, filler=filler
        )
    return found
