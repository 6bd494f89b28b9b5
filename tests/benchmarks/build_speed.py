"""Build of the demo beside the same solids built and written with the bare kernel, in one run; and what `--help` imports.

Run: python tests/benchmarks/build_speed.py [search seconds]. Prints seconds and ratios; trust the ratios.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from pathlib import Path


def imported(arguments: list[str]) -> str:
    code = (
        "import sys\nfrom outputs.cli.commands import run\n"
        f"run({arguments!r})\n"
        "heavy = ('cadquery', 'OCP', 'vtkmodules', 'ortools', 'highspy', 'trimesh', 'scipy', 'shapely', 'numpy', 'pydantic')\n"
        "sys.stderr.write('|' + ' '.join(m for m in heavy if m in sys.modules))\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    return done.stderr.rsplit("|", 1)[1]


def main() -> None:
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 20.0
    from layout.job.examples import demo_path
    from outputs.cli.pipeline import Options, studied
    from outputs.publish import publish

    options = Options(demo_path(), seconds, 0, None, False)
    clock = time.perf_counter()
    study = studied(options)
    search = study.fit.search.seconds
    designed = time.perf_counter() - clock - search

    import cadquery  # noqa: F401 - the import is not part of either figure

    from layout.study.assembly import pack_assembly

    with tempfile.TemporaryDirectory() as folder:
        bare = bare_build(study, Path(folder))
        clock = time.perf_counter()
        publish(study, Path(folder) / "package", demo_path(), replace=False)
        published = time.perf_counter() - clock
    whole = search + designed + published
    print(f"{'search (limit ' + format(seconds, 'g') + ' s)':44}{search:8.2f} s")
    print(f"{'design, weigh, load, check':44}{designed:8.2f} s")
    print(f"{'package: solids, STEP, flats, lists, report':44}{published:8.2f} s")
    print(f"{'bare kernel: same solids, one STEP file':44}{bare:8.2f} s")
    print(f"{'whole build':44}{whole:8.2f} s; 3 x bare + limit = {3.0 * bare + seconds:.2f} s")
    print(f"parts: {sum(1 for _ in pack_assembly(study).children)} groups")
    for words in (["--help"], ["check", str(demo_path())]):
        print(f"{words[0]:8} imports of the heavy libraries: {imported(words) or 'none'}")


def bare_build(study: object, folder: Path) -> float:
    """Every body built by itself (no sharing) and written as one flat STEP file by the kernel's own writer."""
    from OCP.BRep import BRep_Builder
    from OCP.STEPControl import STEPControl_AsIs, STEPControl_Writer
    from OCP.TopoDS import TopoDS_Compound

    from layout.study.assembly import pack_assembly
    from shapes.assembly import tree_of
    from shapes.build import location

    clock = time.perf_counter()
    builder, compound = BRep_Builder(), TopoDS_Compound()
    builder.MakeCompound(compound)
    for leaf, pose in tree_of(pack_assembly(study)).all_leaves():  # type: ignore[arg-type]
        builder.Add(compound, leaf.product.solid.Moved(location(pose)))
    writer = STEPControl_Writer()
    writer.Transfer(compound, STEPControl_AsIs)
    writer.Write(str(folder / "bare.step"))
    return time.perf_counter() - clock


if __name__ == "__main__":
    main()
