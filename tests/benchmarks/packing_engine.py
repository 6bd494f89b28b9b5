"""What the packing engine reaches on the stored sets: counts, bounds, proofs, seconds; printed and kept in results/.

Run from the top folder: python tests/benchmarks/packing_engine.py [--cpu] [section ...]
Sections: pallets, solids, zones, prefer, limits, several. Wall seconds, this machine, both solvers and greedy together.
--cpu: seconds are the process's CPU seconds, all threads together, and the limits too: for a machine shared with other work.
On two free cores the same takes no more seconds than that, and as little as half.
"""

# ruff: noqa: E402
from __future__ import annotations

import itertools
import statistics
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parent)]

import numpy as np
import packing_sets as sets

from layout.packing.engine import Item, Option, Packing, pack_best, pack_most, verify

BY_CPU = "--cpu" in sys.argv
WALL_PER_CPU = 4.0  # with --cpu: wall seconds after which a case is given up, per second of its limit
clock = time.process_time if BY_CPU else time.perf_counter
_SEVERAL, _SEVERAL_SECONDS = 4, 5.0  # cases of each set with several types, and the limit for each


def solve(question: sets.Question, seconds: float) -> tuple[Packing, float, float, int]:
    """The answer, its seconds, and when the first layout within 5 per cent of it was there, with its value."""
    _, region, items = question
    seen: list[tuple[float, int]] = []
    began = clock()
    found = pack_most(
        region,
        items,
        seconds=seconds * (WALL_PER_CPU if BY_CPU else 1.0),
        progress=lambda v, b: seen.append((clock() - began, v)),
        stop=(lambda: clock() - began > seconds) if BY_CPU else None,
    )
    took = clock() - began
    faults = verify(region, items, found)
    if faults:
        raise SystemExit(f"{question[0]}: the judge refuses the layout: {faults}")
    near = next((t for t, v in seen if v >= 0.95 * found.value), took)
    return found, took, near, seen[0][1] if seen else 0


def line(name: str, best: object, found: Packing, took: float, near: float) -> str:
    proof = "proved" if found.proven else "      "
    numbers = f"known {best!s:>5s}  got {found.value:5d}  bound {found.bound:5d} {proof}"
    return f"{name:42s} {numbers} {took:7.2f} s  95% at {near:5.2f} s"


def pallets() -> Iterator[str]:
    published = {(49, 28, 8, 3): 57, (63, 44, 8, 5): 69, (86, 52, 9, 5): 99, (40, 26, 7, 4): 36}
    rows = [(str(n), sets.pallet(*sides), 30.0) for sides, n in published.items()]
    rows += [(row["recalled_best"] or "-", q, 30.0) for row, q in sets.pallets("plp_hard.csv")]
    proofs = []
    for best, question, seconds in rows:
        found, took, near, _ = solve(question, seconds)
        proofs.append(found.proven)
        yield line(f"hard {question[0]}", best, found, took, near)
    yield f"hard: {sum(proofs)} of {len(proofs)} proved within 30 s"
    for kind, seconds in (("coverI_like", 5.0), ("coverII_like", 15.0)):
        times, proofs = [], []
        for row, question in sets.pallets("plp_sample.csv"):
            if row["set"] == kind:
                found, took, near, _ = solve(question, seconds)
                times.append(took)
                proofs.append(found.proven)
                if not found.proven or found.value != int(row["best_found"]):
                    yield line(f"{kind} {question[0]}", row["best_found"], found, took, near)
        spread = f"median {statistics.median(times):.2f} s, longest {max(times):.2f} s"
        yield f"{kind}: {sum(proofs)} of {len(proofs)} proved within {seconds:.0f} s, {spread}"


def solids() -> Iterator[str]:
    for name, seconds in (("ident3d.json", 15.0), ("irregular.json", 30.0)):
        proofs, early = [], []
        for case in sets.cases(name):
            found, took, near, _ = solve(sets.solid(case), seconds)
            proofs.append(found.proven)
            early.append(found.proven and took <= 10)
            yield line(case["id"], case["best_count"], found, took, near)
        yield f"{name}: {sum(proofs)} of {len(proofs)} proved within {seconds:.0f} s, {sum(early)} within 10 s"
    ways = tuple(Option(s) for s in sorted(set(itertools.permutations((303, 187, 113)))))
    question = ("stepped, 303x187x113, 6 ways", sets.solid(sets.STEPPED)[1], (Item("m", ways, 99),))
    found, took, near, _ = solve(question, 60.0)
    yield line(question[0], "-", found, took, near)


