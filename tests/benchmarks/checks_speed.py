"""How long the checks of one full loads run take, and how array forms compare with loops. Prints a table; no assertion.

    python tests/benchmarks/checks_speed.py
"""

from __future__ import annotations

import time
from dataclasses import dataclass

import numpy as np

from layout.checks.bolts import Ply, bolt_checks, ply_checks, utilisations
from layout.checks.fixings import fixing_checks
from layout.checks.groups import BoltGroup, WeldLines, bolt_shears, bolt_tensions
from layout.checks.gussets import GussetedL, gusseted_l_checks, pulled_strip_check
from layout.checks.many import hypot, settled
from layout.checks.plates import Panel, Rib, panel_checks, rib_checks
from layout.checks.threads import thread_checks
from layout.checks.welds import weld_group_checks

BRACKET = GussetedL("S275", 6.0, 80.0, 40.0, 17.0, 2, 5.0, 46.0, 44.0, 60.0, 12.0, 3.5, 13.0, 20.0, 11.0)
LEG = BoltGroup(((-12.0, 0.0), (12.0, 0.0), (12.0, 40.0), (-12.0, 40.0)), (-30.0, 30.0, -20.0, 60.0))


METAL = (("S275", "S275"), (6.0, 6.0), 4.0)


@dataclass(frozen=True)
class Case:
    name: str
    no_slip: bool = False


def one_mount(case, force):
    """Every check that belongs to one mount: in one case, or (arrays of forces) in all of them."""
    a, n, w = force
    foot, leg = Ply("S275", 6.0, 11.0, 17.0, 40.0), Ply("S275", 6.0, 9.0, 16.0, 28.0, 40.0, 24.0)
    found = bolt_checks("B", case, "M10", "8.8", n, hypot(a, w), hole_mm=11.0)
    found += ply_checks("B foot", case, "M10", "8.8", foot, w, a, n, washer_mm=20.0)
    found += fixing_checks("B", case, "thread", "M10", "8.8", n, abs(w), sheet_material="S235", sheet_mm=2.5)
    found += gusseted_l_checks("BR", case, BRACKET, force)
    load, moment = np.stack([a, n, w], axis=-1), np.stack([n * 40.0, 0.0 * a, a * 40.0], axis=-1)
    shears, tensions = bolt_shears(LEG, load, moment), bolt_tensions(LEG, load, moment)
    used = utilisations("M8", "8.8", tensions, np.hypot(shears[..., 0], shears[..., 1]))
    worst = np.argmax(used, axis=-1)[..., None]
    t = np.take_along_axis(tensions, worst, axis=-1)[..., 0]
    u, v = (np.take_along_axis(shears[..., k], worst, axis=-1)[..., 0] for k in (0, 1))
    if not worst.shape[:-1]:
        t, u, v = float(t), float(u), float(v)
    found += bolt_checks("L", case, "M8", "8.8", t, hypot(u, v))
    found += ply_checks("L leg", case, "M8", "8.8", leg, v, u, t, washer_mm=16.0)
    found += thread_checks("L bar", case, "M8", "8.8", "5083-H111", 12.0, t, welded=True)
    found.append(pulled_strip_check("L strip", case, "S275", 6.0, 46.0, 16.0, 9.0, (20.0, 20.0), t))
    return found


def by_case(cases, forces):
    """One case and one mount after the other, with plain numbers. forces: (cases, mounts, 3)."""
    return [c for k, case in enumerate(cases) for f in forces[k].tolist() for c in one_mount(case.name, f)]


def at_once(cases, forces):
    """All cases of a mount at once, as a design's checks are made; each case's own list of checks comes out."""
    return [c for m in range(forces.shape[1]) for c in settled(one_mount("", parts(forces[:, m])), cases)]


def parts(vectors):
    """Components of vectors, (..., 3)."""
    return tuple(np.moveaxis(vectors, -1, 0))


def floor(cases):
    found = []
    for case in cases:
        found += panel_checks("floor", case.name, Panel("5083-H111", 3.0, 400.0, 150.0), 0.01)
        found += rib_checks("rib", case.name, "5083-H111", 3.0, Rib("5083-H111", 40.0, 6.0, 400.0, 150.0, 3.0), 0.01)
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
    cases = [Case(f"case {k}") for k in range(20)]
    forces = rng.normal(size=(20, 6, 3)) * 3000.0
    one, many = by_case(cases, forces), at_once(cases, forces)
    apart = abs(max(c.utilisation for c in one) - max(c.utilisation for c in many))
    first, then = timed(lambda: by_case(cases, forces), 7), timed(lambda: at_once(cases, forces), 7)
    print("one run, 20 cases x 6 mounts:")
    print(f"  case by case   {len(one)} checks in {1e3 * first:6.1f} ms")
    print(f"  cases at once  {len(many)} checks in {1e3 * then:6.1f} ms  {first / then:5.1f} times ({apart:.0e} apart)")
    print(f"  floor and rib, case by case        {1e3 * timed(lambda: floor(cases), 7):6.1f} ms")
    force, moment = rng.normal(size=(10000, 3)) * 3000.0, rng.normal(size=(10000, 3)) * 1e5
    lines = WeldLines(((0.0, 0.0, 60.0, 0.0), (60.0, 0.0, 60.0, 40.0), (60.0, 40.0, 0.0, 40.0), (0.0, 40.0, 0.0, 0.0)))
    for name, run in (
        ("bolt group, tension and shear", lambda f, m: (bolt_tensions(LEG, f, m), bolt_shears(LEG, f, m))),
        ("bolt utilisation", lambda f, m: utilisations("M8", "8.8", f[..., 0], f[..., 1])),
        ("gusseted bracket, all places", lambda f, m: gusseted_l_checks("", "", BRACKET, tuple(np.moveaxis(f, -1, 0)))),
        ("weld group, both methods", lambda f, m: weld_group_checks("", "", lines, *METAL, parts(f), parts(m))),
    ):
        whole = timed(lambda run=run: run(force, moment), 3)
        single = timed(lambda run=run: [run(force[k], moment[k]) for k in range(300)], 2) / 300 * 10000
        told = f"at once {1e3 * whole:7.1f} ms, one by one {1e3 * single:7.0f} ms, ratio {single / whole:5.0f}"
        print(f"{name:<32} 10 000 {told}")


if __name__ == "__main__":
    main()
