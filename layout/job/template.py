"""The job file to start from."""

from __future__ import annotations

from layout.job.examples import demo_path, start_text

__all__ = ["demo_path", "new_job_text"]


def new_job_text(schema_file: str | None = None) -> str:
    """A commented job file that builds as it stands.

    schema_file: name of the JSON Schema beside it, named in the first line for editors that complete and check by it.
    """
    text = start_text()
    return f"#:schema ./{schema_file}\n{text}" if schema_file else text
