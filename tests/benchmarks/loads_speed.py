"""Speed of the load sharing: one run of 20 cases on 6 mounts, and 10 000 variants of it as arrays against a loop.

    python tests/benchmarks/loads_speed.py

Both ways of the second comparison use the same formulas and run in the same process, one after the other. The loop is
the plain one: one variant and one case at a time, small numpy arrays.
"""

import subprocess
import sys
import time
from types import SimpleNamespace

import numpy as np

from layout.job.crash import Crash
from layout.loads import body
from layout.loads.cases import LoadCase, accelerations, cases_of
from layout.loads.envelope import envelope_forces
from layout.loads.modes import modes
from layout.loads.mounts import Mount, isotropic
from layout.loads.pulse_cases import named_pulses, respond
from layout.loads.slack import slack_forces

VARIANTS, LOOPED = 10_000, 200
PLACES = np.array([[x, y, 10.0] for x in (-300.0, 0.0, 300.0) for y in (-200.0, 200.0)])
MOUNTS = [Mount(f"m{i}", tuple(p), isotropic(1e4 * (1 + i % 2))) for i, p in enumerate(PLACES)]
PACK = SimpleNamespace(
    mass_kg=118.0, centroid_mm=(12.0, -6.0, 170.0), inertia_kgmm2=((3e6, 0.0, 0.0), (0.0, 6e6, 0.0), (0.0, 0.0, 7e6))
)
FACTORS = {"forward": 20, "rearward": 10, "left": 15, "right": 15, "up": 10, "down": 10}
PULSE = {"shape": "half sine", "peak": 20, "duration": 70, "direction": "forward"}
JOB = SimpleNamespace(crash=Crash(factors=FACTORS, oblique=True, pulse=PULSE), folder=None)


def best(run, times=5):
    spent = []
    for _ in range(times):
        start = time.perf_counter()
        run()
        spent.append(time.perf_counter() - start)
    return min(spent)


def twenty_cases() -> tuple[LoadCase, ...]:
    return cases_of(JOB)[:20]


def one_run():
    return envelope_forces(MOUNTS, PACK.mass_kg, PACK.centroid_mm, twenty_cases())


def variants(count):
    rng = np.random.default_rng(1)
    at = PLACES + rng.normal(size=(count, 6, 3)) * 15.0
    k = np.eye(3) * (10.0 ** rng.uniform(3.7, 4.6, (count, 6)))[..., None, None]
    return at, k, rng.uniform(80.0, 160.0, count), np.array(PACK.centroid_mm) + rng.normal(size=(count, 3)) * 20.0


def loop_rigid(at, k, mass, centroid, acceleration):
    """One variant and one case after the other: assemble, solve, sum up."""
    for places, stiffness, kg, centre in zip(at, k, mass, centroid, strict=True):
        for a in acceleration:
            total = np.zeros((6, 6))
            parts = []
            for place, ki in zip(places, stiffness, strict=True):
                x, y, z = place - centre
                g = np.hstack([np.eye(3), np.array([[0.0, z, -y], [-z, 0.0, x], [y, -x, 0.0]])])
                parts.append(ki @ g)
                total += g.T @ ki @ g
            load = np.concatenate([kg * body.G0_M_S2 * (np.array([0.0, 0.0, -1.0]) - a), np.zeros(3)])
            d = np.linalg.solve(total, load)
            for part in parts:
                part @ d


def loop_through_the_program(at, k, mass, centroid, acceleration):
    """The program's own function, one variant at a time (all its cases at once)."""
    for places, stiffness, kg, centre in zip(at, k, mass, centroid, strict=True):
        body.share(places, stiffness, float(kg), centre, acceleration)


def cold_ms():
    """The first run after import, in a process of its own."""
    code = (
        "import time, runpy; m = runpy.run_path('tests/benchmarks/loads_speed.py'); t = time.perf_counter(); m['one_run']();"
        "print((time.perf_counter() - t) * 1e3)"
    )
    answer = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env={"PYTHONPATH": "."})
    return float(answer.stdout)


def main():
    acceleration = accelerations(twenty_cases())
    ways = len(one_run().ways)
    first, then = cold_ms(), best(one_run) * 1e3
    print(f"one run, 20 cases, 6 mounts, {ways} ways of sharing: first after import {first:.1f} ms, then {then:.1f} ms")
    found, (pulse,) = modes(MOUNTS, PACK), named_pulses(JOB)
    spent = best(lambda: (modes(MOUNTS, PACK), respond(pulse, found, PACK.mass_kg, 0.05)))
    print(f"modes and one pulse on them: {spent * 1e3:.1f} ms")
    at, k, mass, centroid = variants(VARIANTS)
    cases = np.broadcast_to(acceleration, (VARIANTS, *acceleration.shape))
    few = slice(0, LOOPED)
    arrays = best(lambda: body.share(at, k, mass, centroid, cases), 3)
    plain = best(lambda: loop_rigid(at[few], k[few], mass[few], centroid[few], acceleration), 1) * VARIANTS / LOOPED
    program = (
        best(lambda: loop_through_the_program(at[few], k[few], mass[few], centroid[few], acceleration), 3) * VARIANTS / LOOPED
    )
    print(f"{VARIANTS} variants x 20 cases x 6 mounts, rigid body:")
    print(f"  arrays                          {arrays:8.2f} s")
    print(f"  loop over variants and cases    {plain:8.2f} s   {plain / arrays:6.1f} times  (measured on {LOOPED}, scaled)")
    print(
        f"  loop over variants, cases at once {program:6.2f} s   {program / arrays:6.1f} times  (measured on {LOOPED}, scaled)"
    )
    part = slice(0, 2000)
    spent = best(lambda: slack_forces(at[part], k[part], mass[part], centroid[part], cases[part]), 2)
    print(f"2000 variants with each of 6 mounts slack in turn: {spent:.2f} s")


if __name__ == "__main__":
    main()
