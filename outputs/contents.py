"""What goes into the package, in the order in which it is written."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from layout.design import Assembly
from layout.several.study import AnyStudy, whole_assembly
from outputs.drawing import start_all_drawings
from outputs.files import copy_job
from outputs.flats import start_flats
from outputs.lists import write_lists
from outputs.report import write_report
from outputs.second import second_process
from outputs.solids_data import Solids, solid_lines, sorted_out
from outputs.step import Header, write_parts, write_step
from outputs.written import Written, file_stem
from shapes.assembly import Tree, tree_of
from shapes.examine import examine

Say = Callable[[str], None]

UNDATED = "1970-01-01"
"""Stands in file headers where the job states no date, so that the same job gives the same bytes."""


def write_contents(study: AnyStudy, folder: Path, job_file: Path, say: Say) -> tuple[list[Written], Solids]:
    """Write every file below `folder`; the solids are examined as they are built.

    Raises:
        ExportError: a file cannot be written or read back.
    """
    job = copy_job(job_file, folder / "job.toml")
    with second_process() as second:
        say("flat patterns, solids and STEP")
        flats = start_flats(study, folder / "flats", second)
        pack = whole_assembly(study)
        tree = tree_of(pack)
        step = _step(study, tree, folder / "step")
        say("lists")
        lists = write_lists(study, folder / "lists")
        say("drawings")
        drawings = start_all_drawings(study, folder / "drawings", say, second)
        say("solids held against one another")
        examined = sorted_out(examine(pack, tree), pack)
        say("calculation report")
        report = write_report(study, folder / "report.pdf", solid_lines(examined))
        say("3D view")
        view = _view(study, folder / "view.html", job_file)
        say("reading back")
        return [job, *step, *flats(), *lists, *drawings(), report, view], examined


def _view(study: AnyStudy, path: Path, job_file: Path) -> Written:
    from layout.space.bay import bay_of
    from layout.study.evaluate import job_folder
    from outputs.view import write_view

    return write_view(study, bay_of(study.job, study.job.folder or job_folder(job_file)), path)


def _step(study: AnyStudy, built: Tree, folder: Path) -> list[Written]:
    job = study.job.job
    folder.mkdir()
    pack = replace(built, pose=study.arrangement.frame)
    tree = Tree(f"{job.drawing_number}-IN-VEHICLE", children=(pack,))
    header = Header(job.title, job.owner, job.drawn_by, f"{job.date or UNDATED}T00:00:00")
    assembly = write_step(folder / f"{file_stem(job.drawing_number)}.step", tree, header)
    parts = folder / "parts"
    parts.mkdir()
    written = [assembly, *write_parts(parts, tree, header)]
    if study.loose:
        loose = tree_of(Assembly(f"{job.drawing_number}-LOOSE", study.loose))
        written += write_parts(parts, loose, header)
    return written
