"""Time to build all solids of a twelve-module box, after import; against the same profiles cut by boolean operations.

Processor time, so that other work on the machine distorts less; trust the ratios.

Run: python tests/benchmarks/shapes_solids.py
"""

from __future__ import annotations

import time

from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
from OCP.gp import gp_Vec
from shapes_model import model

from layout.design.mass import body_mass, volume_moments
from layout.design.parts import Assembly, Plate
from layout.design.profile import Profile
from shapes.assembly import tree_of
from shapes.build import face_of, hole_wire, solid_of
from shapes.measure import is_valid, volume_mm3


def best(function, times=5):
    seconds = []
    for _ in range(times):
        start = time.process_time()
        function()
        seconds.append(time.process_time() - start)
    return min(seconds)


def every_part(assembly: Assembly):
    yield from assembly.parts
    for child in assembly.children:
        yield from every_part(child)


def cut_by_booleans(plate: Plate):
    solid = solid_of(Plate("x", "x", "x", plate.thickness_mm, Profile(plate.profile.outline), plate.pose))
    for hole in plate.profile.holes:
        from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace

        tool = BRepPrimAPI_MakePrism(
            BRepBuilderAPI_MakeFace(hole_wire(hole, -1.0)).Face(), gp_Vec(0, 0, plate.thickness_mm + 2.0)
        )
        solid = BRepAlgoAPI_Cut(solid, tool.Shape()).Shape()
    return solid


def main() -> None:
    assembly = model()
    parts = list(every_part(assembly))
    first = time.process_time()
    tree = tree_of(assembly)
    first = time.process_time() - first
    plates = [p for p in parts if isinstance(p, Plate) and not p.profile.cutouts]
    rows = [
        ("whole tree, first call", first),
        ("whole tree, warm", best(lambda: tree_of(assembly))),
        ("plates by faces and prisms", best(lambda: [solid_of(p) for p in plates])),
        (
            "bare face + prism, no examination",
            best(lambda: [BRepPrimAPI_MakePrism(face_of(p.profile), gp_Vec(0, 0, p.thickness_mm)) for p in plates]),
        ),
        ("plates by boolean cuts", best(lambda: [cut_by_booleans(p) for p in plates], 1)),
        (
            "mass of every part from profiles",
            best(lambda: [body_mass(p, lambda _: 7850.0) for p in parts if not p.number.startswith("M")]),
        ),
        ("volume of every product by the kernel", best(lambda: [volume_mm3(p.solid) for p in tree.products()])),
        ("examination of every product", best(lambda: [is_valid(p.solid) for p in tree.products()], 1)),
    ]
    bodies = len(list(tree.all_leaves()))
    print(f"{bodies} bodies, {len(tree.products())} distinct, {len(parts)} parts; target for the tree: 0.3 s")
    for name, seconds in rows:
        print(f"{name:42s} {seconds:8.4f} s   {seconds / rows[1][1]:7.2f} x tree")
    wrong = [p.number for p in parts if abs(volume_mm3(solid_of(p)) / volume_moments(p).volume_mm3 - 1.0) > 1e-6]
    print("volumes that differ from the profiles by more than 1e-6:", wrong or "none")


if __name__ == "__main__":
    main()
