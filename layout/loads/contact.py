"""Mounts that only push: which of them are in contact in each load case.

The energy of a body on two-way and push-only springs is convex, so at most one set of pressing contacts balances the
load (derivation; one-way springs after mechanics of unilateral contact, no friction, no gap). First the set is found
by iteration from all in contact; where that repeats itself or meets a free motion, every set is tried.
"""

from __future__ import annotations

from itertools import product
from typing import Final

import numpy as np
from numpy.typing import NDArray

from layout.frames import Array
from layout.loads import body
from layout.loads.freedom import describe
from layout.loads.trouble import LoadsError, Mechanism

MOST_TRIED: Final = 12
"""Push-only mounts up to which every set of contacts is tried (4096 sets)."""

_ROUNDS: Final = 40


def contact_forces(at: Array, stiffness: Array, push: Array, mass_kg: float, centroid: Array, acceleration_g: Array) -> Array:
    """Forces in N of the pack on its mounts, case by case: acceleration_g (C, 3) -> (C, N, 3).

    at (N, 3) mm; stiffness (N, 3, 3) N/mm, of push-only mounts along the push alone; push (N, 3) unit vectors or nan.
    Cases are never added up: each has its own set of contacts.

    Raises:
        Mechanism: with the contacts that stay pressed the pack is free to move.
        LoadsError: no set of contacts balances the load.
    """
    r = at - centroid
    length = body.lever(r)
    motions = body.motions_of_mounts(r, length)
    load = body.inertia_force(mass_kg, acceleration_g)
    forces = np.array([_one_case(motions, stiffness, push, f, float(length), centroid) for f in load])
    body.refuse_unbalanced(r, length, forces, load)
    return forces


def _one_case(motions: Array, stiffness: Array, push: Array, load: Array, length: float, centroid: Array) -> Array:
    one_way = ~np.isnan(push[:, 0])
    if not np.any(load):
        return np.zeros_like(push)
    active = np.ones(len(push), dtype=bool)
    seen: set[bytes] = set()
    for _ in range(_ROUNDS):
        seen.add(active.tobytes())
        d = _displacement(motions, stiffness, active, load)
        if d is None:
            break
        pressed = _pressed(motions, push, d, one_way)
        if np.array_equal(pressed, active):
            return _forces(motions, stiffness, active, d)
        if pressed.tobytes() in seen:
            break
        active = pressed
    return _try_all(motions, stiffness, push, load, length, centroid)


def _displacement(motions: Array, stiffness: Array, active: NDArray[np.bool_], load: Array) -> Array | None:
    k, _ = body.stiffness_of_body(motions, stiffness * active[:, None, None])
    values, vectors = np.linalg.eigh(k)
    if values[0] < body.FREE * max(values[-1], 1e-300):
        return None
    right = np.concatenate([load, np.zeros(3)])
    d = vectors @ ((vectors.T @ right) / values)
    return d + vectors @ ((vectors.T @ (right - k @ d)) / values)


def _pressed(motions: Array, push: Array, d: Array, one_way: NDArray[np.bool_]) -> NDArray[np.bool_]:
    depth = np.einsum("ni,nij,j->n", np.where(one_way[:, None], push, 0.0), motions, d)
    return ~one_way | (depth > 1e-12 * np.abs(motions @ d).max())


def _forces(motions: Array, stiffness: Array, active: NDArray[np.bool_], d: Array) -> Array:
    return np.einsum("nij,njk,k->ni", stiffness * active[:, None, None], motions, d)


def _try_all(motions: Array, stiffness: Array, push: Array, load: Array, length: float, centroid: Array) -> Array:
    one_way = ~np.isnan(push[:, 0])
    places = np.flatnonzero(one_way)
    if len(places) > MOST_TRIED:
        remedy = f"Use at most {MOST_TRIED} push-only mounts, or state which are pressed"
        raise LoadsError("push-only mounts", "no contact solution found", f"{len(places)} contacts", remedy)
    for choice in product((True, False), repeat=len(places)):
        active = np.ones(len(push), dtype=bool)
        active[places] = choice
        d = _displacement(motions, stiffness, active, load)
        if d is not None and np.array_equal(_pressed(motions, push, d, one_way), active):
            return _forces(motions, stiffness, active, d)
    raise Mechanism("mounts", (_escape(motions, stiffness, push, load, length, centroid),), _REMEDY)


_REMEDY: Final = "Mounts that only push do not hold the pack in this case: add one that holds both ways, or a strap"


def _escape(motions: Array, stiffness: Array, push: Array, load: Array, length: float, centroid: Array) -> str:
    """The motion the load drives when nothing stops it: found with very weak springs to the ground."""
    one_way = ~np.isnan(push[:, 0])
    k_all, _ = body.stiffness_of_body(motions, stiffness)
    weak = 1e-7 * np.trace(k_all) * np.eye(6)
    right = np.concatenate([load, np.zeros(3)])
    active, d = np.ones(len(push), dtype=bool), np.zeros(6)
    for _ in range(_ROUNDS):
        k, _ = body.stiffness_of_body(motions, stiffness * active[:, None, None])
        d = np.linalg.solve(k + weak, right)
        pressed = _pressed(motions, push, d, one_way)
        if np.array_equal(pressed, active):
            break
        active = pressed
    return describe(np.where(np.abs(d) < 1e-3 * np.abs(d).max(), 0.0, d), length, centroid)
