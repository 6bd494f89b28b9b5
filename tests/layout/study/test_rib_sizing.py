"""Ribs under a floor that carries modules stand as far apart as the job's target allows, and no farther."""

from __future__ import annotations

from dataclasses import replace

import pytest

from layout.arrangement import Arrangement
from layout.box.ribs import RIB_PITCHES_MM, rib_plan
from layout.box.shell import shell_of
from layout.brackets.plan import BracketPlan, plan_options
from layout.job import Job
from layout.loads.cases import cases_of
from layout.study.held_modules import Held
from layout.study.held_sizing import _floor_checks, held_box
from layout.study.study import SizingStep, Study

WHAT = "floor ribs, greatest distance"


@pytest.fixture(scope="module")
def bare(front_study: Study) -> tuple[Job, Arrangement, tuple[BracketPlan, ...]]:
    """The shared job with modules that no bar can hold: they stand on the floor."""
    job, arrangement = front_study.job, front_study.arrangement
    kinds = tuple(kind.model_copy(update={"fixing": None}) for kind in job.modules)
    job = job.model_copy(update={"modules": kinds})
    by_name = {kind.name: kind for kind in kinds}
    modules = tuple(replace(m, kind=by_name[m.kind.name]) for m in arrangement.modules)
    arrangement = replace(arrangement, modules=modules)
    return job, arrangement, next(iter(plan_options(job, arrangement.frame, arrangement.inside, shell_of(job))))


def sized(bare: tuple[Job, Arrangement, tuple[BracketPlan, ...]], target: float) -> tuple[Held, list[SizingStep]]:
    job, arrangement, plans = bare
    job = job.model_copy(update={"crash": job.crash.model_copy(update={"target_utilisation": target})})
    box, steps = held_box(job, arrangement, shell_of(job), plans)
    return Held(box, arrangement, cases_of(job)), [s for s in steps if s.what == WHAT]


def use(held: Held) -> float:
    return max(c.utilisation or 0.0 for c in _floor_checks(held))


@pytest.mark.parametrize("target", [0.3, 0.8])
def test_the_widest_pitch_that_meets_the_target(bare, target: float) -> None:
    held, steps = sized(bare, target)
    *wider, last = steps
    assert all(step.utilisation > target for step in wider)
    assert last.taken == (last.utilisation <= target) or last.value_mm == RIB_PITCHES_MM[-1]
    taken = next(step for step in steps if step.taken)
    assert held.box.shell.rib_pitch_mm == taken.value_mm
    assert use(held) <= taken.utilisation + 1e-12  # the step counts road loads with their margin
    assert [s.pack_kg for s in steps] == sorted(s.pack_kg for s in steps)


def test_where_no_pitch_meets_the_target_the_one_used_least_is_taken(bare) -> None:
    _, steps = sized(bare, 0.001)
    assert [s.value_mm for s in steps] == list(RIB_PITCHES_MM)
    assert min(steps, key=lambda s: s.utilisation).taken


@pytest.mark.parametrize("pitch", RIB_PITCHES_MM)
def test_ribs_are_nowhere_farther_apart(bare, pitch: float) -> None:
    _, arrangement, plans = bare
    inside = arrangement.inside
    plan = rib_plan(inside, plans, pitch)
    assert plan.clear_mm(inside) <= pitch + 2.0 * plan.thickness_mm  # of two that nearly meet one is left out
