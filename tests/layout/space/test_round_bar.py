"""Distance of a box to a round bar, against closed forms and a fine many-sided bar."""

import numpy as np
import pytest

from layout.frames import turned_about_z
from layout.space.round_bar import Bar, box_bar_distance, point_bar_distance
from layout.space.solids import bar_triangles
from layout.space.triangles import box_triangle_distance, winding_number


def test_side_face_before_the_bar():
    bar = Bar((0, 0, -50), (0, 0, 50), 7.0)
    assert box_bar_distance(np.array([10.0, -3, 0]), np.array([20.0, 9, 5]), bar) == pytest.approx(3.0, abs=1e-9)


def test_edge_before_the_bar():
    bar = Bar((0, 0, -50), (0, 0, 50), 7.0)
    assert box_bar_distance(np.array([6.0, 8.0, 0]), np.array([20.0, 19, 5]), bar) == pytest.approx(3.0, abs=1e-9)


def test_corner_beyond_the_flat_end():
    bar = Bar((0, 0, 0), (0, 0, 50), 5.0)  # corner (6, 8, 52): 5 beyond the rim in plan, 2 beyond the end
    got = box_bar_distance(np.array([6.0, 8.0, 52.0]), np.array([20.0, 20, 60]), bar)
    assert got == pytest.approx(np.hypot(5.0, 2.0), abs=1e-9)


def test_slanted_bar_before_a_face():
    # a bar at 45 degrees in x-z ends above a wide plate: its lowest point is r sin 45 below the axis end
    bar = Bar((0, 0, 100), (100, 0, 200), 10.0)
    got = box_bar_distance(np.array([-500.0, -500, 0]), np.array([500.0, 500, 50]), bar)
    assert got == pytest.approx(50.0 - 10.0 * np.sqrt(0.5), abs=1e-9)


@pytest.mark.parametrize(
    ("low", "high"),
    [
        ((-1, -1, -1), (1, 1, 1)),  # within the bar
        ((-99, -99, -99), (99, 99, 99)),  # around the bar
        ((4, -2, -30), (6, 2, 30)),  # the side bulges into a face
        ((-3, -3, 9), (3, 3, 30)),  # the box pokes into a flat end
        ((-3, -30, -1), (3, 30, 1)),  # crossing
    ],
)
def test_meeting(low, high):
    assert box_bar_distance(np.array(low, float), np.array(high, float), Bar((0, 0, -10), (0, 0, 10), 5.0)) == 0.0


def test_the_rim_alone_passes_a_face():
    # the rim of the end leans into the top face of a plate; neither the axis nor an edge of the plate is touched
    bar = Bar((0, 0, 5), (100, 0, 105), 10.0)
    assert box_bar_distance(np.array([-500.0, -500, -50]), np.array([500.0, 500, 0]), bar) == 0.0
    assert box_bar_distance(np.array([-500.0, -500, -50]), np.array([500.0, 500, -3]), bar) > 0.0


def test_random_boxes_against_a_many_sided_bar():
    rng = np.random.default_rng(11)
    for _ in range(40):
        start, end = rng.uniform(-60, 60, (2, 3))
        bar = Bar(tuple(start), tuple(end), float(rng.uniform(3, 25)))
        low = rng.uniform(-60, 40, 3)
        high = low + rng.uniform(5, 50, 3)
        around = bar_triangles(bar, 400, around=True)
        coarse = float(box_triangle_distance(low, high, around).min())
        if winding_number((low + high)[None] / 2.0, around)[0] > 0.5:
            coarse = 0.0
        # the many-sided bar is at most r (1 / cos(pi / 400) - 1) larger
        assert coarse <= box_bar_distance(low, high, bar) + 1e-9
        assert box_bar_distance(low, high, bar) <= coarse + bar.radius_mm * (1 / np.cos(np.pi / 400) - 1) + 1e-6


def test_bounds_are_tight():
    bar = Bar((0, 0, 0), (30, 40, 0), 5.0)
    low, high = bar.bounds()
    np.testing.assert_allclose(low, [-4, -3, -5])
    np.testing.assert_allclose(high, [34, 43, 5])
    turned = turned_about_z(30.0)
    assert point_bar_distance(turned.point([[0.0, 0, 0]]), bar)[0] == 0.0
