"""Writing a folder whole: beside its final name first, then moved into place."""

from __future__ import annotations

import json
import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from layout.errors import ExportError
from outputs.written import Written, sha256_of


@contextmanager
def whole_folder(target: Path, *, replace: bool) -> Iterator[Path]:
    """A new folder to write into; on leaving without error it becomes `target`. On any error nothing is left behind.

    Raises:
        ExportError: `target` exists and is not to be replaced, or cannot be written.
    """
    target = target.absolute()
    if target.exists() and not replace:
        raise ExportError(f"{target} exists already: name another folder with -o, or allow it to be replaced with --replace")
    if target.exists() and not (target / "results.json").is_file() and any(target.iterdir() if target.is_dir() else [target]):
        raise ExportError(f"{target} was not written by boxwright (no results.json in it): it is not replaced")
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        draft = Path(tempfile.mkdtemp(prefix=f".{target.name}-", dir=target.parent))
    except OSError as error:
        raise ExportError(f"cannot write beside {target}: {error.strerror or error}") from error
    try:
        yield draft
        draft.chmod(0o755)
        _move(draft, target)
    except OSError as error:
        raise ExportError(f"cannot write {target}: {error.strerror or error}") from error
    finally:
        shutil.rmtree(draft, ignore_errors=True)


def _move(draft: Path, target: Path) -> None:
    """Swap the finished folder in; an older one is only removed once the new one stands in its place."""
    if not target.exists():
        os.replace(draft, target)
        return
    old = Path(tempfile.mkdtemp(prefix=f".{target.name}-old-", dir=target.parent))
    os.replace(target, old / "old")
    try:
        os.replace(draft, target)
    except OSError:
        os.replace(old / "old", target)
        raise
    finally:
        shutil.rmtree(old, ignore_errors=True)


def write_json(path: Path, data: dict[str, Any]) -> Written:
    """Write plain data and read it back. Infinite numbers become null with their key kept. Raises ExportError if it differs."""
    clean = finite(data)
    text = json.dumps(clean, indent=1, ensure_ascii=False, allow_nan=False, sort_keys=False) + "\n"
    path.write_text(text, encoding="utf-8")
    if json.loads(path.read_text(encoding="utf-8")) != clean:
        raise ExportError(f"{path.name} did not read back as it was written")
    return Written(path, sha256_of(path), True)


def copy_job(source: Path, target: Path) -> Written:
    """The job file the package was built from, byte for byte. Raises ExportError if the copy differs."""
    raw = source.read_bytes()
    target.write_bytes(raw)
    if target.read_bytes() != raw:
        raise ExportError(f"{target.name} did not read back as it was written")
    return Written(target, sha256_of(target), True)


def finite(value: Any) -> Any:
    """Copy of plain data in which infinite and undefined numbers are null and tuples are lists."""
    if isinstance(value, dict):
        return {k: finite(v) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [finite(v) for v in value]
    if isinstance(value, float) and (value != value or value in (float("inf"), float("-inf"))):
        return None
    return value
