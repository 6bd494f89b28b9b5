"""Rectangular plates of uniform thickness by series, small deflections: coefficients of stress and deflection.

Sides in any order, b the shorter one; sigma = beta q b^2/t^2, y = alpha q b^4/(E t^3); nu is Poisson's ratio. Results are
kept, since a design asks for the same panel in every load case.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Any

import numpy as np

from layout.errors import DesignError

LONG = 4.0
"""From this ratio of the sides on, a clamped plate is taken as infinitely long (its coefficients no longer rise)."""
_TERMS = 8


@dataclass(frozen=True, slots=True)
class PlateFactors:
    """beta: greatest equivalent bending stress anywhere; centre, edge (middle of the long edge) and corner apart; alpha:
    deflection of the middle.
    """

    beta: float
    centre: float
    edge: float
    corner: float
    alpha: float


def simply_supported(a_mm: float, b_mm: float, poisson: float = 0.3) -> PlateFactors:
    """All edges simply supported, corners held down, uniform pressure.

    Levy's series (Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, 2nd ed., art. 30), short side 1, long side r:
    w = q/D sum (c + A cosh + B (m pi y) sinh) sin(m pi x), c = 4/(m pi)^5. centre: the greater moment at the middle; corner:
    sqrt(3) times the twisting stress, which exceeds it in plates near to square.
    """
    return _simply_supported(_ratio(a_mm, b_mm), poisson)


def clamped(a_mm: float, b_mm: float, poisson: float = 0.3) -> PlateFactors:
    """All edges clamped, uniform pressure: Ritz with polynomials that vanish with their slope on the edges.

    Beyond a ratio of sides of 4: the infinitely long plate, q b^2/12 at the edge, q b^2/24 at the middle.
    """
    return _clamped(_ratio(a_mm, b_mm), poisson)


def patch_moment(
    a_mm: float, b_mm: float, patch_mm: tuple[float, float], at_mm: tuple[float, float], poisson: float = 0.3
) -> float:
    """Greatest bending moment per mm, over the force, under the middle of a rectangular patch on a simply supported plate.

    patch_mm: sides of the patch along a and b; at_mm: its middle from a corner. Navier's double series (Timoshenko, art.
    29). sigma = 6 M F/t^2. Raises DesignError where the patch does not lie on the plate.
    """
    (u, v), (x, y) = patch_mm, at_mm
    inside = min(u, v) > 0.0 and u / 2.0 <= x <= a_mm - u / 2.0 and v / 2.0 <= y <= b_mm - v / 2.0
    if not inside:
        raise DesignError("panel", "a loaded patch lies outside the panel", f"{patch_mm} at {at_mm} on {a_mm:g} x {b_mm:g} mm",
                          "Move it inside, or split it.")  # fmt: skip
    return _patch(a_mm / b_mm, u / b_mm, v / b_mm, x / b_mm, y / b_mm, poisson)


def _ratio(a_mm: float, b_mm: float) -> float:
    if not (a_mm > 0.0 and b_mm > 0.0 and math.isfinite(a_mm) and math.isfinite(b_mm)):
        raise DesignError("panel", "its sides must be above 0", f"{a_mm:g} x {b_mm:g} mm", "Give both sides.")
    return max(a_mm, b_mm) / min(a_mm, b_mm)


@lru_cache(maxsize=4096)
def _simply_supported(ratio: float, nu: float) -> PlateFactors:
    m = np.arange(1.0, 80.0, 2.0)
    k = m * math.pi
    sign = np.where(m % 4.0 == 1.0, 1.0, -1.0)
    u = np.minimum(k * ratio / 2.0, 300.0)
    c, sech = 4.0 / k**5, 1.0 / np.cosh(u)
    first = -0.5 * c * (u * np.tanh(u) + 2.0) * sech
    second = 0.5 * c * sech
    deflection = 5.0 / 384.0 + float((sign * first).sum())
    moment = 1.0 / 8.0 + float((sign * k**2 * (first - nu * (first + 2.0 * second))).sum())
    twist = (1.0 - nu) * float((k**2 * 0.5 * c * (np.tanh(u) - u * sech**2)).sum())
    centre, corner = 6.0 * moment, 6.0 * math.sqrt(3.0) * twist
    return PlateFactors(max(centre, corner), centre, 0.0, corner, 12.0 * (1.0 - nu**2) * deflection)


@cache
def _ritz() -> tuple[Any, Any, Any, Any, Any, Any]:
    """Integrals over (-1, 1) of the shapes (1 - x^2)^2 P_2i(x): second x second derivative, plain x plain, second x plain,
    plain; and the shapes at 0 and their second derivatives at 0 and 1.
    """
    from numpy.polynomial import Polynomial
    from numpy.polynomial.legendre import Legendre

    edge = Polynomial([1.0, 0.0, -1.0]) ** 2
    shapes = [edge * Legendre.basis(2 * i).convert(kind=Polynomial) for i in range(_TERMS)]
    x, w = np.polynomial.legendre.leggauss(2 * _TERMS + 6)
    f = np.array([s(x) for s in shapes])
    f2 = np.array([s.deriv(2)(x) for s in shapes])
    at = (np.array([s(0.0) for s in shapes]), np.array([s.deriv(2)(0.0) for s in shapes]),
          np.array([s.deriv(2)(1.0) for s in shapes]))  # fmt: skip
    return (f2 * w) @ f2.T, (f * w) @ f.T, (f2 * w) @ f.T, f @ w, at[0], (at[1], at[2])


@lru_cache(maxsize=4096)
def _clamped(ratio: float, nu: float) -> PlateFactors:
    if ratio >= LONG:
        return PlateFactors(0.5, 0.25, 0.5, 0.0, 12.0 * (1.0 - nu**2) / 384.0)
    bend, plain, mixed, load, at0, (second0, second1) = _ritz()
    r2 = ratio**2
    stiff = np.kron(bend, plain) / r2**2 + np.kron(plain, bend) + (np.kron(mixed, mixed.T) + np.kron(mixed.T, mixed)) / r2
    shape = np.linalg.solve(16.0 * stiff, np.kron(load, load)).reshape(_TERMS, _TERMS)
    deflection = float(at0 @ shape @ at0)
    short, long = -4.0 * float(at0 @ shape @ second0), -4.0 / r2 * float(second0 @ shape @ at0)
    edge = 6.0 * abs(4.0 * float(at0 @ shape @ second1))
    centre = 6.0 * (short + nu * long)
    return PlateFactors(max(edge, centre), centre, edge, 0.0, 12.0 * (1.0 - nu**2) * deflection)


@lru_cache(maxsize=4096)
def _patch(ratio: float, u: float, v: float, x: float, y: float, nu: float) -> float:
    """Short side 1, long side `ratio`: the greater of both moments at the middle of the patch, for a force of 1."""
    terms = int(min(max(8.0 * ratio / min(u, v), 60.0), 400.0))
    m = np.arange(1.0, terms + 1.0)[:, None] * math.pi / ratio
    n = np.arange(1.0, terms + 1.0)[None, :] * math.pi
    along_a, along_b = np.sin(m * x) ** 2 * np.sin(m * u / 2.0) / m, np.sin(n * y) ** 2 * np.sin(n * v / 2.0) / n
    load = 16.0 / (ratio * u * v) * along_a * along_b
    shape = load / (m**2 + n**2) ** 2
    along, across = float((shape * (m**2 + nu * n**2)).sum()), float((shape * (n**2 + nu * m**2)).sum())
    return max(along, across)
