"""The calculation report: PDF set by typst from the study's own record."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from layout.errors import ExportError
from layout.several.study import AnyStudy
from outputs.drawing.letters import FONT_FILE, clean
from outputs.files import finite
from outputs.report.plots import pulse_plot, side_view, spectrum_plot
from outputs.report.record import record
from outputs.written import Written, sha256_of

TEMPLATE = Path(__file__).with_name("report.typ")


def write_report(study: AnyStudy, path: Path, solids: Sequence[str] = ()) -> Written:
    """Set the report and read it back: its first pages hold the drawing number and every weakest part. Raises ExportError.

    solids: what the examination of the solids found, in sentences.
    """
    import typst

    data = spelled(finite(record(study, solids)))
    with tempfile.TemporaryDirectory() as folder:
        root = Path(folder)
        (root / "report.typ").write_text(TEMPLATE.read_text(encoding="utf-8"), encoding="utf-8")
        (root / "record.json").write_text(json.dumps(data, ensure_ascii=False), encoding="utf-8")
        (root / "side.svg").write_text(side_view(study), encoding="utf-8")
        for i, response in enumerate(study.pulses):
            (root / f"pulse-{i}.svg").write_text(pulse_plot(response), encoding="utf-8")
            (root / f"spectrum-{i}.svg").write_text(spectrum_plot(response), encoding="utf-8")
        try:
            pdf = typst.compile(
                str(root / "report.typ"), root=str(root), ignore_system_fonts=True, font_paths=[str(FONT_FILE.parent)]
            )
        except Exception as error:
            msg = f"the report could not be set: {error}"
            raise ExportError(msg) from error
    path.write_bytes(pdf)
    _read_back(path, data)
    return Written(path, sha256_of(path), True)


def spelled(value: Any) -> Any:
    """Copy of plain data in which characters that no font of the report has are spelled by their codes, as on the sheets."""
    if isinstance(value, dict):
        return {k: spelled(v) for k, v in value.items()}
    if isinstance(value, list):
        return [spelled(v) for v in value]
    return clean(value) if isinstance(value, str) and not value.isascii() else value


def _read_back(path: Path, data: dict[str, object]) -> None:
    from pypdf import PdfReader

    pages = PdfReader(path).pages
    text = "".join("".join(page.extract_text().split()) for page in pages[:2])
    cover = data["cover"]
    assert isinstance(cover, dict)
    wanted = [str(data["job"]["drawing_number"]), *(w["use"] for w in cover["weakest"]), *(w["part"] for w in cover["weakest"])]  # type: ignore[index]
    missing = [w for w in wanted if "".join(str(w).split()) not in text]
    if missing:
        raise ExportError(f"{path.name} does not hold what it should: {missing}")
