"""Where bodies of a mesh are joined, as points close together along the edges that they share."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from layout.fe.bricks import LATTICE, Ints, Mesh
from layout.frames import Array

APART_MM = 1.0
"""Points along a shared edge are no farther apart."""

_PLACE = {tuple(place): k for k, place in enumerate(LATTICE.tolist())}
EDGES: Ints = np.array(
    [
        (_PLACE[tuple(a)], k, _PLACE[tuple(b)])
        for k, middle in enumerate(LATTICE.tolist())
        if 1 in middle
        for a, b in [[[v if v != 1 else end for v in middle] for end in (0, 2)]]
    ],
    dtype=np.int64,
)
"""End, middle and end of the twelve edges of a brick, (12, 3)."""


def joint_points(mesh: Mesh, tied: Ints) -> Iterator[tuple[float, Array]]:
    """For each thickness of the thinnest part at a joint: points (n, 3) along the joints, at nodes and on shared edges.

    tied: nodes that are tied to another body.
    """
    thinnest, owners = _at_nodes(mesh)
    joint = owners > 1
    joint[tied] = True
    ends = mesh.elements[:, EDGES].reshape(-1, 3)
    ends = ends[joint[ends].all(axis=1)]
    edges = np.unique(np.column_stack([np.minimum(ends[:, 0], ends[:, 2]), np.maximum(ends[:, 0], ends[:, 2])]), axis=0)
    for value in np.unique(thinnest[joint]):
        nodes = mesh.nodes_mm[joint & (thinnest == value)]
        mine = edges[(thinnest[edges] == value).any(axis=1)]
        yield float(value), np.concatenate([nodes, _along(mesh.nodes_mm[mine[:, 0]], mesh.nodes_mm[mine[:, 1]])])


def _at_nodes(mesh: Mesh) -> tuple[Array, Ints]:
    """Least thickness of the bodies at each node, and how many they are."""
    thinnest = np.full(len(mesh.nodes_mm), np.inf)
    owners = np.zeros(len(mesh.nodes_mm), dtype=np.int64)
    for body, nodes in zip(mesh.bodies, mesh.node_of, strict=True):
        own = np.unique(nodes)
        owners[own] += 1
        thinnest[own] = np.minimum(thinnest[own], body.thickness_mm)
    return thinnest, owners


def _along(first: Array, last: Array) -> Array:
    """Points between the ends of straight edges."""
    if not len(first):
        return np.zeros((0, 3))
    count = int(np.ceil(np.linalg.norm(last - first, axis=1).max() / APART_MM))
    share = (np.arange(count) + 0.5)[:, None, None] / count
    return np.asarray((first + share * (last - first)).reshape(-1, 3))
