"""Bounds by dual feasible functions: what sums to an edge keeps summing to no more than 1; no bound below what fits."""

import numpy as np
import pytest

from layout.packing.engine import Item, Option, Region, pack_most
from layout.packing.engine.dual_feasible import dual_feasible_bound, values_on_edge

BRICK = Item("b", tuple(Option(s) for s in ((396, 155, 135), (155, 396, 135), (396, 135, 155), (135, 396, 155))), 12)


def test_lengths_that_fit_an_edge_have_values_that_fit_one():
    rng = np.random.default_rng(3)
    for _ in range(1500):
        edge = int(rng.integers(4, 160))
        cuts = np.unique(rng.integers(1, edge + 1, int(rng.integers(1, 7))))
        pieces = np.diff(np.concatenate([[0], cuts]))
        others = rng.integers(1, edge + 1, 3)
        values = values_on_edge(np.concatenate([pieces, others]), edge)
        assert values[:, : len(pieces)].sum(axis=1).max() <= 1.0 + 1e-9


def test_no_bound_below_what_a_search_finds():
    rng = np.random.default_rng(8)
    for _ in range(25):
        size = tuple(int(v) for v in rng.integers(6, 13, 3))
        items = [
            Item(
                str(n),
                tuple(Option(tuple(int(v) for v in rng.integers(2, 7, 3))) for _ in range(2)),
                4,
                0,
                int(rng.integers(1, 3)),
            )
            for n in range(2)
        ]
        found = pack_most(Region(size), items, seconds=2.0)
        assert dual_feasible_bound(items, size) >= found.value


def test_three_layers_of_three():
    # 463 x 525 x 457: three layers whatever the mix of heights 135 and 155, three abreast in each; volume would allow 13
    assert dual_feasible_bound([BRICK], (463, 525, 457)) == 9
    assert dual_feasible_bound([BRICK], (463, 525, 134)) == 0


@pytest.mark.parametrize(("least", "expected"), [(0, 9), (1, 10)])
def test_what_must_be_there_counts_as_well(least, expected):
    small = Item("unit", (Option((184, 114, 44)),), least, least)
    assert dual_feasible_bound([BRICK, small], (463, 525, 457)) == expected
