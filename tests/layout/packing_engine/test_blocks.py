"""Layouts from blocks: the list of free boxes is right, every layout holds, and a full container is nearly filled."""

from __future__ import annotations

import time

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.packing.engine import Item, Option, Packing, Region, verify
from layout.packing.engine.blocks import BlocksRun, cut, free_boxes
from layout.packing.engine.board import Board
from layout.packing.engine.space import space_of

SIZE = (9, 8, 7)
corner = st.tuples(*(st.integers(-1, s - 1) for s in SIZE))
edges = st.tuples(*(st.integers(1, 5) for _ in SIZE))
blocked = st.lists(st.tuples(corner, edges).map(lambda b: (*b[0], *(c + e for c, e in zip(*b, strict=True)))), max_size=4)


def cells(boxes: np.ndarray) -> np.ndarray:
    out = np.zeros(SIZE, bool)
    for x0, y0, z0, x1, y1, z1 in np.clip(boxes, 0, None):
        out[x0:x1, y0:y1, z0:z1] = True
    return out


def run(region: Region, items: tuple[Item, ...], rounds: int) -> Packing:
    board = Board(time.monotonic() + 3600.0)
    blocks = BlocksRun(region, space_of(region), items, board, 0)
    for _ in range(rounds):
        blocks.run_briefly(0.0)
    return Packing(board.placements, max(board.value, 0), 2**40, False, 0.0, "")


@given(blocked)
def test_free_boxes_cover_what_is_free_and_none_lies_within_another(walls: list[tuple[int, ...]]) -> None:
    found = free_boxes(space_of(Region(SIZE, tuple(walls))))
    assert (cells(found) == ~cells(np.array(walls, np.int64).reshape(-1, 6))).all()
    for n, box in enumerate(found):
        others = np.delete(found, n, axis=0)
        assert not ((others[:, :3] <= box[:3]) & (others[:, 3:] >= box[3:])).all(axis=1).any()


def test_cutting_leaves_what_it_does_not_meet() -> None:
    free = np.array([[0, 0, 0, 4, 4, 4], [4, 0, 0, 8, 4, 4]])
    assert cut(free, np.array([8, 0, 0]), np.array([9, 4, 4])) is free
    left = cut(free, np.array([0, 0, 0]), np.array([4, 4, 2]))
    assert {tuple(b) for b in left} == {(4, 0, 0, 8, 4, 4), (0, 0, 2, 4, 4, 4)}


@given(blocked, st.lists(st.tuples(edges, st.integers(1, 9)), min_size=1, max_size=3))
@settings(max_examples=40)
def test_every_layout_holds(walls: list[tuple[int, ...]], kinds: list[tuple[tuple[int, ...], int]]) -> None:
    items = tuple(Item(str(n), (Option(size), Option(size[::-1])), most) for n, (size, most) in enumerate(kinds))
    region = Region(SIZE, tuple(walls))
    assert verify(region, items, run(region, items, 3)) == []


@pytest.mark.parametrize("seed", range(4))
def test_a_container_cut_into_boxes_is_nearly_filled_again(seed: int) -> None:
    """Twelve kinds cut out of a container of millimetres without a rest: far too many places to list."""
    rng = np.random.default_rng(seed)
    whole = (2400, 1800, 1600)
    pieces = [whole]
    while len(pieces) < 12:
        piece = pieces.pop(int(np.argmax([np.prod(p) for p in pieces])))
        axis = int(np.argmax(piece))
        at = int(piece[axis] * rng.uniform(0.35, 0.65))
        for length in (at, piece[axis] - at):
            pieces.append(tuple(length if a == axis else v for a, v in enumerate(piece)))
    items = []
    for n, piece in enumerate(pieces):
        number = [int(k) for k in rng.integers(1, 4, 3)]
        size = [p // k for p, k in zip(piece, number, strict=True)]
        turns = {(size[0], size[1], size[2]), (size[1], size[0], size[2])}
        items.append(Item(str(n), tuple(Option(t) for t in sorted(turns)), int(np.prod(number)), 0, int(np.prod(size))))
    found = run(Region(whole), tuple(items), 12)
    assert verify(Region(whole), items, found) == []
    assert found.value >= 0.75 * np.prod(whole)
