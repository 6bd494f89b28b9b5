"""Boxes with a corner left out against rectangular ones, over bays with an L for their plan: counts, bounds, seconds.

python tests/benchmarks/stepped_bays.py [seconds per bay]
"""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from random import Random

from layout.packing.search import arrange

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
    rng = Random(7)
    print(f"{'room':>14} {'corner':>11} {'module':>14} {'rect':>5} {'bound':>5} {'step':>5} {'bound':>5} {'s':>6}")
    for _ in range(CASES):
        room = (rng.randrange(600, 900, 10), rng.randrange(500, 800, 10), 110.0)
        step = (rng.randrange(200, room[0] - 250, 10), rng.randrange(150, room[1] - 200, 10))
        size = [rng.randrange(180, 320, 5), rng.randrange(90, 150, 5), 100]
        corner = (rng.randint(0, 1), rng.randint(0, 1))
        maker = jobs.Maker()
        job = maker.l_job(room, step, corner, [{**KIND, "size": size}], {"count": "max"})
        found = arrange(job, maker.bay(job), seconds=seconds, seed=0)
        plain, most = found.rectangular or (found.placed, found.upper_bound)
        print(
            f"{room[0]:>7}x{room[1]:<6} {step[0]:>5}x{step[1]:<5} {size[0]:>7}x{size[1]:<6} {plain:>5} {most:>5} "
            f"{found.placed:>5} {found.upper_bound:>5} {found.seconds:>6.1f}"
        )


if __name__ == "__main__":
    main()
