"""The thin sheets around an upright flat bar: floor and lid flange at its ends, and the wall beside it.

The bar is welded along both edges to a wall much thinner than itself. Its ends press on the edges of floor and flange, in
their plane but on one face; and where it bends, the wall beside it must follow.
"""

from __future__ import annotations

from dataclasses import dataclass

from layout.checks.rule import Check, Rule, Source
from layout.tables import material

END_WIDTH = (17.0, 0.2)
"""Width in mm over which the end of a bar hands its force to a sheet's edge, both fillets together: so much and that share of
the bar's width. A bound on finite element models of boxes (sheets of 2 to 4 mm, bars of 40 to 160 mm), see the tests."""
END_ECCENTRIC = 4.0
"""1 + 6 (t/2)/t: the force enters at one face of the sheet, membrane and bending together."""
SHARED_MM = 10.0
"""Thicknesses of wall on each side of a bar that bend with it where its fillets run through (our choice)."""
FIXITY = 1.5
"""Bending stress in the wall at the bar's edge over E t y (1/c^2 + (pi/h)^2)/(1 - nu^2): a strip clamped at the bar and free to
turn at its other end (3 E I y/c^2), and the half wave of the bar along its height. Finite element models give 0.5 to 1.3."""

AT_END = Rule(
    "sheet at the end of an upright", "k * R / (w * t)", "f_o / gamma_M0", "MPa",
    Source(
        "membrane and bending of an in-plane force that enters on one face, over a width that finite element models bound "
        "(structural stress at one thickness from the joint, as in IIW-2259-15)", "derived",
    ),
    {
        "k": ("-", "membrane and bending of a force on one face, 1 + 6 (t/2)/t"), "R": ("N", "force of the bar's end"),
        "w": ("mm", "width over which it enters, both fillets together"), "t": ("mm", "thickness of the sheet"),
        "f_o": ("MPa", "proof strength beside welds"), "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip

BESIDE = Rule(
    "wall beside an upright", "k * E * t * y * (1 / c**2 + (pi / h)**2) / (1 - nu**2)", "f_o / gamma_M0", "MPa",
    Source(
        "strip of wall that must follow the bending bar at one end, held at the next upright or corner; how firmly is bounded "
        "on finite element models", "derived",
    ),
    {
        "k": ("-", "6 M/(E t y ...) of a strip that turns freely at its far end"), "E": ("MPa", "modulus"),
        "t": ("mm", "thickness of the wall"), "y": ("mm", "deflection of the bar with the wall that works with it"),
        "nu": ("-", "Poisson's ratio"), "c": ("mm", "clear distance to the next upright or corner"),
        "h": ("mm", "height of the upright between floor and flange"),
        "f_o": ("MPa", "proof strength beside welds"), "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Beside:
    """Where an upright stands. wall: its name; clear_mm: of wall on each side, to the next upright or to the corner (0 where
    the bar stands at it).
    """

    wall: str
    clear_mm: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Upright:
    """Width and thickness of a flat bar, its span, and grade and thickness of wall, floor and flange."""

    width_mm: float
    thickness_mm: float
    span_mm: float
    grade: str
    sheet_mm: float


def end_checks(part: str, case: str, bar: Upright, reaction_n: float) -> list[Check]:
    """Floor and lid flange at the ends of a bar, each under the greater of its end forces."""
    metal, width = material(bar.grade), END_WIDTH[0] + END_WIDTH[1] * bar.width_mm
    values = {"k": END_ECCENTRIC, "R": abs(reaction_n), "w": width, "t": bar.sheet_mm, "gamma_M0": metal.gamma_m0,
              "f_o": metal.strength(bar.sheet_mm).haz_proof_mpa}  # fmt: skip
    return [AT_END.check(f"{sheet} at {part}", case, **values) for sheet in ("floor", "lid flange")]


def beside_checks(part: str, case: str, bar: Upright, place: Beside, deflection_mm: float) -> list[Check]:
    """The wall on the side where it is stressed more. deflection_mm: of the bar alone, simply supported, gross section."""
    metal = material(bar.grade)
    gaps = [c for c in place.clear_mm if c >= bar.sheet_mm]
    if not gaps:
        return []
    y = abs(deflection_mm) * shared(bar, place.clear_mm)
    values = {"k": FIXITY, "E": metal.e_mpa, "t": bar.sheet_mm, "y": y, "nu": metal.poisson, "c": min(gaps),
              "h": bar.span_mm,
              "gamma_M0": metal.gamma_m0, "f_o": metal.strength(bar.sheet_mm).haz_proof_mpa}  # fmt: skip
    return [BESIDE.check(f"{place.wall} wall beside {part}", case, **values)]


def shared(bar: Upright, clear_mm: tuple[float, float]) -> float:
    """Deflection of a bar with its wall over that of the bar alone: the strip of wall that bends with it as one section, and
    the strips beside it, clamped at the bar and free to turn at their far ends, as springs along it (half a sine).
    """
    b, thick, t = bar.width_mm, bar.thickness_mm, bar.sheet_mm
    metal = material(bar.grade)
    wide = b + sum(min(SHARED_MM * t, c) for c in clear_mm)
    lever = (thick + t) / 2.0
    own = b * thick**3 / 12.0
    both = own + wide * t**3 / 12.0 + lever**2 * (b * thick * wide * t) / (b * thick + wide * t)
    plate = metal.e_mpa * t**3 / (12.0 * (1.0 - metal.poisson**2))
    strips = sum(3.0 * plate / c**3 for c in clear_mm if c >= t)
    beam = PI_4 * metal.e_mpa * both / bar.span_mm**4
    return own / both / (1.0 + strips / beam)


PI_4 = 97.40909103400244
"""pi to the fourth: a beam's stiffness against a load of half a sine is E I (pi/l)^4."""
