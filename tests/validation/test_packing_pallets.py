"""Pallet loading: one rectangle type, both ways round, in a rectangle; counts proved by others or by Barnes' theorem.

Sources: Barnes' bound (F. W. Barnes, "Packing the maximum number of m x n tiles in a large p x q rectangle", Discrete
Mathematics 26 (1979) 93-100, from memory), written out here a second time; counts of the hard cases as recalled from the
pallet-loading literature (Birgin, Lobato, Morabito, J. Oper. Res. Soc. 61 (2010), from memory), each but the last equal to
Barnes' or the area bound; see tests/data/packing/SOURCES.md.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from layout.packing.engine import Item, Option, Packing, Region, pack_most, verify
from layout.packing.engine.bounds import barnes_bound

DATA = Path(__file__).parents[1] / "data" / "packing"


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open() as file:
        return list(csv.DictReader(file))


def sides(row: dict[str, str]) -> tuple[int, int, int, int]:
    return int(row["L"]), int(row["W"]), int(row["l"]), int(row["w"])


def load(length: int, width: int, a: int, b: int, seconds: float = 60.0) -> Packing:
    region = Region((length, width, 1))
    items = (Item("box", (Option((a, b, 1)), Option((b, a, 1))), length * width),)
    found = pack_most(region, items, seconds=seconds)
    assert verify(region, items, found) == []
    return found


def least_waste_by_counting(length: int, width: int, a: int) -> int:
    """Barnes' waste for bars a x 1, by colouring: cells of colour (x + y) mod a; each bar takes one of every colour."""
    by_colour = [0] * a
    for x in range(length):
        for y in range(width):
            by_colour[(x + y) % a] += 1
    return length * width - a * min(by_colour)


BARNES = [(*sides(row), int(row["count"])) for row in rows("pallets_at_barnes_bound.csv")]


def test_there_are_at_least_forty_cases():
    assert len(BARNES) >= 40


@pytest.mark.parametrize(("length", "width", "a", "b", "count"), BARNES)
def test_layout_reaches_barnes_bound(length, width, a, b, count):
    waste = max(least_waste_by_counting(length, width, a), least_waste_by_counting(length, width, b))
    assert count == (length * width - waste) // (a * b)
    found = load(length, width, a, b)
    assert (found.value, found.bound, found.proven) == (count, count, True)


HARD = [
    (43, 26, 7, 3, 53), (49, 28, 8, 3, 57), (57, 34, 7, 4, 69), (63, 44, 8, 5, 69), (61, 38, 6, 5, 77), (40, 26, 7, 4, 36),
    (61, 35, 10, 3, 71), (67, 40, 11, 3, 81), (42, 39, 9, 4, 45),
]  # fmt: skip


@pytest.mark.parametrize(("length", "width", "a", "b", "count"), HARD)
def test_hard_cases_reach_the_published_count(length, width, a, b, count):
    found = load(length, width, a, b)
    assert (found.value, found.bound, found.proven) == (count, count, True)


QUICK = [row for row in rows("plp_sample.csv") if row["set"] == "coverI_like" and row["proved_optimal"] == "1"]


@pytest.mark.parametrize("row", QUICK, ids=lambda row: "-".join(map(str, sides(row))))
def test_sample_agrees_with_an_earlier_proof_by_integer_programming(row):
    found = load(*sides(row))
    assert (found.value, found.bound, found.proven) == (int(row["best_found"]), int(row["proved_ub"]), True)


@pytest.mark.parametrize("row", rows("plp_hard.csv"), ids=lambda row: "-".join(map(str, sides(row))))
def test_barnes_bound_agrees_with_the_table(row):
    assert barnes_bound(*sides(row)) == int(row["area_bound_barnes"])
