"""Bricks, lines, joints and loads of the finite element model: what must hold for any mesh. Needs no solver."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.design import Hole, Plate, Profile, Weld, rectangle
from layout.errors import DesignError
from layout.fe.angle import bracket_mesh
from layout.fe.bricks import LATTICE, POINTS, jacobians, joined, shape_functions, shape_slopes, volumes_mm3
from layout.fe.carried import holds_moments, spread
from layout.fe.joints import distance_mm, on_face, welded_pairs
from layout.fe.lines import drawn_together, filled, split_to
from layout.fe.model import _refuse_loose
from layout.fe.plates import grid_of, plate_body
from layout.frames import Pose
from layout.study.study import Study

FLAT = Pose()
UPRIGHT = Pose((0.0, 0.0, 3.0), ((1.0, 0.0, 0.0), (0.0, 0.0, 1.0), (0.0, -1.0, 0.0)))  # own y up, metal towards -y


def plate(number: str, pose: Pose, width: float = 100.0, height: float = 60.0, holes: tuple[Hole, ...] = ()) -> Plate:
    return Plate(number, "plate", "S275", 3.0, Profile(rectangle(width, height), holes), pose)


def test_shape_functions_are_one_at_their_own_node() -> None:
    np.testing.assert_allclose(shape_functions(LATTICE - 1.0), np.eye(20), atol=1e-12)


@given(st.lists(st.floats(-1.0, 1.0), min_size=3, max_size=3))
def test_shape_functions_sum_to_one_and_slopes_fit(point: list[float]) -> None:
    at = np.array(point)
    assert shape_functions(at).sum() == pytest.approx(1.0)
    for k in range(3):
        step = np.zeros(3)
        step[k] = 1e-6
        want = (shape_functions(at + step) - shape_functions(at - step)) / 2e-6
        np.testing.assert_allclose(shape_slopes(at)[:, k], want, atol=1e-8)


def test_points_of_integration_run_first_coordinate_first() -> None:
    assert (POINTS[1] - POINTS[0])[0] > 1.0
    assert (POINTS[4] - POINTS[0])[2] > 1.0


@given(st.lists(st.floats(-500.0, 500.0), min_size=2, max_size=30, unique=True), st.floats(1.0, 40.0))
def test_lines_keep_off_each_other_and_fill_up(values: list[float], step: float) -> None:
    lines = drawn_together(values, 0.9)
    assert (np.diff(lines) >= 0.9).all()
    assert all(np.abs(lines - v).min() < 0.9 + 1e-9 for v in values)
    if len(lines) > 1:
        dense = filled(lines, step)
        assert np.diff(dense).max() <= step + 1e-6
        assert set(np.round(lines, 9)) <= set(np.round(dense, 9))
        assert len(split_to(lines, 40)) >= 41


def test_openings_are_cut_out_and_bolt_holes_are_not() -> None:
    holes = (Hole("H1", (20.0, 20.0), 9.0), Hole("H2", (60.0, 30.0), 36.0))
    one = plate("P1", FLAT, holes=holes)
    body = plate_body(one, grid_of((one,), (), 6.0), 1.0)
    volume = volumes_mm3(body.nodes_mm, body.elements).sum()
    assert volume == pytest.approx(3.0 * (6000.0 - np.pi * 18.0**2), rel=0.03)


def test_a_rim_round_a_cut_out_keeps_its_metal_on_a_coarse_mesh() -> None:
    rim = Plate("P1", "rim", "S275", 3.0, Profile(rectangle(100.0, 60.0), (), (rectangle(72.0, 32.0, (14.0, 14.0)),)), FLAT)
    body = plate_body(rim, grid_of((rim,), (), 90.0), 1.0)
    assert volumes_mm3(body.nodes_mm, body.elements).sum() == pytest.approx(3.0 * (6000.0 - 72.0 * 32.0), rel=1e-9)


def test_a_seam_joins_the_whole_thickness_of_a_sheet_that_stands_on_another() -> None:
    lying = plate("P1", FLAT)
    standing = plate("P2", Pose((0.0, 33.0, 3.0), UPRIGHT.axes))
    grid = grid_of((lying, standing), (), 20.0)
    bodies = tuple(plate_body(p, grid, 1.0) for p in (lying, standing))
    seam = Weld("W1", "fillet", 2.1, ((0.0, 33.0, 3.0), (100.0, 33.0, 3.0)), ("P2", "P1"))
    pairs = welded_pairs(bodies, seam)
    mesh = joined(bodies, pairs)
    both = np.intersect1d(mesh.nodes_of(0), mesh.nodes_of(1))
    points = mesh.nodes_mm[both]
    assert len(both) == len(pairs)
    assert set(np.round(points[:, 1], 6)) >= {30.0, 31.5, 33.0}
    assert np.allclose(points[:, 2], 3.0)
    half = Weld("W2", "fillet", 2.1, ((0.0, 33.0, 3.0), (50.0, 33.0, 3.0)), ("P2", "P1"))
    assert len(welded_pairs(bodies, half)) < len(pairs)
    elsewhere = Weld("W3", "fillet", 2.1, ((0.0, 33.0, 3.0), (50.0, 33.0, 3.0)), ("P2", "P9"))
    assert len(welded_pairs(bodies, elsewhere)) == 0


def test_a_face_carries_a_linear_field_exactly() -> None:
    one = plate("P1", FLAT)
    mesh = joined((plate_body(one, grid_of((one,), (), 23.0), 1.0),), np.zeros((0, 2), dtype=np.int64))
    for point in ((37.3, 11.1, 3.0), (99.0, 59.0, 0.0)):
        nodes, weights = on_face(mesh, 0, np.array(point), 2)
        np.testing.assert_allclose(weights @ mesh.nodes_mm[nodes], point, atol=1e-9)


@given(st.integers(0, 2**31 - 1), st.integers(4, 30))
def test_spread_forces_make_the_force_and_its_moment(seed: int, count: int) -> None:
    random = np.random.default_rng(seed)
    points, centre = random.uniform(-200.0, 200.0, (count, 3)), random.uniform(-300.0, 300.0, 3)
    points[:, 2] *= random.integers(0, 2)  # flat patterns too
    shares = spread(points, random.uniform(0.5, 2.0, count), centre)
    force = random.uniform(-1.0, 1.0, 3)
    each = shares @ force
    assert holds_moments(points)
    np.testing.assert_allclose(each.sum(axis=0), force, atol=1e-9)
    np.testing.assert_allclose(np.cross(points, each).sum(axis=0), np.cross(centre, force), atol=1e-6)


def test_points_on_a_line_do_not_hold_all_moments() -> None:
    assert not holds_moments(np.array([(0.0, 0.0, 0.0), (1.0, 1.0, 0.0), (2.0, 2.0, 0.0), (3.0, 3.0, 0.0)]))


def test_distance_to_a_path() -> None:
    path = np.array([(0.0, 0.0, 0.0), (10.0, 0.0, 0.0), (10.0, 10.0, 0.0)])
    np.testing.assert_allclose(distance_mm(np.array([(5.0, 2.0, 0.0), (12.0, 5.0, 0.0), (-3.0, 4.0, 0.0)]), path), [2, 2, 5])


def test_a_bracket_is_meshed_whole(front_study: Study) -> None:
    """Volume of sheet and gussets as designed (clipped corners and holes apart), every brick the right way round, gussets
    sharing nodes with the angle along their welds.
    """
    for bracket in front_study.brackets:
        masses = {p.number: 1.0 for p in (bracket.angle, *bracket.gussets)}
        made = bracket_mesh(bracket, masses, 16.0)
        t, r = bracket.thickness_mm, bracket.inside_radius_mm
        long = bracket.a_mm[1] - bracket.a_mm[0]
        section = (bracket.leg_top_mm + bracket.foot_out_mm - 2.0 * (t + r)) * t + np.pi / 4.0 * ((r + t) ** 2 - r**2)
        for i, body in enumerate(made.bodies):
            det, _ = jacobians(body.nodes_mm, body.elements)
            assert det.min() > 0.0
            volume = float(volumes_mm3(body.nodes_mm, body.elements).sum())
            outline = np.array([v[:2] for v in bracket.gussets[i - 1].profile.outline])
            x, y = outline.T
            area = abs(float(x @ np.roll(y, -1) - y @ np.roll(x, -1))) / 2.0
            want = long * section if i == 0 else area * bracket.gusset_thickness_mm
            assert volume == pytest.approx(want, rel=1e-3)
        pairs = np.concatenate([welded_pairs(made.bodies, w) for w in bracket.welds])
        mesh = joined(made.bodies, pairs)
        for i in range(1, len(made.bodies)):
            assert len(np.intersect1d(mesh.nodes_of(0), mesh.nodes_of(i))) > 20


def test_a_part_that_is_joined_to_nothing_is_refused() -> None:
    plates = (plate("P1", FLAT), plate("P2", Pose((0.0, 33.0, 3.0), UPRIGHT.axes)))
    grid = grid_of(plates, (), 20.0)
    bodies = tuple(plate_body(p, grid, 1.0) for p in plates)
    seam = Weld("W1", "fillet", 2.1, ((0.0, 33.0, 3.0), (100.0, 33.0, 3.0)), ("P2", "P1"))
    _refuse_loose(joined(bodies, welded_pairs(bodies, seam)), [])
    with pytest.raises(DesignError, match="P2"):
        _refuse_loose(joined(bodies, np.zeros((0, 2), dtype=np.int64)), [])
