"""Panels of the box under pressure, patches and lines: sheet, ribs, and what they hang on. Small-deflection theory.

Pressure in MPa, forces in N, sizes in mm. Where the deflection passes half the thickness the check says so: the sheet then
carries as a membrane too, the bending stress given here is too high and the deflection far too high, and the edges are
pulled inwards, which linear theory does not show.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from layout.checks.beams import BENDING, Bar, bending_check, section, simple_points, simple_udl
from layout.checks.buckling import effective_width_mm, free_edge_checks
from layout.checks.plate_series import clamped, patch_moment, simply_supported
from layout.checks.rule import Check, Rule, Source
from layout.checks.welds import weld_checks
from layout.errors import DesignError
from layout.tables import Material, material

Edges = Literal["envelope", "simply supported", "clamped"]

_SERIES = Source("series for rectangular plates (Timoshenko art. 30; Roark 7th ed. Table 11.4 cases 1a, 8a within 1 %)", "seen")

PRESSURE = Rule(
    "panel under pressure", "beta * q * b**2 / t**2", "f_o / gamma_M0", "MPa", _SERIES,
    {
        "beta": ("-", "stress factor of the plate by series"), "q": ("MPa", "pressure"), "b": ("mm", "shorter side"),
        "t": ("mm", "thickness"), "f_o": ("MPa", "proof strength"), "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip

INNER_CORNER = Rule(
    "panel at the inner corner of a step", "0.115 * q * (l / t)**(8/3)", "f_o / gamma_M0", "MPa",
    Source(
        "moment at r = t from the corner, M = 0.019 q l**(8/3) r**(-2/3): a bound on finite element models of L plates, simply "
        "supported and clamped; the power of r after Williams 1952, from memory", "derived",
    ),
    {
        "q": ("MPa", "pressure"), "l": ("mm", "four times the panel's area over its perimeter"), "t": ("mm", "thickness"),
        "f_o": ("MPa", "proof strength"), "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip

PATCH = Rule(
    "panel under a foot or patch", "6 * mu * F / t**2", "f_o / gamma_M0", "MPa",
    Source("Navier's series for a patch on a simply supported plate (Roark 7th ed. Table 11.4 case 1c within 2 %)", "seen"),
    {
        "mu": ("-", "moment per mm over the force, by series"), "F": ("N", "force on the patch"), "t": ("mm", "thickness"),
        "f_o": ("MPa", "proof strength"), "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip

LINE_SHEAR = Rule(
    "panel's edge in shear", "1.5 * q * b / (2 * t)", "f_o / sqrt(3) / gamma_M0", "MPa",
    Source("strip across the shorter side, q b/2 at its ends", "derived"),
    {
        "q": ("MPa", "pressure"), "b": ("mm", "shorter side"), "t": ("mm", "thickness"), "f_o": ("MPa", "proof strength"),
        "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip

MEMBRANE = (
    "deflection {y:.1f} mm is more than half the thickness: small-deflection theory is left; stress is on the high side, "
    "deflection too high, the edges are also pulled inwards as by a membrane"
)


@dataclass(frozen=True, slots=True)
class Panel:
    """A rectangular field of sheet between walls or ribs. welded: its edges are welded (heat-affected zone at clamped edges).

    edges: "envelope" takes the worse of simply supported and clamped, where nothing better is known.
    """

    grade: str
    thickness_mm: float
    a_mm: float
    b_mm: float
    edges: Edges = "envelope"
    welded: bool = True

    @property
    def metal(self) -> Material:
        """The grade's table entry."""
        return material(self.grade)

    def factors(self) -> tuple[float, float]:
        """Stress and deflection factors for the edges."""
        return _factors(self)

    @property
    def proof_mpa(self) -> float:
        """Proof strength; beside welds where the edges are welded and clamped."""
        band = self.metal.strength(self.thickness_mm)
        return band.haz_proof_mpa if self.welded and self.edges != "simply supported" else band.proof_mpa

    def deflection_mm(self, pressure_mpa: float) -> float:
        """Deflection of the middle by small-deflection theory."""
        _, alpha = self.factors()
        short = min(self.a_mm, self.b_mm)
        return alpha * abs(pressure_mpa) * short**4 / (self.metal.e_mpa * self.thickness_mm**3)


