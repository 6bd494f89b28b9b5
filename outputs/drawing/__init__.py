"""Drawing sheets of a study: one PDF with all of them and one DXF per sheet, each read back."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from layout.errors import ExportError
from layout.job.model import JobInfo
from layout.several.study import AnyStudy, PackStudy
from layout.study.study import Study
from outputs.second import HERE, Second, Task
from outputs.written import Written, file_stem, sha256_of

if TYPE_CHECKING:  # the second process works without the CAD kernel that views need
    from outputs.drawing.sheet import Sheet

__all__ = ["start_all_drawings", "start_drawings", "write_drawings"]

PAGES = 6
"""Pages of the PDF that are read back as one task."""


def write_drawings(study: Study, folder: Path, say: Callable[[str], None]) -> list[Written]:
    """Write every sheet below `folder`, which must not exist yet: DRAWING_NUMBER.pdf, and a DXF file for each sheet.

    say: gets a line of progress for each sheet. Raises ExportError where a sheet finds no room, cannot be written, or does
    not read back.
    """
    return start_drawings(study, folder, say, HERE)()


def start_drawings(study: Study, folder: Path, say: Callable[[str], None], second: Second) -> Callable[[], list[Written]]:
    """Draw every sheet and hand the files in for writing. What is returned gives them when they are written and read back."""
    from outputs.drawing.sheets import each_sheet

    return _started(each_sheet(study, say), study.job.job, folder, second)


def start_all_drawings(
    study: AnyStudy, folder: Path, say: Callable[[str], None], second: Second
) -> Callable[[], list[Written]]:
    """The same for one box or several: of several a general arrangement of all, and a set for each in a folder of its own."""
    if not isinstance(study, PackStudy):
        return start_drawings(study, folder, say, second)
    from outputs.drawing.sheets import pack_sheets

    started = [_started(pack_sheets(study, say), study.job.job, folder, second)]
    started += [start_drawings(one, folder / prefix, say, second) for prefix, one in study.boxes]
    return lambda: [written for finished in started for written in finished()]


def _started(drawn: Iterable[Sheet], job: JobInfo, folder: Path, second: Second) -> Callable[[], list[Written]]:
    """Sheets handed in for writing as they are drawn."""
    from outputs.drawing.pdf_pages import pdf_bytes
    from outputs.drawing.reading import check_pages, check_size

    sheets: list[Sheet] = []
    files: list[Task[Written]] = []
    try:
        folder.mkdir()
        for sheet in drawn:
            sheets.append(sheet)
            files.append(second.submit(write_sheet, sheet, folder))
        path = folder / f"{file_stem(job.drawing_number)}.pdf"
        path.write_bytes(pdf_bytes(sheets, job.title, job.owner or job.drawn_by, f"drawing {job.drawing_number}"))
    except OSError as error:
        raise ExportError(f"cannot write the drawings below {folder}: {error.strerror or error}") from error
    check_size(path, sheets)
    checks = [second.submit(check_pages, path, k, sheets[k : k + PAGES]) for k in range(0, len(sheets), PAGES)]

    def finished() -> list[Written]:
        for check in checks:
            check.result()
        return [Written(path, sha256_of(path), True), *(f.result() for f in files)]

    return finished


def write_sheet(sheet: Sheet, folder: Path) -> Written:
    """One sheet as DXF, read back. Raises ExportError."""
    from outputs.drawing.dxf_sheets import write_dxf
    from outputs.drawing.reading import check_dxf

    path = folder / f"{sheet.number:02d}-{sheet.name}.dxf"
    write_dxf(sheet, path)
    check_dxf(path, sheet)
    return Written(path, sha256_of(path), True)
