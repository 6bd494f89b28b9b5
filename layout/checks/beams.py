"""Beams: moments, shears and deflections of the standard cases, sections made of rectangles, and checks on stress.

All by Euler-Bernoulli theory. Loads: w in N/mm, point loads in N, spans in mm; moments in N*mm, positive sizes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from layout.checks.many import greatest
from layout.checks.rule import Check, Rule, Source
from layout.errors import DesignError

BENDING = Rule(
    "bending with shear", "sqrt((M / W + N / A)**2 + 3 * (V / A_v)**2)", "f_o / gamma_M0", "MPa",
    Source("elastic stress with von Mises combination, EN 1993-1-1:2005 6.2.1(5)", "memory"),
    {
        "M": ("N*mm", "bending moment"), "W": ("mm3", "elastic section modulus"), "N": ("N", "axial force"),
        "A": ("mm2", "area"), "V": ("N", "shear force"), "A_v": ("mm2", "area in shear (2/3 of a rectangle: its peak stress)"),
        "f_o": ("MPa", "proof strength"), "gamma_M0": ("-", "partial factor"),
    },
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Bar:
    """A rectangle of a section: width along the neutral axis, height across it, height of its middle."""

    width_mm: float
    height_mm: float
    middle_mm: float


@dataclass(frozen=True, slots=True)
class Section:
    """Area, height of the centroid, second moment about it, and the two section moduli (to the lower and upper face)."""

    area_mm2: float
    centroid_mm: float
    inertia_mm4: float
    lower_mm3: float
    upper_mm3: float

    @property
    def least_mm3(self) -> float:
        """The smaller section modulus."""
        return min(self.lower_mm3, self.upper_mm3)


def section(bars: Sequence[Bar]) -> Section:
    """Section made of rectangles side by side or on top of each other: I = sum(I_i + A_i d_i^2)."""
    areas = [b.width_mm * b.height_mm for b in bars]
    area = sum(areas)
    if area <= 0.0:
        raise DesignError("section", "it has no area", f"{list(bars)}", "Give every bar a width and a height.")
    centroid = sum(a * b.middle_mm for a, b in zip(areas, bars, strict=True)) / area
    inertia = sum(
        a * (b.height_mm**2 / 12.0 + (b.middle_mm - centroid) ** 2) for a, b in zip(areas, bars, strict=True)
    )  # fmt: skip
    low = min(b.middle_mm - b.height_mm / 2.0 for b in bars)
    high = max(b.middle_mm + b.height_mm / 2.0 for b in bars)
    return Section(area, centroid, inertia, inertia / (centroid - low), inertia / (high - centroid))


@dataclass(frozen=True, slots=True)
class BeamResult:
    """Greatest bending moment and shear, and greatest deflection, as sizes."""

    moment_nmm: float
    shear_n: float
    deflection_mm: float


def simple_udl(w_n_mm: float, span_mm: float, ei_nmm2: float) -> BeamResult:
    """Simply supported, uniform load: w L^2/8, w L/2, 5 w L^4/(384 EI)."""
    w, length = abs(w_n_mm), span_mm
    return BeamResult(w * length**2 / 8.0, w * length / 2.0, 5.0 * w * length**4 / (384.0 * ei_nmm2))


def clamped_udl(w_n_mm: float, span_mm: float, ei_nmm2: float) -> BeamResult:
    """Clamped at both ends, uniform load: w L^2/12 at the ends, w L/2, w L^4/(384 EI)."""
    w, length = abs(w_n_mm), span_mm
    return BeamResult(w * length**2 / 12.0, w * length / 2.0, w * length**4 / (384.0 * ei_nmm2))


def simple_points(loads: Sequence[tuple[float, float]], span_mm: float, ei_nmm2: float) -> BeamResult:
    """Simply supported under point loads (distance from the left end in mm, force in N with sign).

    Moments are exact at the loads; the deflection is sampled at 201 places.
    """
    moment, shear = simple_forces(loads, span_mm)
    x = np.linspace(0.0, span_mm, 201)
    y = sum((_point_deflection(x, at, p, span_mm) for at, p in loads), np.zeros_like(x))
    return BeamResult(moment, shear, float(np.abs(y).max()) / ei_nmm2)


def simple_forces(loads: Sequence[tuple[float, Any]], span_mm: float) -> tuple[Any, Any]:
    """Greatest moment and shear of `simple_points` alone; the forces may be arrays, one per load of the beam."""
    for at, _ in loads:
        if not 0.0 <= at <= span_mm:
            raise DesignError("beam", "a load stands outside the span", f"{at:g} of {span_mm:g} mm", "Move it inside.")
    left = sum(p * (span_mm - at) for at, p in loads) / span_mm
    moments = [left * at - sum(p * (at - other) for other, p in loads if other < at) for at, _ in loads]
    ends = [abs(left), abs(sum(p for _, p in loads) - left)]
    inner = _shears(sorted(loads, key=lambda load: load[0]), left)
    return greatest([abs(m) for m in moments]), greatest([*ends, *inner])


def simple_sag(loads: Sequence[tuple[float, Any]], span_mm: float) -> Any:
    """E I times the greatest deflection of `simple_points` at 41 places; the forces may be arrays, one per load of the beam."""
    x = np.linspace(0.0, span_mm, 41)
    y = sum((np.multiply.outer(_point_deflection(x, at, 1.0, span_mm), p) for at, p in loads), np.zeros(1))
    return np.abs(y).max(axis=0)


def couple_on_simple(couple_nmm: float, at_mm: float, span_mm: float, ei_nmm2: float) -> BeamResult:
    """Simply supported under a couple: moment jumps by C at the place, the greater side is C max(a, L - a)/L."""
    size, long = abs(couple_nmm), max(at_mm, span_mm - at_mm)
    return BeamResult(size * long / span_mm, size / span_mm, size * span_mm**2 / (9.0 * 3.0**0.5 * ei_nmm2))


@dataclass(frozen=True, slots=True)
class ContinuousBeam:
    """Equal spans on rigid supports under a uniform load: reactions in wL, greatest support and span moments in wL^2."""

    reactions: tuple[float, ...]
    support_moment: float
    span_moment: float


def continuous_equal_spans(spans: int) -> ContinuousBeam:
    """Coefficients of a continuous beam on spans + 1 rigid supports, by the three-moment equation.

    2 spans: reactions 0.375, 1.25, 0.375 and moment 0.125; 3 spans: 0.4, 1.1, 1.1, 0.4 and 0.1.
    """
    if spans < 1:
        raise DesignError("beam", "a beam has at least one span", f"{spans}", "Give 1 or more.")
    inner = spans - 1
    moments = np.zeros(spans + 1)
    if inner:
        matrix = 4.0 * np.eye(inner) + np.eye(inner, k=1) + np.eye(inner, k=-1)
        moments[1:-1] = np.linalg.solve(matrix, np.full(inner, -0.5))
    left = 0.5 + np.diff(moments)  # shear at the left end of each span
    right = 1.0 - left
    reactions = np.concatenate([[left[0]], right[:-1] + left[1:], [right[-1]]])
    span = moments[:-1] + left**2 / 2.0
    return ContinuousBeam(tuple(float(r) for r in reactions), float(-moments.min()), float(span.max()))


def bending_check(
    part: str, case: str, result: BeamResult, shape: Section, shear_area_mm2: float, proof_mpa: float, gamma_m0: float,
    axial_n: float = 0.0, note: str = "",
) -> Check:  # fmt: skip
    """Greatest moment and greatest shear taken at one place, with an axial force of either sign added as a size."""
    return BENDING.check(
        part, case, note, M=result.moment_nmm, W=shape.least_mm3, N=abs(axial_n), A=shape.area_mm2, V=result.shear_n,
        A_v=shear_area_mm2, f_o=proof_mpa, gamma_M0=gamma_m0,
    )  # fmt: skip


def _shears(loads: Sequence[tuple[float, Any]], left: Any) -> list[Any]:
    shears, shear = [], left
    for _, force in loads:
        shear -= force
        shears.append(abs(shear))
    return shears


def _point_deflection(x: np.ndarray, at: float, force: float, span: float) -> np.ndarray:
    """EI times the deflection of a simple beam under one force."""
    b = span - at
    near = force * b * x * (span**2 - b**2 - x**2) / (6.0 * span)
    return near + np.where(x > at, force * (x - at) ** 3 / 6.0, 0.0)
