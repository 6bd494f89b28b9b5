"""Distances of boxes to triangles, against closed forms and against brute force."""

import numpy as np
import pytest
from scipy.optimize import lsq_linear

from layout.space.triangles import box_triangle_distance, point_triangle_squared, winding_number

LOW, HIGH = np.array([-1.0, -2.0, -3.0]), np.array([1.0, 2.0, 3.0])


def distance(*corners: tuple[float, float, float]) -> float:
    return float(box_triangle_distance(LOW, HIGH, np.array([corners], dtype=float))[0])


@pytest.mark.parametrize(
    ("corners", "expected"),
    [
        (((4, 0, 0), (9, 1, 0), (9, 0, 1)), 3.0),  # a corner before a face
        (((4, -9, -9), (4, 9, -9), (4, 0, 9)), 3.0),  # a face before a face
        (((4, 6, -9), (4, 6, 9), (9, 9, 0)), 5.0),  # parallel edges: 3 and 4 apart
        (((2, 3, 4), (9, 9, 9), (9, 9, 20)), np.sqrt(3.0)),  # corner to corner
        (((-9, -9, 0), (9, 9, 0), (0, 20, 0)), 0.0),  # cut through
        (((0, 0, 0), (0.1, 0, 0), (0, 0.1, 0)), 0.0),  # wholly within
        (((1, -9, -9), (1, 9, -9), (1, 0, 9)), 0.0),  # touching
    ],
)
def test_closed_forms(corners, expected):
    assert distance(*corners) == pytest.approx(expected, abs=1e-12)


def test_box_corner_to_slanted_plane():
    # plane x + y + z = 12, far-reaching; nearest is the corner (1, 2, 3): (12 - 6) / sqrt(3)
    corners = ((112, -50, -50), (-50, 112, -50), (-50, -50, 112))
    assert distance(*corners) == pytest.approx(6.0 / np.sqrt(3.0), rel=1e-12)


def test_crossing_edges():
    # the box edge x = 1, y = 2 against a triangle edge through (3, 4, 0) along (1, -1, 0), the rest leaning away
    assert distance((3 + 9, 4 - 9, 0), (3 - 9, 4 + 9, 0), (30, 30, 0)) == pytest.approx(np.sqrt(8.0), rel=1e-12)


def least_squares_distance(low, high, triangle) -> float:
    """min |x - T w| over box and triangle as a bounded least-squares problem, the weights' sum weighted heavily."""
    heavy = 1e6
    a = np.zeros((4, 6))
    a[:3, :3] = np.eye(3)
    a[:3, 3:] = -triangle.T
    a[3, 3:] = heavy
    lower, upper = np.concatenate([low, np.zeros(3)]), np.concatenate([high, np.ones(3)])
    found = lsq_linear(a, [0, 0, 0, heavy], bounds=(lower, upper), method="bvls", tol=1e-15)
    return float(np.linalg.norm(found.x[:3] - triangle.T @ (found.x[3:] / found.x[3:].sum())))


def test_random_pairs_against_a_quadratic_programme():
    rng = np.random.default_rng(5)
    triangles = rng.uniform(-8, 8, (300, 3, 3))
    got = box_triangle_distance(LOW, HIGH, triangles)
    expected = [least_squares_distance(LOW, HIGH, t) for t in triangles]
    assert (got > 0).sum() > 60
    np.testing.assert_allclose(got, expected, atol=2e-5)


def test_slivers_and_needles():
    needle = np.array([[[3.0, 0, 0], [9, 0, 0], [6, 0, 0]]])
    assert box_triangle_distance(LOW, HIGH, needle)[0] == pytest.approx(2.0)
    assert point_triangle_squared(np.zeros(3), needle)[0] == pytest.approx(9.0)


def test_winding_number_of_an_octahedron():
    axes = np.eye(3)
    faces = []
    for sx in (1, -1):
        for sy in (1, -1):
            for sz in (1, -1):
                face = [sx * axes[0], sy * axes[1], sz * axes[2]]
                faces.append(face if sx * sy * sz > 0 else face[::-1])
    turns = winding_number(np.array([[0.1, 0.2, 0.1], [0.6, 0.6, 0.6]]), np.array(faces))
    np.testing.assert_allclose(turns, [1.0, 0.0], atol=1e-12)
