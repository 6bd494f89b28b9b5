"""Finite-element referee for brackets: 20-node hexahedra on mapped meshes (scikit-fem), linear elastic.

Not a test file: loaded by the bracket models. A mesh is made from a grid (i, j, k) of cells of which some are filled;
`place` maps grid indices to millimetres.
"""

from __future__ import annotations

import numpy as np
import scipy.sparse.linalg
from skfem import Basis, BilinearForm, ElementHexS2, ElementVector, FacetBasis, LinearForm, MeshHex, asm
from skfem.helpers import ddot, sym_grad, trace


def hexes(filled, place):
    """Mesh of the filled cells of a grid. filled: bool (ni, nj, nk); place: function of three index arrays -> (3, n) mm."""
    ni, nj, nk = filled.shape
    number = np.arange((ni + 1) * (nj + 1) * (nk + 1)).reshape(ni + 1, nj + 1, nk + 1)
    i, j, k = np.nonzero(filled)
    offsets = [(0, 0, 0), (0, 0, 1), (0, 1, 0), (1, 0, 0), (0, 1, 1), (1, 0, 1), (1, 1, 0), (1, 1, 1)]  # scikit-fem's corners
    cells = np.array([number[i + a, j + b, k + c] for a, b, c in offsets])
    used, cells = np.unique(cells, return_inverse=True)
    grid = np.indices(number.shape).reshape(3, -1)[:, used]
    return MeshHex(np.ascontiguousarray(place(*grid), dtype=float), np.ascontiguousarray(cells.reshape(8, -1)))


def basis_of(mesh):
    """Vector basis of serendipity hexahedra."""
    return Basis(mesh, ElementVector(ElementHexS2()), intorder=3)


def solve(basis, e_mpa, nu, held, under, tractions, mirror, sideways=False):
    """Displacements of several load cases that share one factorisation, and the reaction of each at the held facets.

    held: facets clamped; under: facets that tractions (list of MPa vectors) act on; mirror: facets of a plane of symmetry
    normal to y; sideways: the load is along y, so that the answer is antisymmetric about that plane.
    """
    lam, mu = e_mpa * nu / ((1 + nu) * (1 - 2 * nu)), e_mpa / (2 * (1 + nu))

    @BilinearForm
    def stiffness(u, v, _):
        eps_u, eps_v = sym_grad(u), sym_grad(v)
        return lam * trace(eps_u) * trace(eps_v) + 2.0 * mu * ddot(eps_u, eps_v)

    matrix = asm(stiffness, basis)
    side = FacetBasis(basis.mesh, basis.elem, facets=under, intorder=3)
    across = basis.get_dofs(mirror).all(["u^1", "u^3"] if sideways else ["u^2"])
    fixed = np.union1d(basis.get_dofs(held).flatten(), across)
    free = np.setdiff1d(np.arange(basis.N), fixed)
    factor = scipy.sparse.linalg.splu(
        matrix[free][:, free].tocsc(), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True}
    )
    moved, reactions = [], []
    for traction in tractions:

        @LinearForm
        def push(v, _, traction=traction):
            return sum(traction[c] * v[c] for c in range(3))

        load, u = asm(push, side), np.zeros(basis.N)
        u[free] = factor.solve(load[free])
        back = matrix @ u - load
        moved.append(u)
        reactions.append(np.array([back[basis.get_dofs(held).all(f"u^{c}")].sum() for c in (1, 2, 3)]))
    return moved, reactions


def area(basis, facets):
    """Area of facets in mm2."""
    return float(FacetBasis(basis.mesh, basis.elem, facets=facets, intorder=3).dx.sum())


def surface_stress(u, basis, e_mpa, nu, facets):
    """Equivalent stress on facets: values, places (3, n) and areas, flattened."""
    side = FacetBasis(basis.mesh, basis.elem, facets=facets, intorder=3)
    mu = e_mpa / (2 * (1 + nu))
    grad = side.interpolate(u).grad
    eps = 0.5 * (grad + np.swapaxes(grad, 0, 1))
    deviator = 2.0 * mu * eps
    mean = (eps[0, 0] + eps[1, 1] + eps[2, 2]) / 3.0
    for c in range(3):
        deviator[c, c] -= 2.0 * mu * mean
    places = np.asarray(side.global_coordinates())
    return np.sqrt(1.5 * (deviator**2).sum(axis=(0, 1))).ravel(), places.reshape(3, -1), np.asarray(side.dx).ravel()


def percentile(values, weights, share):
    """Value that a share of the weight stays below."""
    order = np.argsort(values)
    reach = np.cumsum(weights[order]) / weights.sum()
    return float(values[order][min(np.searchsorted(reach, share), len(order) - 1)])
