"""10 000 variants of a full loads run of the brackets as arrays, against the ordinary checks one variant at a time.

    python tests/benchmarks/loads_variants.py

The design is that of the shared job (a short search first). A variant changes mass, centre of mass and the stiffness of
each mount; all cases of the job (those from pulses as the design has them) on all mounts. Both ways run in one process.
Also: how long all checks of the design take, all ways of sharing in.
"""

import time
from pathlib import Path

import numpy as np

from layout.checks.many import settled
from layout.job import read_job
from layout.packing.search import arrange
from layout.space.bay import bay_of
from layout.study.bracket_plates import bracket_plate_checks
from layout.study.leg_bolts import leg_bolt_checks
from layout.study.mount_bolts import mount_bolt_checks
from layout.study.mounting_bars import bar_checks
from layout.study.sizing import designed_pack
from layout.study.strength import Design, all_checks, prepared
from layout.study.variants import Variant, bracket_uses, variant_forces

JOB = Path(__file__).parents[1] / "jobs" / "larkmoor-front-bay.toml"
VARIANTS, LOOPED = 10_000, 12


def timed(run, times=1):
    """Best of some runs: result and seconds of this process."""
    best, result = float("inf"), None
    for _ in range(times):
        start = time.process_time()
        result = run()
        best = min(best, time.process_time() - start)
    return result, best


def variants(made, count):
    rng = np.random.default_rng(1)
    stiffness = np.array([m.stiffness for m in made.mounts])
    return Variant(
        made.pack.mass_kg * rng.uniform(0.8, 1.2, count),
        np.array(made.pack.centroid_mm) + rng.normal(size=(count, 3)) * 20.0,
        stiffness * (10.0 ** rng.uniform(-0.3, 0.3, (count, len(stiffness))))[..., None, None],
        np.array([m.at_mm for m in made.mounts]),
    )


def loads_on(one, made, forces):
    """Forces on a bracket's mounts along its a, n, w."""
    names = [m.name for m in made.mounts]
    plan = next(b.plan for b in made.brackets if b.number == one.leg.number)
    return forces[..., [names.index(m.name) for m in plan.mounts], :] @ np.array([plan.a, plan.n, plan.w]).T


def at_once(made, ready, cases, frame, many):
    forces = variant_forces(many, cases, frame)
    worst = np.zeros(len(many.mass_kg))
    for one in ready:
        own = loads_on(one, made, forces)
        for c, case in enumerate(cases):
            for used in bracket_uses(one, case, own[:, c]).values():
                worst = np.maximum(worst, used)
    return worst


def one_by_one(made, ready, cases, frame, many):
    found = 0
    for v in range(len(many.mass_kg)):
        row = slice(v, v + 1)
        alone = Variant(many.mass_kg[row], many.centroid_mm[row], many.stiffness[row], many.at_mm)
        forces = variant_forces(alone, cases, frame)
        for one in ready:
            own = loads_on(one, made, forces)
            for c, case in enumerate(cases):
                f, checks = own[:, c], []
                for i, (joint, foot) in enumerate(zip(one.joints, one.feet, strict=True)):
                    checks += mount_bolt_checks(joint, case, f[:, i]) + bracket_plate_checks(foot, case, f[:, i])
                checks += leg_bolt_checks(one.leg, case, f) + [k for b in one.bars for k in bar_checks(one.leg, b, case, f)]
                found += len(settled(checks, (case,)))
    return found


def main():
    job = read_job(JOB)
    bay = bay_of(job, JOB.parent)
    arrangement = arrange(job, bay, seconds=5.0, seed=0).arrangements[0]
    made = designed_pack(job, bay, arrangement)
    design = Design(job, arrangement, made.box, made.brackets, made.items)
    ready = prepared(job, made.box, made.brackets, made.loading.shares)
    cases = tuple({s.name: s.case for s in made.loading.shares}.values())
    found, spent = timed(lambda: all_checks(design, made.loading.shares), 3)
    print(f"all checks of the design, {len(cases)} cases, {len(made.mounts)} mounts, {len(made.loading.shares)} shares: "
          f"{len(found)} checks in {1e3 * spent:.0f} ms")  # fmt: skip
    many = variants(made, VARIANTS)
    _, whole = timed(lambda: at_once(made, ready, cases, arrangement.frame, many))
    few = variants(made, LOOPED)
    count, single = timed(lambda: one_by_one(made, ready, cases, arrangement.frame, few))
    scaled = single * VARIANTS / LOOPED
    print(f"{VARIANTS} variants x {len(cases)} cases x {len(made.mounts)} mounts, all brackets:")
    print(f"  arrays        {whole:8.2f} s")
    each = f"{count // LOOPED} checks each; {LOOPED} measured, scaled"
    print(f"  one by one    {scaled:8.2f} s  {scaled / whole:6.1f} times ({each})")


if __name__ == "__main__":
    main()
