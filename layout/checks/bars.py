"""Mounting bars: flat bars welded upright on a thin wall from floor to flange, to which a bracket's leg is bolted.

The wall is too thin to help: the bar spans between floor and flange as a simple beam, loaded by its bolts and by couples.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from layout.checks.beams import Bar, BeamResult, Section, bending_check, couple_on_simple, section, simple_forces, simple_sag
from layout.checks.many import all_finite, greatest, hypot
from layout.checks.rule import Check, Rule, Source, not_checked
from layout.checks.upright_sheets import Beside, Upright, beside_checks, end_checks
from layout.checks.welds import weld_checks
from layout.errors import DesignError
from layout.tables import material

WALL_SHEAR = Rule(
    "wall beside the mounting bar", "Q / (2 * l * t)", "f_o / sqrt(3) / gamma_M0", "MPa",
    Source("shear flow of the bar's in-plane force into the wall on both sides", "derived"),
    {
        "Q": ("N", "force in the wall's plane"), "l": ("mm", "length of the bar"), "t": ("mm", "wall thickness"),
        "f_o": ("MPa", "proof strength"), "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class MountingBar:
    """A flat bar: width along the wall, thickness out of it, span between floor and flange; edge fillets of a throat, of
    which weld_share of the length is welded; holes_mm: sum of hole diameters in one row. wall_mm: the wall it stands on; place:
    where on it, None where what stands beside it is not known (then the wall beside it is not looked at).
    """

    grade: str
    width_mm: float
    thickness_mm: float
    span_mm: float
    throat_mm: float
    wall_grade: str
    wall_mm: float
    holes_mm: float = 0.0
    weld_share: float = 1.0
    place: Beside | None = None

    @property
    def upright(self) -> Upright:
        """Its sizes, for the sheets around it."""
        return Upright(self.width_mm, self.thickness_mm, self.span_mm, self.wall_grade, self.wall_mm)

    def __post_init__(self) -> None:
        if min(self.width_mm - self.holes_mm, self.thickness_mm, self.span_mm, self.throat_mm, self.wall_mm) <= 0.0:
            raise DesignError("mounting bar", "sizes make no bar", f"{self}", "Give sizes above 0, width above holes.")

    @property
    def end_weld_mm(self) -> float:
        """Length of fillets that carries the reaction at one end: of both edges the first width, each less its crater."""
        return 2.0 * max(self.width_mm - 2.0 * self.throat_mm, self.throat_mm)


def mounting_bar_checks(
    part: str,
    case: str,
    bar: MountingBar,
    pulls: tuple[tuple[float, Any], ...],
    couple_nmm: float,
    couple_at_mm: float,
    in_plane_n: tuple[Any, Any],
    filler: str = "5356",
    *,
    into_sheets: bool = True,
) -> list[Check]:
    """A bar under bolts that pull it off the wall or press it in, a couple, and forces in the wall's plane.

    pulls: (height above the floor in mm, force out of the wall in N) per bolt row; couple_nmm: bending about the wall's
    horizontal besides them, at a height; in_plane_n: (along the wall, upward). Bending: simple beam from floor to flange
    with the net section. Ends: each reaction on both edges' fillets along one width (the ends themselves are not welded), less
    twice the throat (EN 1993-1-8:2005 4.5.1). Edges: in-plane forces. Floor and flange at its ends (where into_sheets: these
    edges alone take the ends' forces), wall beside it: see layout.checks.upright_sheets.
    """
    if not all_finite((couple_nmm, *in_plane_n, *(p for _, p in pulls))):
        return [not_checked("mounting bar", part, case, "a force on the bar is not a number", demand=math.inf)]
    metal, wall = material(bar.grade), material(bar.wall_grade)
    proof = metal.strength(bar.thickness_mm).haz_proof_mpa
    shape, moment, shear = _bent(bar, pulls, couple_nmm, couple_at_mm)
    whole, area = BeamResult(moment, shear, 0.0), shape.area_mm2 * 2.0 / 3.0
    found = [bending_check(part, case, whole, shape, area, proof, metal.gamma_m0, axial_n=in_plane_n[1])]
    grades, sheets = (bar.grade, bar.wall_grade), (bar.thickness_mm, bar.wall_mm)
    end = shear / bar.end_weld_mm
    found += weld_checks(f"{part} end weld", case, grades, sheets, bar.throat_mm, 0.0, 0.0, end, filler=filler)
    length = bar.span_mm * bar.weld_share
    along, upward = (abs(f) for f in in_plane_n)
    turning = 6.0 * along * abs(bar.span_mm / 2.0 - couple_at_mm) / bar.span_mm**2 / bar.weld_share
    found += weld_checks(
        f"{part} edge weld", case, grades, sheets, bar.throat_mm, upward / (2.0 * length),
        along / (2.0 * length) + turning / 2.0, 0.0, filler=filler,
    )  # fmt: skip
    in_wall = WALL_SHEAR.check(
        f"{part} wall", case, Q=hypot(along, upward), l=length, t=bar.wall_mm, gamma_M0=wall.gamma_m0,
        f_o=wall.strength(bar.wall_mm).haz_proof_mpa,
    )  # fmt: skip
    found.append(in_wall)
    if into_sheets:
        found += end_checks(part, case, bar.upright, end_force_n(pulls, couple_nmm, bar.span_mm))
    if bar.place is not None:
        alone = simple_sag(pulls, bar.span_mm) + couple_on_simple(couple_nmm, couple_at_mm, bar.span_mm, 1.0).deflection_mm
        gross = alone * 12.0 / (metal.e_mpa * bar.width_mm * bar.thickness_mm**3)
        found += beside_checks(part, case, bar.upright, bar.place, gross)
    return found


def end_force_n(pulls: tuple[tuple[float, Any], ...], couple_nmm: float, span_mm: float) -> Any:
    """The greater force of a bar's two ends on floor and flange, as a size; pulls may be arrays."""
    top = sum(f * z for z, f in pulls) / span_mm
    return greatest([abs(top), abs(sum(f for _, f in pulls) - top)]) + abs(couple_nmm) / span_mm


def _bent(
    bar: MountingBar, pulls: tuple[tuple[float, Any], ...], couple_nmm: float, couple_at_mm: float
) -> tuple[Section, float, float]:
    """Net section of the bar, and moment and shear of its bolts and the couple together, as on a simple beam."""
    shape = section([Bar(bar.width_mm - bar.holes_mm, bar.thickness_mm, bar.thickness_mm / 2.0)])
    moment, shear = simple_forces(pulls, bar.span_mm)
    turned = couple_on_simple(couple_nmm, couple_at_mm, bar.span_mm, 1.0)
    return shape, moment + turned.moment_nmm, shear + turned.shear_n
