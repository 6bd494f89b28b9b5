"""Ways of sharing: each balances the case, the envelope holds what it must, cautions and notes are given."""

from __future__ import annotations

import numpy as np
import pytest

from layout.checks.rule import Source
from layout.frames import Extent
from layout.loads.cases import LoadCase, accelerations
from layout.loads.envelope import EQUAL, RIGID, envelope_forces
from layout.loads.mounts import Mount, isotropic
from layout.loads.sharing_cautions import sharing_cautions
from layout.loads.slack import slack_forces
from layout.loads.soft_tray import BOUND
from layout.loads.statics_bound import greatest_shares
from layout.loads.tray import TRAYS, tray_share
from layout.loads.trouble import LoadsError, Mechanism

SIX = [(x, y, 10.0) for x in (-300.0, 0.0, 300.0) for y in (-200.0, 200.0)]
FOUR = [SIX[0], SIX[1], SIX[4], SIX[5]]
OWN = Source("test", "derived")
CASES = tuple(
    LoadCase(name, a, "crash", 1.0, OWN)
    for name, a in (
        ("forward", (-20.0, 0.0, 0.0)),
        ("left", (0.0, -15.0, 0.0)),
        ("up", (0.0, 0.0, -10.0)),
        ("mixed", (3.0, 5.0, -7.0)),
    )
)
CENTROID = (15.0, -8.0, 160.0)


def mounts_at(places, stiffness=(1e4,), one_way=None):
    return [Mount(f"m{i}", p, isotropic(stiffness[i % len(stiffness)]), one_way) for i, p in enumerate(places)]


@pytest.mark.parametrize("places", [SIX, FOUR, [*FOUR, (0.0, 200.0, 30.0)]], ids=["six", "four", "five"])
def test_every_way_balances_force_and_moment(places):
    found = envelope_forces(mounts_at(places, (1e4, 3e4)), 80.0, CENTROID, CASES, soft_tray=True)
    assert {RIGID, EQUAL} < set(found.ways)
    assert {t.name for t in TRAYS if t.ends is None} < set(found.ways)
    for way, forces in zip(found.ways, found.forces_n, strict=True):
        if way.startswith(BOUND):
            continue
        for case, rows in zip(CASES, forces, strict=True):
            load = np.array(case.force_n(80.0))
            assert np.abs(rows.sum(axis=0) - load).max() < 1e-6 * np.linalg.norm(load), way
            moment = np.cross(np.array(places) - np.array(CENTROID), rows).sum(axis=0)
            assert np.abs(moment).max() < 1e-6 * np.linalg.norm(load) * 400.0, way


def test_four_mounts_on_a_stiff_tray_are_a_rigid_body_and_six_are_not():
    assert envelope_forces(mounts_at(FOUR), 80.0, CENTROID, CASES).ways == (RIGID,)
    assert envelope_forces(mounts_at(FOUR), 80.0, CENTROID, CASES, one_slack=True).ways == (
        RIGID,
        *(f"m{i} slack" for i in range(4)),
    )
    five = envelope_forces(mounts_at([*FOUR, (0.0, 200.0, 10.0)]), 80.0, CENTROID, CASES)
    assert {"continuous beam along x", "m4 slack"} < set(five.ways)
    six = envelope_forces(mounts_at(SIX), 80.0, CENTROID, CASES)
    assert "continuous beam along x" in six.ways
    assert "m3 slack" in six.ways
    assert envelope_forces(mounts_at(SIX), 80.0, CENTROID, CASES, one_slack=False).ways.count("m3 slack") == 0


def test_slack_mount_carries_nothing_and_the_others_what_solve_mounts_says():
    found = envelope_forces(mounts_at(SIX, (1e4, 2e4)), 80.0, CENTROID, CASES)
    rows = found.forces_n[found.ways.index("m2 slack")]
    assert np.all(rows[:, 2] == 0.0)
    left = [m for m in mounts_at(SIX, (1e4, 2e4)) if m.name != "m2"]
    alone = envelope_forces(left, 80.0, CENTROID, CASES, one_slack=False)
    assert np.allclose(np.delete(rows, 2, axis=1), alone.forces_n[0], rtol=1e-9, atol=1e-6)


