"""The set-packing model both solvers read: which candidate, what each is worth, and what may not stand together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from layout.packing.engine.board import Board
from layout.packing.engine.candidates import Candidates
from layout.packing.engine.model import Item
from layout.packing.engine.rows import Rows, clash_rows
from layout.packing.engine.space import Bools, Ints


@dataclass(frozen=True)
class CountRow:
    """At least `least` and at most `most` of the listed candidates."""

    members: Ints
    least: int
    most: int


@dataclass(frozen=True)
class SetPacking:
    """Choose candidates so that each row of `rows` holds at most one and every count row is kept; greatest value wins."""

    candidates: Candidates
    values: Ints
    rows: Rows
    counts: tuple[CountRow, ...]


def set_packing(items: Sequence[Item], candidates: Candidates, volume: int) -> SetPacking:
    """The model of the candidates. volume: the free volume, to leave out limits that cannot be reached."""
    counts = []
    for n, item in enumerate(items):
        members = np.flatnonzero(candidates.item == n)
        smallest = min((int(np.prod(option.size)) for option in item.options), default=1)
        if item.least > 0 or item.most * smallest < volume:
            counts.append(CountRow(members, item.least, item.most))
    values = np.array([item.value for item in items], np.int64)[candidates.item] if items else np.zeros(0, np.int64)
    return SetPacking(candidates, values, clash_rows(items, candidates), tuple(counts))


def narrowed(model: SetPacking, keep: Bools, taken: Bools) -> SetPacking:
    """The model over the kept candidates only, given that the taken ones (not kept, clashing with none kept) stand."""
    matrix = model.rows.matrix[:, keep]
    matrix = matrix[np.diff(matrix.indptr) > 1]
    rows = Rows(matrix.indptr.astype(np.int64), matrix.indices.astype(np.int64), int(keep.sum()))
    place = np.cumsum(keep) - 1
    counts = []
    for count in model.counts:
        fixed = int(taken[count.members].sum())
        inside = count.members[keep[count.members]]
        counts.append(CountRow(place[inside], max(count.least - fixed, 0), count.most - fixed))
    return SetPacking(model.candidates.take(keep), model.values[keep], rows, tuple(counts))


def holds(model: SetPacking, chosen: Bools) -> bool:
    """Whether the choice keeps every row and every count."""
    if not (model.rows.matrix @ chosen.astype(np.float64) <= 1).all():
        return False
    return all(c.least <= int(chosen[c.members].sum()) <= c.most for c in model.counts)


def value_of(model: SetPacking, chosen: Bools) -> int:
    """Sum of the values chosen."""
    return int(model.values[chosen].sum())


def offer(board: Board, model: SetPacking, chosen: Bools, who: str) -> None:
    """Put a choice on the board, if it keeps the rows and counts."""
    value = value_of(model, chosen)
    if value > board.value and holds(model, chosen):
        board.offer(value, model.candidates.placements(chosen), who)
