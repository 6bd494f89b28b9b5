"""Variants as arrays give what the ordinary checks give for one variant after the other."""

from __future__ import annotations

import numpy as np
import pytest

from layout.frames import Array
from layout.loads.mounts import Mount, solve_mounts
from layout.study.bracket_plates import foot_checks
from layout.study.leg_bolts import leg_bolt_checks
from layout.study.mount_bolts import mount_bolt_checks
from layout.study.mounting_bars import bar_checks
from layout.study.strength import Prepared, _in_service, prepared
from layout.study.study import Study
from layout.study.variants import Variant, bar_uses, bracket_uses, foot_uses, leg_uses, mount_uses, variant_forces

COUNT = 6
DIRECTIONAL = ("fillet weld, simplified",)


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
    return [
        (prepared(front_study.job, front_study.box, b, ()), [names.index(m.name) for m in b.plan.mounts])
        for b in front_study.brackets
    ]


def axes(study: Study, index: int) -> Array:
    plan = study.brackets[index].plan
    return np.array([plan.a, plan.n, plan.w])


def greatest(checks: list, case) -> float:
    used = [c.utilisation for c in _in_service(checks, case) if c.name not in DIRECTIONAL]
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
            for i, (joint, foot) in enumerate(zip(one.joints, one.feet, strict=True)):
                bolts, plates = mount_uses(joint, case, f[:, i]), foot_uses(foot, case, f[:, i])
                for v in range(COUNT):
                    assert bolts[v] == pytest.approx(greatest(mount_bolt_checks(joint, case, f[v : v + 1, i]), case), rel=1e-9)
                    assert plates[v] == pytest.approx(greatest(foot_checks(foot, case, tuple(f[v, i])), case), rel=1e-9)
            legs = leg_uses(one.leg, case, f)
            for v in range(COUNT):
                assert legs[v] == pytest.approx(greatest(leg_bolt_checks(one.leg, case, f[v : v + 1]), case), rel=1e-9)
            for bar in one.bars:
                used = bar_uses(one.leg, bar, case, f)
                for v in range(COUNT):
                    assert used[v] == pytest.approx(greatest(bar_checks(one.leg, bar, case, f[v : v + 1]), case), rel=1e-9)


def test_places_are_named_and_unknown_metal_is_infinite(front_study: Study, forces: Array, ready: list) -> None:
    found = bracket_uses(ready[0][0], front_study.cases[0].case, forces[:, 0, ready[0][1]] @ axes(front_study, 0).T)
    unknown = {m.name for m in front_study.job.mount_points if m.sheet is None}
    for name, used in found.items():
        is_unknown = name.startswith("bolt, ") and name.split(" at ")[1] in unknown
        assert np.isinf(used).all() == is_unknown, name
