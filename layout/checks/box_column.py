"""Standoffs: a box column of two webs and two covers between a foot on the vehicle and a spreader on the box.

Axes: a across the webs, n along the column (positive: the foot is pulled off the vehicle), o up, across the covers. force_n:
what acts on the foot at the mount hole, N. The foot's one bolt carries no moment, so the column is a cantilever from the
spreader. Forces are taken by size, so that no combination of signs is missed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np

from layout.checks.brackets import Force
from layout.checks.groups import WeldLines
from layout.checks.gussets import pulled_strip_check
from layout.checks.many import all_finite, pulling
from layout.checks.rule import Check, Rule, Source, not_checked
from layout.checks.welds import (
    EFFECTIVE_LENGTH,
    weld_checks,
    weld_group_checks,
)
from layout.errors import DesignError
from layout.tables import Material, material

COLUMN = Rule(
    "box column of a standoff",
    "sqrt((k_n * N / A + k_1 * M_1 / W_1 + k_2 * M_2 / W_2)**2 + 3 * (1.5 * V_1 / A_w + 1.5 * V_2 / A_c)**2)",
    "f_o / gamma_M0", "MPa",
    Source("elastic section, cantilever from the spreader; von Mises (EN 1993-1-1:2005 6.2.1(5), from memory)", "derived"),
    {
        "N": ("N", "force along the column"), "A": ("mm2", "area"), "M_1": ("N*mm", "bending up and down"),
        "W_1": ("mm3", "its section modulus"), "M_2": ("N*mm", "bending along the wall"), "W_2": ("mm3", "its section modulus"),
        "k_n": ("-", "the bolt's force enters the webs beside it, from solid models"),
        "k_1": ("-", "uneven stress at the end plates, bending up and down, from solid models"),
        "k_2": ("-", "the same, bending along the wall"),
        "V_1": ("N", "shear up and down"), "A_w": ("mm2", "area of both webs"), "V_2": ("N", "shear along the wall"),
        "A_c": ("mm2", "area of both covers"), "f_o": ("MPa", "proof strength beside the welds"),
        "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip

SLENDER = Rule(
    "flat of the box column", "b / t", "42 * sqrt(235 / f_y)", "-",
    Source("internal part in compression, class 3: EN 1993-1-1:2005 Table 5.2", "memory"),
    {"b": ("mm", "clear width"), "t": ("mm", "thickness"), "f_y": ("MPa", "proof strength")},
)  # fmt: skip

ENTERS = 4.0
"""Stress near the foot over N/A: the bolt stands in the middle of the plate, the nearest parts of the webs take its force."""
UNEVEN = (2.9, 2.1)
"""Stress at the column's ends over M/W, up and down and along the wall: the end plates are thin, the webs stand free at their
edges (greatest of four solid models clamped at the leg bolts alone, and a tenth)."""

SOFT = (1.6, 3.0)
"""How much softer a standoff is than its column alone, along the wall and up: its end plates turn (solid models)."""


@dataclass(frozen=True, slots=True)
class BoxColumn:
    """Sizes of a standoff, mm. plate_mm: end plates; clear_mm: between the webs; height_mm: of the webs; sheet_mm: webs and
    covers; recess_mm: covers within the webs' edges; length_mm: between the end plates. washer_mm, hole_mm: of the foot's bolt.
    """

    grade: str
    plate_mm: float
    clear_mm: float
    height_mm: float
    sheet_mm: float
    recess_mm: float
    length_mm: float
    throat_mm: float
    washer_mm: float
    hole_mm: float

    def __post_init__(self) -> None:
        sizes = (self.plate_mm, self.clear_mm, self.height_mm - 2.0 * (self.recess_mm + self.sheet_mm), self.sheet_mm,
                 self.length_mm, self.throat_mm)  # fmt: skip
        if not all(math.isfinite(s) and s > 0.0 for s in sizes):
            raise DesignError("standoff", "sizes make no box column", f"{self}", "Give sizes above 0, covers within the webs.")

    @property
    def metal(self) -> Material:
        """The grade's table entry."""
        return material(self.grade)

    @property
    def area_mm2(self) -> float:
        """Webs and covers."""
        return 2.0 * self.sheet_mm * (self.height_mm + self.clear_mm)

    @property
    def cover_mm(self) -> float:
        """From the column's middle to the middle of a cover."""
        return self.height_mm / 2.0 - self.recess_mm - self.sheet_mm / 2.0

    @property
    def inertias_mm4(self) -> tuple[float, float]:
        """For bending up and down, and along the wall."""
        g, h, c = self.sheet_mm, self.height_mm, self.clear_mm
        first = g * h**3 / 6.0 + 2.0 * (c * g**3 / 12.0 + c * g * self.cover_mm**2)
        second = 2.0 * (h * g**3 / 12.0 + h * g * ((c + g) / 2.0) ** 2) + g * c**3 / 6.0
        return first, second

    @property
    def proof_mpa(self) -> float:
        """Beside the welds."""
        return self.metal.strength(self.sheet_mm).haz_proof_mpa


