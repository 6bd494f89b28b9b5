"""Plates with a corner left out against finite elements (scikit-fem, Morley plates): sag, and moments near the inner corner.

The program takes them as the rectangle around them, and the moment one thickness t from the inner corner as
0.019 q l^(8/3) t^(-2/3), l being four times the area over the perimeter.
"""

import numpy as np
import pytest
from skfem import Basis, BilinearForm, ElementTriMorley, MeshTri, condense, solve
from skfem.helpers import dd, ddot, eye, trace
from skfem.models.poisson import unit_load

from layout.checks.plate_series import clamped, simply_supported
from layout.checks.plates import Panel, inner_corner_check

NU = 0.33
THICKNESS = 3.0


def mesh_of(a, b, u=0.0, v=0.0, h=20.0, fine=1.2):
    def lines(whole, cut):
        first = np.linspace(0.0, whole - cut, max(2, round((whole - cut) / h) + 1))
        return np.unique(np.concatenate([first, np.linspace(whole - cut, whole, max(2, round(cut / h) + 1))]))

    mesh = MeshTri.init_tensor(lines(a, u), lines(b, v))
    x, y = middles(mesh)
    mesh = mesh.restrict(np.flatnonzero(~((x > a - u) & (y > b - v)))) if u else mesh
    size = h
    while u and size > fine:
        x, y = middles(mesh)
        mesh = mesh.refined(np.flatnonzero(np.hypot(x - (a - u), y - (b - v)) < max(4.0 * size, 8.0 * fine)))
        size /= 2.0
    return mesh


def middles(mesh):
    return mesh.p[:, mesh.t].mean(axis=1)


def bent(mesh, held):
    """Greatest principal moment of every element, and greatest sag, for unit pressure and unit plate stiffness."""
    basis = Basis(mesh, ElementTriMorley())

    @BilinearForm
    def stiffness(u, v, _):
        return ddot((1.0 - NU) * dd(u) + NU * eye(trace(dd(u)), 2), dd(v))

    edges = basis.get_dofs(mesh.boundary_facets())
    fixed = edges.all() if held == "clamped" else edges.all(["u"])
    w = solve(*condense(stiffness.assemble(basis), unit_load.assemble(basis), D=fixed))
    k = np.array(basis.interpolate(w).hess)[:, :, :, 0]
    mx, my, mxy = k[0, 0] + NU * k[1, 1], k[1, 1] + NU * k[0, 0], (1.0 - NU) * k[0, 1]
    return np.abs(mx + my) / 2.0 + np.hypot((mx - my) / 2.0, mxy), float(w[basis.nodal_dofs[0]].max())


@pytest.mark.parametrize("held", ["simply supported", "clamped"])
def test_the_model_gives_the_series_for_a_rectangle(held):
    moments, sag = bent(mesh_of(600.0, 400.0), held)
    series = (clamped if held == "clamped" else simply_supported)(600.0, 400.0, NU)
    assert moments.max() == pytest.approx(series.beta / 6.0 * 400.0**2, rel=0.08)
    assert sag == pytest.approx(series.alpha * 400.0**4 / (12.0 * (1.0 - NU**2)), rel=0.06)


@pytest.mark.parametrize(
    ("a", "b", "u", "v"),
    [(600, 400, 60, 60), (800, 400, 400, 200), (745, 745, 413, 447), (1000, 500, 300, 100)],
)
def test_plates_with_a_corner_left_out(a, b, u, v):
    panel = Panel("5083-H111", THICKNESS, max(a, b), min(a, b))
    whole = max(simply_supported(a, b, NU).beta, clamped(a, b, NU).beta) / 6.0 * min(a, b) ** 2
    at_corner = inner_corner_check("floor", "case", panel, a * b - u * v, 1.0).demand * THICKNESS**2 / 6.0
    for held in ("simply supported", "clamped"):
        mesh = mesh_of(float(a), float(b), float(u), float(v))
        moments, sag = bent(mesh, held)
        x, y = middles(mesh)
        far = np.hypot(x - (a - u), y - (b - v))
        assert sag <= bent(mesh_of(float(a), float(b)), held)[1]
        assert moments[far >= THICKNESS].max() <= at_corner
        if held == "simply supported":
            assert moments[far >= THICKNESS].max() > 0.5 * at_corner  # and not far above
        assert moments[far >= 0.15 * min(a, b)].max() <= whole * 1.02  # the mesh's own error
