"""A job that came as text from the page. It may name only files that the job file given at the start names too."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from layout.errors import JobError, Problem
from layout.job import Job
from layout.job.read import parse_job
from layout.job.template import new_job_text
from layout.job.text import data_of, text_of

NAME = "job.toml"


@dataclass(frozen=True)
class Start:
    """What the page starts from. text: of the job file; folder: in which files that it names lie, None where there is no
    job file; files: the names it gives, the only ones a text from the page may give."""

    text: str
    folder: Path | None = None
    files: frozenset[str] = frozenset()


def start_of(job: Path | None) -> Start:
    """The job file named on the command line, or the one to start from. Raises JobError where it cannot be read as text."""
    if job is None:
        return Start(new_job_text())
    text = text_of(job)
    try:
        files = frozenset(name for _, name in named_files(data_of(text, job.name)))
    except JobError:
        files = frozenset()
    return Start(text, job.resolve().parent, files)


def named_files(data: Any, path: str = "") -> Iterator[tuple[str, str]]:
    """Every value under a key `file`, anywhere in a job's data, with its place."""
    if isinstance(data, Mapping):
        for key, value in data.items():
            place = f"{path}.{key}" if path else str(key)
            if key == "file":
                yield place, str(value)
            else:
                yield from named_files(value, place)
    elif isinstance(data, list):
        for number, value in enumerate(data, start=1):
            yield from named_files(value, f"{path}[{number}]")


def job_from_page(text: str, start: Start) -> Job:
    """The job in a text from the page. Raises JobError with every problem; no file is looked at unless all are allowed."""
    strange = [(place, name) for place, name in named_files(data_of(text, NAME)) if name not in start.files]
    if not strange:
        return parse_job(text, NAME, start.folder)
    want = "the page reads only files that the job file given at the start names"
    remedy = "Name it in a job file beside it, and start `boxwright serve` with that."
    problems = [Problem(place, f'"{name}"', want, remedy, _line_of(text, name)) for place, name in strange]
    try:
        parse_job(text, NAME, None)
    except JobError as error:
        problems += error.problems
    raise JobError(problems)


def _line_of(text: str, name: str) -> int | None:
    return next((n for n, line in enumerate(text.splitlines(), start=1) if name in line), None)
