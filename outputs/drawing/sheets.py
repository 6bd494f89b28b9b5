"""All sheets of a study, in the order of the set."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from layout.study.assembly import pack_assembly
from layout.study.study import Study
from outputs.drawing.assembly_sheets import assembly_drafts
from outputs.drawing.compose import Draft, LaidOut, lay_out
from outputs.drawing.distinct import distinct
from outputs.drawing.figures import Figures
from outputs.drawing.general import general_draft
from outputs.drawing.module_sheet import module_draft
from outputs.drawing.part_sheets import part_draft
from outputs.drawing.projection import Angle
from outputs.drawing.sheet import SetData, Sheet, finish

MADE = ("box", "lid", "bracket", "gasket", "liner", "cover")
"""Groups of parts that the workshop puts together."""


def sheets_of(study: Study, say: Callable[[str], None]) -> tuple[Sheet, ...]:
    """General arrangement, assemblies, parts. Raises ExportError for a sheet that finds no room."""
    job = study.job.job
    figures = Figures(job.show_in)
    angle: Angle = job.projection
    laid: list[LaidOut] = []
    for draft in _drafts(study, figures, angle):
        one = lay_out(draft)
        say(f"  sheet {len(laid) + 1}: {draft.part_number} {draft.title}, {one.format.name} at {one.scale.text}")
        laid.append(one)
    data = SetData(
        job.owner, job.drawing_number, job.drawn_by, job.checked_by, job.date, job.revision, figures.unit_note, angle
    )
    return finish(laid, data)


def _drafts(study: Study, figures: Figures, angle: Angle) -> Iterator[Draft]:
    yield general_draft(study, figures, angle)
    for assembly in pack_assembly(study).children:
        if assembly.parts and any(p.group in MADE for p in assembly.parts):
            yield from assembly_drafts(study, assembly, figures, angle)
    yield module_draft(study, figures, angle)
    for item in distinct(study):
        yield part_draft(item, figures, angle)
