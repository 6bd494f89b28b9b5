"""Two boxes against one over bays with a hump along their middle: counts, bounds, seconds.

python tests/benchmarks/humped_bays.py [seconds per search]

One box is held by the mount points of both sides of the hump, or by those of one side, whichever holds more.
"""

from __future__ import annotations

import sys
from pathlib import Path
from random import Random

from layout.errors import NothingFits
from layout.job.model import Job
from layout.job.read import parse_job
from layout.packing.search import arrange
from layout.several.search import arrange_several
from layout.space.bay import bay_of

CASES = 6
JOB = Path(__file__).parents[1] / "jobs" / "hollinmoor-two-boxes.toml"
OUTLINE = "outline = [[400, -640], [1180, -640], [1180, 640], [400, 640]]\nz = [300, 660]"
HUMP = "min = [300, -110, 300], max = [1280, 110, 540]"


def job_of(breadth: int, height: int, hump: tuple[int, int], boxes: int, side: str = "") -> Job:
    """The job with another bay and hump; with the mount points of one side alone where one is named."""
    half, across, top = breadth // 2, hump[0] // 2, 300 + hump[1]
    text = JOB.read_text(encoding="utf-8").replace(
        OUTLINE, f"outline = [[400, -{half}], [1180, -{half}], [1180, {half}], [400, {half}]]\nz = [300, {300 + height}]"
    )
    text = text.replace(HUMP, f"min = [300, -{across}, 300], max = [1280, {across}, {top}]")
    text = text.replace("600, 300]", f"{half - 40}, 300]").replace("150, 300]", f"{across + 40}, 300]")
    text = text.replace("available = 20", "available = 60").replace("count = 14", 'count = "max"')
    text = text.replace("boxes = 2", f"boxes = {boxes}")
    job = parse_job(text if boxes > 1 else text.replace("box = 2\n", ""))
    return job.model_copy(update={"mount_points": tuple(m for m in job.mount_points if m.name.startswith(side))})


def searched(job: Job, seconds: float) -> tuple[int, int, float]:
    """Placed, at most, seconds."""
    look = arrange_several if job.pack.boxes > 1 else arrange
    try:
        found = look(job, bay_of(job, JOB.parent), seconds=seconds, seed=0)
    except NothingFits as error:
        return 0, error.bound or 0, seconds
    return found.placed, found.upper_bound, found.seconds


def main() -> None:
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 20.0
    rng = Random(5)
    print(f"{'bay y x z':>10} {'hump y x z':>10} {'one':>4} {'bound':>5} {'s':>5} {'two':>4} {'bound':>5} {'s':>5}")
    for _ in range(CASES):
        breadth, height = rng.randrange(1120, 1500, 20), rng.randrange(260, 480, 20)
        hump = (rng.randrange(120, 300, 20), rng.randrange(60, height - 60, 20))
        one = max(searched(job_of(breadth, height, hump, 1, side), seconds) for side in ("", "LH"))
        two = searched(job_of(breadth, height, hump, 2), seconds)
        print(
            f"{breadth:>6}x{height:<3} {hump[0]:>6}x{hump[1]:<3} {one[0]:>4} {one[1]:>5} {one[2]:>5.1f} "
            f"{two[0]:>4} {two[1]:>5} {two[2]:>5.1f}",
            flush=True,
        )


if __name__ == "__main__":
    main()