def test_middle_mount_of_six_gets_the_share_of_a_continuous_beam():
    found = envelope_forces(mounts_at(SIX), 80.0, (0.0, 0.0, 10.0), CASES[2:3], statics_bound=False)
    load = CASES[2].force_n(80.0)[2]
    way, force = found.worst("m2", "up")
    assert force[2] / load == pytest.approx(0.3125, rel=0.005)
    assert dict(found.vectors("m2", "up"))[RIGID][2] / load == pytest.approx(1 / 6)
    assert "beam" in way or "rails" in way


def test_mounts_without_a_spare_are_noted_not_passed():
    found = envelope_forces(mounts_at(FOUR[:3]), 80.0, CENTROID, CASES, one_slack=True)
    assert found.ways == (RIGID,)
    assert len(found.notes) == 3
    assert all("no other mount stands in" in note and "rotation" in note for note in found.notes)


def test_mechanism_of_the_mounts_themselves_is_raised():
    with pytest.raises(Mechanism):
        envelope_forces(mounts_at(FOUR[:2]), 80.0, CENTROID, CASES)


@pytest.mark.parametrize("places", [SIX, [*FOUR, (-100.0, -200.0, 10.0), (200.0, 200.0, 10.0), (50.0, 200.0, 10.0)]])
def test_more_than_four_mounts_get_the_bound_by_statics_unless_it_is_refused(places):
    found = envelope_forces(mounts_at(places), 80.0, (0.0, 0.0, 10.0), CASES)
    assert f"{BOUND}, most pressed" in found.ways
    load = abs(CASES[2].force_n(80.0)[2])
    for i in range(len(places)):
        named = dict(found.vectors(f"m{i}", "up"))
        bound = named.pop(f"{BOUND}, most pressed")[2]
        assert bound >= max(f[2] for w, f in named.items() if w == RIGID) - 1e-6
        assert bound <= load
    assert f"{BOUND}, most relieved" in found.ways
    assert found.notes == ()
    refused = envelope_forces(mounts_at(places), 80.0, CENTROID, CASES, statics_bound=False)
    assert not any(w.startswith(BOUND) for w in refused.ways)
    assert any("bound by statics" in note for note in refused.notes)


def test_four_mounts_under_a_stiff_tray_need_no_bound():
    assert not any(w.startswith(BOUND) for w in envelope_forces(mounts_at(FOUR), 80.0, CENTROID, CASES).ways)


def test_greatest_shares_by_statics():
    square = np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]]) * 300.0
    assert greatest_shares(square, np.zeros(2)) == pytest.approx([0.5] * 4)
    assert greatest_shares(square, np.array([900.0, 0.0])) is None
    triangle = square[:3]
    assert greatest_shares(triangle, triangle.mean(axis=0)) == pytest.approx([1 / 3] * 3)


@pytest.mark.parametrize("tray", TRAYS, ids=lambda t: t.name)
def test_tray_share_keeps_force_and_moments(tray):
    plan = np.array([p[:2] for p in SIX]) + np.array([40.0, -25.0])
    share = tray_share(plan, np.array([-280.0, -240.0]), np.array([350.0, 150.0]), tray)
    assert share.sum(axis=0) == pytest.approx([1.0, 0.0, 0.0], abs=1e-6)
    assert plan[:, 0] @ share == pytest.approx([0.0, 1.0, 0.0], abs=1e-5)
    assert plan[:, 1] @ share == pytest.approx([0.0, 0.0, 1.0], abs=1e-5)


