"""Reads the data files of this package and names what is missing."""

from __future__ import annotations

import csv
import difflib
from collections.abc import Iterable
from functools import cache
from importlib.resources import files
from typing import cast

from layout.checks.rule import Seen, Source
from layout.errors import BoxwrightError

Row = dict[str, str]
_SEEN: tuple[Seen, ...] = ("seen", "secondary", "memory", "derived")


class UnknownName(BoxwrightError, KeyError):
    """A name that a table does not hold. Says what was asked, what comes near, and all there is."""

    def __init__(self, kind: str, name: str, known: Iterable[str]) -> None:
        every = list(known)
        near = difflib.get_close_matches(name, every, n=3, cutoff=0.5)
        hint = f" Did you mean {' or '.join(near)}?" if near else ""
        super().__init__(f"{kind} {name!r} is not in the tables.{hint} Known: {', '.join(every)}")
        self.kind = kind
        self.name = name
        self.near = tuple(near)

    def __str__(self) -> str:
        return str(self.args[0])


@cache
def rows(table: str) -> tuple[Row, ...]:
    """All rows of a data file of this package, by its name without `.csv`; every row has `source` and `seen`."""
    text = files("layout.tables").joinpath(f"{table}.csv").read_text(encoding="utf-8")
    found = tuple(csv.DictReader(text.splitlines()))
    for row in found:
        if not row["source"] or row["seen"] not in _SEEN or None in row:
            msg = f"table {table}: row without source, or of the wrong length: {row}"
            raise ValueError(msg)
    return found


def table_names() -> tuple[str, ...]:
    """Names of all data files, sorted."""
    return tuple(sorted(f.name[:-4] for f in files("layout.tables").iterdir() if f.name.endswith(".csv")))


def source_of(row: Row) -> Source:
    """The row's source with the mark whether its text was seen."""
    return Source(row["source"], cast(Seen, row["seen"]))


def number(row: Row, key: str) -> float:
    """A figure that must be there."""
    return float(row[key])


def maybe(row: Row, key: str) -> float | None:
    """A figure that may be left empty."""
    return float(row[key]) if row[key] else None
