"""Brackets alone by CalculiX: how much each mount gives when the leg's bolts are held, beside the hand stiffness.

Not a test file: loaded by the table and the tests.
"""

from __future__ import annotations

import numpy as np

from layout.brackets.stiffness import bracket_stiffness
from layout.fe.answer import Answer
from layout.fe.bracket_bodies import meshed_bracket
from layout.fe.bricks import joined
from layout.fe.carried import Carried, spread
from layout.fe.deck import deck
from layout.fe.joints import welded_pairs
from layout.fe.model import Bolted, Model
from layout.fe.reading import read_dat
from layout.fe.solver import found_solver, solved
from layout.fe.tying import seam_ties


def bracket_model(bracket, loaded, step_mm=20.0, force_n=1000.0):
    """Model, and nodes of the mounts' patches: a bracket held at its leg bolts, a force under the washer of one mount."""
    made = meshed_bracket(bracket, dict.fromkeys((p.number for p in bracket.plates), 1e-9), step_mm)
    merged = () if made.seams else bracket.welds
    pairs = np.concatenate([np.zeros((0, 2), dtype=np.int64), *(welded_pairs(made.bodies, w) for w in merged)])
    mesh = joined(made.bodies, pairs)

    def patch(under):
        nodes = mesh.nodes_of(mesh.body(under.body))
        return nodes[under.covers(mesh.nodes_mm[nodes])]

    legs = np.concatenate([patch(one) for one in made.legs])
    mounts = [patch(one) for one in made.mounts]
    nodes = mounts[loaded]
    points = mesh.nodes_mm[nodes]
    centre = np.array(bracket.plan.mounts[loaded].at_mm)
    load = Carried("load", force_n, centre, nodes, force_n * spread(points, np.ones(len(nodes)), centre))
    held = (Bolted("leg", bracket.number, centre, legs),)
    ties = tuple(seam_ties(mesh, list(made.seams)))
    return Model(mesh, ties, held, (), np.zeros((0, 3)), (load,)), mounts


def compliance(bracket, step_mm=20.0, force_n=1000.0):
    """Displacements (mounts, mounts, 3, 3) in mm per N: [moved, loaded, component, direction] along a, n, out."""
    count = len(bracket.plan.mounts)
    axes = bracket.plan.foot_axes
    out = np.zeros((count, count, 3, 3))
    for loaded in range(count):
        model, mounts = bracket_model(bracket, loaded, step_mm, force_n)
        text = solved(found_solver(), deck(model), 300.0)
        steps = read_dat(text, len(model.mesh.nodes_mm), len(model.mesh.elements))
        answer = Answer(model, steps)
        np.testing.assert_allclose(answer.mount_per_g.sum(axis=0), force_n * np.eye(3), atol=1e-5 * force_n)
        for moved, nodes in enumerate(mounts):
            mean = steps.displacement_mm[:, nodes].mean(axis=1)  # (directions, components)
            out[moved, loaded] = axes @ mean.T @ axes.T / force_n
    return out


def hand_compliance(bracket):
    """The same by hand: (mounts, 3) along a, n, out; the hand method knows nothing across or between mounts."""
    axes = bracket.plan.foot_axes
    return np.array([np.diag(np.linalg.inv(axes @ bracket_stiffness(bracket, m) @ axes.T)) for m in bracket.plan.mounts])
