"""Sheets as pages of a PDF with real, embedded letters; the same sheets give the same bytes."""

from __future__ import annotations

import io
from collections.abc import Sequence

from reportlab.pdfgen.canvas import Canvas

from outputs.drawing.block import flattened
from outputs.drawing.ink import Arc, Fill, Line, Pen, Text
from outputs.drawing.letters import FONT, clean, font_points, width
from outputs.drawing.sheet import Sheet

MM = 72.0 / 25.4


def pdf_bytes(sheets: Sequence[Sheet], title: str, author: str, subject: str) -> bytes:
    """All sheets, one page each, in order."""
    stream = io.BytesIO()
    canvas = Canvas(stream, invariant=1, pageCompression=1)
    canvas.setTitle(title)
    canvas.setAuthor(author)
    canvas.setSubject(subject)
    canvas.setCreator("boxwright")
    canvas.setProducer("boxwright")
    for sheet in sheets:
        canvas.setPageSize((sheet.format.width_mm * MM, sheet.format.height_mm * MM))
        canvas.bookmarkPage(sheet.name)
        canvas.addOutlineEntry(f"{sheet.number} {sheet.title}", sheet.name)
        canvas.scale(MM, MM)
        canvas.setLineCap(0)
        canvas.setLineJoin(1)
        _page(canvas, sheet)
        canvas.showPage()
    canvas.save()
    return stream.getvalue()


def _page(canvas: Canvas, sheet: Sheet) -> None:
    by_pen: dict[Pen, list[Line | Arc | Fill]] = {}
    texts: list[Text] = []
    for ink in flattened(sheet.inks):
        if isinstance(ink, Text):
            texts.append(ink)
        else:
            by_pen.setdefault(ink.pen, []).append(ink)
    for pen in Pen:
        _strokes(canvas, sheet, pen, by_pen.get(pen, []))
    for text in texts:
        _text(canvas, text)


def _strokes(canvas: Canvas, sheet: Sheet, pen: Pen, inks: list[Line | Arc | Fill]) -> None:
    wide = sheet.format.pen_width(pen)
    canvas.setLineWidth(wide)
    canvas.setDash([d * wide for d in pen.dashes] if pen.dashes else [])
    for ink in inks:
        path = canvas.beginPath()
        if isinstance(ink, Arc):
            x, y, r = *ink.centre, ink.radius
            path.arc(x - r, y - r, x + r, y + r, ink.start_deg, ink.sweep_deg)
        else:
            path.moveTo(*ink.points[0])
            for p in ink.points[1:]:
                path.lineTo(*p)
        if isinstance(ink, Fill):
            path.close()
        canvas.drawPath(path, stroke=0 if isinstance(ink, Fill) else 1, fill=1 if isinstance(ink, Fill) else 0)


def _text(canvas: Canvas, text: Text) -> None:
    line = clean(text.text)
    size = font_points(text.height_mm) / MM
    back = {"left": 0.0, "centre": 0.5, "right": 1.0}[text.anchor] * width(line, text.height_mm)
    canvas.saveState()
    canvas.translate(*text.at)
    if text.angle_deg:
        canvas.rotate(text.angle_deg)
    canvas.setFont(FONT, size)
    canvas.drawString(-back, 0.0, line)
    canvas.restoreState()