@lru_cache(maxsize=1024)
def _factors(panel: Panel) -> tuple[float, float]:
    nu = panel.metal.poisson
    soft, hard = simply_supported(panel.a_mm, panel.b_mm, nu), clamped(panel.a_mm, panel.b_mm, nu)
    if panel.edges == "clamped":
        return hard.beta, hard.alpha
    if panel.edges == "simply supported":
        return soft.beta, soft.alpha
    if panel.edges == "envelope":
        return max(soft.beta, hard.beta), soft.alpha
    raise DesignError("panel", "kind of edges is not known", repr(panel.edges), "Use envelope, simply supported or clamped.")


def panel_checks(part: str, case: str, panel: Panel, pressure_mpa: float) -> list[Check]:
    """Bending and edge shear of a panel under uniform pressure, with the membrane flag where it applies."""
    beta, _ = panel.factors()
    short = min(panel.a_mm, panel.b_mm)
    shared = {
        "t": panel.thickness_mm, "f_o": panel.proof_mpa, "gamma_M0": panel.metal.gamma_m0, "q": abs(pressure_mpa), "b": short,
    }  # fmt: skip
    return [
        PRESSURE.check(part, case, membrane_note(panel, pressure_mpa), beta=beta, **shared),
        LINE_SHEAR.check(part, case, **shared),
    ]


def inner_corner_check(part: str, case: str, panel: Panel, area_mm2: float, pressure_mpa: float) -> Check:
    """Where a corner of a panel is left out: its sheet at the inner corner of the step.

    panel: the rectangle around it (its perimeter is the L's own); area_mm2: of the L. Elastic, at one thickness from the
    corner, nearer to which plate theory does not hold: on the safe side for ductile sheet.
    """
    size = 2.0 * area_mm2 / (panel.a_mm + panel.b_mm)
    metal = {"f_o": panel.proof_mpa, "gamma_M0": panel.metal.gamma_m0}
    return INNER_CORNER.check(part, case, q=abs(pressure_mpa), l=size, t=panel.thickness_mm, **metal)


def membrane_note(panel: Panel, pressure_mpa: float) -> str:
    """The flag for deflections beyond half the thickness, or nothing."""
    y = panel.deflection_mm(pressure_mpa)
    return MEMBRANE.format(y=y) if y > 0.5 * panel.thickness_mm else ""


def inertia_pressure_mpa(
    mass_kg: float, acceleration_m_s2: float, a_mm: float, b_mm: float, sheet_kg_m2: float = 0.0
) -> float:
    """Pressure of a mass spread over a panel, and of the sheet's own mass: m a/(a b) + m'' a. N/mm2."""
    return abs(acceleration_m_s2) * (mass_kg / (a_mm * b_mm) + sheet_kg_m2 * 1e-6)


def patch_checks(
    part: str, case: str, panel: Panel, patch_mm: tuple[float, float], at_mm: tuple[float, float], force_n: float,
    pressure_mpa: float = 0.0,
) -> list[Check]:  # fmt: skip
    """A foot, rail end or nut plate on a panel, edges simply supported (the sheet gives no clamping to rely on).

    pressure_mpa: acts besides; its stress is added by its force on one patch of the panel's size. The patch grows by one
    thickness on each side, as the load spreads to the middle surface.
    """
    t = panel.thickness_mm
    grown = (min(patch_mm[0] + t, panel.a_mm), min(patch_mm[1] + t, panel.b_mm))
    mu = patch_moment(panel.a_mm, panel.b_mm, grown, at_mm, panel.metal.poisson)
    found = [
        PATCH.check(part, case, "edges simply supported; small-deflection theory", mu=mu, F=abs(force_n), t=t,
                    f_o=panel.proof_mpa, gamma_M0=panel.metal.gamma_m0)
    ]  # fmt: skip
    if pressure_mpa:
        found += panel_checks(part, case, panel, pressure_mpa)
    return found


