"""The cheapest packing at given counts: forward, high, differing from earlier ones, starting from a known one."""

from __future__ import annotations

import pytest

from layout.packing.engine import Item, Option, Region, Unlike, pack_best, pack_most, verify

REGION = Region((1000, 700, 310), ((0, 0, 0, 250, 180, 260), (760, 540, 0, 1000, 700, 310)))
ITEMS = (Item("m", (Option((190, 300, 115)), Option((300, 190, 115))), 60),)


def forward(item, option, x, y, z):
    return -x.astype(float)


def test_high_side_suits_a_cost_that_falls_up_the_axis():
    placed = {}
    for side in ("low", "both", "high"):
        placed[side] = pack_best(REGION, ITEMS, counts=(4,), cost=forward, seconds=90.0, start_positions=(side, "both", "both"))
        assert verify(REGION, ITEMS, placed[side]) == []
        assert placed[side].proven
    assert placed["high"].cost <= placed["both"].cost
    assert placed["high"].cost < placed["low"].cost


def test_later_answers_differ_from_earlier_ones():
    earlier = []
    for _ in range(3):
        found = pack_best(
            REGION, ITEMS, counts=(10,), cost=forward, seconds=90.0, forbid=[Unlike(p.placements, 0.6) for p in earlier]
        )
        assert verify(REGION, ITEMS, found) == []
        for before in earlier:
            assert len(set(found.placements) & set(before.placements)) <= 6
        assert not earlier or found.cost >= earlier[-1].cost - 1e-6
        earlier.append(found)


def test_start_outside_the_positions_is_kept_as_a_candidate():
    start = pack_most(REGION, ITEMS, seconds=90.0, target=6).placements[:3]
    shifted = tuple(type(p)(p.item, p.option, (p.at[0], p.at[1], p.at[2])) for p in start)
    found = pack_best(REGION, ITEMS, counts=(3,), cost=forward, seconds=90.0, start=shifted)
    assert found.cost <= -sum(p.at[0] for p in start) + 1e-6


def test_counts_beyond_what_fits_are_ruled_out():
    found = pack_best(Region((4, 4, 1)), (Item("m", (Option((3, 3, 1)),), 9),), counts=(2,), cost=forward, seconds=90.0)
    assert (found.feasible, found.proven) == (False, True)


def test_costs_must_be_finite():
    with pytest.raises(ValueError, match="finite"):
        pack_best(REGION, ITEMS, counts=(1,), cost=lambda i, o, x, y, z: x * float("nan"), seconds=5.0)
