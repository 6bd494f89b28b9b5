"""Reading the .dat file of CalculiX: displacements, total forces of sets, stresses at integration points, step by step."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np

from layout.fe.solver import SolverFailed
from layout.frames import Array

HEAD = re.compile(r"^ *(displacements|total force|forces|stresses) .*?for set (\S+) and time", re.IGNORECASE)


@dataclass(frozen=True, eq=False)
class Steps:
    """Answers of the steps, in order. displacement_mm (steps, nodes, 3); total_n: by set, (steps, 3); stress_mpa
    (steps, elements, 8, 6): xx, yy, zz, xy, xz, yz.
    """

    displacement_mm: Array
    total_n: dict[str, Array]
    stress_mpa: Array


def read_dat(text: str, nodes: int, elements: int) -> Steps:
    """Take a .dat file apart. nodes, elements: how many of them are numbered from 1 on.

    Raises:
        SolverFailed: a table is missing, cut short or holds something that is not a number.
    """
    moved: list[Array] = []
    stresses: list[Array] = []
    totals: dict[str, list[Array]] = {}
    for kind, name, rows in _tables(text):
        if kind == "displacements":
            moved.append(_by_number(rows, nodes, 4)[:, 1:])
        elif kind == "stresses":
            stresses.append(_by_point(rows, elements))
        elif kind in ("total force", "forces"):
            totals.setdefault(name, []).append(rows.reshape(-1)[:3])
    if not moved or len(moved) != len(stresses) or any(len(t) != len(moved) for t in totals.values()):
        raise SolverFailed(f"the .dat file holds {len(moved)} tables of displacements and {len(stresses)} of stresses")
    return Steps(np.array(moved), {name: np.array(t) for name, t in totals.items()}, np.array(stresses))


def _tables(text: str) -> list[tuple[str, str, Array]]:
    found: list[tuple[str, str, Array]] = []
    marks = list(re.finditer(r"^ *(?:displacements|total force|forces|stresses) .*$", text, re.MULTILINE))
    ends = [m.start() for m in marks[1:]] + [len(text)]
    for mark, end in zip(marks, ends[: len(marks)], strict=True):
        head = HEAD.match(mark.group())
        if head is None:
            continue
        body = text[mark.end() : end]
        try:
            values = np.array(body.split(), dtype=float)
        except ValueError as odd:
            raise SolverFailed(f"a table of the .dat file cannot be read: {odd}") from odd
        found.append((head.group(1).lower(), head.group(2), values))
    return found


def _by_number(values: Array, count: int, width: int) -> Array:
    rows = _shaped(values, width)
    out = np.full((count, width), np.nan)
    out[rows[:, 0].astype(int) - 1] = rows
    return _whole(out)


def _by_point(values: Array, count: int) -> Array:
    rows = _shaped(values, 8)
    out = np.full((count, 8, 6), np.nan)
    out[rows[:, 0].astype(int) - 1, rows[:, 1].astype(int) - 1] = rows[:, 2:]
    return _whole(out)


def _shaped(values: Array, width: int) -> Array:
    if len(values) % width:
        raise SolverFailed(f"a table of the .dat file was cut short: {len(values)} values in rows of {width}")
    return values.reshape(-1, width)


def _whole(out: Array) -> Array:
    if np.isnan(out).any():
        raise SolverFailed("a table of the .dat file holds values that are missing or not numbers")
    return out
