"""A sound job text to spoil."""

from collections.abc import Callable
from pathlib import Path

import pytest

from layout.errors import JobError, Problem
from layout.job.read import parse_job

JOBS = Path(__file__).resolve().parents[2] / "jobs"


@pytest.fixture(scope="package")
def sound_text() -> str:
    return (JOBS / "larkmoor-front-bay.toml").read_text(encoding="utf-8")


@pytest.fixture
def spoilt(sound_text: str) -> Callable[..., str]:
    """The sound text with each first text replaced once by the second; the first must be there."""

    def spoil(*changes: tuple[str, str]) -> str:
        text = sound_text
        for old, new in changes:
            assert old in text, old
            text = text.replace(old, new, 1)
        return text

    return spoil


@pytest.fixture
def problems_of() -> Callable[..., list[Problem]]:
    def find(text: str, folder: Path | None = None) -> list[Problem]:
        with pytest.raises(JobError) as trouble:
            parse_job(text, "job.toml", folder)
        return trouble.value.problems

    return find
