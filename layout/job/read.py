"""Text -> Job. Every problem at once, each with its line, place, value, what is allowed and what to do."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path as FilePath
from typing import Any

from pydantic import TypeAdapter, ValidationError

from layout.errors import JobError, Problem
from layout.job.allowed import keys
from layout.job.model import Job
from layout.job.places import Path, line_numbers, line_of
from layout.job.sense import table_problems
from layout.job.text import data_of, text_of
from layout.job.words import dotted, problems_from, shown, steps


def read_job(path: str | FilePath) -> Job:
    """The job in a file. Raises JobError with every problem found."""
    file = FilePath(path)
    return parse_job(text_of(file), file.name, file.resolve().parent)


def parse_job(text: str, name: str = "job", folder: FilePath | None = None) -> Job:
    """The job in a text. folder: where files that the job names lie (None: not looked for).

    Raises JobError with every problem found, in the order of the file.
    """
    data = data_of(text, name)
    places = line_numbers(text)
    job, problems = _validated(data)
    tables = {field: getattr(job, field) for field in Job.model_fields} if job else _sound_tables(data, problems)
    problems += table_problems(tables, folder)
    if job is None or problems:
        raise JobError(_in_order([_placed(problem, data, places) for problem in problems]))
    return job.in_folder(folder)


def _validated(data: dict[str, Any]) -> tuple[Job | None, list[Problem]]:
    endless = [_endless(path, value, data) for path, value in _numbers(data, ()) if not math.isfinite(value)]
    try:
        job = Job.model_validate_json(_as_json(data), strict=True, by_alias=True, by_name=False)
    except ValidationError as error:
        found = problems_from(error, data)
        said = {steps(problem.path) for problem in found}
        return None, found + [problem for problem in endless if steps(problem.path) not in said]
    return (None if endless else job), endless


def _numbers(data: Any, path: Path) -> Iterator[tuple[Path, float]]:
    if isinstance(data, float):
        yield path, data
    elif isinstance(data, Mapping):
        for key, value in data.items():
            yield from _numbers(value, (*path, key))
    elif isinstance(data, list):
        for index, value in enumerate(data):
            yield from _numbers(value, (*path, index))


def _endless(path: Path, value: float, data: Mapping[str, Any]) -> Problem:
    return Problem(dotted(path, data), shown(value), "must be a finite number", "Measure it and write the number.")


def _as_json(data: Any) -> str:
    """The data as JSON text: so that the strict rules take lists as lists, and dates as the text they were written as."""
    return json.dumps(data, default=str)


def _sound_tables(data: dict[str, Any], problems: list[Problem]) -> dict[str, Any]:
    """Those top tables in which no problem was found, by attribute name."""
    bad = {steps(problem.path)[:1] for problem in problems}
    tables: dict[str, Any] = {}
    attributes = {field.alias or name: name for name, field in Job.model_fields.items()}
    for key, field in keys(Job).items():
        if key not in data and not field.is_required():
            tables[attributes[key]] = field.get_default(call_default_factory=True)
        elif key in data and (key,) not in bad:
            adapter: TypeAdapter[Any] = TypeAdapter(field.annotation or Any)
            try:
                tables[attributes[key]] = adapter.validate_json(_as_json(data[key]), strict=True, by_alias=True, by_name=False)
            except ValidationError:
                continue
    return tables


def _placed(problem: Problem, data: Mapping[str, Any], places: dict[Path, int]) -> Problem:
    path = steps(problem.path)
    return replace(problem, path=dotted(path, data), line=line_of(places, path))


def _in_order(problems: list[Problem]) -> list[Problem]:
    return sorted(dict.fromkeys(problems), key=lambda problem: problem.line or 0)
