"""What joins the bodies: nodes made one along welds and under screws, and equations that tie bolted faces."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from layout.design import Weld
from layout.fe.bricks import LATTICE, Body, Ints, Mesh, shape_functions
from layout.frames import Array

SAME_MM = 0.02
"""Nodes of two bodies nearer than this are in the same place."""

SCREW_ROW_MM = 8.5
Flags = NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Tie:
    """One node that moves as a point of a face does: u(node) = sum weights u(nodes)."""

    node: int
    nodes: Ints
    weights: Array


def starts_of(bodies: tuple[Body, ...]) -> Ints:
    """Number of each body's first node when all bodies' nodes are counted in order."""
    return np.concatenate([[0], np.cumsum([len(b.nodes_mm) for b in bodies])]).astype(np.int64)


def welded_pairs(bodies: tuple[Body, ...], weld: Weld) -> Ints:
    """Pairs of nodes (p, 2) that a seam makes one: those of its two parts that lie in the same place beside its path.

    Beside: within 1.5 thicknesses of the thinner part and 1 mm, so that a sheet that stands on another is held over its
    whole thickness and a bar along its edge alone. No pairs where one of the parts is not meshed.
    """
    by_number = {b.number: i for i, b in enumerate(bodies)}
    if any(part not in by_number for part in weld.joins):
        return np.zeros((0, 2), dtype=np.int64)
    first, second = (by_number[part] for part in weld.joins)
    reach = 1.5 * min(bodies[first].thickness_mm, bodies[second].thickness_mm) + 1.0
    path = np.array(weld.path_mm)
    return _coincident(bodies, first, second, lambda points: np.asarray(distance_mm(points, path) <= reach))


def screwed_pairs(bodies: tuple[Body, ...], parts: tuple[str, str], at_mm: Array, axis: Array, thin: Array) -> Ints:
    """Pairs of nodes of two parts in the same place beside a screw along `axis` in the end of a bar, whose thickness runs along
    `thin`: those of the row at half its thickness, no farther than a washer reaches.
    """
    by_number = {b.number: i for i, b in enumerate(bodies)}
    first, second = (by_number[part] for part in parts)

    def near(points: Array) -> Flags:
        off = points - at_mm
        away = np.linalg.norm(off - np.outer(off @ axis, axis), axis=1)
        return np.asarray((away <= SCREW_ROW_MM) & (np.abs(off @ thin) < 1.0))

    return _coincident(bodies, first, second, near)


def bolted_pair(bodies: tuple[Body, ...], parts: tuple[str, str], at_mm: Array) -> Ints:
    """The pair of nodes of two parts, in the same place on the faces that touch, nearest to an upright bolt: (0 or 1, 2)."""
    by_number = {b.number: i for i, b in enumerate(bodies)}
    first, second = (by_number[part] for part in parts)
    pairs = _coincident(bodies, first, second, lambda points: np.ones(len(points), dtype=bool))
    if not len(pairs):
        return pairs
    points = bodies[first].nodes_mm[pairs[:, 0] - starts_of(bodies)[first]]
    one = int(np.argmin(np.linalg.norm((points - at_mm)[:, :2], axis=1)))
    return pairs[one : one + 1]


def _coincident(bodies: tuple[Body, ...], first: int, second: int, near: Callable[[Array], Flags]) -> Ints:
    start = starts_of(bodies)
    a, b = bodies[first].nodes_mm, bodies[second].nodes_mm
    mine = np.flatnonzero(near(a))
    if not len(mine):
        return np.zeros((0, 2), dtype=np.int64)
    gap, other = cKDTree(b).query(a[mine], distance_upper_bound=SAME_MM)
    hit = np.isfinite(gap)
    return np.column_stack([mine[hit] + start[first], other[hit] + start[second]]).astype(np.int64)


def distance_mm(points: Array, path: Array) -> Array:
    """Distance of points (n, 3) to a polyline (k, 3)."""
    out = np.full(len(points), np.inf)
    for a, b in pairwise(path):
        along = b - a
        length = float(along @ along)
        share = np.clip((points - a) @ along / length, 0.0, 1.0) if length > 0.0 else np.zeros(len(points))
        out = np.minimum(out, np.linalg.norm(points - a - share[:, None] * along, axis=1))
    return out


def on_face(mesh: Mesh, body: int, point_mm: Array, axis: int) -> tuple[Ints, Array]:
    """Nodes (8,) and shape functions of the face of a plate's layer that a point lies on (or is nearest to, in plan).

    axis: the pack's axis square to the plate; the plate's elements have their own axes along axis + 1, axis + 2 and axis.
    """
    own = mesh.elements[mesh.elements_of(body)]
    low, high = mesh.nodes_mm[own[:, 0]], mesh.nodes_mm[own[:, 6]]
    plan = [(axis + 1) % 3, (axis + 2) % 3]
    outside = np.maximum(low - point_mm, point_mm - high)[:, plan].clip(0.0).sum(axis=1)
    one = int(np.argmin(outside))
    middle = (low[one, axis] + high[one, axis]) / 2.0
    side = 1.0 if point_mm[axis] >= middle else -1.0
    local = np.clip((2.0 * point_mm - low[one] - high[one])[plan] / (high[one] - low[one])[plan], -1.0, 1.0)
    on_side = LATTICE[:, 2] - 1 == side
    values = shape_functions(np.array([*local, side]))
    return own[one][on_side], values[on_side]


def tied(mesh: Mesh, nodes: Ints, body: int, axis: int) -> list[Tie]:
    """Ties of nodes to the nearest place on a plate's face."""
    return [Tie(int(n), *on_face(mesh, body, mesh.nodes_mm[n], axis)) for n in nodes]
