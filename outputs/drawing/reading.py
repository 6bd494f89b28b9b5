"""Read written sheets back and compare them with what was to be drawn."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import ezdxf
from ezdxf import units
from pypdf import PageObject, PdfReader
from pypdf.errors import PyPdfError

from layout.errors import ExportError
from outputs.drawing.block import flattened
from outputs.drawing.dxf_sheets import drawn_extent, factor_of
from outputs.drawing.ink import Arc, Box, Dim, Fill, Line, Text
from outputs.drawing.letters import clean
from outputs.drawing.sheet import Sheet

PLACE_MM = 1e-4
POINT_MM = 25.4 / 72.0


def check_pdf(path: Path, sheets: Sequence[Sheet]) -> None:
    """Raise ExportError unless the file has one page per sheet, of its size, with every line of letters of that sheet on it."""
    check_size(path, sheets)
    check_pages(path, 0, sheets)


@contextmanager
def _reading(path: Path) -> Iterator[Sequence[PageObject]]:
    """Pages of a file; what goes wrong while they are read is an ExportError."""
    try:
        yield PdfReader(path).pages
    except (OSError, PyPdfError, ValueError, KeyError) as error:
        raise ExportError(f"{path.name}: the file does not read back as PDF ({error})") from error


def check_size(path: Path, sheets: Sequence[Sheet]) -> None:
    """Raise ExportError unless the file has one page per sheet, of its size."""
    with _reading(path) as pages:
        found = [(float(p.mediabox.width) * POINT_MM, float(p.mediabox.height) * POINT_MM) for p in pages]
    if len(found) != len(sheets):
        raise ExportError(f"{path.name}: {len(sheets)} sheets were written, {len(found)} read back")
    for sheet, (width, height) in zip(sheets, found, strict=True):
        if max(abs(width - sheet.format.width_mm), abs(height - sheet.format.height_mm)) > 0.1:
            raise ExportError(f"{path.name}: sheet {sheet.number} is {width:.1f} x {height:.1f} mm, not {sheet.format.name}")


def check_pages(path: Path, first: int, sheets: Sequence[Sheet]) -> None:
    """Raise ExportError unless the pages from number `first` (counted from 0) on hold every line of letters of these sheets."""
    with _reading(path) as pages:
        texts = [pages[first + k].extract_text() for k in range(len(sheets))]
    for sheet, text in zip(sheets, texts, strict=True):
        missing = Counter(_lines(sheet)) - Counter(_squeezed(line) for line in text.splitlines())
        joined = _squeezed(text)
        lost = [line for line in missing if line not in joined]
        if lost:
            raise ExportError(f"{path.name}: sheet {sheet.number}: {lost[0]!r} was written and not found again")


def _lines(sheet: Sheet) -> list[str]:
    return [_squeezed(clean(i.text)) for i in flattened(sheet.inks) if isinstance(i, Text) and i.text.strip()]


def _squeezed(text: str) -> str:
    return "".join(text.split())


def check_dxf(path: Path, sheet: Sheet) -> None:
    """Raise ExportError unless the file passes the audit and holds the sheet.

    Compared: millimetres as unit, extents of what is drawn, number of lines, arcs and fills on each layer, every line of
    letters, and what every dimension measures.
    """
    try:
        document = ezdxf.readfile(path)
    except (OSError, ezdxf.DXFError) as error:
        raise ExportError(f"{path.name}: the file does not read back as DXF ({error})") from error
    auditor = document.audit()
    if auditor.errors or auditor.fixes:
        raise ExportError(f"{path.name}: the audit found {len(auditor.errors)} errors and mended {len(auditor.fixes)}")
    if document.units != units.MM:
        raise ExportError(f"{path.name}: the file does not say millimetres")
    seen = _Seen()
    for entity in document.modelspace():
        if entity.dxftype() == "DIMENSION":
            _check_dimension(path, entity)
            seen.measures.append(round(float(entity.dxf.actual_measurement), 6))
            for part in document.blocks.get(entity.dxf.geometry):
                seen.take(part)
        else:
            seen.take(entity)
    _compare(path, sheet, seen)


def _check_dimension(path: Path, entity: Any) -> None:
    measured, stated = float(entity.get_measurement()), float(entity.dxf.actual_measurement)
    if abs(abs(measured) - stated) > 1e-3:
        raise ExportError(f"{path.name}: a dimension states {stated:.4f} mm, its points are {abs(measured):.4f} mm apart")


class _Seen:
    """What a file holds: entities by layer and kind, letters, points that bound it, dimensions."""

    def __init__(self) -> None:
        self.count: Counter[tuple[str, str]] = Counter()
        self.letters: Counter[str] = Counter()
        self.points: list[tuple[float, float]] = []
        self.measures: list[float] = []

    def take(self, entity: Any) -> None:
        kind, layer = entity.dxftype(), entity.dxf.layer
        if kind == "TEXT":
            self.letters[entity.dxf.text] += 1
            return
        self.count[layer, {"CIRCLE": "ARC", "LWPOLYLINE": "LINE"}.get(kind, kind)] += 1
        if kind == "LINE":
            self.points += [(entity.dxf.start.x, entity.dxf.start.y), (entity.dxf.end.x, entity.dxf.end.y)]
        elif kind == "LWPOLYLINE":
            self.points += [(float(p[0]), float(p[1])) for p in entity.get_points("xy")]

    @property
    def extent(self) -> Box:
        xs, ys = [p[0] for p in self.points], [p[1] for p in self.points]
        return (min(xs), min(ys), max(xs), max(ys))


def _compare(path: Path, sheet: Sheet, seen: _Seen) -> None:
    kinds: dict[type, str] = {Line: "LINE", Arc: "ARC", Fill: "SOLID"}
    drawn = [i for i in flattened(sheet.inks) if not isinstance(i, Text)]
    want = Counter((i.pen.layer, kinds[type(i)]) for i in drawn)
    if want != seen.count:
        odd = next(iter((want - seen.count) + (seen.count - want)))
        raise ExportError(f"{path.name}: {odd[1]} on layer {odd[0]}: {want[odd]} drawn, {seen.count[odd]} read back")
    letters = Counter(clean(i.text) for i in flattened(sheet.inks) if isinstance(i, Text))
    if letters != seen.letters:
        odd_text = next(iter((letters - seen.letters) + (seen.letters - letters)))
        raise ExportError(f"{path.name}: the line {odd_text!r} did not read back as it was written")
    if max(abs(a - b) for a, b in zip(drawn_extent(sheet), seen.extent, strict=True)) > PLACE_MM * factor_of(sheet):
        raise ExportError(f"{path.name}: extents {seen.extent} instead of {drawn_extent(sheet)}")
    measures = sorted(round(abs(i.value_mm), 6) for i in sheet.inks if isinstance(i, Dim))
    if len(measures) != len(seen.measures) or any(
        abs(a - b) > 1e-5 for a, b in zip(measures, sorted(seen.measures), strict=True)
    ):
        raise ExportError(f"{path.name}: the dimensions did not read back as they were written")
