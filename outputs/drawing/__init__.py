"""Drawing sheets of a study: one PDF with all of them and one DXF per sheet, each read back."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from layout.errors import ExportError
from layout.study.study import Study
from outputs.drawing.dxf_sheets import write_dxf
from outputs.drawing.pdf_pages import pdf_bytes
from outputs.drawing.reading import check_dxf, check_pdf
from outputs.drawing.sheet import Sheet
from outputs.drawing.sheets import sheets_of
from outputs.written import Written, file_stem, sha256_of

__all__ = ["sheets_of", "write_drawings"]


def write_drawings(study: Study, folder: Path, say: Callable[[str], None]) -> list[Written]:
    """Write every sheet below `folder`, which must not exist yet: DRAWING_NUMBER.pdf, and a DXF file for each sheet.

    say: gets a line of progress for each sheet. Raises ExportError where a sheet finds no room, cannot be written, or does
    not read back.
    """
    sheets = sheets_of(study, say)
    job = study.job.job
    try:
        folder.mkdir()
        path = folder / f"{file_stem(job.drawing_number)}.pdf"
        path.write_bytes(pdf_bytes(sheets, job.title, job.owner or job.drawn_by, f"drawing {job.drawing_number}"))
    except OSError as error:
        raise ExportError(f"cannot write the drawings below {folder}: {error.strerror or error}") from error
    check_pdf(path, sheets)
    return [Written(path, sha256_of(path), True), *(_written(sheet, folder) for sheet in sheets)]


def _written(sheet: Sheet, folder: Path) -> Written:
    path = folder / f"{sheet.number:02d}-{sheet.name}.dxf"
    write_dxf(sheet, path)
    check_dxf(path, sheet)
    return Written(path, sha256_of(path), True)
