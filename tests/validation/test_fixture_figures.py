"""Fixings, covers and lifting points against published figures and finite elements, each with its source."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from layout.checks.covers import GASKET_PITCH, moment_under_feet_n, opening_checks
from layout.checks.lifting import eye_checks, leg_share
from layout.checks.packing import packed_checks, packed_resistance_n
from layout.checks.plates import Panel
from layout.tables.lifting_eyes import lifting_eye


@pytest.mark.parametrize(
    ("size", "axial", "at_45", "at_90"), [("M8", 140, 100, 70), ("M10", 230, 170, 115), ("M12", 340, 240, 170)]
)
def test_working_loads_of_lifting_eyes(size: str, axial: float, at_45: float, at_90: float) -> None:
    """DIN 580 Annex A Table A.1 (axial, 45 degrees: two fastener makers; 90 degrees: a third one's catalogue, edition 2010)."""
    eye = lifting_eye(size)
    assert (eye.axial_kg, eye.at_45_deg_kg, eye.at_90_deg_kg) == (axial, at_45, at_90)


def test_two_legs_of_four_at_45_degrees() -> None:
    """Rule of two-leg slings: each leg carries m/(2 cos 45) = 0.707 m, the factor 1.41 of sling tables for a pair."""
    square = ((0.0, 0.0), (400.0, 0.0), (400.0, 300.0), (0.0, 300.0))
    share = leg_share((200.0, 150.0), square)
    assert share == pytest.approx(0.5)
    first = eye_checks("eye", lifting_eye("M12"), 200.0, share, 45.0, 0.0, 100.0)[0]
    assert first.demand == pytest.approx(200.0 * 0.7071, rel=1e-4)
    assert leg_share((300.0, 150.0), square) > 0.6  # off the middle one leg carries more
    assert leg_share((900.0, 150.0), square) == math.inf


@pytest.mark.parametrize(
    ("packing", "factor"), [(0.0, 1.0), (2.0, 1.0), (6.0, 9.0 / 11.0), (10.0, 54.0 / 78.0), (18.0, 54.0 / 102.0)]
)
def test_bolts_through_packing(packing: float, factor: float) -> None:
    """EN 1993-1-8 3.6.1(12): beta_p = 9 d/(8 d + 3 t_p) beyond d/3 (seen in Steel Buildings in Europe, Part 5), M6."""
    plain = packed_resistance_n("M6", "8.8", 0.0)
    assert plain == pytest.approx(0.6 * 800.0 * 20.1 / 1.25)
    assert packed_resistance_n("M6", "8.8", packing) / plain == pytest.approx(factor)
    shear, both = packed_checks("a", "c", "M6", "8.8", 1000.0, 2000.0, packing)
    assert shear.capacity == pytest.approx(plain * factor)
    assert both.demand == pytest.approx(2000.0 / (plain * factor) + 1000.0 / (1.4 * 0.9 * 800.0 * 20.1 / 1.25))


def test_pitch_by_the_gasket_is_a_clamped_strip() -> None:
    """At the pitch allowed a strip clamped at its screws sags q p^4/(384 E I) = dh, q = (13 q_1 + 2 q_2)/15 (Roark, beams)."""
    e, t, dh, low, high = 70000.0, 3.0, 0.3, 0.035, 0.065
    check = GASKET_PITCH.check("cover", "in service", "", p=75.0, E=e, t=t, dh=dh, q_1=low, q_2=high)
    assert check.capacity is not None
    q = (13.0 * low + 2.0 * high) / 15.0
    assert q * check.capacity**4 / (384.0 * e * t**3 / 12.0) == pytest.approx(dh)


def test_moment_under_feet_covers_a_point_between_them() -> None:
    """Finite difference solution of the plate under four patches never exceeds the moments added (nu 0.33)."""
    panel = Panel("5083-H111", 3.0, 200.0, 120.0, "simply supported", welded=False)
    places = ((50.0, 30.0), (150.0, 30.0), (150.0, 90.0), (50.0, 90.0))
    added = moment_under_feet_n(panel, 15.0, places, (100.0,) * 4)
    assert added > _finite_difference_moment(200.0, 120.0, 5.0, places, 15.0, 100.0, panel.metal.poisson)


def _finite_difference_moment(
    a: float, b: float, step: float, places: tuple[tuple[float, float], ...], patch: float, force: float, nu: float
) -> float:
    """Greatest bending moment per mm of a simply supported plate by two Poisson solves (Marcus), forces on square patches."""
    nx, ny = round(a / step) - 1, round(b / step) - 1
    x, y = (np.arange(1, nx + 1) * step)[:, None], (np.arange(1, ny + 1) * step)[None, :]
    load = np.zeros((nx, ny))
    for px, py in places:
        mask = (np.abs(x - px) <= patch / 2.0) & (np.abs(y - py) <= patch / 2.0)
        load += np.where(mask, force / (mask.sum() * step**2), 0.0)

    def second(n: int) -> np.ndarray:
        return (np.diag(-2.0 * np.ones(n)) + np.diag(np.ones(n - 1), 1) + np.diag(np.ones(n - 1), -1)) / step**2

    laplace = np.kron(second(nx), np.eye(ny)) + np.kron(np.eye(nx), second(ny))
    w = np.linalg.solve(laplace, np.linalg.solve(laplace, load.ravel())).reshape(nx, ny)
    mx, my = -(second(nx) @ w + nu * w @ second(ny)), -(w @ second(ny) + nu * second(nx) @ w)
    return float(max(np.abs(mx).max(), np.abs(my).max()))


@pytest.mark.parametrize(
    ("opening", "at"),
    [((190.0, 120.0), (220.0, 200.0)), ((190.0, 120.0), (130.0, 110.0)), ((120.0, 120.0), (300.0, 250.0))],
)
def test_panel_with_rimmed_opening_against_finite_elements(opening: tuple[float, float], at: tuple[float, float]) -> None:
    """Morley's plate element on a simply supported panel with a hole and a thick rim round it that carries the force evenly.

    The sheet's greatest stress at the toe of the rim's weld (3 mm off the rim: at its sharp corner itself the plate's stress
    has no bound, where in truth the fillet lies) stays below the hand figure, which is at most four times it.
    """
    panel, rim = Panel("5083-H111", 3.0, 440.0, 446.0, "simply supported"), (21.0, 10.0)
    hand = opening_checks("wall", "c", panel, rim, opening, at, 500.0, 0.0)[0].demand
    found = _rimmed_stress(panel, rim, opening, at, 500.0, 5.0, 3.0)
    assert hand / 4.0 < found < hand


def _rimmed_stress(
    panel: Panel, rim: tuple[float, float], opening: tuple[float, float], at: tuple[float, float], force: float, step: float,
    off_mm: float,
) -> float:  # fmt: skip
    """Greatest equivalent bending stress of the sheet off_mm or more outside the rim, MPa. step: size of the elements."""
    from skfem import Basis, BilinearForm, ElementTriMorley, LinearForm, MeshTri, condense, solve
    from skfem.helpers import dd, ddot, trace

    e, nu, t = panel.metal.e_mpa, panel.metal.poisson, panel.thickness_mm
    u0, u1, v0, v1 = at[0] - opening[0] / 2, at[0] + opening[0] / 2, at[1] - opening[1] / 2, at[1] + opening[1] / 2
    w, h = rim

    def lines(size: float, marks: list[float]) -> np.ndarray:
        pairs = pairwise(sorted({0.0, size, *marks}))
        return np.unique(np.concatenate([np.linspace(p, q, max(2, round((q - p) / step) + 1)) for p, q in pairs]))

    mesh = MeshTri.init_tensor(
        lines(panel.a_mm, [u0 - w, u0, u1, u1 + w]), lines(panel.b_mm, [v0 - w, v0, v1, v1 + w])
    )
    cx, cy = mesh.p[:, mesh.t].mean(axis=1)
    hole = (cx > u0) & (cx < u1) & (cy > v0) & (cy < v1)
    mesh = mesh.remove_elements(np.flatnonzero(hole))
    cx, cy = mesh.p[:, mesh.t].mean(axis=1)
    ring = (cx > u0 - w) & (cx < u1 + w) & (cy > v0 - w) & (cy < v1 + w)
    thick = np.where(ring, h + t, t)
    basis = Basis(mesh, ElementTriMorley())
    d = (e * thick**3 / (12.0 * (1.0 - nu**2)))[:, None]
    area = (opening[0] + 2 * w) * (opening[1] + 2 * w) - opening[0] * opening[1]
    q = np.where(ring, force / area, 0.0)[:, None]

    @BilinearForm
    def stiffness(u, v, ww):
        return ww.d * ((1.0 - nu) * ddot(dd(u), dd(v)) + nu * trace(dd(u)) * trace(dd(v)))

    @LinearForm
    def load(v, ww):
        return ww.q * v

    shape = basis.global_coordinates().shape[1:]
    system = stiffness.assemble(basis, d=np.broadcast_to(d, shape)), load.assemble(basis, q=np.broadcast_to(q, shape))
    edge = mesh.nodes_satisfying(
        lambda p: (p[0] < 1e-6) | (p[0] > panel.a_mm - 1e-6) | (p[1] < 1e-6) | (p[1] > panel.b_mm - 1e-6)
    )
    held = basis.nodal_dofs[0, edge]
    solution = solve(*condense(*system, D=held))
    hess = basis.interpolate(solution).hess.mean(axis=-1)
    mx, my, mxy = hess[0, 0] + nu * hess[1, 1], hess[1, 1] + nu * hess[0, 0], (1.0 - nu) * hess[0, 1]
    plain = e * t**3 / (12.0 * (1.0 - nu**2))
    moment = plain * np.sqrt(mx**2 + my**2 - mx * my + 3.0 * mxy**2)
    w += off_mm
    near = (cx > u0 - w) & (cx < u1 + w) & (cy > v0 - w) & (cy < v1 + w)
    return float(6.0 * moment[~near].max() / t**2)
