"""What can go wrong, as types.

BoxwrightError
    JobError      the job file is wrong: every problem at once (exit status 2)
    NothingFits   no arrangement exists for what was asked (exit status 3)
    DesignError   no box, bracket or load path can be made from what was asked (exit status 3)
    ExportError   a file could not be written, or did not agree when read back (exit status 4)
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Problem:
    """One thing wrong with the input.

    path: dotted place in the job file, e.g. "module[2].mass"; got: the value as given; want: what is allowed;
    remedy: what to do; line: line in the job file, from 1, where known.
    """

    path: str
    got: str
    want: str
    remedy: str
    line: int | None = None

    def __str__(self) -> str:
        where = f"line {self.line}: " if self.line else ""
        return f"{where}{self.path} = {self.got}: {self.want}. {self.remedy}"


class BoxwrightError(Exception):
    """Base of all errors that a user can mend."""


class JobError(BoxwrightError):
    """The job file is wrong. `problems` holds every problem found, in the order of the file."""

    def __init__(self, problems: list[Problem]) -> None:
        super().__init__("\n".join(str(p) for p in problems))
        self.problems = problems


class NothingFits(BoxwrightError):
    """No arrangement exists for what was asked. `fitted` modules were placed, `bound` is an upper bound on them."""

    def __init__(self, message: str, fitted: int = 0, bound: int | None = None) -> None:
        super().__init__(message)
        self.fitted = fitted
        self.bound = bound


class DesignError(BoxwrightError):
    """A part cannot be made: names the part, the rule, the figure and the remedy."""

    def __init__(self, part: str, rule: str, figure: str, remedy: str) -> None:
        super().__init__(f"{part}: {rule} ({figure}). {remedy}")
        self.part = part
        self.rule = rule
        self.figure = figure
        self.remedy = remedy


class ExportError(BoxwrightError):
    """A file could not be written, or did not agree when it was read back."""
