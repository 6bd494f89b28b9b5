"""What must hold for every question: the optimum over all positions is reached; mirrors, scale, walls and gaps behave."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from packing_everywhere import everywhere, meet, optimum, question

from layout.packing.engine import Box, Item, Option, Region, pack_best, pack_most, verify
from layout.packing.engine.candidates import of_placements
from layout.packing.engine.rows import clash_rows


def value(region: Region, items: tuple[Item, ...]) -> int:
    found = pack_most(region, items, seconds=90.0)
    assert verify(region, items, found) == []
    assert found.proven
    return found.value


@pytest.mark.parametrize("seed", range(60))
def test_reduced_positions_reach_the_optimum_over_all_positions(seed):
    region, items = question(seed)
    expected = optimum(region, items)
    if expected is None:
        pytest.skip("the slow way did not settle this one")
    assert value(region, items) == expected


@pytest.mark.parametrize("seed", range(12))
def test_rows_forbid_exactly_the_clashing_pairs(seed):
    region, items = question(1000 + seed)
    rng = np.random.default_rng(seed)
    places = everywhere(region, items)
    places = [places[n] for n in sorted(rng.permutation(len(places))[:60])]
    matrix = clash_rows(items, of_placements(items, [p[0] for p in places])).matrix
    together = (matrix.T @ matrix).toarray() > 0
    for n, (_, a, za) in enumerate(places):
        for m, (_, b, zb) in enumerate(places[:n]):
            assert together[n, m] == (meet(a, b) or meet(za, b) or meet(a, zb))


def mirrored(box: Box, axis: int, length: int) -> Box:
    found = list(box)
    found[axis], found[axis + 3] = length - box[axis + 3], length - box[axis]
    return tuple(found)  # type: ignore[return-value]


@pytest.mark.parametrize("seed", range(8))
@pytest.mark.parametrize("axis", [0, 1, 2])
def test_mirror_keeps_the_value(seed, axis):
    region, items = question(2000 + seed)
    other = Region(region.size, tuple(mirrored(b, axis, region.size[axis]) for b in region.blocked))
    flipped = tuple(
        replace(item, options=tuple(Option(o.size, o.zone and mirrored(o.zone, axis, o.size[axis])) for o in item.options))
        for item in items
    )
    assert value(region, items) == value(other, flipped)


@pytest.mark.parametrize("seed", range(8))
def test_scale_by_two_keeps_the_value(seed):
    region, items = question(3000 + seed)

    def double(numbers):
        return None if numbers is None else tuple(2 * n for n in numbers)

    other = Region(double(region.size), tuple(double(b) for b in region.blocked))
    larger = tuple(replace(i, options=tuple(Option(double(o.size), double(o.zone)) for o in i.options)) for i in items)
    assert value(region, items) == value(other, larger)


@pytest.mark.parametrize("seed", range(10))
def test_more_clearance_never_raises_and_a_wall_less_never_lowers(seed):
    region, items = question(4000 + seed)
    here = value(region, items)
    thicker = tuple(
        replace(i, options=tuple(Option((o.size[0] + 1, o.size[1], o.size[2]), o.zone) for o in i.options)) for i in items
    )
    assert value(region, thicker) <= here
    if region.blocked:
        assert value(Region(region.size, region.blocked[1:]), items) >= here


@pytest.mark.parametrize("seed", range(20))
def test_least_cost_pushed_low_equals_that_over_all_positions(seed):
    region, items = question(5000 + seed)
    found = pack_most(region, items, seconds=90.0)
    counts = [sum(p.item == n for p in found.placements) for n in range(len(items))]
    fixed = tuple(replace(item, least=n, most=n) for item, n in zip(items, counts, strict=True))
    expected = optimum(region, fixed, cost=lambda p: 3 * p.at[0] + p.at[1] + 2 * p.at[2])
    if expected is None or sum(counts) == 0:
        pytest.skip("nothing to place, or the slow way did not settle this one")
    best = pack_best(
        region, items, counts=counts, cost=lambda i, o, x, y, z: 3 * x + y + 2 * z, seconds=90.0, start_positions="low"
    )
    assert verify(region, fixed, best) == []
    assert best.proven
    assert best.cost == pytest.approx(expected)
    assert best.cost_bound is not None
    assert best.cost_bound <= expected + 1e-9
