"""How a flexible tray shares a vertical load among its mounts.

A rigid body shares by stiffness alone and gives middle mounts too little: measured against finite elements, 30 to 37 %
too little for six mounts under a 3 mm tray. Here the tray bends on mounts that do not give, under a pressure that varies
linearly so that force and moments are those of the case. Ten trays bound the share:

- a bare sheet, a sheet with stiff edges, and a sheet with rails along x or along y: thin plates with free edges;
- a continuous beam along x, and along y: stiff across, so that it bends one way only (two equal spans give 0.375, 1.25,
  0.375 of w L, the classical result);
- rails along x that rest on beams along y at both ends, and the other way round: once with the mounts in between
  holding, once with those at the two ends alone (found by finite elements: eight mounts and two module rails along the
  rows load the corner mounts 1.7 times as much as a rigid body does).

Method: Ritz with products of Legendre polynomials, energy of bending of a thin plate (Timoshenko and Woinowsky-Krieger,
Theory of Plates and Shells, 2nd ed., from memory), supports by Lagrange multipliers with a very small compliance.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.polynomial import legendre

from layout.frames import Array


@dataclass(frozen=True)
class Tray:
    """A way in which a tray may bend.

    bend_x, bend_y, twist: shares of the plate's bending and twisting stiffness; edge: bending stiffness of the four
    edges over that of the sheet times half its lesser width; terms: number of polynomials along x and y. ends: axis (0, 1)
    at whose two ends alone the mounts hold; None: all hold.
    """

    name: str
    bend_x: float = 1.0
    bend_y: float = 1.0
    twist: float = 1.0
    edge: float = 0.0
    terms: tuple[int, int] = (9, 9)
    ends: int | None = None


TRAYS: Final = (
    Tray("soft tray, bare sheet"),
    Tray("soft tray, stiff edges", edge=300.0),
    Tray("soft tray, rails along x", bend_x=400.0),
    Tray("soft tray, rails along y", bend_y=400.0),
    Tray("continuous beam along x", bend_y=0.0, twist=1e-3, terms=(21, 2)),
    Tray("continuous beam along y", bend_x=0.0, twist=1e-3, terms=(2, 21)),
    Tray("rails along x on beams along y", bend_x=0.0, bend_y=0.0, twist=1e-3, edge=1.0, terms=(2, 21)),
    Tray("rails along y on beams along x", bend_x=0.0, bend_y=0.0, twist=1e-3, edge=1.0, terms=(21, 2)),
    Tray("rails along x on both ends alone", bend_x=0.0, bend_y=0.0, twist=1e-3, edge=1.0, terms=(2, 21), ends=0),
    Tray("rails along y on both ends alone", bend_x=0.0, bend_y=0.0, twist=1e-3, edge=1.0, terms=(21, 2), ends=1),
)

_POISSON: Final = 0.3
_GIVE: Final = 1e-6
_END: Final = 0.15
"""Share of the mounts' spread within which a mount counts as lying at an end."""


def _values(x: Array, terms: int, derivative: int = 0) -> Array:
    """Values of the polynomials (or a derivative of them) at points x: shape (terms, len(x))."""
    plain = np.asarray(legendre.legvander(x, terms - 1), dtype=float).T
    return plain if derivative == 0 else _derivatives(terms, derivative) @ plain


@lru_cache(maxsize=8)
def _derivatives(terms: int, order: int) -> Array:
    """Derivatives of the polynomials as sums of the polynomials: row i holds the coefficients of the order-th one of Pi."""
    coefficients = legendre.legder(np.eye(terms), order)
    rows = np.zeros((terms, terms))
    rows[:, : coefficients.shape[0]] = coefficients.T
    return rows


@lru_cache(maxsize=8)
def _gauss(points: int) -> tuple[Array, Array]:
    """Points and weights of Gauss-Legendre quadrature over -1..1."""
    x, w = legendre.leggauss(points)
    return np.asarray(x, dtype=float), np.asarray(w, dtype=float)


@lru_cache(maxsize=8)
def _integrals(terms: int) -> tuple[Array, Array, Array, Array]:
    """Integrals over -1..1 of Pi Pj, Pi' Pj', Pi'' Pj'', Pi Pj''."""
    x, w = _gauss(terms + 2)
    p, d, dd = (_values(x, terms, order) for order in range(3))
    return (p * w) @ p.T, (d * w) @ d.T, (dd * w) @ dd.T, (p * w) @ dd.T


