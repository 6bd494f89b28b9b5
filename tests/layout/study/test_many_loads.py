"""Checks of all loads at once against the same checks load by load with plain numbers: none that governs is lost."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

import numpy as np
import pytest

from layout.checks import Check
from layout.checks.bars import mounting_bar_checks
from layout.checks.groups import bolt_shears
from layout.checks.many import made_where, named_by, settled, worst
from layout.checks.road import with_road_margin
from layout.checks.rule import Rule, Source, not_checked
from layout.loads.cases import LoadCase
from layout.study import bracket_plates, leg_bolts, mount_bolts, mounting_bars
from layout.study.shares import Loads, worst_of
from layout.study.strength import Prepared, prepared
from layout.study.study import Study


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
    return list(prepared(front_study.job, front_study.box, front_study.brackets, tuple(shares)))


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


def in_service(checks: Iterable[Check], case: LoadCase) -> list[Check]:
    return with_road_margin(checks) if case.no_slip else list(checks)


def each(loads: tuple[Loads, ...]) -> Iterable[tuple[Loads, int, LoadCase]]:
    return ((load, c, case) for load in loads for c, case in enumerate(load.cases))


def of_case(load: Loads, case: LoadCase, checks: list[Check]) -> list[Check]:
    """What all cases at once say of one."""
    return [c for c in settled(checks, load.cases) if c.case == case.name]


def test_mount_bolts_against_all_ways_one_by_one(many_ways: list[Prepared]) -> None:
    for one in many_ways:
        for load, c, case in each(one.loads):
            for i, joint in enumerate(one.joints):
                brute = [
                    k for a, n, w in load.forces_n[c, :, i].tolist()
                    for k in mount_bolts.joint_checks(joint, case, abs(a), abs(w), max(n, 0.0))
                ]  # fmt: skip
                found = of_case(load, case, mount_bolts.mount_bolt_checks(joint, load.kind, load.forces_n[..., i, :]))
                same(uses(found), uses(in_service(brute, case)))


def test_bracket_plates_against_all_ways_one_by_one(many_ways: list[Prepared]) -> None:
    for one in many_ways:
        for load, c, case in each(one.loads):
            for i, foot in enumerate(one.feet):
                brute = [k for f in load.forces_n[c, :, i].tolist() for k in bracket_plates.foot_checks(foot, case, tuple(f))]
                found = of_case(load, case, bracket_plates.bracket_plate_checks(foot, load.kind, load.forces_n[..., i, :]))
                same(uses(found), uses(in_service(brute, case)))


def test_leg_bolts_against_every_bolt_in_all_ways(many_ways: list[Prepared]) -> None:
    from layout.checks.groups import BoltGroup, bolt_tensions

    for one in many_ways:
        leg = one.leg
        points = np.array(leg.group.points_mm)
        many = leg.on_bar
        bars = points.reshape(-1, many, 2).mean(axis=1)
        mounts = leg.arms_mm[:, 0] + points[:, 0].mean()
        nearest = [int(np.argmin(abs(bars[:, 0] - m))) for m in mounts]
        for load, c, case in each(one.loads):
            brute: list[Check] = []
            for forces in load.forces_n[c]:
                force, moment = forces.sum(axis=0), sum(np.cross(a, f) for a, f in zip(leg.arms_mm, forces, strict=True))
                shears = np.abs(bolt_shears(leg.group, force, moment))
                for b in set(nearest) if len(bars) > 1 else ():  # each mount on the bolts of its nearest bar alone
                    of_bar = [m for m in range(len(mounts)) if nearest[m] == b]
                    off = np.array([*(bars[b] - points.mean(axis=0)), 0.0])
                    turned = forces @ leg.turn.T
                    turning = sum(np.cross(leg.arms_mm[m] - off, turned[m]) for m in of_bar)
                    alone = BoltGroup(leg.group.points_mm[many * b : many * (b + 1)], leg.group.edges_mm)
                    own = np.abs(bolt_shears(alone, turned[of_bar].sum(axis=0), turning))
                    mine = slice(many * b, many * (b + 1))
                    shears[mine] = np.maximum(shears[mine], own)
                pulls = bolt_tensions(leg.group, np.array([0.0, 0.0, -force[2]]), -np.asarray(moment))
                for k, ((a, n), pull) in enumerate(zip(shears.tolist(), pulls.tolist(), strict=True)):
                    brute += leg_bolts.joint_checks(leg, k, case, abs(a), abs(n), pull * float(leg.prying[k]))
                    brute += leg_bolts._plate_checks(leg, k, case.name, pull)
            few = of_case(load, case, leg_bolts.leg_bolt_checks(leg, load.kind, load.forces_n))
            same(uses(few, drop_number=True), uses(in_service(brute, case), drop_number=True))


def test_bars_against_all_ways_one_by_one(many_ways: list[Prepared]) -> None:
    for one in many_ways:
        for load, c, case in each(one.loads):
            force, moment = leg_bolts.group_load(one.leg, load.forces_n[c])
            for bar in one.bars:
                brute: list[Check] = []
                all_pulls = mounting_bars.outward(one.leg.group.offsets_mm, force, moment)[:, bar.rows] @ bar.at_height
                for f, m, pulls in zip(force, moment, all_pulls.tolist(), strict=True):
                    total = bolt_shears(one.leg.group, f, m)[bar.rows].sum(axis=0)
                    up = float(total @ bar.upward)
                    in_plane = (float(np.linalg.norm(total - up * bar.upward)), up)
                    places = tuple(zip(bar.heights_mm.tolist(), pulls, strict=True))
                    brute += mounting_bar_checks(
                        bar.part, case.name, bar.bar, places, 0.0, bar.bar.span_mm / 2.0, in_plane, into_sheets=False
                    )  # fmt: skip
                found = of_case(load, case, mounting_bars.bar_checks(one.leg, bar, load.kind, load.forces_n))
                same(uses(found), uses(in_service(brute, case)))


def test_the_weakest_of_all_is_the_greatest_of_the_list(many_ways: list[Prepared]) -> None:
    for one in many_ways:
        for load in one.loads:
            checks = leg_bolts.leg_bolt_checks(one.leg, load.kind, load.forces_n)
            least = worst(checks, load.cases)
            assert least is not None
            assert least.utilisation == max(c.utilisation for c in settled(checks, load.cases) if c.utilisation is not None)


def test_inputs_of_a_kept_check_give_its_demand_and_capacity(many_ways: list[Prepared]) -> None:
    """Every figure printed with a check is that of the load that was kept: put back into the formula it gives the check."""
    one = many_ways[0]
    for load in one.loads:
        checks: list[Check] = []
        for i, (joint, foot) in enumerate(zip(one.joints, one.feet, strict=True)):
            checks += mount_bolts.mount_bolt_checks(joint, load.kind, load.forces_n[..., i, :])
            checks += bracket_plates.bracket_plate_checks(foot, load.kind, load.forces_n[..., i, :])
        checks += leg_bolts.leg_bolt_checks(one.leg, load.kind, load.forces_n)
        for check in (c for c in settled(checks, load.cases) if c.capacity is not None):
            symbols = {q.symbol: (q.unit, q.meaning) for q in check.inputs}
            rule = Rule("again", check.demand_formula, check.capacity_formula, "N", Source("", "derived"), symbols)
            again = rule.check("", "", **{q.symbol: q.value for q in check.inputs})
            assert again.demand == pytest.approx(check.demand, rel=1e-9)
            assert again.capacity == pytest.approx(check.capacity, rel=1e-9)


PULL = Rule("pull", "F", "R", "N", Source("", "derived"), {"F": ("N", "force"), "R": ("N", "resistance")})
CASES = tuple(LoadCase(name, (0.0, 0.0, 0.0), "crash", 0.0, Source("", "derived")) for name in "ab")


def test_a_force_that_is_not_a_number_never_passes() -> None:
    a, b = settled([PULL.check("P", "", F=np.array([[1.0, math.nan], [1.0, 2.0]]), R=4.0)], CASES)
    assert not a.holds
    assert math.isnan(a.demand)
    assert (b.holds, b.demand) == (True, 2.0)


def test_a_check_is_made_only_where_it_was_asked_for() -> None:
    many = PULL.check("P", "", F=np.array([[5.0, 1.0], [3.0, 2.0]]), R=4.0)
    found = settled(made_where(np.array([[False, True], [False, False]]), [many]), CASES)
    assert [(c.case, c.demand) for c in found] == [("a", 1.0)]
    assert made_where(np.zeros((2, 2), dtype=bool), [many]) == []


def test_no_capacity_and_none_known_come_first() -> None:
    weak = PULL.check("P", "", F=np.array([[0.0, 1.0], [3.0, 2.0]]), R=np.array([[0.0, 0.0], [2.0, 0.0]]))
    a, b = settled([weak], CASES)
    assert [one.utilisation for one in (a, b)] == [math.inf, math.inf]
    assert not a.holds
    demand: Any = np.array([[1.0, 7.0], [3.0, 2.0]])
    unknown = settled([not_checked("pull", "Q", "", "no figure", demand=demand)], CASES)
    assert [(c.demand, c.utilisation) for c in unknown] == [(7.0, None), (3.0, None)]


def test_parts_alike_count_as_one_and_the_worst_names_itself() -> None:
    which = np.broadcast_to(np.arange(2), (2, 2))
    first = named_by(PULL.check("", "", F=np.array([[1.0, 2.0], [9.0, 1.0]]), R=4.0), ("B-L1", "B-L2"), which, "B-L")
    other = named_by(PULL.check("", "", F=np.array([[3.0, 1.0], [1.0, 1.0]]), R=4.0), ("B-L3", "B-L4"), which, "B-L")
    assert [(c.part, c.case) for c in settled([first, other], CASES)] == [("B-L3", "a"), ("B-L1", "b")]


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
    force, moment = leg_bolts.group_load(one.leg, one.loads[0].forces_n[0])
    pulls = mounting_bars.outward(one.leg.group.offsets_mm, force, moment)
    u, v = one.leg.group.offsets_mm.T
    assert pulls.sum(axis=1) == pytest.approx(-force[:, 2])
    assert pulls @ v == pytest.approx(-moment[:, 0])
    assert pulls @ u == pytest.approx(moment[:, 1])


def test_worst_of_keeps_the_highest(many_ways: list[Prepared]) -> None:
    one = many_ways[0]
    case = one.loads[0].cases[0]
    found = [
        c for a, n, w in one.loads[0].forces_n[0, :, 0].tolist()
        for c in mount_bolts.joint_checks(one.joints[0], case, abs(a), abs(w), max(n, 0.0))
    ]  # fmt: skip
    assert uses(worst_of(found)) == uses(found)


def test_what_a_reader_must_know_of_the_mounts_reaches_the_study(front_study: Study) -> None:
    from dataclasses import replace

    from layout.study.forces import loading_of
    from layout.study.sizing import modules_extent

    ahead = tuple(replace(m, at_mm=(m.at_mm[0] + 2000.0, *m.at_mm[1:])) for m in front_study.mounts)
    one = front_study
    notes = loading_of(one.job, ahead, one.pack, modules_extent(one.arrangement), one.arrangement.frame).notes
    assert any("ahead of the pack's centroid" in note for note in notes)
