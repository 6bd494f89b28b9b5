"""The thin sheets around a flat bar welded to them: floor and lid flange at the ends of an upright, and the sheet beside a bar.

The bar is welded along both edges to a wall much thinner than itself. Its ends press on the edges of floor and flange, in
their plane but on one face; and where it bends, the wall beside it must follow. So must the floor beside a bar that is welded
on it under the modules.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from layout.checks.rule import Check, Rule, Source
from layout.frames import Array
from layout.tables import material

END_WIDTH = (17.0, 0.2)
"""Width in mm over which the end of a bar hands its force to a sheet's edge, both fillets together: so much and that share of
the bar's width. A bound on finite element models of boxes (sheets of 2 to 4 mm, bars of 40 to 160 mm), see the tests."""
END_ECCENTRIC = 4.0
"""1 + 6 (t/2)/t: the force enters at one face of the sheet, membrane and bending together."""
SHARED_MM = 10.0
"""Thicknesses of sheet on each side of a bar that bend with it where its fillets run through (our choice)."""
FIXITY = 1.5
"""Bending stress in the wall at the bar's edge over E t y (1/c^2 + (pi/h)^2)/(1 - nu^2): a strip clamped at the bar and free to
turn at its other end (3 E I y/c^2), and the half wave of the bar along its height. Finite element models give 0.5 to 1.3."""
ON_FLOOR = 1.2
"""The same beside a floor bar, which turns with the sheet on it: finite elements of two whole packs give 0.6 and 1.1."""

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
    "sheet beside a bar that bends", "k * E * t * y * (1 / c**2 + (pi / h)**2) / (1 - nu**2)", "f_o / gamma_M0", "MPa",
    Source(
        "strip of sheet that must follow the bending bar at one end, held at the next bar or corner; how firmly is bounded on "
        "finite element models", "derived",
    ),
    {
        "k": ("-", "6 M/(E t y ...) of a strip that turns freely at its far end"), "E": ("MPa", "modulus"),
        "t": ("mm", "thickness of the sheet"), "y": ("mm", "deflection of the bar with the sheet that works with it"),
        "nu": ("-", "Poisson's ratio"), "c": ("mm", "clear distance to the next bar or corner"),
        "h": ("mm", "length of the bar between its supports"),
        "f_o": ("MPa", "proof strength beside welds"), "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Beside:
    """Where a bar stands. sheet: its name, as "aft wall"; clear_mm: of bare sheet on each side, to the next bar or to the
    corner (0 where the bar stands at it).
    """

    sheet: str
    clear_mm: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Upright:
    """Width and thickness of a flat bar, its span, and grade and thickness of wall, floor and flange."""

    width_mm: float
    thickness_mm: float
    span_mm: float
    grade: str
    sheet_mm: float


def end_checks(part: str, case: str, bar: Upright, reaction_n: Any) -> list[Check]:
    """Floor and lid flange at the ends of a bar, each under the greater of its end forces."""
    metal, width = material(bar.grade), END_WIDTH[0] + END_WIDTH[1] * bar.width_mm
    values = {"k": END_ECCENTRIC, "R": abs(reaction_n), "w": width, "t": bar.sheet_mm, "gamma_M0": metal.gamma_m0,
              "f_o": metal.strength(bar.sheet_mm).haz_proof_mpa}  # fmt: skip
    return [AT_END.check(f"{sheet} at {part}", case, **values) for sheet in ("floor", "lid flange")]


def beside_checks(part: str, case: str, bar: Upright, place: Beside, deflection_mm: Any) -> list[Check]:
    """The sheet on the side where it is stressed more. deflection_mm: of the bar alone, simply supported, gross section."""
    gaps = [c for c in place.clear_mm if c >= bar.sheet_mm]
    if not gaps:
        return []
    y = abs(deflection_mm) * shared(bar, place.clear_mm)
    return [following_check(f"{place.sheet} beside {part}", case, bar, min(gaps), y)]


def following_check(part: str, case: str, bar: Upright, clear_mm: float, y_mm: Any, fixity: float = FIXITY) -> Check:
    """A strip of sheet that follows a bar. y_mm: by how much the bar moves against what holds the strip's other end."""
    metal = material(bar.grade)
    return BESIDE.check(
        part, case, k=fixity, E=metal.e_mpa, t=bar.sheet_mm, y=abs(y_mm), nu=metal.poisson, c=clear_mm, h=bar.span_mm,
        gamma_M0=metal.gamma_m0, f_o=metal.strength(bar.sheet_mm).haz_proof_mpa,
    )  # fmt: skip


def shared(bar: Upright, clear_mm: tuple[float, float]) -> float:
    """Deflection of a bar with its wall over that of the bar alone: the strip of wall that bends with it as one section, and
    the strips beside it, clamped at the bar and free to turn at their far ends, as springs along it (half a sine).
    """
    strips = sum(_strip(bar, c) for c in clear_mm if c >= bar.sheet_mm)
    return _alone(bar, clear_mm) / (1.0 + strips / _beam(bar, clear_mm))


def sagging_together(bars: list[Upright], gaps_mm: Array, alone_mm: Array) -> Array:
    """Deflections (bars, ...) of bars side by side on one sheet, from those of each bar alone: gaps_mm (bars + 1,) are the
    clear widths between them and to what does not move at both ends of the row. Beams and strips as in `shared`.
    """
    sides = list(pairwise(gaps_mm.tolist()))
    beams = np.array([_beam(bar, side) for bar, side in zip(bars, sides, strict=True)])
    strips = np.array([_strip(bars[min(i, len(bars) - 1)], gap) for i, gap in enumerate(gaps_mm.tolist())])
    matrix = np.diag(beams + strips[:-1] + strips[1:]) - np.diag(strips[1:-1], 1) - np.diag(strips[1:-1], -1)
    free = beams * np.array([_alone(bar, side) for bar, side in zip(bars, sides, strict=True)])
    load = alone_mm * free.reshape(-1, *(1 for _ in alone_mm.shape[1:]))
    return np.linalg.solve(matrix, load.reshape(len(bars), -1)).reshape(alone_mm.shape)


def _both_mm4(bar: Upright, clear_mm: tuple[float, float]) -> float:
    """Second moment of a bar with the strip of sheet that bends with it."""
    b, thick, t = bar.width_mm, bar.thickness_mm, bar.sheet_mm
    wide = b + sum(min(SHARED_MM * t, c) for c in clear_mm)
    own = b * thick**3 / 12.0 + wide * t**3 / 12.0
    return own + ((thick + t) / 2.0) ** 2 * (b * thick * wide * t) / (b * thick + wide * t)


def _alone(bar: Upright, clear_mm: tuple[float, float]) -> float:
    """Stiffness of the bar alone over that of bar and sheet as one section."""
    return bar.width_mm * bar.thickness_mm**3 / 12.0 / _both_mm4(bar, clear_mm)


def _beam(bar: Upright, clear_mm: tuple[float, float]) -> float:
    """Load per mm and mm of deflection, both half a sine, of bar and sheet as one section: E I (pi/l)^4."""
    return PI_4 * material(bar.grade).e_mpa * _both_mm4(bar, clear_mm) / bar.span_mm**4


def _strip(bar: Upright, clear_mm: float) -> float:
    """Load per mm and mm of deflection of a strip of sheet beside a bar: 3 D/c^3."""
    metal = material(bar.grade)
    return 3.0 * metal.e_mpa * bar.sheet_mm**3 / (12.0 * (1.0 - metal.poisson**2)) / clear_mm**3


PI_4 = math.pi**4
