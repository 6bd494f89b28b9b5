"""What goes into the package, in the order in which it is written."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from layout.study.assembly import pack_assembly
from layout.study.study import Study
from outputs.drawing import write_drawings
from outputs.files import copy_job
from outputs.flats import write_flats
from outputs.lists import write_lists
from outputs.report import write_report
from outputs.solids_data import Solids, solid_lines, sorted_out
from outputs.step import Header, write_parts, write_step
from outputs.written import Written, file_stem
from shapes.assembly import Tree, tree_of
from shapes.examine import examine

Say = Callable[[str], None]

UNDATED = "1970-01-01"
"""Stands in file headers where the job states no date, so that the same job gives the same bytes."""


def write_contents(study: Study, folder: Path, job_file: Path, say: Say) -> tuple[list[Written], Solids]:
    """Write every file below `folder`; the solids are examined as they are built.

    Raises:
        ExportError: a file cannot be written or read back.
    """
    written: list[Written] = []
    written.append(copy_job(job_file, folder / "job.toml"))
    say("solids and STEP")
    pack = pack_assembly(study)
    tree = tree_of(pack)
    written += _step(study, tree, folder / "step")
    say("solids held against one another")
    examined = sorted_out(examine(pack, tree), pack)
    say("flat patterns")
    written += write_flats(study, folder / "flats")
    say("lists")
    written += write_lists(study, folder / "lists")
    say("drawings")
    written += write_drawings(study, folder / "drawings", say)
    say("calculation report")
    written.append(write_report(study, folder / "report.pdf", solid_lines(examined)))
    say("3D view")
    written.append(_view(study, folder / "view.html", job_file))
    return written, examined


def _view(study: Study, path: Path, job_file: Path) -> Written:
    from layout.space.bay import bay_of
    from layout.study.evaluate import job_folder
    from outputs.view import write_view

    return write_view(study, bay_of(study.job, study.job.folder or job_folder(job_file)), path)


def _step(study: Study, built: Tree, folder: Path) -> list[Written]:
    job = study.job.job
    folder.mkdir()
    pack = replace(built, pose=study.arrangement.frame)
    tree = Tree(f"{job.drawing_number}-IN-VEHICLE", children=(pack,))
    header = Header(job.title, job.owner, job.drawn_by, f"{job.date or UNDATED}T00:00:00")
    assembly = write_step(folder / f"{file_stem(job.drawing_number)}.step", tree, header)
    parts = folder / "parts"
    parts.mkdir()
    return [assembly, *write_parts(parts, tree, header)]
