"""Layouts by cutting: what is laid lies in its piece without overlap, no bound is too low, and known hard cases are met."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.packing.engine import Item, Option, Region, pack_most
from layout.packing.engine.bounds import barnes_bound
from layout.packing.engine.five_blocks import Table, fill_table, tiles_of
from layout.packing.engine.l_cuts import cuts_of
from layout.packing.engine.l_shapes import LSearch, Piece


def table_of(length: int, width: int, a: int, b: int) -> Table:
    table = fill_table(length, width, a, b, lambda: False)
    assert table is not None
    return table


def cells_of(piece: Piece) -> np.ndarray:
    wide, high, x, y = piece
    cells = np.ones((wide, high), dtype=np.int64)
    cells[x:, y:] = 0
    return cells


def lies_well(laid: Iterable[tuple[int, int, int, int]], piece: Piece, edges: set[int]) -> bool:
    """Each tile has the two edges, lies in the piece, and none covers what another one covers."""
    left = cells_of(piece)
    for x, y, wide, tall in laid:
        if {wide, tall} != edges or min(x, y) < 0 or x + wide > piece[0] or y + tall > piece[1]:
            return False
        left[x : x + wide, y : y + tall] -= 1
    return bool((left >= 0).all())


def most_in(piece: Piece, a: int, b: int) -> int:
    """The most tiles of a piece, by the solvers, on a question that no cutting search takes."""
    wide, high, x, y = piece
    blocked = ((x, y, 0, wide, high, 1),) if x < wide and y < high else ()
    found = pack_most(Region((wide, high, 1), blocked), (Item("t", (Option((a, b, 1)), Option((b, a, 1))), 99),), seconds=20.0)
    assert found.proven
    return found.value


@given(st.integers(8, 40), st.integers(8, 40), st.integers(2, 9), st.integers(1, 8))
@settings(max_examples=40, deadline=None)
def test_every_layout_of_the_table_lies_in_its_rectangle(length: int, width: int, a: int, less: int) -> None:
    b = max(a - less, 1)
    table = table_of(length, width, a, b)
    for x, y in ((length, width), (length // 2, width), (length - 1, width - 3)):
        laid = tiles_of(table, x, y)
        assert len(laid) == table.counts[x, y] <= barnes_bound(x, y, a, b)
        assert lies_well(laid, (x, y, x, y), {a, b})


@given(*[st.integers(6, 16)] * 2, *[st.integers(1, 15)] * 2, st.sampled_from([(3, 2), (4, 3), (5, 2)]))
@settings(max_examples=25, deadline=None)
def test_what_a_piece_may_hold_is_never_less_than_it_holds(wide: int, high: int, x: int, y: int, tile: tuple[int, int]) -> None:
    search = LSearch(table_of(wide, high, *tile), lambda: False)
    piece = (wide, high, min(x, wide), min(y, high))
    small = search.normal(np.array([piece]))
    best = most_in(piece, *tile)
    assert search.least(small)[0] <= best <= search.most(small)[0]
    key: Piece = tuple(small[0].tolist())
    if search.holds(key, best) and min(key) > 0:
        laid = search.tiles(key)
        assert len(laid) >= best
        assert lies_well(laid, key, set(tile))
        assert lies_well(laid, (wide, high, piece[2], piece[3]), set(tile))


@given(st.integers(4, 12), st.integers(4, 12), st.integers(1, 12), st.integers(1, 12))
@settings(max_examples=40, deadline=None)
def test_the_two_parts_of_every_cut_make_up_the_piece(wide: int, high: int, x: int, y: int) -> None:
    piece = (wide, high, x, y) if x < wide and y < high else (wide, high, wide, high)
    one, two = cuts_of(piece, np.arange(wide + 1), np.arange(high + 1))
    for row in range(len(one.shape)):
        total = np.zeros((wide, high), dtype=np.int64)
        for part in (one, two):
            cells = cells_of(tuple(part.shape[row].tolist()))
            cells = cells[:: -1 if part.over[row, 0] else 1, :: -1 if part.over[row, 1] else 1]
            u, v = part.at[row].tolist()
            total[u : u + cells.shape[0], v : v + cells.shape[1]] += cells
        assert (total == cells_of(piece)).all()


@pytest.mark.parametrize(("sides", "best"), [((43, 26, 7, 3), 53)])
def test_l_shapes_find_what_five_blocks_miss(sides: tuple[int, int, int, int], best: int) -> None:
    """Published counts (see tests/data/packing/SOURCES.md), one more than five blocks give."""
    table = table_of(*sides)
    assert table.counts[-1, -1] == best - 1
    search = LSearch(table, lambda: False)
    piece: Piece = tuple(search.normal(np.array([sides[:2] * 2]))[0].tolist())
    assert search.holds(piece, best)
    laid = search.tiles(piece)
    assert len(laid) == best
    assert lies_well(laid, (*sides[:2], *sides[:2]), set(sides[2:]))
