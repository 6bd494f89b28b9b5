"""Flat patterns of every sheet part, and sheets on which they are nested."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from pathlib import Path

from layout.design import FoldedPlate, Plate
from layout.several.study import AnyStudy, boxes_of
from outputs.dxf import FlatMeta, flat_of, write_flat
from outputs.nesting import NestItem, nest, write_sheets
from outputs.second import HERE, Second
from outputs.written import Written, file_stem


def sheet_parts(study: AnyStudy) -> tuple[Plate | FoldedPlate, ...]:
    """Every part that is cut from plate or sheet, box first; gaskets are sheet too."""
    parts: list[Plate | FoldedPlate] = []
    for one in boxes_of(study):
        parts += one.box.plates
        for bracket in one.brackets:
            parts += [bracket.angle, *bracket.gussets]
    return (*parts, *study.loose)


def write_flats(study: AnyStudy, folder: Path) -> list[Written]:
    """One DXF per part number, and one per nested raw sheet. Raises ExportError where one does not read back."""
    return start_flats(study, folder, HERE)()


def start_flats(study: AnyStudy, folder: Path, second: Second) -> Callable[[], list[Written]]:
    """Hand the files in for writing. What is returned gives them when they are written, and raises as `write_flats`."""
    folder.mkdir()
    job = study.job.job
    parts = sheet_parts(study)
    count = Counter(p.number for p in parts)
    tasks = []
    for part in parts:
        meta = FlatMeta(quantity=count[part.number], job=job.drawing_number, date=job.date)
        tasks.append(second.submit(write_flat, folder / f"{file_stem(part.number)}.dxf", part, meta))
    sheets = folder / "sheets"
    sheets.mkdir()
    nested = second.submit(_write_nested, sheets, parts, job.drawing_number, job.date)
    return lambda: [*(t.result() for t in tasks), *nested.result()]


def _write_nested(folder: Path, parts: tuple[Plate | FoldedPlate, ...], job: str, date: str) -> tuple[Written, ...]:
    return write_sheets(folder, nest([NestItem(p.number, p.material, flat_of(p)) for p in parts]), job, date)
