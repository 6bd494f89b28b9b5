"""Exact area integrals of plane outlines with straight edges and arcs."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final

import numpy as np

from layout.design.profile import Hole, Loop, Profile
from layout.frames import Array

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(32)
_PI: Final = math.pi


@dataclass(frozen=True, slots=True)
class AreaMoments:
    """Integrals over a plane region, about the origin of its own axes.

    area_mm2; x_mm3, y_mm3: integrals of x and y; xx_mm4, yy_mm4, xy_mm4: integrals of x*x, y*y and x*y. (So the second
    moment of area for bending about the x axis is yy_mm4 less area * centroid_y**2.)
    """

    area_mm2: float = 0.0
    x_mm3: float = 0.0
    y_mm3: float = 0.0
    xx_mm4: float = 0.0
    yy_mm4: float = 0.0
    xy_mm4: float = 0.0

    def __add__(self, other: AreaMoments) -> AreaMoments:
        return self._mixed(other, 1.0)

    def __sub__(self, other: AreaMoments) -> AreaMoments:
        return self._mixed(other, -1.0)

    def _mixed(self, other: AreaMoments, sign: float) -> AreaMoments:
        return AreaMoments(
            self.area_mm2 + sign * other.area_mm2,
            self.x_mm3 + sign * other.x_mm3,
            self.y_mm3 + sign * other.y_mm3,
            self.xx_mm4 + sign * other.xx_mm4,
            self.yy_mm4 + sign * other.yy_mm4,
            self.xy_mm4 + sign * other.xy_mm4,
        )

    @property
    def centroid_mm(self) -> tuple[float, float]:
        """Centre of area."""
        return (self.x_mm3 / self.area_mm2, self.y_mm3 / self.area_mm2)

    @property
    def about_centroid(self) -> AreaMoments:
        """The same region about axes through its centroid (first moments zero)."""
        cx, cy = self.centroid_mm
        a = self.area_mm2
        return AreaMoments(a, 0.0, 0.0, self.xx_mm4 - a * cx * cx, self.yy_mm4 - a * cy * cy, self.xy_mm4 - a * cx * cy)


def loop_moments(loop: Loop) -> AreaMoments:
    """Signed integrals of a closed outline (positive where it runs anticlockwise).

    Green's theorem: a region's integral of f is the outline's integral of F dy with dF/dx = f. The outline's integrands are
    polynomials on straight edges and trigonometric polynomials on arcs; Gauss-Legendre with 32 nodes per edge takes
    both to machine accuracy. Coordinates are taken from the first vertex, so that a far origin costs no digits.
    """
    data = np.asarray(loop, dtype=float)
    base = data[0, :2].copy()
    x, y, dy = _edge_points(data, base)
    m = [
        float((_WEIGHTS * g).sum())
        for g in (x * dy, x * x / 2 * dy, x * y * dy, x**3 / 3 * dy, x * y * y * dy, x * x / 2 * y * dy)
    ]
    return _shifted(AreaMoments(*m), base[0], base[1])


def _edge_points(data: Array, base: Array) -> tuple[Array, Array, Array]:
    """x, y and dy/ds at the nodes s in [-1, 1] of every edge, each of shape (edges, nodes).

    On an arc of half angle a over a chord of length c the point at angle s*a from the middle lies R sin(sa) along the chord
    and R (cos sa - cos a) off it, written as a product so that shallow arcs lose no digits; R = c / (2 sin a).
    """
    start = data[:, :2] - base
    end = np.roll(start, -1, axis=0)
    chord, middle = end - start, (start + end) / 2.0
    length = np.hypot(chord[:, 0], chord[:, 1])
    along = chord / np.where(length > 0.0, length, 1.0)[:, None]
    bulge = data[:, 2]
    straight = np.abs(bulge) < 1e-12
    a = np.where(straight, 1.0, 2.0 * np.arctan(np.abs(bulge)))[:, None]
    radius = length[:, None] / (2.0 * np.sin(a))
    s = _NODES[None, :]
    u = np.where(straight[:, None], s * length[:, None] / 2.0, radius * np.sin(s * a))
    off = np.where(straight[:, None], 0.0, 2.0 * radius * np.sin((a + s * a) / 2.0) * np.sin((a - s * a) / 2.0))
    du = np.where(straight[:, None], length[:, None] / 2.0, radius * a * np.cos(s * a))
    doff = np.where(straight[:, None], 0.0, -radius * a * np.sin(s * a))
    side = np.sign(bulge)[:, None]  # an arc that turns anticlockwise lies to the right of its chord
    right_x, right_y = along[:, 1:2], -along[:, 0:1]
    x = middle[:, 0:1] + along[:, 0:1] * u + side * right_x * off
    y = middle[:, 1:2] + along[:, 1:2] * u + side * right_y * off
    return x, y, along[:, 1:2] * du + side * right_y * doff


def _shifted(m: AreaMoments, dx: float, dy: float) -> AreaMoments:
    """The same region moved by (dx, dy)."""
    a = m.area_mm2
    return AreaMoments(
        a,
        m.x_mm3 + a * dx,
        m.y_mm3 + a * dy,
        m.xx_mm4 + 2 * dx * m.x_mm3 + a * dx * dx,
        m.yy_mm4 + 2 * dy * m.y_mm3 + a * dy * dy,
        m.xy_mm4 + dx * m.y_mm3 + dy * m.x_mm3 + a * dx * dy,
    )


def hole_moments(hole: Hole) -> AreaMoments:
    """Integrals of a round hole (closed form) or a slot (rectangle and two half circles), positive."""
    r, (cx, cy), s = hole.diameter_mm / 2.0, hole.centre_mm, hole.slot_mm
    disc = _PI * r * r
    quarter = disc * r * r / 4.0
    if s == 0.0:
        return _shifted(AreaMoments(disc, 0.0, 0.0, quarter, quarter, 0.0), cx, cy)
    area = disc + 2.0 * r * s
    d = s / 2.0
    # along the slot: rectangle (2r) s^3/12; half discs by their own centroids 4r/(3 pi) beyond the end centres
    end = 4.0 * r / (3.0 * _PI)
    along = 2.0 * r * s**3 / 12.0 + quarter - disc * end * end + disc * (d + end) ** 2
    across = s * (2.0 * r) ** 3 / 12.0 + quarter
    c, n = math.cos(math.radians(hole.slot_angle_deg)), math.sin(math.radians(hole.slot_angle_deg))
    xx, yy = along * c * c + across * n * n, along * n * n + across * c * c
    return _shifted(AreaMoments(area, 0.0, 0.0, xx, yy, (along - across) * c * n), cx, cy)


def profile_moments(profile: Profile) -> AreaMoments:
    """Integrals of the plate's face: outline less holes, slots and cut-outs, arcs exact."""
    total = loop_moments(profile.outline)
    for hole in profile.holes:
        total = total - hole_moments(hole)
    for cutout in profile.cutouts:
        inner = loop_moments(cutout)
        total = total - inner if inner.area_mm2 > 0.0 else total + inner
    return total
