"""What the search reaches on a whole job under several time limits: a table, one run after the other.

Run from the repository's top: python tests/benchmarks/packing_search.py
"""

from __future__ import annotations

import time
from pathlib import Path

from layout.errors import NothingFits
from layout.job import read_job
from layout.job.model import Job
from layout.packing.search import arrange
from layout.space.bay import bay_of

JOBS = Path(__file__).parents[1] / "jobs"


def asked(job: Job, count: int | str, available: int) -> Job:
    """The job with another count."""
    pack = job.pack.model_copy(update={"count": count})
    modules = tuple(m.model_copy(update={"available": available}) for m in job.modules)
    return job.model_copy(update={"pack": pack, "modules": modules})


def row(job: Job, count: int | str, available: int, seconds: float) -> str:
    """One run."""
    that = asked(job, count, available)
    bay = bay_of(that, JOBS)
    began, first = time.monotonic(), [0.0, 0.0]

    def progress(reached: int, bound: int | None) -> None:
        if not first[1]:
            first[:] = [reached, time.monotonic() - began]

    try:
        result = arrange(that, bay, seconds=seconds, seed=1, progress=progress)
        placed, bound, listed = result.placed, result.upper_bound, len(result.arrangements)
    except NothingFits as error:
        placed, bound, listed = error.fitted, error.bound or 0, 0
    took = time.monotonic() - began
    share = first[0] / placed if placed else 0.0
    return (
        f"{count!s:>5} {seconds:7.0f} {placed:7} {bound:6} {'yes' if placed >= bound else 'no':>7} {listed:7} "
        f"{first[1]:9.2f} {share:7.2f} {took:7.1f} {took / seconds:7.2f}"
    )


def main() -> None:
    """Print the table."""
    job = read_job(JOBS / "larkmoor-front-bay.toml")
    print("asked   limit  placed  bound no more  listed first (s)   share    took   ratio")
    for count, available, seconds in ((8, 10, 1), (8, 10, 5), (8, 10, 20), (9, 10, 20), ("max", 40, 30)):
        print(row(job, count, available, seconds), flush=True)


if __name__ == "__main__":
    main()
