"""Flat bars that carry modules between two walls: bent both ways by what their bolts and the module's base do to them."""

from __future__ import annotations

from dataclasses import dataclass

from layout.checks.rule import Check, Rule, Source
from layout.checks.welds import weld_checks
from layout.tables import material

BOTH_WAYS = Rule(
    "bar bent both ways",
    "sqrt((M_w * 6 / ((b - d_0) * t**2) + M_v * 6 * b / ((b**3 - d_0**3) * t) + N / ((b - d_0) * t))**2"
    " + 3 * (1.5 * V / ((b - d_0) * t))**2)",
    "f_o / gamma_M0", "MPa",
    Source("elastic stresses added, von Mises with the peak shear of a rectangle: EN 1993-1-1:2005 6.2.1(5)", "memory"),
    {
        "M_w": ("N*mm", "greatest moment across the bar's thickness"), "M_v": ("N*mm", "greatest moment across its width"),
        "N": ("N", "force along the bar"), "V": ("N", "greatest shear"), "b": ("mm", "width of the bar"),
        "t": ("mm", "thickness of the bar"), "d_0": ("mm", "bolt hole"), "f_o": ("MPa", "proof strength"),
        "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip

SAG = Rule(
    "bar's deflection within the gap beneath it", "y", "g", "mm",
    Source("elastic beam on two supports; the gap is the module's own (job file)", "derived"),
    {"y": ("mm", "deflection of the bar between its ends"), "g": ("mm", "gap to the next module")},
)  # fmt: skip

WALL_IN_PLANE = Rule(
    "wall in its own plane", "1.5 * Q / (l * t)", "f_o / sqrt(3) / gamma_M0", "MPa",
    Source("peak shear of a rectangle under the share of one wall", "derived"),
    {
        "Q": ("N", "force of the modules taken by one wall"), "l": ("mm", "extent of the wall along the force"),
        "t": ("mm", "thickness of the wall"), "f_o": ("MPa", "proof strength beside welds"),
        "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class BarLoads:
    """What a bar carries in one case: greatest moments, greatest shear and force along it, deflection; reaction of one end."""

    moment_w_nmm: float
    moment_v_nmm: float
    shear_n: float
    axial_n: float
    sag_mm: float


@dataclass(frozen=True, slots=True)
class CrossBar:
    """A flat bar: width (b) by thickness (t), a hole in it; welded to floor and walls, or screwed between two walls."""

    grade: str
    width_mm: float
    thickness_mm: float
    hole_mm: float
    length_mm: float
    welded: bool

    @property
    def proof_mpa(self) -> float:
        """Proof strength; beside welds where welded."""
        band = material(self.grade).strength(self.thickness_mm)
        return band.haz_proof_mpa if self.welded else band.proof_mpa


def bar_bending_check(part: str, case: str, bar: CrossBar, loads: BarLoads) -> Check:
    """Greatest moments both ways, shear and axial force taken at one place, at a bolt hole."""
    return BOTH_WAYS.check(
        part, case, "simply supported at the walls", M_w=loads.moment_w_nmm, M_v=loads.moment_v_nmm, N=loads.axial_n,
        V=loads.shear_n, b=bar.width_mm, t=bar.thickness_mm, d_0=bar.hole_mm, f_o=bar.proof_mpa,
        gamma_M0=material(bar.grade).gamma_m0,
    )  # fmt: skip


def floor_bar_weld_checks(
    part: str, case: str, bar: CrossBar, sheet: tuple[str, float], end_n: float, in_plane_n: tuple[float, float],
    throat_mm: float, short_mm: tuple[float, float] = (0.0, 0.0),
) -> list[Check]:  # fmt: skip
    """Ends of a floor bar on their walls (upright fillets of both edges), and its long fillets on the floor.

    end_n: reaction of one end, up or down; in_plane_n: along and across the bar, into the floor; short_mm: what the
    upright fillets of each end, and the long ones at each end, are shorter than the bar where the floor bends up.
    """
    grades, sheets = (bar.grade, sheet[0]), (bar.thickness_mm, sheet[1])
    along, across = (abs(f) / (2.0 * (bar.length_mm - 2.0 * short_mm[1])) for f in in_plane_n)
    end = abs(end_n) / (2.0 * (bar.thickness_mm - short_mm[0] - 2.0 * throat_mm))
    return [
        *weld_checks(f"{part} end weld", case, grades, sheets, throat_mm, end, 0.0, 0.0),
        *weld_checks(f"{part} floor weld", case, grades, sheets, throat_mm, along, across, 0.0),
    ]
