"""What the three unit steps say in every load case: mount forces, bolt forces, stresses, deflection. Pack frame."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from layout.fe.bricks import POINTS, Ints, jacobians, points_mm, shape_functions
from layout.fe.carried import summed
from layout.fe.model import Bolted, Model
from layout.fe.reading import Steps
from layout.frames import Array

ROOT3 = float(np.sqrt(3.0))
FACE = np.array([[1 - s, 1 + s] for s in (ROOT3, -ROOT3)]) / 2.0
"""From two integration points through a layer to its two faces: straight through both."""


@dataclass(frozen=True, eq=False)
class Answer:
    """A model with the answers of its three steps, each for 1 m/s2 of specific force along x, y, z."""

    model: Model
    steps: Steps

    @cached_property
    def body_force(self) -> Array:
        """Consistent forces of every node's share of the bodies' own mass per m/s2: kg, (nodes,)."""
        mesh = self.model.mesh
        det, _ = jacobians(mesh.nodes_mm, mesh.elements)
        values = shape_functions(POINTS)
        shares = np.einsum("ep,pn->en", det, values)
        density = np.zeros(len(mesh.bodies))
        for i, body in enumerate(mesh.bodies):
            density[i] = body.mass_kg / det[mesh.of_body == i].sum()
        out = np.zeros(len(mesh.nodes_mm))
        np.add.at(out, mesh.elements, shares * density[mesh.of_body][:, None])
        return out

    @cached_property
    def mount_per_g(self) -> Array:
        """Force of the pack on each mount per m/s2: (mounts, 3 components, 3 directions).

        CalculiX prints the forces inside the mesh at held nodes; loads that stand on these very nodes go straight to the
        mount and are added.
        """
        loads = summed(self.model.carried, len(self.model.mesh.nodes_mm))
        out = np.zeros((len(self.model.mounts), 3, 3))
        for i, mount in enumerate(self.model.mounts):
            direct = loads[mount.nodes].sum(axis=0) + self.body_force[mount.nodes].sum() * np.eye(3)
            out[i] = direct - self.steps.total_n[f"V{i + 1}"].T
        return out

    @cached_property
    def leg_per_g(self) -> Array:
        """Force of each leg bolt's patch on its bracket's leg per m/s2: (bolts, 3 components, 3 directions), from the stresses
        of the bracket's own elements (f = integral of B^T sigma) less what stands on the nodes themselves.
        """
        return np.array([self._patch_force(bolt) for bolt in self.model.legs]).reshape(-1, 3, 3)

    def _patch_force(self, bolt: Bolted) -> Array:
        mesh, steps = self.model.mesh, self.steps
        near = np.flatnonzero(np.isin(mesh.elements, bolt.nodes).any(axis=1))
        mine = near[[mesh.bodies[b].group == "bracket" for b in mesh.of_body[near]]]
        det, slopes = jacobians(mesh.nodes_mm, mesh.elements[mine])
        out = np.zeros((3, 3))
        inside = np.isin(mesh.elements[mine], bolt.nodes)
        for d in range(3):
            full = _matrices(steps.stress_mpa[d][mine])
            forces = np.einsum("ep,epij,epnj->eni", det, full, slopes)
            out[:, d] = forces[inside].sum(axis=0) - self.body_force[bolt.nodes].sum() * np.eye(3)[d]
        loads = summed(self.model.carried, len(mesh.nodes_mm))[bolt.nodes].sum(axis=0)
        return np.asarray(out - loads)

    @cached_property
    def places_mm(self) -> Array:
        """Where stresses are given: the integration points in plan, on both faces of the layer, (elements, 8, 3)."""
        mesh = self.model.mesh
        return _to_faces(points_mm(mesh.nodes_mm, mesh.elements)[None])[0]

    @cached_property
    def face_stress(self) -> Array:
        """Stresses there, (3 directions, elements, 8, 6), MPa per m/s2."""
        return _to_faces(self.steps.stress_mpa)

    def mises_mpa(self, specific: Array, elements: Ints) -> Array:
        """von Mises stress of elements under a specific force (3,) in m/s2, (len(elements), 8)."""
        return mises(np.einsum("d,depc->epc", specific, self.face_stress[:, elements]))

    def mounts_n(self, specific: Array) -> Array:
        """Force of the pack on each mount, (mounts, 3)."""
        return self.mount_per_g @ specific

    def legs_n(self, specific: Array) -> Array:
        """Force of each leg bolt on its bracket, (bolts, 3)."""
        return self.leg_per_g @ specific

    def moved_mm(self, specific: Array) -> Array:
        """Displacement of every node, (nodes, 3)."""
        return np.einsum("d,dnc->nc", specific, self.steps.displacement_mm)


def _to_faces(values: Array) -> Array:
    """(steps, elements, 8, c) at the integration points, whose third coordinate has its own half of the eight, carried straight
    through the layer to its faces.
    """
    halves = np.stack([values[..., :4, :], values[..., 4:, :]], axis=-3)  # (..., 2, 4, c)
    faces = np.einsum("fh,...hpc->...fpc", FACE, halves)
    return np.asarray(faces.reshape(values.shape))


def _matrices(stress: Array) -> Array:
    """(..., 6) xx, yy, zz, xy, xz, yz to (..., 3, 3)."""
    xx, yy, zz, xy, xz, yz = np.moveaxis(stress, -1, 0)
    return np.stack([np.stack([xx, xy, xz], -1), np.stack([xy, yy, yz], -1), np.stack([xz, yz, zz], -1)], -2)


def mises(stress: Array) -> Array:
    """von Mises stress from (..., 6) xx, yy, zz, xy, xz, yz."""
    xx, yy, zz, xy, xz, yz = np.moveaxis(stress, -1, 0)
    direct = ((xx - yy) ** 2 + (yy - zz) ** 2 + (zz - xx) ** 2) / 2.0
    return np.asarray(np.sqrt(direct + 3.0 * (xy**2 + xz**2 + yz**2)))
