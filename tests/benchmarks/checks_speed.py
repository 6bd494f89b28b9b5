"""How long the checks of one full loads run take, and how array forms compare with loops. Prints a table; no assertion.

    python tests/benchmarks/checks_speed.py
"""

from __future__ import annotations

import time

import numpy as np

from layout.checks.bolts import Ply, bolt_checks, ply_checks, utilisations
from layout.checks.fixings import fixing_checks
from layout.checks.groups import BoltGroup, WeldLines, bolt_shears, bolt_tensions
from layout.checks.gussets import GussetedL, gusseted_l_checks, gusseted_l_utilisations, pulled_strip_check
from layout.checks.held import Body, body_checks
from layout.checks.plates import Panel, Rib, panel_checks, rib_checks
from layout.checks.threads import thread_checks
from layout.checks.welds import weld_utilisations

BRACKET = GussetedL("S275", 6.0, 80.0, 40.0, 17.0, 2, 5.0, 46.0, 44.0, 60.0, 12.0, 3.5, 13.0, 20.0, 11.0)
LEG = BoltGroup(((-12.0, 0.0), (12.0, 0.0), (12.0, 40.0), (-12.0, 40.0)), (-30.0, 30.0, -20.0, 60.0))
MODULE = Body(BoltGroup(((-170.0, -60.0), (170.0, -60.0), (170.0, 60.0), (-170.0, 60.0)), (-196.0, 196.0, -75.0, 75.0)),
              (6.0, 0.0, 54.0), "M6", "8.8", "5083-H111", 10.0, "tapped", 15.0, 6.0)  # fmt: skip


def one_mount(case, force):
    """Every check that belongs to one mount in one case."""
    a, n, w = force
    foot, leg = Ply("S275", 6.0, 11.0, 17.0, 40.0), Ply("S275", 6.0, 9.0, 16.0, 28.0, 40.0, 24.0)
    found = bolt_checks("B", case, "M10", "8.8", n, float(np.hypot(a, w)), hole_mm=11.0)
    found += ply_checks("B foot", case, "M10", "8.8", foot, w, a, n, washer_mm=20.0)
    found += fixing_checks("B", case, "thread", "M10", "8.8", n, abs(w), sheet_material="S235", sheet_mm=2.5)
    found += gusseted_l_checks("BR", case, BRACKET, force)
    moment = np.array([n * 40.0, 0.0, a * 40.0])
    shears, tensions = bolt_shears(LEG, np.array([a, n, w]), moment), bolt_tensions(LEG, np.array([a, n, w]), moment)
    worst = int(np.argmax(utilisations("M8", "8.8", tensions, np.hypot(shears[:, 0], shears[:, 1]))))
    t, (u, v) = float(tensions[worst]), (float(s) for s in shears[worst])
    found += bolt_checks("L", case, "M8", "8.8", t, float(np.hypot(u, v)))
    found += ply_checks("L leg", case, "M8", "8.8", leg, v, u, t, washer_mm=16.0)
    found += thread_checks("L bar", case, "M8", "8.8", "5083-H111", 12.0, t, welded=True)
    found.append(pulled_strip_check("L strip", case, "S275", 6.0, 46.0, 16.0, 9.0, (20.0, 20.0), t))
    return found


def one_run(cases, forces):
    """20 cases x 6 mounts, floor panel and rib and eight modules per case."""
    found = []
    for k, case in enumerate(cases):
        for force in forces[k]:
            found += one_mount(case, force)
        found += panel_checks("floor", case, Panel("5083-H111", 3.0, 400.0, 150.0), 0.01)
        found += rib_checks("rib", case, "5083-H111", 3.0, Rib("5083-H111", 40.0, 6.0, 400.0, 150.0, 3.0), 0.01)
        for _ in range(2):
            found += body_checks("module", case, MODULE, (2000.0, 500.0, -100.0))
    return found


def timed(run, times):
    """Best of some runs, in seconds of this process (other work on the machine does not count)."""
    best = float("inf")
    for _ in range(times):
        start = time.process_time()
        run()
        best = min(best, time.process_time() - start)
    return best


def main():
    rng = np.random.default_rng(1)
    cases = [f"case {k}" for k in range(20)]
    forces = [[tuple(float(v) for v in rng.normal(size=3) * 3000.0) for _ in range(6)] for _ in cases]
    count = len(one_run(cases, forces))
    print(f"one run, 20 cases x 6 mounts: {count} checks in {1e3 * timed(lambda: one_run(cases, forces), 7):.1f} ms")
    force, moment = rng.normal(size=(10000, 3)) * 3000.0, rng.normal(size=(10000, 3)) * 1e5
    lines = WeldLines(((0.0, 0.0, 60.0, 0.0), (60.0, 0.0, 60.0, 40.0), (60.0, 40.0, 0.0, 40.0), (0.0, 40.0, 0.0, 0.0)))
    for name, run in (
        ("bolt group, tension and shear", lambda f, m: (bolt_tensions(LEG, f, m), bolt_shears(LEG, f, m))),
        ("bolt utilisation", lambda f, m: utilisations("M8", "8.8", f[..., 0], f[..., 1])),
        ("gusseted bracket, all places", lambda f, m: gusseted_l_utilisations(BRACKET, f)),
        ("weld group, directional", lambda f, m: weld_utilisations(lines, "S275", 6.0, 4.0, f, m)),
    ):
        whole = timed(lambda run=run: run(force, moment), 3)
        single = timed(lambda run=run: [run(force[k], moment[k]) for k in range(300)], 2) / 300 * 10000
        told = f"at once {1e3 * whole:7.1f} ms, one by one {1e3 * single:7.0f} ms, ratio {single / whole:5.0f}"
        print(f"{name:<32} 10 000 {told}")


if __name__ == "__main__":
    main()
