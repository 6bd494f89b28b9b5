"""Sheets: time of every view with all bodies and with those left out that stand behind others; time of every sheet; the whole
set of drawings, flat patterns and report in one process and in two.

Run: python tests/benchmarks/drawing_speed.py [job file] [search seconds]. Prints seconds and ratios; trust the ratios. "line"
is the total length of what is drawn in the view with fewer bodies over that with all: 1.0000 where nothing is lost.
"""

from __future__ import annotations

import math
import os
import sys
import tempfile
import time
from collections.abc import Callable, Iterable
from pathlib import Path
from typing import Any


def timed(work: Callable[[], Any]) -> tuple[float, Any]:
    clock = time.process_time()
    found = work()
    return time.process_time() - clock, found


def length(inks: Iterable[Any]) -> float:
    from outputs.drawing.ink import Arc, Line

    total = 0.0
    for ink in inks:
        if isinstance(ink, Line):
            total += sum(math.dist(a, b) for a, b in zip(ink.points, ink.points[1:], strict=False))
        elif isinstance(ink, Arc):
            total += math.radians(ink.sweep_deg) * ink.radius
    return total


def views(study: Any) -> None:
    from layout.study.assembly import pack_assembly
    from outputs.drawing.bodies import behind, scene_of
    from outputs.drawing.hidden_lines import view_of
    from outputs.drawing.oblique import OBLIQUE
    from outputs.drawing.projection import VEHICLE_SIDE

    axes = [
        ("side", VEHICLE_SIDE), ("front", VEHICLE_SIDE.seen_from("left")), ("plan", VEHICLE_SIDE.seen_from("above")), OBLIQUE[0]
    ]  # fmt: skip
    print(f"{'view':58}{'bodies':>8}{'left out':>9}{'all, s':>9}{'fewer, s':>9}{'ratio':>7}{'line':>9}")
    sums = [0.0, 0.0]
    for assembly in pack_assembly(study).children:
        scene = scene_of(assembly)
        for name, look in axes if assembly.parts else ():
            whole, full = timed(lambda look=look, scene=scene: view_of(scene.solids, look, hidden=False))
            fewer, few = timed(lambda look=look, scene=scene: scene.view(look))
            out = int(behind(scene, look).sum())
            sums = [sums[0] + whole, sums[1] + fewer]
            row = f"{len(scene.solids):8}{out:9}{whole:9.3f}{fewer:9.3f}{whole / fewer:7.1f}{length(few) / length(full):9.4f}"
            print(f"{assembly.name + ', ' + name.lower():58}{row}")
    print(f"{'all views':75}{sums[0]:9.3f}{sums[1]:9.3f}{sums[0] / sums[1]:7.1f}")


def sheets(study: Any, folder: Path) -> None:
    from outputs.drawing.dxf_sheets import write_dxf
    from outputs.drawing.pdf_pages import pdf_bytes
    from outputs.drawing.reading import check_dxf, check_pdf
    from outputs.drawing.sheets import each_sheet

    print(f"\n{'sheet':44}{'drawn, s':>9}{'DXF, s':>9}{'read, s':>9}{'PDF, s':>9}{'read, s':>9}{'inks':>7}")
    total = [0.0] * 5
    made = each_sheet(study, lambda _: None)
    while True:
        drawn, sheet = timed(lambda: next(made, None))
        if sheet is None:
            break
        path, page = folder / f"{sheet.name}.dxf", folder / "page.pdf"
        wrote, _ = timed(lambda sheet=sheet, path=path: write_dxf(sheet, path))
        read, _ = timed(lambda sheet=sheet, path=path: check_dxf(path, sheet))
        printed, data = timed(lambda sheet=sheet: pdf_bytes([sheet], "t", "a", "s"))
        page.write_bytes(data)
        found, _ = timed(lambda sheet=sheet, page=page: check_pdf(page, [sheet]))
        row = [drawn, wrote, read, printed, found]
        total = [a + b for a, b in zip(total, row, strict=True)]
        print(f"{sheet.number:3} {sheet.name:40}" + "".join(f"{v:9.3f}" for v in row) + f"{len(sheet.inks):7}")
    print(f"{'all sheets':44}" + "".join(f"{v:9.3f}" for v in total))


def together(study: Any, job: Path, folder: Path) -> None:
    from outputs import second
    from outputs.contents import write_contents

    free = second._cores
    elapsed = {}
    for name, cores in (("one process", lambda: 1), ("two processes", free)):
        second._cores = cores
        out = folder / name
        out.mkdir()
        clock = time.perf_counter()
        write_contents(study, out, job, lambda _: None)
        elapsed[name] = time.perf_counter() - clock
        print(f"package in {name:20}{elapsed[name]:8.2f} s on the wall")
    load = os.getloadavg()[0] if hasattr(os, "getloadavg") else float("nan")
    print(f"ratio {elapsed['one process'] / elapsed['two processes']:.2f} with {free()} cores; load of the machine {load:.1f}")


def main() -> None:
    from layout.job.examples import demo_path
    from outputs.cli.pipeline import Options, studied

    job = Path(sys.argv[1]) if len(sys.argv) > 1 else demo_path()
    study = studied(Options(job, float(sys.argv[2]) if len(sys.argv) > 2 else 20.0, 0, None, False))
    views(study)
    with tempfile.TemporaryDirectory() as folder:
        sheets(study, Path(folder))
        print()
        together(study, job, Path(folder))


if __name__ == "__main__":
    main()
