"""Frame, grid reference and title block.

Frame and grid: ISO 5457 (from memory): fields of 50 mm counted from the centre marks, letters from the top, numbers from
the left, the letters I and O left out. Title block: data fields of ISO 7200 (list of fields seen), 180 mm wide, lower right.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

from outputs.drawing.formats import Format, Scale
from outputs.drawing.ink import Arc, Box, Ink, Line, Pen, Text, rectangle
from outputs.drawing.letters import LARGE, MIDDLE, SMALL, fitted, room_for, width
from outputs.drawing.projection import Angle

TITLE_WIDTH = 180.0
TITLE_HEIGHT = 50.0
FIELD = 50.0
BAND = 5.0
LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ"


@dataclass(frozen=True, slots=True)
class TitleData:
    """What stands in the title block. Texts as the job gives them; an empty one is shown as a dash."""

    owner: str
    drawing_number: str
    part_number: str
    title: str
    supplement: str
    document_type: str
    creator: str
    checker: str
    date: str
    revision: str
    units: str
    angle: Angle
    material: str = ""
    finish: str = ""
    mass: str = ""


def frame_inks(sheet: Format) -> list[Ink]:
    """Frame of the drawing space, centre marks and grid reference."""
    x0, y0, x1, y1 = sheet.frame
    inks: list[Ink] = [rectangle(sheet.frame, Pen.FRAME)]
    cx, cy = sheet.width_mm / 2.0, sheet.height_mm / 2.0
    inks += [Line(((cx, y), (cx, y + d)), Pen.FRAME) for y, d in ((y0 - BAND, BAND + 5.0), (y1 + BAND, -BAND - 5.0))]
    inks += [Line(((x, cy), (x + d, cy)), Pen.FRAME) for x, d in ((x0 - BAND, BAND + 5.0), (x1 + BAND, -BAND - 5.0))]
    inks.append(rectangle((x0 - BAND, y0 - BAND, x1 + BAND, y1 + BAND), Pen.THIN))
    for k, (low, high) in enumerate(_fields(x0, x1, cx)):
        for y in (y0 - BAND + 1.25, y1 + 1.25):
            inks.append(Text(((low + high) / 2.0, y), str(k + 1), SMALL, "centre"))
        if k:
            inks += [Line(((low, y), (low, y + BAND)), Pen.THIN) for y in (y0 - BAND, y1)]
    for k, (low, high) in enumerate(reversed(_fields(y0, y1, cy))):
        for x in (x0 - BAND / 2.0, x1 + BAND / 2.0):
            inks.append(Text((x, (low + high) / 2.0 - SMALL / 2.0), LETTERS[k], SMALL, "centre"))
        if k:
            inks += [Line(((x, high), (x + BAND, high)), Pen.THIN) for x in (x0 - BAND, x1)]
    inks.append(Text((x1 + BAND, 1.2), sheet.name, SMALL, "right"))
    return inks


def _fields(low: float, high: float, centre: float) -> list[tuple[float, float]]:
    """Fields of 50 mm from the centre outwards; what is left at both ends makes fields of its own."""
    n = math.floor((high - centre) / FIELD)
    m = math.floor((centre - low) / FIELD)
    cuts = [centre + k * FIELD for k in range(-m, n + 1)]
    cuts = ([low] if cuts[0] - low > 1.0 else []) + cuts + ([high] if high - cuts[-1] > 1.0 else [])
    return list(itertools.pairwise(cuts))


def title_box(sheet: Format) -> Box:
    """Where the title block stands."""
    _, y0, x1, _ = sheet.frame
    return (x1 - TITLE_WIDTH, y0, x1, y0 + TITLE_HEIGHT)


Cell = tuple[float, float, float, float, str, str, float, int]
"""Left, lower edge, width, height, label, text, height of letters, lines that have room."""
MORE = "… see notes"


def _cells(data: TitleData, scale: str, sheet: str) -> list[Cell]:
    return [
        (0.0, 38.0, 62.0, 12.0, "Legal owner", data.owner, SMALL, 2),
        (62.0, 38.0, 68.0, 12.0, "Document type", data.document_type, MIDDLE, 1),
        (130.0, 38.0, 50.0, 12.0, "Part number", data.part_number, MIDDLE, 2),
        (0.0, 26.0, 31.0, 12.0, "Creator", data.creator, SMALL, 2),
        (31.0, 26.0, 31.0, 12.0, "Checked by", data.checker, SMALL, 2),
        (62.0, 26.0, 68.0, 12.0, "Title", data.title, MIDDLE, 2),
        (130.0, 26.0, 50.0, 12.0, "Identification number", data.drawing_number, LARGE, 1),
        (0.0, 14.0, 62.0, 12.0, "Signature for release (empty: not released)", "", SMALL, 1),
        (62.0, 14.0, 68.0, 12.0, "Supplementary title", data.supplement, SMALL, 2),
        (130.0, 14.0, 14.0, 12.0, "Revision", data.revision, MIDDLE, 1),
        (144.0, 14.0, 18.0, 12.0, "Language", "en", MIDDLE, 1),
        (162.0, 14.0, 18.0, 12.0, "Sheet", sheet, MIDDLE, 1),
        (0.0, 7.0, 62.0, 7.0, "Material", data.material, SMALL, 1),
        (0.0, 0.0, 62.0, 7.0, "Finish", data.finish, SMALL, 1),
        (62.0, 0.0, 24.0, 14.0, "Mass", data.mass, SMALL, 2),
        (86.0, 0.0, 20.0, 14.0, "Scale", scale, LARGE, 1),
        (106.0, 0.0, 24.0, 14.0, "Dimensions in", data.units, MIDDLE, 1),
        (130.0, 0.0, 22.0, 14.0, "Date of issue", data.date, SMALL, 1),
    ]


def title_inks(sheet: Format, data: TitleData, scale: Scale, number: int, count: int) -> list[Ink]:
    """The title block of one sheet. A text that finds no room ends in MORE: `left_over` has it in full."""
    x0, y0, _, _ = title_box(sheet)
    inks: list[Ink] = [rectangle(title_box(sheet), Pen.FRAME)]
    for x, y, w, h, label, text, height, lines in _cells(data, scale.text, f"{number}/{count}"):
        inks += _cell((x0 + x, y0 + y, x0 + x + w, y0 + y + h), label, text, height, lines)
    box = (x0 + 152.0, y0, x0 + 180.0, y0 + 14.0)
    inks.append(rectangle(box, Pen.THIN))
    inks.append(Text((box[0] + 1.0, box[3] - 2.6), data.angle, LABEL))
    inks += symbol(box[0] + 14.0, box[1] + 5.2, data.angle)
    return inks


def left_over(data: TitleData) -> list[str]:
    """Texts that their cells of the title block have no room for, in full, each after its label."""
    return [
        f"{label}: {text}"
        for _, _, w, _, label, text, height, lines in _cells(data, "", "")
        if _shown(text, w, height, lines)[2]
    ]


LABEL = 1.8


def _shown(text: str, wide: float, height: float, lines: int) -> tuple[list[str], float, bool]:
    """The lines of a cell, their height, and whether the text was longer."""
    found, size = fitted(text, wide - 3.0, height, lines)
    room = room_for(height, lines, size)
    if len(found) <= room:
        return found, size, False
    last = found[room - 1]
    while last and width(f"{last} {MORE}", size) > wide - 3.0:
        last = last[:-1]
    return [*found[: room - 1], f"{last} {MORE}".strip()], size, True


def _cell(box: Box, label: str, text: str, height: float, lines: int) -> list[Ink]:
    x0, y0, x1, y1 = box
    inks: list[Ink] = [rectangle(box, Pen.THIN), Text((x0 + 1.0, y1 - 2.6), label, LABEL)]
    shown, size, _ = _shown(text or ("" if label.startswith("Sign") else "-"), x1 - x0, height, lines)
    step = min(size * 1.45, (y1 - y0 - 4.2) / len(shown))
    top = y1 - 3.4 - size if len(shown) > 1 else (y0 + y1 - 3.0) / 2.0 - size / 2.0 + 0.2
    for k, line in enumerate(shown):
        inks.append(Text((x0 + 1.5, top - k * step), line, size))
    return inks


def symbol(x: float, y: float, angle: Angle) -> list[Ink]:
    """The cone of ISO 5456-2 (from memory): in first angle the circles stand to the right of the cone's side view, whose small
    end looks to the left; in third angle they stand to the left.
    """
    big, small, length = 4.0, 2.0, 7.0
    side = 1.0 if angle == "first angle" else -1.0
    cone, eye = x - side * 6.5, x + side * 6.0
    left, right = cone - length / 2.0, cone + length / 2.0
    outline = ((left, y - small), (right, y - big), (right, y + big), (left, y + small), (left, y - small))
    return [
        Line(outline, Pen.VISIBLE),
        Arc((eye, y), big, pen=Pen.VISIBLE),
        Arc((eye, y), small, pen=Pen.VISIBLE),
        Line(((left - 1.0, y), (right + 1.0, y)), Pen.CENTRE),
        Line(((eye - big - 1.0, y), (eye + big + 1.0, y)), Pen.CENTRE),
        Line(((eye, y - big - 1.0), (eye, y + big + 1.0)), Pen.CENTRE),
    ]
