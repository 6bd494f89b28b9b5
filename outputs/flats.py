"""Flat patterns of every sheet part, and sheets on which they are nested."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

from layout.design import FoldedPlate, Plate
from layout.study.study import Study
from outputs.dxf import FlatMeta, flat_of, write_flat
from outputs.nesting import NestItem, nest, write_sheets
from outputs.written import Written, file_stem


def sheet_parts(study: Study) -> tuple[Plate | FoldedPlate, ...]:
    """Every part that is cut from plate or sheet, box first; gaskets are sheet too."""
    parts: list[Plate | FoldedPlate] = list(study.box.plates)
    for bracket in study.brackets:
        parts += [bracket.angle, *bracket.gussets]
    return (*parts, *study.loose)


def write_flats(study: Study, folder: Path) -> list[Written]:
    """One DXF per part number, and one per nested raw sheet. Raises ExportError where one does not read back."""
    folder.mkdir()
    job = study.job.job
    parts = sheet_parts(study)
    count = Counter(p.number for p in parts)
    written = []
    for part in parts:
        meta = FlatMeta(quantity=count[part.number], job=job.drawing_number, date=job.date)
        written.append(write_flat(folder / f"{file_stem(part.number)}.dxf", part, meta))
    items = [NestItem(p.number, p.material, flat_of(p)) for p in parts]
    sheets = folder / "sheets"
    sheets.mkdir()
    return [*written, *write_sheets(sheets, nest(items), job.drawing_number, job.date)]
