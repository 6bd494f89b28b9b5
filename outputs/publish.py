"""The fabrication package: every file of a study, written whole, each read back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from layout.errors import ExportError
from layout.several.study import AnyStudy
from outputs.boxes_data import any_study_data
from outputs.files import whole_folder, write_json
from outputs.written import Written

Say = Callable[[str], None]


@dataclass(frozen=True)
class Package:
    """What was written: the folder and the data of its results.json."""

    folder: Path
    data: dict[str, Any]

    def lines(self) -> list[str]:
        """The files in words."""
        files = self.data["files"]
        by_folder: dict[str, int] = {}
        for file in files:
            top = file["path"].split("/")[0] if "/" in file["path"] else file["path"]
            by_folder[top] = by_folder.get(top, 0) + 1
        listed = [f"  {name}/ ({count} files)" if "." not in name else f"  {name}" for name, count in by_folder.items()]
        return [f"wrote {self.folder}: {len(files) + 1} files, each opened again and compared", *listed, "  results.json"]


def refuse_existing(out: Path, *, replace: bool) -> None:
    """Say before the work, not after it, that a folder is in the way. Raises ExportError."""
    if out.exists() and not replace:
        raise ExportError(f"{out} exists already: name another folder with -o, or allow it to be replaced with --replace")


def publish(study: AnyStudy, out: Path, job_file: Path, *, replace: bool, say: Say = lambda _: None) -> Package:
    """Write the package folder whole.

    Raises:
        ExportError: the folder is in the way, a file could not be written, or one did not agree when read back.
    """
    from outputs.contents import write_contents
    from outputs.solids_data import solid_data

    with whole_folder(out, replace=replace) as draft:
        written, examined = write_contents(study, draft, job_file, say)
        data = any_study_data(study) | {"solids": solid_data(examined)} | {"files": [_entry(w, draft) for w in written]}
        write_json(draft / "results.json", data)
    return Package(out, data)


def _entry(written: Written, folder: Path) -> dict[str, Any]:
    return {"path": written.path.relative_to(folder).as_posix(), "sha256": written.sha256, "read_back": written.read_back}
