"""Small models for CalculiX whose answers are known: flat plates, clamped, supported or loaded as the books have them.

Not a test file: loaded by the tests. Everything goes the product's own way: plates to bricks, deck, solver, reading, answer.
"""

from __future__ import annotations

import numpy as np

from layout.design import Plate, Profile, rectangle
from layout.fe.answer import Answer
from layout.fe.bricks import joined
from layout.fe.carried import Carried, spread
from layout.fe.deck import deck
from layout.fe.model import Bolted, Model
from layout.fe.plates import grid_of, plate_body
from layout.fe.reading import read_dat
from layout.fe.solver import found_solver, solved
from layout.frames import Pose

NONE = np.zeros((0, 2), dtype=np.int64)


def flat(length, width, thickness, step, mass_kg=1e-9, grade="S275"):
    """Mesh of one rectangular plate from the origin, thickness along z."""
    plate = Plate("P1", "plate", grade, thickness, Profile(rectangle(length, width)), Pose())
    return joined((plate_body(plate, grid_of((plate,), (), step), mass_kg),), NONE)


def model(mesh, held, loads=()):
    """A model held at nodes. loads: Carried."""
    nodes = np.flatnonzero(held(mesh.nodes_mm)).astype(np.int64)
    return Model(mesh, (), (Bolted("held", "P1", np.zeros(3), nodes),), (), np.zeros((0, 3)), tuple(loads))


def tip_load(mesh, where, mass_kg, centre):
    """A mass on nodes, so that its weight is a load there."""
    nodes = np.flatnonzero(where(mesh.nodes_mm)).astype(np.int64)
    points = mesh.nodes_mm[nodes]
    return Carried("load", mass_kg, np.array(centre), nodes, mass_kg * spread(points, np.ones(len(nodes)), np.array(centre)))


def answer(made, change=lambda text: text):
    """Solve. change: of the deck's text, for supports that the product does not use."""
    text = solved(found_solver(), change(deck(made)), 120.0)
    return Answer(made, read_dat(text, len(made.mesh.nodes_mm), len(made.mesh.elements)))


def at(mesh, point):
    """Number of the node nearest to a point."""
    return int(np.argmin(np.linalg.norm(mesh.nodes_mm - np.array(point), axis=1)))
