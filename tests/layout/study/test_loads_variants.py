"""Variants as arrays give what the ordinary checks give for one variant after the other."""

from __future__ import annotations

import numpy as np
import pytest

from layout.checks import Check
from layout.checks.many import settled
from layout.checks.road import with_road_margin
from layout.frames import Array
from layout.loads.cases import LoadCase
from layout.loads.mounts import Mount, solve_mounts
from layout.study.bracket_plates import foot_checks
from layout.study.forces import loading_of
from layout.study.leg_bolts import leg_bolt_checks
from layout.study.mount_bolts import joint_checks
from layout.study.mounting_bars import bar_checks
from layout.study.sizing import modules_extent
from layout.study.strength import Prepared, prepared
from layout.study.study import Study
from layout.study.variants import Variant, bracket_uses, variant_forces

COUNT = 6


@pytest.fixture(scope="module")
def variants(front_study: Study) -> Variant:
    rng = np.random.default_rng(7)
    stiffness = np.array([m.stiffness for m in front_study.mounts])
    scale = 10.0 ** rng.uniform(-0.5, 0.5, (COUNT, len(stiffness)))
    return Variant(
        front_study.pack.mass_kg * rng.uniform(0.7, 1.4, COUNT),
        np.array(front_study.pack.centroid_mm) + rng.normal(size=(COUNT, 3)) * 30.0,
        stiffness * scale[..., None, None],
        np.array([m.at_mm for m in front_study.mounts]),
    )


@pytest.fixture(scope="module")
def forces(front_study: Study, variants: Variant) -> Array:
    return variant_forces(variants, tuple(c.case for c in front_study.cases), front_study.arrangement.frame)


@pytest.fixture(scope="module")
def ready(front_study: Study) -> list[tuple[Prepared, list[int]]]:
    names = [m.name for m in front_study.mounts]
    one = front_study
    loads = loading_of(
        one.job, one.mounts, one.pack, modules_extent(one.arrangement), one.arrangement.frame
    )
    made = prepared(front_study.job, front_study.box, front_study.brackets, loads.shares)
    return [
        (one, [names.index(m.name) for m in b.plan.mounts]) for one, b in zip(made, front_study.brackets, strict=True)
    ]  # fmt: skip


def axes(study: Study, index: int) -> Array:
    plan = study.brackets[index].plan
    return np.array([plan.a, plan.n, plan.w])


def greatest(checks: list[Check], case: LoadCase | None = None) -> float:
    """Of checks of one load; case: where they are still without the margin of road loads."""
    used = [c.utilisation for c in (with_road_margin(checks) if case and case.no_slip else checks)]
    return max(float("inf") if u is None else u for u in used)


def test_forces_are_those_of_each_variant_alone(front_study: Study, variants: Variant, forces: Array) -> None:
    for v in range(COUNT):
        mounts = [
            Mount(m.name, m.at_mm, tuple(map(tuple, variants.stiffness[v, i]))) for i, m in enumerate(front_study.mounts)
        ]  # fmt: skip
        for c, case in enumerate(front_study.cases):
            alone = solve_mounts(mounts, float(variants.mass_kg[v]), tuple(variants.centroid_mm[v]), case.case.acceleration_g)
            own = [front_study.arrangement.frame.inverse_vector(r.force_n) for r in alone]
            assert forces[v, c] == pytest.approx(np.array(own), rel=1e-6, abs=1e-6)


def test_every_place_against_ordinary_checks(front_study: Study, forces: Array, ready: list) -> None:
    for b, (one, mine) in enumerate(ready):
        own = forces[:, :, mine] @ axes(front_study, b).T
        for c, (case, f) in enumerate((c.case, own[:, k]) for k, c in enumerate(front_study.cases)):
            if c % 3:
                continue
            used = bracket_uses(one, case, f)
            for v in range(COUNT):
                for i, (joint, foot) in enumerate(zip(one.joints, one.feet, strict=True)):
                    a, n, w = f[v, i].tolist()
                    bolts = joint_checks(joint, case, abs(a), abs(w), max(n, 0.0))
                    assert used[f"bolt, {joint.part}"][v] == pytest.approx(greatest(bolts, case), rel=1e-9)
                    plates = foot_checks(foot, case, (a, n, w))
                    assert used[f"plates, {foot.part}"][v] == pytest.approx(greatest(plates, case), rel=1e-9)
                legs = settled(leg_bolt_checks(one.leg, case, f[v : v + 1]), (case,))
                assert used[f"leg bolts, {one.leg.number}"][v] == pytest.approx(greatest(legs), rel=1e-9)
                for bar in one.bars:
                    alone = settled(bar_checks(one.leg, bar, case, f[v : v + 1]), (case,))
                    assert used[bar.part][v] == pytest.approx(greatest(alone), rel=1e-9)


def test_places_are_named_and_unknown_metal_is_infinite(front_study: Study, forces: Array, ready: list) -> None:
    found = bracket_uses(ready[0][0], front_study.cases[0].case, forces[:, 0, ready[0][1]] @ axes(front_study, 0).T)
    unknown = {m.name for m in front_study.job.mount_points if m.sheet is None}
    for name, used in found.items():
        is_unknown = name.startswith("bolt, ") and name.split(" at ")[1] in unknown
        assert np.isinf(used).all() == is_unknown, name
