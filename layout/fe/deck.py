"""The input deck of CalculiX: mesh, materials, joints, three steps with a unit of specific force along each axis.

Units: mm, N, MPa; density in kg/mm3 with the specific force in m/s2 gives N. All is linear, so every load case is a sum of
the three steps.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import TypeVar

import numpy as np

from layout.fe.bricks import volumes_mm3
from layout.fe.carried import summed
from layout.fe.model import Model
from layout.frames import Array
from layout.tables import material

T = TypeVar("T")
PER_LINE = 12
LEAST_N = 1e-12


def deck(model: Model) -> str:
    """The whole deck as text. Node and element numbers are those of the mesh plus 1."""
    lines = [*_mesh(model), *_materials(model), *_sets(model), *_ties(model)]
    loads = summed(model.carried, len(model.mesh.nodes_mm))
    for axis in range(3):
        lines += _step(loads[:, :, axis], axis, tuple(m.name for m in model.mounts))
    return "\n".join(lines) + "\n"


def in_rows(cells: Sequence[T], count: int) -> Iterator[Sequence[T]]:
    """Cut a list into rows of at most `count`."""
    return (cells[i : i + count] for i in range(0, len(cells), count))


def _mesh(model: Model) -> Iterator[str]:
    mesh = model.mesh
    yield "*NODE,NSET=NALL"
    for i, (x, y, z) in enumerate(mesh.nodes_mm.tolist()):
        yield f"{i + 1},{x:.12g},{y:.12g},{z:.12g}"
    for index in range(len(mesh.bodies)):
        yield f"*ELEMENT,TYPE=C3D20R,ELSET=B{index + 1}"
        for e in mesh.elements_of(index).tolist():
            nodes = [str(n + 1) for n in mesh.elements[e].tolist()]
            yield f"{e + 1}," + ",".join(nodes[:10]) + ","
            yield ",".join(nodes[10:])
    yield "*ELSET,ELSET=EALL"
    yield from (f"B{i + 1}," for i in range(len(mesh.bodies)))


def _materials(model: Model) -> Iterator[str]:
    """A card per body: its density makes the mesh weigh what the part weighs with its holes."""
    mesh = model.mesh
    for index, body in enumerate(mesh.bodies):
        metal = material(body.material)
        volume = float(volumes_mm3(mesh.nodes_mm, mesh.elements[mesh.elements_of(index)]).sum())
        yield f"*MATERIAL,NAME=M{index + 1}"
        yield "*ELASTIC"
        yield f"{metal.e_mpa:.8g},{metal.poisson:.8g}"
        yield "*DENSITY"
        yield f"{body.mass_kg / volume:.12e}"
        yield f"*SOLID SECTION,ELSET=B{index + 1},MATERIAL=M{index + 1}"


def _sets(model: Model) -> Iterator[str]:
    for i, mount in enumerate(model.mounts):
        yield f"*NSET,NSET=V{i + 1}"
        yield from (",".join(str(n + 1) for n in row) + "," for row in in_rows(mount.nodes.tolist(), PER_LINE))
    yield "*BOUNDARY"
    yield from (f"V{i + 1},1,3" for i in range(len(model.mounts)))


def _ties(model: Model) -> Iterator[str]:
    for tie in model.ties:
        terms = [(n, w) for n, w in zip(tie.nodes.tolist(), tie.weights.tolist(), strict=True) if abs(w) > 1e-12]
        for dof in (1, 2, 3):
            yield "*EQUATION"
            yield str(len(terms) + 1)
            cells = [f"{tie.node + 1},{dof},-1."] + [f"{n + 1},{dof},{w:.12g}" for n, w in terms]
            yield from (",".join(row) for row in in_rows(cells, 4))


def _step(forces_n: Array, axis: int, mounts: tuple[str, ...]) -> Iterator[str]:
    yield "*STEP"
    yield "*STATIC"
    yield "*CLOAD,OP=NEW"
    for n, dof in np.argwhere(np.abs(forces_n) > LEAST_N).tolist():
        yield f"{n + 1},{dof + 1},{forces_n[n, dof]:.12e}"
    yield "*DLOAD,OP=NEW"
    yield "EALL,GRAV,1.," + ",".join("1." if k == axis else "0." for k in range(3))
    yield "*NODE PRINT,NSET=NALL"
    yield "U"
    for i in range(len(mounts)):
        yield f"*NODE PRINT,NSET=V{i + 1},TOTALS=ONLY"
        yield "RF"
    yield "*EL PRINT,ELSET=EALL"
    yield "S"
    yield "*END STEP"
