import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.checks.groups import BoltGroup, WeldLines, bolt_shears, bolt_tensions, moved, weld_forces
from layout.errors import DesignError

FORCES = st.tuples(*[st.floats(-1e4, 1e4)] * 3)
MOMENTS = st.tuples(*[st.floats(-1e6, 1e6)] * 3)
FOUR = BoltGroup(((-40.0, -30.0), (40.0, -30.0), (40.0, 30.0), (-40.0, 30.0)), (-60.0, 60.0, -50.0, 50.0))
UNEVEN = BoltGroup(((0.0, 0.0), (50.0, 10.0), (20.0, 70.0)), (-15.0, 70.0, -15.0, 90.0))


@given(FORCES, MOMENTS)
def test_shears_are_in_equilibrium(force, moment):
    for group in (FOUR, UNEVEN):
        shears = bolt_shears(group, force, moment)
        np.testing.assert_allclose(shears.sum(axis=0), force[:2], atol=1e-6)
        r = group.offsets_mm
        assert float((r[:, 0] * shears[:, 1] - r[:, 1] * shears[:, 0]).sum()) == pytest.approx(moment[2], abs=1e-4)


@given(MOMENTS)
def test_tensions_hold_both_rules(moment):
    """Never below what either rule gives alone; the centroid rule is in equilibrium, the tilting rule about its edge."""
    for group in (FOUR, UNEVEN):
        tension = bolt_tensions(group, [0.0, 0.0, 0.0], moment)
        assert (tension >= 0.0).all()
        up = np.asarray(group.points_mm)[:, 1] - group.edges_mm[2]
        if moment[0] > 0.0:
            alone = bolt_tensions(group, [0.0, 0.0, 0.0], [moment[0], 0.0, 0.0])
            assert float((alone * up).sum()) >= moment[0] * (1.0 - 1e-9) - 1e-12
        r = group.offsets_mm
        inertia = r.T @ r
        central = np.array([-moment[1], moment[0]]) @ np.linalg.inv(inertia) @ r.T
        assert (tension >= central - 1e-6).all()


def test_four_bolts_by_hand():
    tension = bolt_tensions(FOUR, [0.0, 0.0, 4000.0], [3.6e5, 0.0, 0.0])
    central, tilting = 1000 + 3.6e5 * 30 / (4 * 900), 1000 + 3.6e5 * 80 / (2 * 80**2 + 2 * 20**2)
    assert tension.max() == pytest.approx(max(central, tilting))
    assert tension.min() == pytest.approx(1000 + 3.6e5 * 20 / (2 * 80**2 + 2 * 20**2))


def test_pressure_gives_no_relief():
    with_pressure = bolt_tensions(FOUR, [0.0, 0.0, -5e4], [3.6e5, 0.0, 0.0])
    np.testing.assert_allclose(with_pressure, bolt_tensions(FOUR, [0.0, 0.0, 0.0], [3.6e5, 0.0, 0.0]))


def test_one_bolt_and_a_line_of_bolts():
    one = BoltGroup(((0.0, 0.0),), (-20.0, 20.0, -20.0, 20.0))
    assert np.isinf(bolt_shears(one, [0.0, 0.0, 0.0], [0.0, 0.0, 1.0])).any()
    assert bolt_tensions(one, [0.0, 0.0, 0.0], [2000.0, 0.0, 0.0])[0] == pytest.approx(100.0)
    line = BoltGroup(((-30.0, 0.0), (30.0, 0.0)), (-50.0, 50.0, -25.0, 25.0))
    assert bolt_tensions(line, [0.0, 0.0, 0.0], [5000.0, 0.0, 0.0]) == pytest.approx([100.0, 100.0])


def test_many_cases_at_once_agree_with_one_by_one():
    rng = np.random.default_rng(3)
    force, moment = rng.normal(size=(5, 7, 3)) * 1e4, rng.normal(size=(5, 7, 3)) * 1e6
    shears, tensions = bolt_shears(UNEVEN, force, moment), bolt_tensions(UNEVEN, force, moment)
    assert shears.shape == (5, 7, 3, 2)
    assert tensions.shape == (5, 7, 3)
    np.testing.assert_allclose(shears[2, 4], bolt_shears(UNEVEN, force[2, 4], moment[2, 4]))
    np.testing.assert_allclose(tensions[2, 4], bolt_tensions(UNEVEN, force[2, 4], moment[2, 4]))


def test_groups_that_cannot_be_are_refused():
    with pytest.raises(DesignError, match="no bolt"):
        BoltGroup((), (0.0, 1.0, 0.0, 1.0))
    with pytest.raises(DesignError, match="outside the plate"):
        BoltGroup(((0.0, 0.0),), (0.0, 10.0, -5.0, 5.0))
    with pytest.raises(DesignError, match="no length"):
        WeldLines(((1.0, 2.0, 1.0, 2.0),))


def test_moment_moves_with_its_point():
    np.testing.assert_allclose(moved([0.0, 0.0, 10.0], [1.0, 2.0, 3.0], (5.0, 0.0, 0.0), (0.0, 0.0, 0.0)), [1.0, -48.0, 3.0])


@settings(max_examples=40)
@given(FORCES, MOMENTS)
def test_weld_lines_are_in_equilibrium(force, moment):
    """Simpson's rule over each line (force per mm is linear along it) returns the force and the moment."""
    lines = WeldLines(((0.0, 0.0, 60.0, 0.0), (60.0, 0.0, 60.0, 40.0), (0.0, 40.0, 30.0, 40.0)))
    q = weld_forces(lines, force, moment)
    s = np.asarray(lines.segments_mm).reshape(-1, 2, 2)
    along = (s[:, 1] - s[:, 0]) / lines.lengths_mm[:, None]
    across = np.stack([-along[:, 1], along[:, 0]], axis=-1)
    vector = np.concatenate([q[..., :1] * along[:, None] + q[..., 1:2] * across[:, None], q[..., 2:]], axis=-1)
    points = np.concatenate([s - lines.centroid_mm, np.zeros((3, 2, 1))], axis=-1)
    total, turning = np.zeros(3), np.zeros(3)
    for n, length in enumerate(lines.lengths_mm):
        for weight, x in ((1 / 6, 0.0), (4 / 6, 0.5), (1 / 6, 1.0)):
            f = vector[n, 0] * (1 - x) + vector[n, 1] * x
            p = points[n, 0] * (1 - x) + points[n, 1] * x
            total += weight * length * f
            turning += weight * length * np.cross(p, f)
    np.testing.assert_allclose(total, force, atol=1e-6 + 1e-9 * max(map(abs, moment)))
    np.testing.assert_allclose(turning, moment, atol=1e-3)


def test_one_straight_weld_cannot_carry_a_moment_about_itself():
    line = WeldLines(((0.0, 0.0, 50.0, 0.0),))
    assert np.isinf(weld_forces(line, [0.0, 0.0, 0.0], [1000.0, 0.0, 0.0])[..., 2]).all()
    q = weld_forces(line, [0.0, 0.0, 0.0], [0.0, 1000.0, 0.0])[..., 2]
    assert np.abs(q).max() == pytest.approx(1000.0 * 6 / 50**2)
    assert math.isfinite(float(weld_forces(line, [0.0, 0.0, 0.0], [0.0, 0.0, 1000.0]).max()))
