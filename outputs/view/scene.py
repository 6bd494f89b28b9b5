"""What the view shows, as plain data: bodies with names and places, what surrounds them, marks, cautions. Vehicle axes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from layout.design import Assembly, Block, FoldedPlate, Hardware, Plate
from layout.design.hardware import pieces
from layout.frames import Array, Pose, Vec3
from layout.several.study import AnyStudy, PackStudy, whole_assembly
from layout.space.bay import Bay
from layout.space.model import space_name, space_triangles
from layout.study.study import Study
from outputs.view.apart import bolt_shift, lift, shift_of
from outputs.view.meshes import Mesh, coarsened, mesh_of_solid, mesh_of_triangles
from shapes.assembly import Leaf, Tree, tree_of

AROUND_TRIANGLES = 12_000
"""Most triangles of one keep-out or scan; a finer one is drawn coarser than it was judged."""


@dataclass(frozen=True)
class Body:
    """One body of the pack. number: its part number (with "washer 1" and the like); mesh: place in Scene.meshes;
    pose: in vehicle axes; shift_mm: when drawn fully apart, vehicle axes; facts: what the hover says below the number;
    goes_in: it belongs to the box whose way into the bay is shown, of several the last one (brackets and bolts do not)."""

    number: str
    group: str
    mesh: int
    pose: Pose
    shift_mm: Vec3
    facts: tuple[str, ...]
    goes_in: bool = True


@dataclass(frozen=True, eq=False)
class Around:
    """Something beside the pack, in vehicle axes. group: "bay", "keep-out", "scan"."""

    name: str
    group: str
    mesh: Mesh
    note: str = ""


@dataclass(frozen=True, eq=False)
class Scene:
    """Everything that is shown."""

    meshes: tuple[Mesh, ...]
    bodies: tuple[Body, ...]
    around: tuple[Around, ...]


def scene_of(study: AnyStudy, bay: Bay) -> Scene:
    """Build and divide every distinct solid once, place it wherever it occurs.

    Raises DesignError, ExportError as the solids do.
    """
    assembly = whole_assembly(study)
    tree = tree_of(assembly)
    numbers = {id(p): i for i, p in enumerate(tree.products())}
    meshes = tuple(mesh_of_solid(p.solid, p.number) for p in tree.products())
    if not isinstance(study, PackStudy):
        return Scene(meshes, tuple(_Stage(study, meshes, numbers).bodies(assembly, tree)), _around(bay))
    last = study.fit.ways[study.fit.number - 1].order[-1] - 1
    bodies: list[Body] = []
    for k, (box, part, branch) in enumerate(zip(study.studies, assembly.children, tree.children, strict=True)):
        found = _Stage(box, meshes, numbers).bodies(part, branch)
        bodies += found if k == last else [replace(body, goes_in=False) for body in found]
    return Scene(meshes, tuple(bodies), _around(bay))


def _around(bay: Bay) -> tuple[Around, ...]:
    spaces = [Around(space_name(s, k), "bay", mesh_of_triangles(space_triangles(s))) for k, s in enumerate(bay.spaces)]
    others = [(k.name, "keep-out", k) for k in bay.keep_outs] + ([("scan", "scan", bay.scan)] if bay.scan else [])
    for name, group, obstacle in others:
        whole = mesh_of_triangles(obstacle.triangles)
        mesh = coarsened(whole, AROUND_TRIANGLES)
        notes = [f"margin {obstacle.margin_mm:g} mm"] if obstacle.margin_mm else []
        if mesh is not whole:
            notes.append(f"drawn with {len(mesh.triangles)} of {len(whole.triangles)} triangles")
        spaces.append(Around(name, group, mesh, "; ".join(notes)))
    return tuple(spaces)


class _Stage:
    """Places the leaves of a tree beside the parts of the assembly that it was made from."""

    def __init__(self, study: Study, meshes: tuple[Mesh, ...], numbers: dict[int, int]) -> None:
        self.frame = study.arrangement.frame
        self.meshes, self.numbers = meshes, numbers
        self.masses = {item.name: item.mass_kg for item in study.pack_items}
        self.inches = study.job.job.show_in == "in"
        self.pack_mm = np.zeros(3)
        self.size_mm = np.ones(3)

    def bodies(self, assembly: Assembly, tree: Tree) -> Iterator[Body]:
        """Every body of the pack, assembly after assembly."""
        corners = np.concatenate([self._corners(leaf) for child in tree.children for leaf in child.leaves])
        self.pack_mm, self.size_mm = _middle(corners), np.ptp(corners, axis=0)
        for inner, branch in zip(assembly.children, tree.children, strict=True):
            yield from self._assembly(inner, branch)

    def _assembly(self, assembly: Assembly, tree: Tree) -> Iterator[Body]:
        home = _middle(np.concatenate([self._corners(leaf) for leaf in tree.leaves])) if tree.leaves else self.pack_mm
        held = assembly.parts[0].group if assembly.parts else "hardware"
        count = len(assembly.parts)
        for part, leaf in zip(assembly.parts, tree.leaves[:count], strict=True):
            shift = shift_of(leaf.product.group, _middle(self._corners(leaf)), home, self.pack_mm, self.size_mm)
            yield self._body(leaf, shift, self._facts(part), held)
        base = lift(held, home, self.pack_mm, self.size_mm)
        loose = [(bolt, piece.name) for bolt in assembly.hardware for piece in pieces(bolt)]
        for (bolt, what), leaf in zip(loose, tree.leaves[count:], strict=True):
            nut = what.startswith("nut")
            axis = bolt.axis if not nut else (-bolt.axis[0], -bolt.axis[1], -bolt.axis[2])
            yield self._body(leaf, bolt_shift(base, axis), self._bolt_facts(bolt, what), held)
        for inner, branch in zip(assembly.children, tree.children, strict=True):
            yield from self._assembly(inner, branch)

    def _corners(self, leaf: Leaf) -> Array:
        corners: Array = leaf.pose.point(self.meshes[self.numbers[id(leaf.product)]].points_mm)
        return corners

    def _body(self, leaf: Leaf, shift: Vec3, facts: tuple[str, ...], held: str) -> Body:
        x, y, z = self.frame.vector(shift)
        pose = self.frame.then(leaf.pose)
        mesh, moved = self.numbers[id(leaf.product)], (float(x), float(y), float(z))
        return Body(leaf.name, leaf.product.group, mesh, pose, moved, facts, held != "bracket")

    def _facts(self, part: Plate | FoldedPlate | Block) -> tuple[str, ...]:
        said = [part.name]
        if isinstance(part, Block):
            said += [part.material] if part.material else []
            said.append(" x ".join(length(v, inches=self.inches) for v in part.extent.size_mm))
        else:
            said.append(f"{part.material}, {length(part.thickness_mm, inches=self.inches)} thick")
        mass = part.mass_kg if isinstance(part, Block) and part.mass_kg is not None else None
        mass = mass if mass is not None else self.masses.get(f"{part.number} {part.name}")
        return (*said, *([f"{mass:.2f} kg"] if mass is not None else []))

    def _bolt_facts(self, bolt: Hardware, what: str) -> tuple[str, ...]:
        joins = f"joins {', '.join(bolt.joins)}" if bolt.joins else ""
        return (what, *([joins] if joins else []))


def _middle(corners: Array) -> Array:
    middle: Array = (corners.min(axis=0) + corners.max(axis=0)) / 2.0
    return middle


def length(value_mm: float, *, inches: bool) -> str:
    """A length in mm, with inches in brackets where the job is in inches."""
    text = f"{round(value_mm, 2):g} mm"
    return f"{text} ({value_mm / 25.4:.3g} in)" if inches else text
