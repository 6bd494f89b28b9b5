"""Finite-element referee for brackets: 20-node hexahedra on mapped meshes (scikit-fem), linear elastic.

Not a test file: loaded by the bracket referees. A mesh is built block by block in a grid (i, j, k) of cells, of which some
are filled; `place` maps grid coordinates to millimetres.
"""

from __future__ import annotations

import numpy as np
import scipy.sparse.linalg
from skfem import Basis, ElementHexS2, ElementVector, FacetBasis, MeshHex, asm
from skfem.helpers import ddot, dot, sym_grad, trace
from skfem import BilinearForm, LinearForm, Functional


def hexes(filled, place):
    """Mesh of the filled cells of a grid. filled: bool (ni, nj, nk); place: function of three index arrays -> (3, n) mm."""
    ni, nj, nk = filled.shape
    number = np.arange((ni + 1) * (nj + 1) * (nk + 1)).reshape(ni + 1, nj + 1, nk + 1)
    i, j, k = np.nonzero(filled)
    # corner order of scikit-fem's reference cube: 000, 001, 010, 100, 011, 101, 110, 111 (z, y, x)
    offsets = [(0, 0, 0), (0, 0, 1), (0, 1, 0), (1, 0, 0), (0, 1, 1), (1, 0, 1), (1, 1, 0), (1, 1, 1)]
    cells = np.array([number[i + a, j + b, k + c] for a, b, c in offsets])
    used, cells = np.unique(cells, return_inverse=True)
    cells = cells.reshape(8, -1)
    grid = np.indices(number.shape).reshape(3, -1)[:, used]
    return MeshHex(np.ascontiguousarray(place(*grid), dtype=float), np.ascontiguousarray(cells))


def solve(mesh, e_mpa, nu, held, loads, mirror=None):
    """Displacements, basis and reaction over load. held: facets clamped; loads: [(facets, traction vector in MPa)]; mirror:
    facets of a plane of symmetry normal to y.
    """
    basis = Basis(mesh, ElementVector(ElementHexS2()), intorder=3)
    lam, mu = e_mpa * nu / ((1 + nu) * (1 - 2 * nu)), e_mpa / (2 * (1 + nu))

    @BilinearForm
    def stiffness(u, v, _):
        eps_u, eps_v = sym_grad(u), sym_grad(v)
        return lam * trace(eps_u) * trace(eps_v) + 2.0 * mu * ddot(eps_u, eps_v)

    matrix = asm(stiffness, basis)
    rhs = np.zeros(basis.N)
    for facets, traction in loads:
        side = FacetBasis(mesh, basis.elem, facets=facets, intorder=3)

        @LinearForm
        def push(v, _, traction=traction):
            return sum(traction[c] * v[c] for c in range(3))

        rhs += asm(push, side)
    fixed = basis.get_dofs(held).flatten()
    if mirror is not None:
        fixed = np.union1d(fixed, basis.get_dofs(mirror).all("u^2"))
    free = np.setdiff1d(np.arange(basis.N), fixed)
    u = np.zeros(basis.N)
    lu = scipy.sparse.linalg.splu(matrix[free][:, free].tocsc(), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0,
                                  options={"SymmetricMode": True})
    u[free] = lu.solve(rhs[free])
    total = sum(areas(mesh, facets, basis) * np.asarray(t, dtype=float) for facets, t in loads)
    reaction = np.array([(matrix @ u - rhs)[np.intersect1d(fixed, basis.get_dofs(held).all(f"u^{c}"))].sum() for c in (1, 2, 3)])
    return u, basis, total, reaction


def areas(mesh, facets, basis):
    """Area of facets in mm2."""
    side = FacetBasis(mesh, basis.elem, facets=facets, intorder=3)
    return float(side.dx.sum())


def surface_stress(u, mesh, basis, e_mpa, nu, facets):
    """Equivalent stress on facets: values, places (3, n) and areas, flattened."""
    side = FacetBasis(mesh, basis.elem, facets=facets, intorder=3)
    mu = e_mpa / (2 * (1 + nu))
    grad = side.interpolate(u).grad
    eps = 0.5 * (grad + np.swapaxes(grad, 0, 1))
    stress = 2.0 * mu * eps
    mean = (eps[0, 0] + eps[1, 1] + eps[2, 2]) / 3.0
    for c in range(3):
        stress[c, c] -= 2.0 * mu * mean  # deviator: the bulk part drops out
    places = np.asarray(side.global_coordinates())
    return np.sqrt(1.5 * (stress**2).sum(axis=(0, 1))).ravel(), places.reshape(3, -1), np.asarray(side.dx).ravel()


def percentile(values, weights, share):
    """Value that a share of the weight stays below."""
    order = np.argsort(values)
    reach = np.cumsum(weights[order]) / weights.sum()
    return float(values[order][min(np.searchsorted(reach, share), len(order) - 1)])


def areas_of(mesh, facets):
    """Area of facets of a mesh in mm2."""
    return float(FacetBasis(mesh, ElementVector(ElementHexS2()), facets=facets, intorder=3).dx.sum())
