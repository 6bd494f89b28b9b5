"""Drawing sheets."""
from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from layout.study.study import Study
from outputs.drawing.compose import lay_out
from outputs.drawing.distinct import distinct
from outputs.drawing.figures import Figures
from outputs.drawing.part_sheets import part_draft
from outputs.drawing.pdf_pages import pdf_bytes
from outputs.drawing.sheet import SetData, finish
from outputs.written import Written


def write_drawings(study: Study, folder: Path, say: Callable[[str], None]) -> list[Written]:
    folder.mkdir()
    job = study.job.job
    figures = Figures(job.show_in)
    drafts = [part_draft(d, figures, "first angle") for d in distinct(study)]
    laid = []
    for d in drafts:
        one=lay_out(d); say(f"{d.name} {one.format.name} {one.scale.text}"); laid.append(one)
    sheets = finish(laid, SetData(job.owner, job.drawing_number, job.drawn_by, job.checked_by, job.date, job.revision, figures.unit_note, "first angle"))
    (folder/f"{job.drawing_number}.pdf").write_bytes(pdf_bytes(sheets, job.title, job.drawn_by, "d"))
    return []
