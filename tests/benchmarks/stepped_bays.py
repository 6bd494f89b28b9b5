"""Stepped boxes against rectangular ones: bays with an L for their plan, and bays whose floor is at two heights.

Counts, bounds, seconds. Every arrangement listed is asked of the judge of fit.

python tests/benchmarks/stepped_bays.py [seconds per bay]
"""

from __future__ import annotations

import importlib.util
import sys
from collections.abc import Sequence
from pathlib import Path
from random import Random

from layout.box.shell import shell_of
from layout.job.model import Job
from layout.packing.search import arrange
from layout.space.bay import Bay
from layout.space.judge_arrangement import judge_arrangement
from layout.stepped import Stepped, two_floors

CASES = 8
KIND = {
    "name": "block", "mass": 6.0, "up": ["+z"], "terminal_face": "+x", "terminal_clearance": 20, "gap": 4, "available": 60,
    "nominal_voltage": 22.0, "max_voltage": 25.0, "min_voltage": 18.0, "energy": 1.0,
}  # fmt: skip


def main() -> None:
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 20.0
    file = Path(__file__).parents[1] / "layout" / "packing" / "conftest.py"
    spec = importlib.util.spec_from_file_location("packing_jobs", file)
    assert spec is not None
    assert spec.loader is not None
    jobs = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(jobs)
    maker, rng = jobs.Maker(), Random(7)
    print(f"{'room':>14} {'step':>11} {'module':>18} {'rect':>5} {'bound':>5} {'step':>5} {'bound':>5} {'taken':>9} {'s':>6}")
    for _ in range(CASES):
        room = (rng.randrange(600, 900, 10), rng.randrange(500, 800, 10), 110.0)
        step = (rng.randrange(200, room[0] - 250, 10), rng.randrange(150, room[1] - 200, 10))
        size = [rng.randrange(180, 320, 5), rng.randrange(90, 150, 5), 100]
        corner = (rng.randint(0, 1), rng.randint(0, 1))
        job = maker.l_job(room, step, corner, [{**KIND, "size": size}], {"count": "max"})
        shown(job, maker.bay(job), (room, step, size), seconds)
    rng = Random(11)
    for _ in range(CASES):
        size = [rng.randrange(180, 320, 5), rng.randrange(90, 150, 5), rng.randrange(80, 120, 5)]
        room = (rng.randrange(450, 700, 10), rng.randrange(350, 600, 10), float(rng.randrange(240, 420, 10)))
        run, high = rng.randint(0, 1), rng.randint(0, 1)
        step = (rng.randrange(150, room[1 - run] - 150, 10), rng.randrange(70, int(room[2]) - 110, 10))
        job = maker.tier_job(room, step, run, high, [{**KIND, "size": size}], {"count": "max"})
        shown(job, maker.bay(job), (room, step, size), seconds)


def shown(job: Job, bay: Bay, sizes: tuple[Sequence[float], Sequence[float], Sequence[float]], seconds: float) -> None:
    """One row. Raises AssertionError where the judge refuses what was found."""
    found = arrange(job, bay, seconds=seconds, seed=0)
    for one in found.arrangements:
        assert judge_arrangement(job, bay, one, shell_of(job)) == []
    plain, most = found.rectangular or (found.placed, found.upper_bound)
    inside = found.arrangements[0].inside
    kind = "floors" if two_floors(inside) else "corner" if isinstance(inside, Stepped) else "none"
    room, step, size = ("x".join(f"{v:.0f}" for v in part) for part in sizes)
    print(
        f"{room:>14} {step:>11} {size:>18} {plain:>5} {most:>5} {found.placed:>5} {found.upper_bound:>5} {kind:>9} "
        f"{found.seconds:>6.1f}", flush=True,
    )  # fmt: skip


if __name__ == "__main__":
    main()
