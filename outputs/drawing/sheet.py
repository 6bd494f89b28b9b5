"""A finished sheet: format, scale and everything drawn on it, in millimetres of paper."""

from __future__ import annotations

from dataclasses import dataclass, replace

from outputs.drawing.compose import Draft, LaidOut
from outputs.drawing.formats import Format, Scale
from outputs.drawing.frame import TitleData, frame_inks, left_over, title_box, title_inks
from outputs.drawing.ink import Box, Ink
from outputs.drawing.tables import notes

NOTE_WIDTH = 150.0


@dataclass(frozen=True)
class Sheet:
    """One sheet of the set. name: stem of its DXF file. zones: rectangles of views, tables and title block."""

    number: int
    name: str
    title: str
    part_number: str
    format: Format
    scale: Scale
    inks: tuple[Ink, ...]
    zones: tuple[Box, ...]


@dataclass(frozen=True)
class SetData:
    """What all sheets of a set share in their title blocks."""

    owner: str
    drawing_number: str
    creator: str
    checker: str
    date: str
    revision: str
    units: str
    angle: str


def title_of(draft: Draft, data: SetData) -> TitleData:
    """What stands in the title block of a draft."""
    return TitleData(
        owner=data.owner,
        drawing_number=data.drawing_number,
        part_number=draft.part_number,
        title=draft.title,
        supplement=draft.supplement,
        document_type=draft.document_type,
        creator=data.creator,
        checker=data.checker,
        date=data.date,
        revision=data.revision,
        units=data.units,
        angle="third angle" if data.angle == "third angle" else "first angle",
        material=draft.material,
        finish=draft.finish,
        mass=draft.mass,
    )


def told_in_full(draft: Draft, data: SetData) -> Draft:
    """The draft with a note for every text that the title block has no room for."""
    more = left_over(title_of(draft, data))
    return replace(draft, panels=(*draft.panels, notes("Title block, in full", more, NOTE_WIDTH))) if more else draft


def finished(one: LaidOut, data: SetData, number: int, count: int) -> Sheet:
    """Frame and title block around a laid-out draft: sheet `number` of `count`."""
    draft = one.draft
    title = title_of(draft, data)
    inks = (*frame_inks(one.format), *title_inks(one.format, title, one.scale, number, count), *one.inks)
    zones = (*one.zones, title_box(one.format))
    return Sheet(number, draft.name, draft.title, draft.part_number, one.format, one.scale, inks, zones)
