"""Bricks of twenty nodes in blocks: a lattice of points at half steps, of which the elements take corners and edge middles.

Node order of C3D20 and C3D20R (Abaqus and CalculiX): corners of the lower face, of the upper face, then the middles of the
lower edges, of the upper edges, and of the uprights.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import product

import numpy as np
from numpy.typing import NDArray

from layout.frames import Array

Ints = NDArray[np.int64]

CORNERS = ((0, 0, 0), (2, 0, 0), (2, 2, 0), (0, 2, 0), (0, 0, 2), (2, 0, 2), (2, 2, 2), (0, 2, 2))
EDGES = (
    (1, 0, 0), (2, 1, 0), (1, 2, 0), (0, 1, 0), (1, 0, 2), (2, 1, 2), (1, 2, 2), (0, 1, 2), (0, 0, 1), (2, 0, 1), (2, 2, 1),
    (0, 2, 1),
)  # fmt: skip
LATTICE: Ints = np.array(CORNERS + EDGES, dtype=np.int64)
"""Places of the twenty nodes in the lattice of one element, (20, 3), each 0, 1 or 2."""

GAUSS = 1.0 / np.sqrt(3.0)
POINTS: Array = np.array([(x, y, z) for z, y, x in product((-GAUSS, GAUSS), repeat=3)])
"""The eight integration points in CalculiX's order: the first coordinate runs fastest."""


def shape_functions(at: Array) -> Array:
    """N (..., 20) at local points (..., 3) in -1..1. Serendipity element of 20 nodes: Zienkiewicz and Taylor (from memory)."""
    own = LATTICE - 1.0
    p = at[..., None, :] * own
    corner = np.prod(1.0 + p, axis=-1) * (p.sum(axis=-1) - 2.0) / 8.0
    middle = np.prod(np.where(own == 0.0, 1.0 - at[..., None, :] ** 2, 1.0 + p), axis=-1) / 4.0
    return np.where(np.all(own != 0.0, axis=-1), corner, middle)


def shape_slopes(at: Array) -> Array:
    """dN/d(local) (..., 20, 3) at local points (..., 3)."""
    own = LATTICE - 1.0
    x = at[..., None, :]
    p = x * own
    one = np.where(own == 0.0, 1.0 - x**2, 1.0 + p)
    slope = np.where(own == 0.0, -2.0 * x, own)
    out = np.empty((*at.shape[:-1], 20, 3))
    is_corner = np.all(own != 0.0, axis=-1)
    for k in range(3):
        others = np.prod(np.delete(one, k, axis=-1), axis=-1)
        rise = slope[..., k] * others
        whole = np.prod(one, axis=-1)
        corner = (rise * (p.sum(axis=-1) - 2.0) + whole * own[:, k]) / 8.0
        out[..., k] = np.where(is_corner, corner, rise / 4.0)
    return out


@dataclass(frozen=True, eq=False)
class Block:
    """Points (2a+1, 2b+1, 2c+1, 3) of a lattice at half steps; keep (a, b, c): which of its cells are elements."""

    points_mm: Array
    keep: NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Body:
    """One part as meshed: nodes (n, 3) in the pack's frame, elements (m, 20) by node number of this body, from 0.

    t: direction of the layer's thickness in the elements' own axes (0, 1, 2). thickness_mm: of the sheet.
    """

    number: str
    material: str
    thickness_mm: float
    mass_kg: float
    nodes_mm: Array
    elements: Ints
    group: str = "box"
    t: int = 2


def body_of_block(
    number: str, material: str, thickness_mm: float, mass_kg: float, block: Block, group: str = "box", t: int = 2
) -> Body:
    """Number the points that elements use. The block may run left-handed: its elements are turned over then."""
    cells = np.argwhere(block.keep)
    lattice = LATTICE if _right_handed(block.points_mm) else _mirrored()
    index = 2 * cells[:, None, :] + lattice[None, :, :]
    shape = block.points_mm.shape[:3]
    flat = np.ravel_multi_index((index[..., 0], index[..., 1], index[..., 2]), shape)
    used, elements = np.unique(flat, return_inverse=True)
    nodes = block.points_mm.reshape(-1, 3)[used]
    return Body(number, material, thickness_mm, mass_kg, nodes, elements.reshape(flat.shape).astype(np.int64), group, t)


