"""The packing sets as questions for the engine, shared by the benchmark scripts."""

from __future__ import annotations

import csv
import itertools
import json
from collections.abc import Iterator
from pathlib import Path

from layout.packing.engine import Item, Option, Region

DATA = Path(__file__).parents[1] / "data" / "packing"
RESULTS = Path(__file__).parent / "results"
Question = tuple[str, Region, tuple[Item, ...]]


def cases(name: str) -> list[dict]:
    return json.loads((DATA / name).read_text())["instances"]


def solid(case: dict) -> Question:
    """A case of ident3d.json or irregular.json."""
    items = tuple(
        Item(str(n), tuple(Option(tuple(o[:3]), tuple(o[3]) if o[3] else None) for o in kind["orients"]), kind["max"])
        for n, kind in enumerate(case["types"])
    )
    return case["id"], Region(tuple(case["size"]), tuple(tuple(b) for b in case.get("blocked", []))), items


def pallet(length: int, width: int, a: int, b: int) -> Question:
    item = Item("box", (Option((a, b, 1)), Option((b, a, 1))), length * width)
    return f"{length},{width},{a},{b}", Region((length, width, 1)), (item,)


def pallets(name: str) -> Iterator[tuple[dict[str, str], Question]]:
    with (DATA / name).open() as file:
        for row in csv.DictReader(file):
            yield row, pallet(*(int(row[k]) for k in ("L", "W", "l", "w")))


def container(case: dict) -> Question:
    """A case with several box types and profits (OR-Library and Egeblad-Pisinger); profits as whole numbers."""
    items = []
    for n, kind in enumerate(case["items"]):
        sizes = sorted({tuple(kind["dims"]["XYZ".index(axis)] for axis in turn) for turn in kind["rotations"]})
        items.append(Item(str(n), tuple(Option(s) for s in sizes), kind["copies"], 0, max(round(kind["profit"]), 1)))
    return case["id"], Region(tuple(case["container"])), tuple(items)


def plate(case: dict) -> Question:
    """A plate with defects; items may not be turned, each once."""
    blocked = tuple((x, y, 0, x + a, y + b, 1) for x, y, a, b in case["defects"])
    items = tuple(Item(str(n), (Option((a, b, 1)),), 1, 0, max(round(p), 1)) for n, (a, b, p) in enumerate(case["items"]))
    return f"{case['id']} {case['set']}", Region((*case["plate"], 1), blocked), items


STEPPED = cases("irregular.json")[1]
TAPERED = cases("irregular.json")[2]


def end_zones(edges: tuple[int, int, int], depth: int, all_ways: bool) -> tuple[Option, ...]:
    """A zone before one end of the longest side, either way; lying flat, or on every face."""
    options = []
    for size in sorted(set(itertools.permutations(edges))):
        if not all_ways and size[2] != min(edges):
            continue
        axis = size.index(max(edges))
        for far in (True, False):
            zone = [0, 0, 0, *size]
            zone[axis], zone[axis + 3] = (size[axis], size[axis] + depth) if far else (-depth, 0)
            options.append(Option(size, tuple(zone)))
    return tuple(options)


def zone_questions() -> Iterator[Question]:
    """Bays with access zones: the stored small one, and the large bays with 40 mm zones, also to the millimetre."""
    yield solid(next(case for case in cases("irregular.json") if case["id"] == "zone_small"))
    for name, case, edges, all_ways in (
        ("tapered, zones 40", TAPERED, (420, 220, 200), False),
        ("stepped, zones 40", STEPPED, (300, 190, 115), False),
        ("stepped, 303x187x113, zones 40", STEPPED, (303, 187, 113), False),
        ("stepped, 6 ways, zones 40", STEPPED, (300, 190, 115), True),
        ("stepped, 303x187x113, 6 ways, zones 40", STEPPED, (303, 187, 113), True),
    ):
        _, region, _ = solid(case)
        yield name, region, (Item("m", end_zones(edges, 40, all_ways), 99),)
