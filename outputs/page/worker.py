"""The process that computes. It gets one task after the other through a pipe of its own, and tells its progress there."""

from __future__ import annotations

import os
import signal
import sys
import threading
import traceback
import zipfile
from dataclasses import dataclass
from multiprocessing import connection, parent_process
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any, TextIO

from layout.errors import BoxwrightError, JobError, Problem
from layout.several.study import AnyStudy
from outputs.page.job_text import NAME, Start, job_from_page

Message = tuple[str, Any]
"""("say", line), ("done", result), ("refused", problems), ("fault", words)."""

MOST_CHECKS = 60


@dataclass(frozen=True)
class Task:
    """One build. out: an empty folder of its own; arrangement: from 1, None for the best that can be made."""

    text: str
    start: Start
    out: Path
    seconds: float
    seed: int
    arrangement: int | None


def work(pipe: Connection) -> None:
    """Life of the process: warm up, then task after task until the pipe closes or the parent is gone."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, daemon=True).start()
    terminal, sys.stderr = sys.stderr, _Told(pipe)
    _warm()
    while True:
        try:
            task = pipe.recv()
        except (EOFError, OSError):
            return
        pipe.send(answer(task, terminal))


def _end_with_parent() -> None:
    parent = parent_process()
    if parent is not None:
        connection.wait([parent.sentinel])
        os._exit(0)


def _warm() -> None:
    """Import what takes seconds before somebody waits for it."""
    import outputs.contents
    import outputs.view  # noqa: F401


class _Told:
    """Stands for standard error: every line goes to the page as progress."""

    encoding = "utf-8"

    def __init__(self, pipe: Connection) -> None:
        self.pipe, self.rest = pipe, ""

    def write(self, text: str) -> int:
        *lines, self.rest = (self.rest + text).split("\n")
        for line in lines:
            self.pipe.send(("say", line))
        return len(text)

    def flush(self) -> None:
        """Nothing is held back but a line's beginning."""

    def isatty(self) -> bool:
        return False


def answer(task: Task, terminal: TextIO) -> Message:
    """The last message of a task: what came of it."""
    try:
        return ("done", _built(task))
    except JobError as error:
        return ("refused", problem_rows(error.problems))
    except BoxwrightError as error:
        return ("refused", [{"line": None, "path": "", "got": "", "want": str(error), "remedy": ""}])
    except Exception:  # noqa: BLE001 - the last resort: told on the terminal, not on the page
        traceback.print_exc(file=terminal)
        return ("fault", "boxwright's own fault. The terminal shows what to report, together with the job file.")


def problem_rows(problems: list[Problem]) -> list[dict[str, Any]]:
    """Problems for the page, one row each."""
    return [{"line": p.line, "path": p.path, "got": p.got, "want": p.want, "remedy": p.remedy} for p in problems]


def _built(task: Task) -> dict[str, Any]:
    from outputs.cli.pipeline import Options, chosen, say, searched_job
    from outputs.publish import publish

    job = job_from_page(task.text, task.start)
    job_file = task.out / NAME
    job_file.write_text(task.text, encoding="utf-8", newline="")
    options = Options((task.start.folder or task.out) / NAME, task.seconds, task.seed, task.arrangement, as_json=False)
    found = searched_job(job, options)
    study = chosen(found, options)
    folder = task.out / "package"
    publish(study, folder, job_file, replace=False, say=say)
    say("package as one file")
    zip_folder(folder, task.out / "package.zip", f"{job.job.drawing_number}-package")
    return result_of(study)


def zip_folder(folder: Path, target: Path, top: str) -> None:
    """Every file of a folder in one archive, below a folder `top`; the same files give the same bytes."""
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        for path in sorted(p for p in folder.rglob("*") if p.is_file()):
            entry = zipfile.ZipInfo(f"{top}/{path.relative_to(folder).as_posix()}", (1980, 1, 1, 0, 0, 0))
            entry.compress_type, entry.external_attr = zipfile.ZIP_DEFLATED, 0o644 << 16
            archive.writestr(entry, path.read_bytes())


def result_of(study: AnyStudy) -> dict[str, Any]:
    """What the page shows of a study."""
    from outputs.boxes_data import any_fit_data
    from outputs.cli.words import five_figures, weakest
    from outputs.files import finite

    fit = any_fit_data(study)
    kept = ("rank", "best_at", "scores", "box", "insertion")
    rows = [{k: a.get(k) for k in kept} | {"modules": len(a["modules"])} for a in fit["arrangements"]]
    checks = [
        {
            "name": c.name, "part": c.part, "case": c.case, "utilisation": c.utilisation, "note": c.note,
            "source": str(c.source),
            "verdict": "not checked" if c.utilisation is None else "holds" if c.holds else "does not hold",
        }
        for c in weakest(study, MOST_CHECKS)
    ]  # fmt: skip
    kinds = len({(c.name, c.part) for c in study.checks})
    data = {
        "name": f"{study.job.job.drawing_number}-package.zip",
        "figures": five_figures(study),
        "all_hold": study.all_hold,
        "fit": {k: fit[k] for k in ("placed", "upper_bound", "proven", "space", "note", "taken")},
        "arrangements": rows,
        "checks": checks,
        "checks_left_out": kinds - len(checks),
        "cautions": list(study.cautions),
    }
    plain: dict[str, Any] = finite(data)
    return plain
