"""The job file to start from, and its schema."""

from __future__ import annotations

import json
from pathlib import Path

from layout.errors import ExportError
from layout.job.schema import job_schema
from layout.job.template import new_job_text


def write_start(job: Path, *, replace: bool) -> list[Path]:
    """Write job file and schema. Raises ExportError where one exists and is not to be replaced, or cannot be written."""
    schema = job.with_name(f"{job.stem}.schema.json")
    for path in (job, schema):
        if path.exists() and not replace:
            raise ExportError(f"{path} exists already: name another file, or allow it to be replaced with --replace")
    try:
        schema.write_text(json.dumps(job_schema(), indent=1) + "\n", encoding="utf-8")
        job.write_text(f"#:schema ./{schema.name}\n{new_job_text()}", encoding="utf-8")
    except OSError as error:
        raise ExportError(f"cannot write {job}: {error.strerror or error}") from error
    return [job, schema]
