"""A gusseted bracket by CalculiX against scikit-fem on the same mesh: another program, full integration in place of reduced.

Sheet and gussets are those of the product's own design. What differs: integration (reduced bricks give more), the shape of the
bend's edges (straight in scikit-fem's mesh) and how the force is spread under the washer.
"""

from __future__ import annotations

import importlib.util
from pathlib import Path

import numpy as np
import pytest

from layout.fe.answer import Answer
from layout.fe.deck import deck
from layout.fe.reading import read_dat
from layout.fe.solver import found_solver, solved

pytestmark = pytest.mark.skipif(found_solver() is None, reason="CalculiX (ccx) is not installed")


def _loaded(name):
    spec = importlib.util.spec_from_file_location(f"fe_{name}", Path(__file__).with_name(f"{name}.py"))
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def _scikit_fem(mesh, held, under, directions, e_mpa, nu):
    """Mean displacement (directions, 3) of the washer's face under 1 kN each."""
    from skfem import MeshHex

    solids = _loaded("solids")
    order = [0, 4, 3, 1, 7, 5, 2, 6]  # scikit-fem's corners in the order of C3D20
    used, cells = np.unique(mesh.elements[:, order], return_inverse=True)
    points = mesh.nodes_mm[used]
    hexes = MeshHex(np.ascontiguousarray(points.T), np.ascontiguousarray(cells.reshape(-1, 8).T))

    def facets(nodes):
        mine = np.isin(hexes.facets, np.flatnonzero(np.isin(used, nodes))).all(axis=0)
        return np.flatnonzero(mine & np.isin(np.arange(hexes.facets.shape[1]), hexes.boundary_facets()))

    basis = solids.basis_of(hexes)
    face = facets(under)
    tractions = [1000.0 / solids.area(basis, face) * d for d in directions]
    moved, reactions = solids.solve(basis, e_mpa, nu, facets(held), face, tractions, np.zeros(0, dtype=np.int64))
    np.testing.assert_allclose(reactions, -1000.0 * directions, atol=1e-3)
    dofs = basis.get_dofs(face)
    return np.array([[u[dofs.all(f"u^{c}")].mean() for c in (1, 2, 3)] for u in moved])


@pytest.mark.slow
def test_a_gusseted_bracket_gives_as_scikit_fem_says(front_study):
    brackets = _loaded("fe_brackets")
    bracket = front_study.brackets[0]
    model, mounts = brackets.bracket_model(bracket, 0, 24.0)
    text = solved(found_solver(), deck(model), 300.0)
    answer = Answer(model, read_dat(text, len(model.mesh.nodes_mm), len(model.mesh.elements)))
    ours = answer.steps.displacement_mm[:, mounts[0]].mean(axis=1)
    theirs = _scikit_fem(model.mesh, model.mounts[0].nodes, mounts[0], np.eye(3), 210000.0, 0.3)
    np.testing.assert_allclose(np.diag(ours), np.diag(theirs), rtol=0.03)
    np.testing.assert_allclose(ours, theirs, atol=0.02 * np.abs(theirs).max())
    np.testing.assert_allclose(ours, ours.T, rtol=0.02, atol=0.02 * np.abs(ours).max())