def _mirrored() -> Ints:
    """The lattice with its third direction turned round: keeps t, changes the hand."""
    out = LATTICE.copy()
    out[:, 2] = 2 - out[:, 2]
    return out


def _right_handed(points: Array) -> bool:
    a, b, c = (points[2, 0, 0] - points[0, 0, 0], points[0, 2, 0] - points[0, 0, 0], points[0, 0, 2] - points[0, 0, 0])
    return bool(np.dot(np.cross(a, b), c) > 0.0)


def half_steps(lines: Array) -> Array:
    """Lines with their middles in between: (n,) -> (2n - 1,)."""
    out = np.empty(2 * len(lines) - 1)
    out[::2] = lines
    out[1::2] = (lines[1:] + lines[:-1]) / 2.0
    return out


@dataclass(frozen=True, eq=False)
class Mesh:
    """All bodies in one numbering. nodes_mm (n, 3); elements (m, 20); of_body (m,): index of each element's body."""

    bodies: tuple[Body, ...]
    nodes_mm: Array
    elements: Ints
    of_body: Ints
    node_of: tuple[Ints, ...] = field(default=())

    def body(self, number: str) -> int:
        """Index of a body. Raises KeyError where there is none of that number."""
        for i, one in enumerate(self.bodies):
            if one.number == number:
                return i
        raise KeyError(number)

    def nodes_of(self, index: int) -> Ints:
        """Numbers of a body's nodes."""
        return np.unique(self.node_of[index])

    def elements_of(self, index: int) -> Ints:
        """Numbers of a body's elements."""
        return np.flatnonzero(self.of_body == index).astype(np.int64)


def joined(bodies: tuple[Body, ...], pairs: Ints) -> Mesh:
    """One mesh of bodies. pairs (p, 2): numbers of nodes that are one, counted through all bodies in their order."""
    counts = [len(b.nodes_mm) for b in bodies]
    starts = np.concatenate([[0], np.cumsum(counts)]).astype(np.int64)
    root = _roots(int(starts[-1]), pairs)
    keep, new = np.unique(root, return_inverse=True)
    points = np.concatenate([b.nodes_mm for b in bodies])[keep]
    node_of = tuple(new[starts[i] : starts[i + 1]].astype(np.int64) for i in range(len(bodies)))
    elements = np.concatenate([node_of[i][b.elements] for i, b in enumerate(bodies)])
    of_body = np.concatenate([np.full(len(b.elements), i, dtype=np.int64) for i, b in enumerate(bodies)])
    return Mesh(bodies, points, elements, of_body, node_of)


def _roots(count: int, pairs: Ints) -> Ints:
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    ones = np.ones(len(pairs))
    graph = coo_array((ones, (pairs[:, 0], pairs[:, 1])), shape=(count, count))
    _, label = connected_components(graph, directed=False)
    first = np.full(int(label.max()) + 1, count, dtype=np.int64)
    np.minimum.at(first, label, np.arange(count))
    return first[label]


def jacobians(nodes_mm: Array, elements: Ints) -> tuple[Array, Array]:
    """Determinants (m, 8) and slopes of the shape functions in space (m, 8, 20, 3) at the integration points."""
    own = shape_slopes(POINTS)
    at = nodes_mm[elements]
    jacobian = np.einsum("enx,pni->epxi", at, own)
    det = np.linalg.det(jacobian)
    slopes = np.einsum("pni,epix->epnx", own, np.linalg.inv(jacobian))
    return det, slopes


def volumes_mm3(nodes_mm: Array, elements: Ints) -> Array:
    """Volume of each element by its eight integration points (each of weight 1), (m,)."""
    own = shape_slopes(POINTS)
    return np.asarray(np.linalg.det(np.einsum("enx,pni->epxi", nodes_mm[elements], own)).sum(axis=1))


def points_mm(nodes_mm: Array, elements: Ints) -> Array:
    """Places of the integration points, (m, 8, 3)."""
    return np.einsum("pn,enx->epx", shape_functions(POINTS), nodes_mm[elements])