def zones() -> Iterator[str]:
    for question in sets.zone_questions():
        found, took, near, _ = solve(question, 10.0)
        yield line(question[0], "-", found, took, near)


def forward_questions() -> Iterator[sets.Question]:
    """The stored bays with upright modules, and the stepped one made longer until it holds 50."""
    for case in sets.cases("irregular.json"):
        if "upright" in case["id"] or "zone" in case["id"]:
            yield sets.solid(case)
    name, region, items = sets.solid(next(c for c in sets.cases("irregular.json") if c["id"] == "irr_step_upright"))
    longer = replace(region, size=(region.size[0] + 130, *region.size[1:]))
    yield f"{name}, 130 longer", longer, (replace(items[0], most=50),)


def prefer() -> Iterator[str]:
    """Best forward centroid at the greatest count, upright modules: positions pushed forward on x."""
    for name, region, items in forward_questions():
        most, *_ = solve((name, region, items), 10.0)
        lengths = np.array([[o.size[0] for o in item.options] for item in items])
        began = clock()
        best = pack_best(
            region, items, counts=(most.value,), cost=lambda i, o, x, y, z, n=lengths: -(x + n[i, o] / 2.0), seconds=10.0,
            start_positions=("high", "both", "both"),
        )
        took = clock() - began
        faults = verify(region, items, best)
        if faults:
            raise SystemExit(f"{name}: the judge refuses the layout: {faults}")
        ahead = f"centroid at {-best.cost / most.value:.2f}, at most {-best.cost_bound / most.value:.2f}"
        yield f"{name:42s} {most.value} modules, forward: {ahead}, {'proved' if best.proven else 'not proved'} in {took:.2f} s"


def limits() -> Iterator[str]:
    """How long an answer takes when only one second is given."""
    for case in sets.cases("irregular.json"):
        found, took, near, first = solve(sets.solid(case), 1.0)
        yield line(case["id"], case["best_count"], found, took, near) + f"  first {first}"


def several() -> Iterator[str]:
    """Several types, and plates with defects: value as a share of the best known, else of the bound.

    The best known values stored with knapsack_ep3d are not in the unit of its profits, so the bound serves there.
    """
    sources: list[tuple[str, Callable[[dict], sets.Question]]] = [
        ("thpack_br_sample.json", sets.container), ("knapsack_ep3d.json", sets.container),
        ("thpack8_9.json", sets.container), ("defects2d_afsharian.json", sets.plate),
    ]
    for name, make in sources:
        shares, proofs = [], 0
        for case in sets.cases(name)[:_SEVERAL]:
            question = make(case)
            found, took, _, _ = solve(question, _SEVERAL_SECONDS)
            known = case.get("best_known") if name != "knapsack_ep3d.json" else None
            share = 100 * found.value / (known or found.bound)
            shares.append(share)
            proofs += found.proven
            measure = "best known" if known else "bound"
            yield f"{question[0]:42s} {share:6.1f} % of the {measure:10s} proved {found.proven!s:5s} {took:6.2f} s"
        spread = f"mean {statistics.mean(shares):.1f} %, least {min(shares):.1f} %"
        yield f"{name}: {spread}, {proofs} of {len(shares)} proved, {_SEVERAL_SECONDS:.0f} s each"


SECTIONS = {f.__name__: f for f in (pallets, solids, zones, prefer, limits, several)}


def main() -> None:
    for name in [word for word in sys.argv[1:] if word in SECTIONS] or SECTIONS:
        kept = ["CPU seconds of all threads" if BY_CPU else "wall seconds"]
        for text in SECTIONS[name]():
            print(text, flush=True)
            kept.append(text)
        sets.RESULTS.mkdir(exist_ok=True)
        (sets.RESULTS / f"packing_{name}.txt").write_text("\n".join(kept) + "\n")


if __name__ == "__main__":
    main()