@dataclass(frozen=True, slots=True)
class Rib:
    """A flat bar on edge along a panel. span_mm between what carries it; spacing_mm of sheet it carries; throat_mm of its
    fillets, sides 1 or 2, of which weld_share of the length is welded (stitch welds).
    """

    grade: str
    height_mm: float
    thickness_mm: float
    span_mm: float
    spacing_mm: float
    throat_mm: float
    sides: int = 2
    weld_share: float = 1.0


def rib_checks(
    part: str, case: str, sheet_grade: str, sheet_mm: float, rib: Rib, pressure_mpa: float, filler: str = "5356"
) -> list[Check]:
    """A rib with the sheet that works with it as a simply supported beam; its free edge; its weld; the sheet beside it.

    Sheet width: the least of spacing, effective width in compression (EN 1993-1-5 4.4, EN 1999-1-1 6.1.5) plus the rib, and
    an eighth of the span on each side (shear lag, common practice). The sheet between ribs is a long plate on the spacing.
    """
    sheet, bar = material(sheet_grade), material(rib.grade)
    if sheet.family != bar.family:
        raise DesignError(part, "rib and sheet are welded: one family of metal", f"{rib.grade} on {sheet_grade}", "Use one.")
    band, rib_band = sheet.strength(sheet_mm), bar.strength(rib.thickness_mm)
    proof = min(band.haz_proof_mpa, rib_band.haz_proof_mpa)
    width = min(
        effective_width_mm(rib.spacing_mm, sheet_mm, band.proof_mpa, sheet.e_mpa, sheet.family) + rib.thickness_mm,
        rib.spacing_mm,
        rib.span_mm / 4.0 + rib.thickness_mm,
    )  # fmt: skip
    shape = section(
        [Bar(width, sheet_mm, sheet_mm / 2.0), Bar(rib.thickness_mm, rib.height_mm, sheet_mm + rib.height_mm / 2.0)]
    )
    load = simple_udl(abs(pressure_mpa) * rib.spacing_mm, rib.span_mm, bar.e_mpa * shape.inertia_mm4)
    gamma = max(sheet.gamma_m0, bar.gamma_m0)
    area = rib.thickness_mm * rib.height_mm * 2.0 / 3.0
    found = [bending_check(part, case, load, shape, area, proof, gamma, note=f"with {width:.0f} mm of sheet")]
    stress = found[0].demand
    found += free_edge_checks(part, case, rib.height_mm, rib.thickness_mm, proof, bar, stress)
    flow = load.shear_n * width * sheet_mm * abs(shape.centroid_mm - sheet_mm / 2.0) / shape.inertia_mm4
    pull = abs(pressure_mpa) * rib.spacing_mm
    found += weld_checks(
        f"{part} weld", case, (sheet_grade, rib.grade), (sheet_mm, rib.thickness_mm), rib.throat_mm,
        flow / rib.weld_share, 0.0, pull / rib.weld_share, sides=rib.sides, filler=filler,
    )  # fmt: skip
    between = Panel(sheet_grade, sheet_mm, max(rib.span_mm, 4.0 * rib.spacing_mm), rib.spacing_mm)
    return found + panel_checks(f"{part} sheet beside", case, between, pressure_mpa)


@dataclass(frozen=True, slots=True)
class Rail:
    """A bar that carries modules across a span between walls: section modulus, area, shear area, inertia of its section."""

    grade: str
    thickness_mm: float
    span_mm: float
    area_mm2: float
    modulus_mm3: float
    shear_area_mm2: float
    welded: bool = False


def rail_checks(part: str, case: str, rail: Rail, loads: tuple[tuple[float, float], ...], axial_n: float = 0.0) -> list[Check]:
    """A module rail, simply supported at its ends, under the forces of its modules: (place from one end in mm, force in N)."""
    metal = material(rail.grade)
    band = metal.strength(rail.thickness_mm)
    load = simple_points(loads, rail.span_mm, 1.0)
    return [
        BENDING.check(
            part, case, "simply supported", M=load.moment_nmm, W=rail.modulus_mm3, N=abs(axial_n), A=rail.area_mm2,
            V=load.shear_n, A_v=rail.shear_area_mm2, f_o=band.haz_proof_mpa if rail.welded else band.proof_mpa,
            gamma_M0=metal.gamma_m0,
        )
    ]  # fmt: skip
