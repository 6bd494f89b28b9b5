"""Job files that come with the tool: start.toml, which `boxwright new` writes, and demo.toml, which `boxwright demo` builds."""

from __future__ import annotations

from importlib.resources import files
from pathlib import Path


def demo_path() -> Path:
    """The demo's job file."""
    return Path(str(files("layout.job.examples").joinpath("demo.toml")))


def start_text() -> str:
    """The job file to start from."""
    return files("layout.job.examples").joinpath("start.toml").read_text(encoding="utf-8")
