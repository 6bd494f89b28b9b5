"""Job files that come with the tool: one to start from, and the demo."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path


def new_job_text(schema_file: str | None = None) -> str:
    """A commented job file that builds as it stands.

    schema_file: name of the JSON Schema beside it, named in the first line for editors that complete and check by it.
    """
    text = files("layout.job").joinpath("examples", "start.toml").read_text(encoding="utf-8")
    return f"#:schema ./{schema_file}\n{text}" if schema_file else text


def demo_path() -> Path:
    """The demo's job file."""
    return Path(str(files("layout.job").joinpath("examples", "demo.toml")))
