"""Sharing among mounts: balance, mechanisms, bad input, one-way contact."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import minimize

from layout.errors import DesignError
from layout.loads import body
from layout.loads.mounts import Mount, isotropic, mount_forces, solve_mounts
from layout.loads.trouble import LoadsError, Mechanism

CORNERS = [(-300.0, -200.0, 0.0), (300.0, -200.0, 0.0), (300.0, 200.0, 0.0), (-300.0, 200.0, 0.0)]
VERTICAL = ((0.0, 0.0, 0.0), (0.0, 0.0, 0.0), (0.0, 0.0, 1e4))
LATERAL = ((1e4, 0.0, 0.0), (0.0, 1e4, 0.0), (0.0, 0.0, 0.0))


EVEN = isotropic(1e4)


def mounts_at(places, stiffness=EVEN, one_way=None):
    return [Mount(f"m{i}", tuple(map(float, p)), stiffness, one_way) for i, p in enumerate(places)]


coordinate = st.floats(-900.0, 900.0)
place = st.tuples(coordinate, coordinate, st.floats(0.0, 900.0))
acceleration = st.tuples(*[st.floats(-60.0, 60.0)] * 3)


@st.composite
def stiff(draw):
    turn = np.linalg.qr(np.array(draw(st.lists(st.floats(-1.0, 1.0), min_size=9, max_size=9))).reshape(3, 3) + np.eye(3))[0]
    k = turn @ np.diag([10.0 ** draw(st.floats(2.5, 5.5)) for _ in range(3)]) @ turn.T
    k = (k + k.T) / 2.0
    return tuple(tuple(float(v) for v in row) for row in k)


@settings(max_examples=60, deadline=None)
@given(st.lists(place, min_size=3, max_size=8, unique=True), st.data(), acceleration, place)
def test_forces_and_moments_balance(places, data, a, centroid):
    found = [Mount(f"m{i}", p, data.draw(stiff())) for i, p in enumerate(places)]
    try:
        reactions = solve_mounts(found, 83.0, centroid, a)
    except LoadsError:
        return  # a mechanism or nearly one: refused, never answered
    load = 83.0 * 9.80665 * (np.array([0.0, 0.0, -1.0]) - np.array(a))
    forces = np.array([r.force_n for r in reactions])
    scale = max(np.abs(forces).max(), np.linalg.norm(load))
    assert np.abs(forces.sum(axis=0) - load).max() <= 1e-9 * scale
    arms = np.array(places) - np.array(centroid)
    assert np.abs(np.cross(arms, forces).sum(axis=0)).max() <= 3e-9 * scale * np.abs(arms).max()


def test_frontal_crash_throws_the_pack_forward_and_presses_the_front_mounts_down():
    forces = {r.name: r.force_n for r in solve_mounts(mounts_at(CORNERS), 80.0, (0.0, 0.0, 150.0), (-20.0, 0.0, 0.0))}
    assert all(f[0] > 0.0 for f in forces.values())
    assert forces["m1"][2] < 0.0 < forces["m0"][2]
    assert forces["m1"][2] == pytest.approx(80 * 9.80665 * (-0.25 - 20 * 150 / (4 * 300)))


def test_turning_the_whole_scene_turns_the_forces():
    turn = np.linalg.qr(np.array([[1.0, 2.0, 3.0], [0.5, -1.0, 2.0], [2.0, 0.3, -1.0]]))[0]
    turn = turn * np.sign(np.linalg.det(turn))
    rng = np.random.default_rng(3)
    places, k = rng.normal(size=(5, 3)) * 300.0, np.diag([1e4, 3e4, 8e3])
    plain = body.share(places, np.array([k] * 5), 50.0, np.zeros(3), np.array([[1.0, 2.0, 3.0]]))
    down = np.array([0.0, 0.0, -1.0])
    other = -(turn @ (down - np.array([1.0, 2.0, 3.0])) - down)
    turned = body.share(places @ turn.T, np.array([turn @ k @ turn.T] * 5), 50.0, np.zeros(3), other[None, :])
    assert np.allclose(turned[0], plain[0] @ turn.T, rtol=1e-9, atol=1e-6)


def test_batch_of_variants_equals_one_by_one():
    rng = np.random.default_rng(5)
    at = rng.normal(size=(40, 6, 3)) * 300.0
    k = np.array([np.diag(10.0 ** rng.uniform(3, 5, 3)) for _ in range(240)]).reshape(40, 6, 3, 3)
    mass, centroid, a = rng.uniform(40, 200, 40), rng.normal(size=(40, 3)) * 50.0, rng.normal(size=(40, 7, 3)) * 20.0
    many = body.share(at, k, mass, centroid, a)
    for i in range(40):
        found = [Mount(str(n), tuple(p), tuple(map(tuple, kn))) for n, (p, kn) in enumerate(zip(at[i], k[i], strict=True))]
        one = mount_forces(found, float(mass[i]), tuple(centroid[i]), a[i])
        assert np.allclose(one, many[i], rtol=1e-9, atol=1e-6)


def test_determinate_support_does_not_depend_on_stiffness():
    places = [(0, 0, 0), (600, 0, 0), (200, 400, 0)]
    soft = solve_mounts(
        [Mount(f"m{i}", p, isotropic(10.0**i * 500)) for i, p in enumerate(places)], 10.0, (250, 120, 0), (0, 0, 5)
    )
    even = solve_mounts(mounts_at(places), 10.0, (250, 120, 0), (0, 0, 5))
    assert [r.force_n[2] for r in soft] == pytest.approx([r.force_n[2] for r in even], rel=1e-9)


def test_free_fall_loads_nothing():
    assert all(r.force_n == pytest.approx((0, 0, 0)) for r in solve_mounts(mounts_at(CORNERS), 80.0, (0, 0, 100), (0, 0, -1)))


MECHANISMS = {
    "one mount": (CORNERS[:1], isotropic(1e4), ["rotation about the axis along x", "along y", "along z"], "at least three"),
    "two mounts": (CORNERS[:2], isotropic(1e4), ["rotation about the axis along x through (0, -200, 0)"], "at least three"),
    "one line": ([*CORNERS[:2], (50, -200, 0)], isotropic(1e4), ["along x through (0, -200, 0)"], "one line"),
    "upright only": (
        CORNERS,
        VERTICAL,
        ["translation along x", "translation along y", "rotation about the axis along z"],
        "stiffness",
    ),
    "lateral only": (CORNERS, LATERAL, ["translation along z", "rotation about the axis along x", "along y"], "stiffness"),
    "skew line": ([(0, 0, 0), (100, 100, 0), (300, 300, 0)], isotropic(1e4), ["(0.707, 0.707, 0.000)"], "one line"),
}


@pytest.mark.parametrize("name", MECHANISMS)
def test_mechanisms_are_refused_and_the_free_motion_is_named(name):
    places, stiffness, motions, remedy = MECHANISMS[name]
    with pytest.raises(Mechanism) as caught:
        solve_mounts(mounts_at(places, stiffness), 80.0, (0.0, 0.0, 150.0), (-20.0, 0.0, 0.0))
    text = "; ".join(caught.value.motions)
    assert all(motion in text for motion in motions), text
    assert remedy in str(caught.value)
    assert isinstance(caught.value, DesignError)


def test_mechanism_is_refused_even_where_the_load_does_not_drive_it():
    with pytest.raises(Mechanism):
        solve_mounts(mounts_at(CORNERS, VERTICAL), 80.0, (0.0, 0.0, 0.0), (0.0, 0.0, 0.0))


NAN = float("nan")
BAD = {
    "no mounts": ([], "0 given"),
    "zero stiffness": ([*mounts_at(CORNERS[:3]), Mount("soft", CORNERS[3], isotropic(0.0))], "above 0 N/mm"),
    "negative": ([*mounts_at(CORNERS[:3]), Mount("x", CORNERS[3], isotropic(-1e4))], "below 0"),
    "infinite": ([*mounts_at(CORNERS[:3]), Mount("x", CORNERS[3], isotropic(float("inf")))], "finite"),
    "unknown place": ([*mounts_at(CORNERS[:3]), Mount("x", (NAN, 0, 0), isotropic(1e4))], "finite"),
    "not symmetric": (
        [*mounts_at(CORNERS[:3]), Mount("x", CORNERS[3], ((1e4, 9.0, 0), (0, 1e4, 0), (0, 0, 1e4)))],
        "symmetric",
    ),
    "named twice": (mounts_at(CORNERS) + mounts_at(CORNERS[:1]), "twice"),
    "push without stiffness": ([*mounts_at(CORNERS), Mount("pad", (0, 0, 0), LATERAL, (0.0, 0.0, -1.0))], "along its push"),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_mounts_are_refused_with_the_reason(name):
    found, words = BAD[name]
    with pytest.raises(LoadsError, match=words):
        solve_mounts(found, 80.0, (0.0, 0.0, 150.0), (0.0, 0.0, 0.0))


@pytest.mark.parametrize("mass", [0.0, -5.0, NAN])
def test_a_pack_without_mass_is_refused(mass):
    with pytest.raises(LoadsError, match="above 0 kg"):
        solve_mounts(mounts_at(CORNERS), mass, (0.0, 0.0, 150.0), (0.0, 0.0, 0.0))


def test_unbalanced_forces_are_never_returned():
    r = np.array(CORNERS)
    with pytest.raises(LoadsError, match="balance"):
        body.refuse_unbalanced(r, body.lever(r), np.ones((1, 4, 3)), np.array([[0.0, 0.0, -1.0]]))
    couple = np.array([[[0.0, 0.0, 1.0], [0.0, 0.0, -1.0], [0.0, 0.0, 0.0], [0.0, 0.0, 0.0]]])
    with pytest.raises(LoadsError, match="balance"):  # the forces sum to nothing, their moments do not
        body.refuse_unbalanced(r, body.lever(r), couple, np.zeros((1, 3)))


def held_sideways():
    """Two pins that hold along x and y but not along z."""
    return [
        Mount("pin", (0.0, 0.0, 0.0), LATERAL),
        Mount("slot", (100.0, 0.0, 0.0), ((0.0, 0.0, 0.0), (0.0, 1e4, 0.0), (0.0, 0.0, 0.0))),
    ]


def pads(places=CORNERS):
    return mounts_at(places, one_way=(0.0, 0.0, -1.0))


def test_pads_never_pull_and_the_far_ones_open():
    found = solve_mounts(pads() + held_sideways(), 80.0, (0.0, 0.0, 150.0), (-1.9, 0.0, 0.0))
    up = [r.force_n[2] for r in found[:4]]
    assert max(up) <= 0.0
    assert sum(up) == pytest.approx(-80 * 9.80665)
    assert up[1] == pytest.approx(-80 * 9.80665 * (0.5 + 1.9 * 150 / 600) / 2.0)


def test_pack_on_pads_alone_is_refused_when_it_lifts_or_tips():
    for a, motion in (((0, 0, -5), "translation along z"), ((-3, 0, 0), "rotation about the axis along y through (300, 0, 0)")):
        with pytest.raises(Mechanism, match="strap") as caught:
            solve_mounts(pads() + held_sideways(), 80.0, (0.0, 0.0, 150.0), a)
        assert motion in caught.value.motions[0]


def test_tilting_edge_rule_from_a_stiff_toe():
    """Four bolts and a toe that only presses: T_i = M L_i / sum L^2 about the toe (textbook rule, from memory)."""
    stiffness = 1e5
    bolts = [
        Mount(f"b{i}", (0.0, y, z), isotropic(stiffness))
        for i, (y, z) in enumerate([(-50, 75), (50, 75), (-50, 275), (50, 275)])
    ]
    toes = [Mount(f"t{i}", (0.0, y, 0.0), isotropic(stiffness * 1e6), (-1.0, 0.0, 0.0)) for i, y in enumerate((-50.0, 50.0))]
    weight = 12000.0
    found = {r.name: r.force_n for r in solve_mounts(bolts + toes, weight / 9.80665, (400.0, 0.0, 0.0), (0.0, 0.0, 0.0))}
    moment, squares = weight * 400.0, 2 * (75.0**2 + 275.0**2)
    assert found["b2"][0] == pytest.approx(moment * 275.0 / squares, rel=1e-3)
    assert found["b0"][0] == pytest.approx(moment * 75.0 / squares, rel=1e-3)
    assert found["b2"][0] == pytest.approx(8123.1, rel=1e-3)


@pytest.mark.parametrize("seed", range(12))
def test_contact_agrees_with_the_least_energy(seed):
    """Independent: the potential energy with push-only springs, minimised by a general optimiser."""
    rng = np.random.default_rng(seed)
    places = np.column_stack([rng.uniform(-300, 300, 5), rng.uniform(-200, 200, 5), np.zeros(5)])
    stiffness = 10.0 ** rng.uniform(3.5, 4.5, 5)
    weak = Mount("weak", (0.0, 0.0, 50.0), isotropic(2e3))
    more = [Mount("w2", (120.0, 0.0, 50.0), isotropic(2e3)), Mount("w3", (0.0, 90.0, 50.0), isotropic(2e3))]
    found = [
        Mount(f"p{i}", tuple(p), isotropic(k), (0.0, 0.0, -1.0)) for i, (p, k) in enumerate(zip(places, stiffness, strict=True))
    ]
    found += [weak, *more]
    a, centroid, mass = rng.normal(size=3) * np.array([4.0, 4.0, 2.0]), np.array([20.0, -10.0, 120.0]), 80.0
    ours = np.array([r.force_n for r in solve_mounts(found, mass, tuple(centroid), tuple(a))])
    load = mass * 9.80665 * (np.array([0.0, 0.0, -1.0]) - a)

    def energy(d):
        u, theta = d[:3], d[3:] / 100.0
        total = -load @ u
        for mount, k in zip(found, [*stiffness, 2e3, 2e3, 2e3], strict=True):
            moved = u + np.cross(theta, np.array(mount.at_mm) - centroid)
            total += 0.5 * k * (max(-moved[2], 0.0) ** 2 if mount.one_way else float(moved @ moved))
        return total

    best = minimize(energy, np.zeros(6), method="BFGS", options={"gtol": 1e-3, "maxiter": 2000}).x
    u, theta = best[:3], best[3:] / 100.0
    for i, k in enumerate(stiffness):
        moved = u + np.cross(theta, places[i] - centroid)
        assert ours[i, 2] == pytest.approx(-k * max(-moved[2], 0.0), abs=2e-3 * np.abs(ours).max())


def test_too_many_pads_without_solution_say_so():
    many = [(-300.0 + 40 * i, (-1) ** i * 200.0, 0.0) for i in range(14)]
    with pytest.raises(LoadsError):
        solve_mounts(pads(many) + held_sideways(), 80.0, (0.0, 0.0, 150.0), (0.0, 0.0, -5.0))
