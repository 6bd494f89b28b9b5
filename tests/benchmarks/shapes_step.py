"""STEP: time against the bare kernel writer, size against the default export. All ratios from one run.

Processor time, so that other work on the machine distorts less; trust the ratios.

Run: python tests/benchmarks/shapes_step.py
"""

from __future__ import annotations

import tempfile
import time
from pathlib import Path

import cadquery as cq
from OCP.BRep import BRep_Builder
from OCP.Interface import Interface_Static
from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer
from OCP.TopoDS import TopoDS_Compound
from shapes_model import model

from outputs.step import Header, save_step, set_statics, write_parts, write_step
from outputs.step_reading import compare
from shapes.assembly import Tree, tree_of
from shapes.build import located, location

HEADER = Header("benchmark", "n.n.", "n.n.", "2031-02-03T04:05:06")


def best(function, times=5):
    seconds = []
    for _ in range(times):
        start = time.process_time()
        function()
        seconds.append(time.process_time() - start)
    return min(seconds)


def bare(path: Path, tree: Tree, pcurves: int) -> None:
    """All bodies in one compound, no names, colours or tree: the least that the kernel can write."""
    set_statics()
    Interface_Static.SetIVal_s("write.surfacecurve.mode", pcurves)
    compound, builder = TopoDS_Compound(), BRep_Builder()
    builder.MakeCompound(compound)
    for leaf, pose in tree.all_leaves():
        builder.Add(compound, located(leaf.product.solid, pose))
    writer = STEPControl_Writer()
    writer.Transfer(compound, STEPControl_AsIs)
    writer.Write(str(path))


def default_export(path: Path, tree: Tree) -> None:
    """The same named and coloured tree through the modelling library's assembly export with its default settings."""
    Interface_Static.SetIVal_s("write.surfacecurve.mode", 1)
    shapes = {id(p): cq.Solid(p.solid) for p in tree.products()}

    def grow(node: Tree) -> cq.Assembly:
        out = cq.Assembly(name=node.name)
        for leaf in node.leaves:
            out.add(
                shapes[id(leaf.product)],
                name=leaf.name,
                loc=cq.Location(location(leaf.pose)),
                color=cq.Color(*leaf.product.colour),
            )
        for child in node.children:
            out.add(grow(child))
        return out

    grow(tree).export(str(path), exportType="STEP")


def main() -> None:
    tree = tree_of(model())
    folder = Path(tempfile.mkdtemp())
    names = ("ours", "checked", "bare", "bare_pcurves", "default")
    path = {name: folder / f"{name}.step" for name in names}
    jobs = [
        ("bare kernel writer, no pcurves, no names", lambda: bare(path["bare"], tree, 0), path["bare"]),
        ("bare kernel writer, pcurves, no names", lambda: bare(path["bare_pcurves"], tree, 1), path["bare_pcurves"]),
        ("ours: names, colours, tree, shared bodies", lambda: save_step(path["ours"], tree, HEADER), path["ours"]),
        ("default assembly export", lambda: default_export(path["default"], tree), path["default"]),
        ("ours with reading back", lambda: write_step(path["checked"], tree, HEADER), path["checked"]),
    ]
    times = [[best(job, 1) for _, job, _ in jobs] for _ in range(9)]  # turn about, so that a busy machine slows all alike
    rows = [(name, min(column), file) for (name, _, file), column in zip(jobs, zip(*times, strict=True), strict=True)]
    base = rows[0][1]
    rows.append(("reading ours back and comparing", best(lambda: compare(path["ours"], tree), 3), path["ours"]))
    default_size = path["default"].stat().st_size
    for name, seconds, file in rows:
        size = file.stat().st_size
        shares = f"{seconds / base:6.2f} x bare   {size / 1024:8.0f} KiB {size / default_size:5.2f} x default"
        print(f"{name:45s} {seconds:7.3f} s {shares}")
    parts = folder / "parts"
    parts.mkdir()
    seconds = best(lambda: write_parts(parts, tree, HEADER), 1)
    print(f"one file per product ({len(tree.products())}), each read back: {seconds:.3f} s")


if __name__ == "__main__":
    main()
