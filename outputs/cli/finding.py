"""What the search found, in words and as data, for one box or several."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from layout.several.ways import PackFit
from outputs.cli.pipeline import Searched

if TYPE_CHECKING:  # slow to import
    from layout.study.study import Fit


def found_lines(found: Searched, looked: Fit | PackFit | None) -> list[str]:
    """For the terminal. looked: ways in and access, where these were looked at."""
    if found.job.pack.boxes > 1:
        from outputs.cli.boxes_words import pack_fit_lines

        return pack_fit_lines(found.job, found.search, looked if isinstance(looked, PackFit) else None)
    from outputs.cli.fit_words import fit_lines

    return fit_lines(found.job, found.search, found.shell, None if isinstance(looked, PackFit) else looked)


def found_data(found: Searched, looked: Fit | PackFit | None) -> dict[str, Any]:
    """For --json: `fit`."""
    if found.job.pack.boxes > 1:
        from outputs.boxes_data import pack_fit_data

        return pack_fit_data(found.job, found.search, looked if isinstance(looked, PackFit) else None)
    from outputs.results import fit_data

    return fit_data(found.search, found.shell, None if isinstance(looked, PackFit) else looked)