def _energy(a: float, b: float, tray: Tray) -> Array:
    """Stiffness of a plate of half sizes a, b and bending stiffness 1, with edge beams; shape (terms, terms)."""
    x0, x1, x2, x02 = _integrals(tray.terms[0])
    y0, y1, y2, y02 = _integrals(tray.terms[1])
    k = tray.bend_x * b / a**3 * np.kron(x2, y0) + tray.bend_y * a / b**3 * np.kron(x0, y2)
    both = _POISSON * min(tray.bend_x, tray.bend_y) / (a * b)
    k += both * (np.kron(x02, y02.T) + np.kron(x02.T, y02))
    k += 2.0 * (1.0 - _POISSON) * tray.twist / (a * b) * np.kron(x1, y1)
    for side in (-1.0, 1.0) if tray.edge else ():
        at_x, at_y = (_values(np.array([side]), n) for n in tray.terms)
        k += tray.edge * min(a, b) * (np.kron(x2, at_y @ at_y.T) / a**3 + np.kron(at_x @ at_x.T, y2) / b**3)
    return k


def tray_share(plan_mm: Array, low_mm: Array, high_mm: Array, tray: Tray) -> Array | None:
    """Vertical force on each mount per unit of (vertical force, moment x F, moment y F): shape (N, 3).

    plan_mm: mounts in plan (N, 2); low_mm, high_mm: corners of the loaded rectangle (2,), same axes and origin as the
    moments. None where the mounts lie on one line in plan, so that no tray could rest on them.
    """
    plan = tuple(tuple(float(v) for v in p) for p in np.round(plan_mm, 6))
    low, high = (tuple(float(v) for v in np.round(corner, 6)) for corner in (low_mm, high_mm))
    if tray.ends is None:
        return _tray_share(plan, low, high, tray)
    along = np.array(plan)[:, tray.ends]
    holds = np.minimum(along - along.min(), along.max() - along) <= _END * np.ptp(along)
    share = _tray_share(tuple(p for p, h in zip(plan, holds, strict=True) if h), low, high, tray)
    if share is None or share[:, 0].min() < 0.0:  # the load does not lie between the mounts at the ends
        return None
    out = np.zeros((len(plan), 3))
    out[holds] = share
    return out


@lru_cache(maxsize=512)
def _tray_share(
    plan: tuple[tuple[float, ...], ...], low: tuple[float, ...], high: tuple[float, ...], tray: Tray
) -> Array | None:
    points, lo, hi = np.array(plan), np.array(low), np.array(high)
    spread = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)
    if len(points) < 3 or spread[1] < 1e-3 * spread[0] or not np.all(hi > lo):
        return None
    outer_lo, outer_hi = np.minimum(lo, points.min(axis=0)), np.maximum(hi, points.max(axis=0))
    centre, half = (outer_lo + outer_hi) / 2.0, (outer_hi - outer_lo) / 2.0
    own = (points - centre) / half
    nx, ny = tray.terms
    supports = np.einsum("in,jn->nij", _values(own[:, 0], nx), _values(own[:, 1], ny)).reshape(len(points), -1)
    loads, wrench = _loads((lo - centre) / half, (hi - centre) / half, centre, half, tray.terms)
    k = _energy(half[0], half[1], tray)
    give = _GIVE * half[0] * half[1]
    full = np.block([[k, supports.T], [supports, -give * np.eye(len(points))]])
    right = np.vstack([loads, np.zeros((len(points), 3))])
    forces = np.linalg.solve(full, right)[k.shape[0] :]
    answer: Array = forces @ np.linalg.inv(wrench)
    answer.flags.writeable = False
    return answer


def _loads(lo: Array, hi: Array, centre: Array, half: Array, terms: tuple[int, int]) -> tuple[Array, Array]:
    """Work of the pressures 1, x, y on each polynomial (terms, 3), and their (force, x moment, y moment) as columns."""
    plain, sloped, moments = [], [], []
    for i in range(2):
        g, w = _gauss(terms[i] + 2)
        own = (lo[i] + hi[i]) / 2.0 + (hi[i] - lo[i]) / 2.0 * g
        weight, place = w * (hi[i] - lo[i]) / 2.0 * half[i], centre[i] + half[i] * own
        plain.append(_values(own, terms[i]) @ weight)
        sloped.append(_values(own, terms[i]) @ (weight * place))
        moments.append([float((weight * place**p).sum()) for p in range(3)])
    work = np.stack([np.kron(plain[0], plain[1]), np.kron(sloped[0], plain[1]), np.kron(plain[0], sloped[1])], axis=1)
    (x0, x1, x2), (y0, y1, y2) = moments
    wrench = np.array([[x0 * y0, x1 * y0, x0 * y1], [x1 * y0, x2 * y0, x1 * y1], [x0 * y1, x1 * y1, x0 * y2]])
    return work, wrench