def test_three_supports_are_statics_whatever_the_tray():
    plan = np.array([[-300.0, -200.0], [300.0, -150.0], [50.0, 200.0]])
    low, high = np.array([-300.0, -200.0]), np.array([300.0, 200.0])
    exact = np.linalg.solve(np.vstack([np.ones(3), plan.T]), np.array([1.0, 0.0, 0.0]))
    for tray in TRAYS:
        if tray.ends is None:
            assert tray_share(plan, low, high, tray)[:, 0] == pytest.approx(exact, abs=1e-5), tray.name


def test_mounts_on_one_line_in_plan_hold_no_tray():
    plan = np.array([[-300.0, 0.0], [0.0, 0.0], [300.0, 0.0]])
    assert tray_share(plan, np.array([-300.0, -100.0]), np.array([300.0, 100.0]), TRAYS[0]) is None


def test_loaded_area_counts():
    inner = Extent((-100.0, -100.0, 0.0), (100.0, 100.0, 300.0))
    where = (mounts_at(SIX), 80.0, (0.0, 0.0, 10.0), CASES[2:3])
    wide = envelope_forces(*where, statics_bound=False)
    narrow = envelope_forces(*where, extent=inner, statics_bound=False)
    assert narrow.worst("m2", "up")[1][2] > 1.1 * wide.worst("m2", "up")[1][2]


def test_pads_in_the_envelope_never_pull():
    side = ((1e4, 0.0, 0.0), (0.0, 1e4, 0.0), (0.0, 0.0, 0.0))
    found = mounts_at(SIX, one_way=(0.0, 0.0, -1.0))
    found += [Mount("pin", (0.0, 0.0, 10.0), side), Mount("slot", (100.0, 0.0, 10.0), side)]
    bump = (LoadCase("bump", (0.3, 0.4, 3.0), "road", 3.0, OWN),)
    answer = envelope_forces(found, 80.0, CENTROID, bump)
    assert len(answer.ways) > 8
    pressed = answer.forces_n[:, 0, :6, 2]
    assert np.nanmax(pressed) <= 1e-9
    assert np.nansum(pressed, axis=1) == pytest.approx(-80 * 9.80665 * 4.0)


def test_vectorised_slack_equals_one_by_one():
    rng = np.random.default_rng(2)
    at = np.array(SIX) + rng.normal(size=(5, 6, 3)) * 30.0
    k = np.array([np.diag(10.0 ** rng.uniform(3.5, 5, 3)) for _ in range(30)]).reshape(5, 6, 3, 3)
    forces, held = slack_forces(at, k, np.full(5, 70.0), np.tile(CENTROID, (5, 1)), np.tile(accelerations(CASES), (5, 1, 1)))
    assert held.all()
    assert forces.shape == (5, 6, 4, 6, 3)
    for v in range(5):
        found = [Mount(f"m{i}", tuple(p), tuple(map(tuple, kn))) for i, (p, kn) in enumerate(zip(at[v], k[v], strict=True))]
        one = envelope_forces(found, 70.0, CENTROID, CASES)
        assert np.allclose(one.forces_n[one.ways.index("m4 slack")], forces[v, 4], rtol=1e-9, atol=1e-6)


def test_mounts_all_on_one_side_are_cautioned():
    assert sharing_cautions(mounts_at(SIX), 80.0, CENTROID) == ()
    (text,) = sharing_cautions(mounts_at(SIX), 80.0, (400.0, 0.0, 100.0))
    assert "behind" in text
    assert any("three mounts" in t for t in sharing_cautions(mounts_at(SIX[:3]), 80.0, (0.0, 0.0, 100.0)))


def test_mounts_that_hardly_hold_are_cautioned():
    line = [(-300.0, 0.0, 0.0), (0.0, 0.5, 0.0), (300.0, 0.0, 0.0)]
    assert any(
        "hardly hold against rotation about the axis along x" in t
        for t in sharing_cautions(mounts_at(line), 80.0, (0.0, 0.0, 1.0))
    )


def test_cases_of_one_name_are_refused():
    with pytest.raises(LoadsError, match="twice"):
        envelope_forces(mounts_at(FOUR), 80.0, CENTROID, CASES + CASES[:1])
