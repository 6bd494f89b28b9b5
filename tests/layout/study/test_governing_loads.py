"""Loads that are left out never are the worst: for any sizes, and for every check of a design against all ways one by one."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy.optimize import linprog

from layout.checks import Check
from layout.frames import Array
from layout.study import bracket_plates, leg_bolts, mount_bolts, mounting_bars
from layout.study.governing import governing
from layout.study.shares import worst_of
from layout.study.strength import Prepared, prepared
from layout.study.study import Study

SIZES = arrays(float, st.tuples(st.integers(1, 12), st.integers(1, 4)), elements=st.floats(0.0, 9.0).map(lambda v: round(v, 1)))


@settings(max_examples=150, deadline=None)
@given(SIZES)
def test_every_load_lies_at_or_below_a_mixture_of_those_kept(sizes: Array) -> None:
    kept = sizes[governing(sizes)]
    for one in sizes:
        bounds = linprog(
            np.zeros(len(kept)), A_ub=-kept.T, b_ub=-one + 1e-9, A_eq=np.ones((1, len(kept))), b_eq=[1.0], bounds=(0.0, 1.0)
        )
        assert bounds.status == 0


@settings(max_examples=150, deadline=None)
@given(SIZES, st.lists(st.floats(0.0, 3.0), min_size=4, max_size=4), st.floats(0.05, 5.0))
def test_convex_rules_and_slip_are_greatest_at_those_kept(sizes: Array, weights: list[float], room: float) -> None:
    w = np.array(weights[: sizes.shape[1]])
    kept = governing(sizes)

    def slip(y: Array) -> Array:
        free = np.maximum(room * 10.0 - 0.8 * y[:, 0], 0.0)
        return np.where(free > 0.0, y[:, -1] / np.where(free > 0.0, free, 1.0), np.where(y[:, -1] > 0.0, np.inf, 0.0))

    for rule in (lambda y: y @ w, lambda y: np.sqrt((y @ w) ** 2 + 3.0 * y[:, -1] ** 2), lambda y: (y**2) @ w, slip):
        assert rule(sizes[kept]).max() >= rule(sizes).max() * (1.0 - 1e-9)


def test_a_load_that_is_not_a_number_is_kept() -> None:
    assert governing(np.array([[1.0, 1.0], [np.nan, 0.0], [0.5, 0.5]])) == [0, 1]


def test_few_loads_are_kept_of_many_that_point_alike() -> None:
    rng = np.random.default_rng(3)
    spread = np.array([5.0, 3.0, 1.0]) * (1.0 + 0.1 * rng.random((200, 1)))
    assert len(governing(spread)) == 1


@pytest.fixture(scope="module")
def many_ways(front_study: Study) -> list[Prepared]:
    """The design under random forces at its mounts: twelve ways in each of five cases, some of them road loads."""
    from layout.study.shares import Share

    rng = np.random.default_rng(11)
    service = [c.case for c in front_study.cases if c.case.no_slip]
    crash = [c.case for c in front_study.cases if not c.case.no_slip]
    picked = [*service[:2], *crash[:3]]
    names = [m.name for m in front_study.job.mount_points]
    shares = []
    for case in picked:
        size = 800.0 if case.no_slip else 4000.0
        centre = {n: rng.normal(size=3) * size for n in names}
        shares += [Share(case, f"way {k}", {n: centre[n] + rng.normal(size=3) * size / 2.0 for n in names}) for k in range(12)]
    return [prepared(front_study.job, front_study.box, b, tuple(shares)) for b in front_study.brackets]


def uses(checks: list[Check], *, drop_number: bool = False) -> dict[tuple[str, str, str], float]:
    """Greatest utilisation by name, part and case; for leg bolts whichever bolt it is, for sections wherever they lie."""
    found: dict[tuple[str, str, str], float] = {}
    for c in checks:
        part = c.part.split(" at ")[0] if c.name == "gusseted section" else c.part
        if drop_number:
            part = " ".join(p.split("-L")[0] for p in part.split(" "))
        key = (c.name, part, c.case)
        value = c.utilisation if c.utilisation is not None else c.demand
        found[key] = max(found.get(key, 0.0), value)
    return found


def same(few: dict[tuple[str, str, str], float], all_of_them: dict[tuple[str, str, str], float]) -> None:
    assert few.keys() == all_of_them.keys()
    for key, value in all_of_them.items():
        assert few[key] == pytest.approx(value, rel=1e-9), key


def test_mount_bolts_against_all_ways_one_by_one(many_ways: list[Prepared]) -> None:
    for one in many_ways:
        for load in one.loads:
            for i, joint in enumerate(one.joints):
                forces = load.forces_n[:, i]
                brute = [
                    c for a, n, w in forces for c in mount_bolts.joint_checks(joint, load.case, abs(a), abs(w), max(n, 0.0))
                ]  # fmt: skip
                same(uses(mount_bolts.mount_bolt_checks(joint, load.case, forces)), uses(brute))


def test_bracket_plates_against_all_ways_one_by_one(many_ways: list[Prepared]) -> None:
    for one in many_ways:
        for load in one.loads:
            for i, foot in enumerate(one.feet):
                forces = load.forces_n[:, i]
                brute = [c for f in forces for c in bracket_plates.foot_checks(foot, load.case, tuple(f))]
                same(uses(bracket_plates.bracket_plate_checks(foot, load.case, forces)), uses(brute))


def test_leg_bolts_against_every_bolt_in_all_ways(many_ways: list[Prepared]) -> None:
    from layout.checks.groups import BoltGroup, bolt_shears, bolt_tensions

    for one in many_ways:
        leg = one.leg
        points = np.array(leg.group.points_mm)
        bars = points.reshape(-1, 4, 2).mean(axis=1)
        mounts = leg.arms_mm[:, 0] + points[:, 0].mean()
        nearest = [int(np.argmin(abs(bars[:, 0] - m))) for m in mounts]
        for load in one.loads:
            brute: list[Check] = []
            for forces in load.forces_n:
                force, moment = forces.sum(axis=0), sum(np.cross(a, f) for a, f in zip(leg.arms_mm, forces, strict=True))
                shears = np.abs(bolt_shears(leg.group, force, moment))
                for b in set(nearest) if len(bars) > 1 else ():  # each mount on the bolts of its nearest bar alone
                    of_bar = [m for m in range(len(mounts)) if nearest[m] == b]
                    off = np.array([*(bars[b] - points.mean(axis=0)), 0.0])
                    turned = forces @ leg.turn.T
                    turning = sum(np.cross(leg.arms_mm[m] - off, turned[m]) for m in of_bar)
                    alone = BoltGroup(leg.group.points_mm[4 * b : 4 * b + 4], leg.group.edges_mm)
                    own = np.abs(bolt_shears(alone, turned[of_bar].sum(axis=0), turning))
                    shears[4 * b : 4 * b + 4] = np.maximum(shears[4 * b : 4 * b + 4], own)
                pulls = bolt_tensions(leg.group, np.array([0.0, 0.0, -force[2]]), -np.asarray(moment))
                for k, ((a, n), pull) in enumerate(zip(shears, pulls, strict=True)):
                    brute += leg_bolts.joint_checks(leg, k, load.case, abs(a), abs(n), pull * leg.prying[k])
                    brute += leg_bolts._plate_checks(leg, k, load.case.name, pull)
            few = leg_bolts.leg_bolt_checks(leg, load.case, load.forces_n)
            same(uses(few, drop_number=True), uses(brute, drop_number=True))


def test_bars_against_all_ways_one_by_one(many_ways: list[Prepared]) -> None:
    for one in many_ways:
        for load in one.loads:
            for bar in one.bars:
                brute = [c for f in load.forces_n for c in mounting_bars.bar_checks(one.leg, bar, load.case, f[None])]
                same(uses(mounting_bars.bar_checks(one.leg, bar, load.case, load.forces_n)), uses(brute))


def test_bar_moment_and_shear_against_the_beam_of_the_checks(many_ways: list[Prepared]) -> None:
    from layout.checks.beams import simple_points

    rng = np.random.default_rng(5)
    for bar in many_ways[0].bars:
        pulls = rng.normal(size=(6, len(bar.heights_mm))) * 1000.0
        moments, shears = mounting_bars.bending(bar.heights_mm, pulls, bar.bar.span_mm)
        for k, row in enumerate(pulls):
            beam = simple_points(tuple(zip(bar.heights_mm, row, strict=True)), bar.bar.span_mm, 1.0)
            assert moments[k] == pytest.approx(beam.moment_nmm, rel=1e-9)
            assert shears[k] == pytest.approx(beam.shear_n, rel=1e-9)


def test_pulls_on_the_bars_balance_the_load(many_ways: list[Prepared]) -> None:
    """Bolts' forces on the bars, summed and turned about the centroid, are the load of the box turned round."""
    one = many_ways[0]
    force, moment = leg_bolts.group_load(one.leg, one.loads[0].forces_n)
    pulls = mounting_bars.outward(one.leg.group.offsets_mm, force, moment)
    u, v = one.leg.group.offsets_mm.T
    assert pulls.sum(axis=1) == pytest.approx(-force[:, 2])
    assert pulls @ v == pytest.approx(-moment[:, 0])
    assert pulls @ u == pytest.approx(moment[:, 1])


def test_worst_of_keeps_the_highest(many_ways: list[Prepared]) -> None:
    one = many_ways[0]
    found = mount_bolts.mount_bolt_checks(one.joints[0], one.loads[0].case, one.loads[0].forces_n[:, 0])
    assert uses(worst_of(found)) == uses(found)


def test_what_a_reader_must_know_of_the_mounts_reaches_the_study(front_study: Study) -> None:
    from dataclasses import replace

    from layout.study.forces import loading_of
    from layout.study.sizing import modules_extent

    ahead = tuple(replace(m, at_mm=(m.at_mm[0] + 2000.0, *m.at_mm[1:])) for m in front_study.mounts)
    one = front_study
    notes = loading_of(one.job, ahead, one.pack, modules_extent(one.arrangement), one.arrangement.frame).notes
    assert any("ahead of the pack's centroid" in note for note in notes)
