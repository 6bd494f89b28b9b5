"""All sheets of a study, in the order of the set."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from layout.box.finish import finish_of
from layout.design import Assembly
from layout.several.study import AnyStudy, PackStudy
from layout.study.assembly import pack_assembly
from layout.study.study import Study
from outputs.drawing.assembly_sheets import assembly_drafts
from outputs.drawing.compose import Draft, lay_out
from outputs.drawing.distinct import distinct
from outputs.drawing.figures import Figures
from outputs.drawing.general import general_draft
from outputs.drawing.module_sheet import module_draft
from outputs.drawing.part_sheets import part_draft
from outputs.drawing.projection import Angle
from outputs.drawing.sheet import SetData, Sheet, finished, told_in_full

MADE = ("box", "lid", "bracket", "gasket", "liner", "cover", "clamp", "pad", "divider", "ring")
"""Groups of parts that the workshop puts together."""


def sheets_of(study: Study, say: Callable[[str], None]) -> tuple[Sheet, ...]:
    """General arrangement, assemblies, parts. Raises ExportError for a sheet that finds no room."""
    return tuple(each_sheet(study, say))


def each_sheet(study: Study, say: Callable[[str], None]) -> Iterator[Sheet]:
    """The sheets one after the other. say: gets a line of progress for each. Raises as `sheets_of`."""
    job = study.job.job
    figures = Figures(job.show_in)
    angle: Angle = job.projection
    data = _set_data(study)
    count = sheet_count(study)
    for number, draft in enumerate(_drafts(study, figures, angle), start=1):
        one = lay_out(told_in_full(draft, data))
        say(f"  sheet {number} of {count}: {draft.part_number} {draft.title}, {one.format.name} at {one.scale.text}")
        yield finished(one, data, number, count)


def pack_sheets(study: PackStudy, say: Callable[[str], None]) -> Iterator[Sheet]:
    """The sheets of several boxes together: one, the general arrangement. Raises as `sheets_of`."""
    data, figures = _set_data(study), Figures(study.job.job.show_in)
    draft = general_draft(study, figures, study.job.job.projection)
    one = lay_out(told_in_full(draft, data))
    say(f"  sheet 1 of 1: {draft.part_number} {draft.title}, {one.format.name} at {one.scale.text}")
    yield finished(one, data, 1, 1)


def _set_data(study: AnyStudy) -> SetData:
    """What every sheet of a set bears."""
    job = study.job.job
    figures = Figures(job.show_in)
    return SetData(
        job.owner, job.drawing_number, job.drawn_by, job.checked_by, job.date, job.revision, figures.unit_note, job.projection
    )


def sheet_count(study: Study) -> int:
    """How many sheets the set has: general arrangement, assemblies with a second sheet for welds, modules, parts."""
    return 2 + sum(2 if a.welds else 1 for a in _assemblies(study)) + len(distinct(study))


def _assemblies(study: Study) -> list[Assembly]:
    return [a for a in pack_assembly(study).children if a.parts and any(p.group in MADE for p in a.parts)]


def _drafts(study: Study, figures: Figures, angle: Angle) -> Iterator[Draft]:
    yield general_draft(study, figures, angle)
    for assembly in _assemblies(study):
        yield from assembly_drafts(study, assembly, figures, angle)
    yield module_draft(study, figures, angle)
    for item in distinct(study):
        yield part_draft(item, figures, angle, finish_of(study.job, item.part))