@lru_cache(maxsize=256)
def _ring(column: BoxColumn) -> WeldLines:
    """Fillets at an end: both webs' outer faces and both covers' outer faces."""
    x, y = column.clear_mm / 2.0 + column.sheet_mm, column.height_mm / 2.0
    inner, low = column.clear_mm / 2.0, column.height_mm / 2.0 - column.recess_mm
    return WeldLines(((-x, -y, -x, y), (x, -y, x, y), (-inner, -low, inner, -low), (-inner, low, inner, low)))


def _values(column: BoxColumn, across: Any, along: Any, up: Any) -> dict[str, Any]:
    first, second = column.inertias_mm4
    arm = column.length_mm + column.plate_mm
    return {
        "N": along, "A": column.area_mm2, "M_1": up * arm, "W_1": first / (column.height_mm / 2.0), "M_2": across * arm,
        "W_2": second / (column.clear_mm / 2.0 + column.sheet_mm), "k_n": ENTERS, "k_1": UNEVEN[0], "k_2": UNEVEN[1], "V_1": up,
        "A_w": 2.0 * column.sheet_mm * column.height_mm, "V_2": across, "A_c": 2.0 * column.sheet_mm * column.clear_mm,
        "f_o": column.proof_mpa, "gamma_M0": column.metal.gamma_m0,
    }  # fmt: skip


def _seam(column: BoxColumn, across: Any, up: Any) -> Any:
    """Force per mm along each of the four seams: V S/(2 I), of covers and of webs, added."""
    (first, second), g = column.inertias_mm4, column.sheet_mm
    of_cover, of_web = column.clear_mm * g * column.cover_mm, column.height_mm * g * (column.clear_mm + g) / 2.0
    return up * of_cover / (2.0 * first) + across * of_web / (2.0 * second)


def box_column_checks(part: str, case: str, column: BoxColumn, force_n: Force, *, filler: str = "5356") -> list[Check]:
    """Column, its flats, welds at both ends and along it, and the foot plate between the webs under its bolt."""
    if not all_finite(force_n):
        return [not_checked(COLUMN.name, part, case, "the force at the mount is not a number", demand=math.inf)]
    across, along, up = (abs(f) for f in force_n)
    g = column.sheet_mm
    flat = column.height_mm - 2.0 * (column.recess_mm + g)
    found = [
        COLUMN.check(part, case, **_values(column, across, along, up)),
        SLENDER.check(part, case, b=max(column.clear_mm, flat), t=g, f_y=column.metal.strength(g).proof_mpa),
    ]  # fmt: skip
    grades, sheets = (column.grade, column.grade), (column.plate_mm, g)
    arm = column.length_mm + column.plate_mm
    for end, lever in (("spreader", arm), ("foot", column.plate_mm)):
        moment = (up * lever, across * lever, 0.0)
        group = weld_group_checks(
            f"{part} column to {end}", case, _ring(column), grades, sheets, column.throat_mm, (across, up, along), moment,
            filler=filler,
        )  # fmt: skip
        found += [c for c in group if c.name != EFFECTIVE_LENGTH.name]  # one seam round all corners: no ends, no craters
    seam, name = _seam(column, across, up), f"{part} seams of the column"
    found += weld_checks(name, case, grades, (g, g), column.throat_mm, seam, 0.0, 0.0, filler=filler)
    return [*found, _foot_strip(part, case, column, pulling(force_n[1]))]


def _foot_strip(part: str, case: str, column: BoxColumn, pull_n: float) -> Check:
    """The foot between its webs as a strip; the covers, that hold it on the other two sides, are not counted."""
    half = column.height_mm / 2.0
    return pulled_strip_check(
        f"{part} foot", case, column.grade, column.plate_mm, column.clear_mm, column.washer_mm, column.hole_mm, (half, half),
        pull_n,
    )  # fmt: skip


def box_column_stiffness(column: BoxColumn) -> Any:
    """Diagonal (3, 3) at the mount, N/mm, along a, n and o: cantilever with shear; along it, the foot's strip gives as well.

    Bending is taken softer by SOFT: the thin end plates turn with the column's ends (solid models in the tests).
    """
    e, g = column.metal.e_mpa, column.metal.g_mpa
    (first, second), arm = column.inertias_mm4, column.length_mm + column.plate_mm
    strip = column.washer_mm + 0.6 * column.clear_mm
    up = arm**3 / (3.0 * e * first) + 1.2 * arm / (g * 2.0 * column.sheet_mm * column.height_mm)
    across = arm**3 / (3.0 * e * second) + 1.2 * arm / (g * 2.0 * column.sheet_mm * column.clear_mm)
    along = arm / (e * column.area_mm2) + column.clear_mm**3 / (4.0 * e * strip * column.plate_mm**3)
    return np.diag(1.0 / np.array([SOFT[0] * across, along, SOFT[1] * up]))
