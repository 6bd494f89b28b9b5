"""Seams of a folded box under the modules: figures by hand, growth with the load, nothing for a welded box."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from layout.arrangement import Arrangement
from layout.box.construct import constructed_box
from layout.box.design import BoxDesign
from layout.box.shell import shell_of
from layout.brackets.plan import plan_options
from layout.frames import Extent, vec3
from layout.job import Job
from layout.loads.cases import cases_of
from layout.study.folded_corners import corner_checks, corner_flow, foot_flow
from layout.study.held_modules import Held


def moved(arrangement: Arrangement) -> Arrangement:
    """The hand-made layout with a box 1 mm wider all round and modules on bars."""
    lift = np.array((0.0, 0.0, 23.0))
    modules = tuple(
        replace(m, pose=replace(m.pose, origin_mm=vec3(np.array(m.pose.origin_mm) + lift))) for m in arrangement.modules
    )
    low, high = arrangement.inside.min_mm, arrangement.inside.max_mm
    inside = Extent((low[0] - 1.0, low[1] - 1.0, low[2]), (high[0] + 1.0, high[1] + 1.0, high[2] + 25.0))
    return replace(arrangement, modules=modules, inside=inside, equipment=())


def built(job: Job, arrangement: Arrangement, construction: str) -> BoxDesign:
    job = job.model_copy(update={"box": job.box.model_copy(update={"construction": construction})})
    shell = shell_of(job)
    plans = next(iter(plan_options(job, arrangement.frame, arrangement.inside, shell)))
    return constructed_box(job, arrangement.inside, shell, plans, arrangement)


@pytest.fixture(scope="module")
def held(front_job: Job, front_arrangement: Arrangement) -> Held:
    arrangement = moved(front_arrangement)
    return Held(built(front_job, arrangement, "folded"), arrangement, cases_of(front_job))


def test_corner_carries_its_share_of_the_modules_by_hand(held: Held) -> None:
    """20 g forward: 0.36 of m a over the corner's height out of the end wall, and 1.5 * 0.6 m a over the length of the side
    walls along it, besides the share of gravity."""
    case = next(i for i, c in enumerate(held.cases) if c.name.startswith("forward"))
    mass = 12.4 * len(held.models[0])
    assert mass > 12.0
    force, weight = mass * 20.0 * 9.80665, mass * 9.80665
    flow = corner_flow(held, 350.0)
    sx, sy, _ = held.box.inside.size_mm
    assert flow.out_of_ends[case] == pytest.approx(0.36 * force / 350.0)
    assert flow.out_of_sides[case] == pytest.approx(0.0, abs=1e-6)
    assert flow.along[case] == pytest.approx(0.36 * weight / 350.0 + 0.9 * force / sx)
    foot = foot_flow(held)
    assert foot.out_of_ends[case] == pytest.approx(0.6 * force / (min(sx, sy) - 6.0))
    assert foot.out_of_sides[case] == pytest.approx(0.3125 * weight / (min(sx, sy) - 6.0))


def test_every_case_is_checked_and_a_thinner_seam_fares_worse(held: Held) -> None:
    checks = corner_checks(held)
    assert {c.case for c in checks} == {c.name for c in held.cases}
    assert all(c.utilisation is not None and c.utilisation > 0.0 for c in checks)
    worst = max(c.utilisation or 0.0 for c in checks)
    shell = replace(held.box.shell, sheet_mm=held.box.shell.sheet_mm / 2.0)
    thin = corner_checks(replace(held, box=replace(held.box, shell=shell)))
    assert max(c.utilisation or 0.0 for c in thin) > 1.9 * worst


def test_walls_of_their_own_have_their_feet_checked_too(held: Held) -> None:
    assert held.box.folded is not None
    assert held.box.folded.form == "pan"
    assert {c.part for c in corner_checks(held)} == {"corner seams of the folded box"}
    apart = replace(held.box, folded=replace(held.box.folded, form="left"))
    parts = {c.part for c in corner_checks(replace(held, box=apart))}
    assert parts == {"corner seams of the folded box", "seams along the feet of walls of their own"}


def test_a_welded_box_has_none(front_job: Job, front_arrangement: Arrangement) -> None:
    arrangement = moved(front_arrangement)
    assert corner_checks(Held(built(front_job, arrangement, "welded"), arrangement, cases_of(front_job))) == []
