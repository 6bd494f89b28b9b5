"""Ties of one body's nodes to another body wherever they touch along a seam, whatever the two meshes look like."""

from __future__ import annotations

import numpy as np

from layout.fe.bricks import Ints, Mesh, shape_functions, shape_slopes
from layout.fe.joints import Tie, distance_mm
from layout.frames import Array

TOUCH_MM = 0.05
"""A node that is nearer than this to a body touches it."""
STEPS = 12
Seam = tuple[tuple[str, str], Array]
"""Numbers of two parts, and the path of the seam between them, (k, 3)."""


def seam_ties(mesh: Mesh, seams: list[Seam]) -> list[Tie]:
    """Nodes of the first part of each seam that touch the second, within 1.5 thicknesses of the thinner and 1 mm of its path;
    of the second where none of the first do. Each node is tied once; parts that are not meshed are passed over.
    """
    by_number = {body.number: i for i, body in enumerate(mesh.bodies)}
    done: set[int] = set()
    found: list[Tie] = []
    for parts, path in seams:
        if any(part not in by_number for part in parts):
            continue
        first, second = (by_number[part] for part in parts)
        reach = 1.5 * min(mesh.bodies[first].thickness_mm, mesh.bodies[second].thickness_mm) + 1.0
        ties = _ties(mesh, first, second, path, reach, done) or _ties(mesh, second, first, path, reach, done)
        done.update(t.node for t in ties)
        found += ties
    return found


def _ties(mesh: Mesh, body: int, other: int, path: Array, reach_mm: float, done: set[int]) -> list[Tie]:
    """Ties of a body's nodes beside a path to another body, where they touch it."""
    nodes = mesh.nodes_of(body)
    near = nodes[distance_mm(mesh.nodes_mm[nodes], path) <= reach_mm]
    free = np.array([n for n in near.tolist() if n not in done], dtype=np.int64)
    if not len(free):
        return []
    elements = mesh.elements_of(other)
    corners = mesh.nodes_mm[mesh.elements[elements]]
    low, high = corners.min(axis=1) - TOUCH_MM, corners.max(axis=1) + TOUCH_MM
    found = []
    for node in free.tolist():
        point = mesh.nodes_mm[node]
        around = elements[np.all((low <= point) & (point <= high), axis=1)]
        tie = _tie(mesh, node, around)
        found += [tie] if tie is not None else []
    return found


def _tie(mesh: Mesh, node: int, elements: Ints) -> Tie | None:
    """A tie of a node to the place that it touches in one of some elements, None where it touches none."""
    best: tuple[float, Ints, Array] | None = None
    for element in elements.tolist():
        own = mesh.elements[element]
        local, miss = local_place(mesh.nodes_mm[own], mesh.nodes_mm[node])
        if best is None or miss < best[0]:
            best = miss, own, shape_functions(local)
        if best[0] < 1e-6:
            break
    if best is None or best[0] > TOUCH_MM:
        return None
    _, own, weights = best
    used = np.abs(weights) > 1e-9
    return Tie(node, own[used], weights[used])


def local_place(corners_mm: Array, point_mm: Array) -> tuple[Array, float]:
    """Place (3,) in a brick's own -1..1 nearest to a point, by Newton's method kept inside, and how far off it is, mm."""
    local = np.zeros(3)
    for _ in range(STEPS):
        off = point_mm - shape_functions(local) @ corners_mm
        slopes = shape_slopes(local).T @ corners_mm
        step = np.linalg.solve(slopes.T, off)
        local = np.clip(local + step, -1.0, 1.0)
        if np.abs(step).max() < 1e-10:
            break
    return local, float(np.linalg.norm(point_mm - shape_functions(local) @ corners_mm))

