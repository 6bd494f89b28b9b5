"""Whether a limit of one second is kept: the search alone, and the whole command from start to end; printed and kept.

Run from the top folder: python tests/benchmarks/packing_short.py [seconds]
Wall seconds count; CPU seconds beside them say what they would be where nothing else runs.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))
JOBS = (*sorted((ROOT / "tests" / "jobs").glob("*.toml")), ROOT / "layout" / "job" / "examples" / "demo.toml")
SEARCH = """
import sys, time
from pathlib import Path
from layout.job import read_job
from outputs.cli import pipeline
path = Path(sys.argv[1])
job = read_job(path)
options = pipeline.Options(path, float(sys.argv[2]), 0, None, False)
wall, cpu = time.monotonic(), time.process_time()
found = pipeline.searched_job(job, options).search
print(time.monotonic() - wall, time.process_time() - cpu, found.placed, found.upper_bound, len(found.arrangements))
"""
COMMAND = "from outputs.start import main; main()"


def row(path: Path, seconds: str, cache: str) -> str:
    """One job: the search in a process of its own, then the command. cache: folder of the compiled modules."""
    env = {**os.environ, "PYTHONPATH": str(ROOT), "PYTHONPYCACHEPREFIX": cache}
    env.pop("PYTHONDONTWRITEBYTECODE", None)  # an installed program has its modules compiled
    done = subprocess.run(
        [sys.executable, "-c", SEARCH, str(path), seconds], cwd=ROOT, env=env, capture_output=True, text=True, check=True
    )
    wall, cpu, placed, bound, listed = done.stdout.split()
    before, began = resource.getrusage(resource.RUSAGE_CHILDREN), time.monotonic()
    command = [sys.executable, "-c", COMMAND, "fit", str(path), "--time", seconds]
    subprocess.run(command, cwd=ROOT, env=env, capture_output=True, check=False)
    took, after = time.monotonic() - began, resource.getrusage(resource.RUSAGE_CHILDREN)
    used = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return (
        f"{path.stem:22s} search {float(wall):5.2f} s wall {float(cpu):5.2f} s cpu"
        f"   command {took:5.2f} s wall {used:5.2f} s cpu   {placed} placed, at most {bound}, {listed} listed"
    )


def main() -> None:
    """Print the table."""
    seconds = sys.argv[1] if len(sys.argv) > 1 else "1"
    lines = [f"limit {seconds} s; load average {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores"]
    print(lines[0])
    with tempfile.TemporaryDirectory() as cache:
        row(JOBS[0], seconds, cache)  # compiles the modules
        for path in JOBS:
            lines.append(row(path, seconds, cache))
            print(lines[-1], flush=True)
    (Path(__file__).parent / "results" / "packing_short.txt").write_text("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
