"""The judge of fit on bays whose distances are known in closed form."""

from pathlib import Path

import numpy as np
import pytest

from layout.frames import Extent, Pose, raked_about_y, turned_about_z
from layout.space.bay import bay_of
from layout.space.judge import inside_free_space, is_in_space, least_clearance

HERE = Path()
SQUARE = [[0, 0], [600, 0], [600, 500], [0, 500]]


def bay(job_with, **changes):
    return bay_of(job_with(**changes), HERE)


def fits(bay, low, high, clearance, pose=None):
    return not inside_free_space(bay, Extent(low, high), pose or Pose(), clearance)


def test_exact_fit_passes_and_a_hair_more_does_not(job_with):
    b = bay(job_with)
    assert fits(b, (10, 10, 10), (590, 490, 390), 10.0)
    assert fits(b, (0, 0, 0), (600, 500, 400), 0.0)
    assert not fits(b, (0, 0, 0), (600.001, 500, 400), 0.0)
    assert not fits(b, (10, 10, 10), (590.001, 490, 390), 10.0)


def test_one_mm_too_small_says_by_how_much(job_with):
    found = inside_free_space(bay(job_with), Extent((10, 10, 10), (591, 490, 390)), Pose(), 10.0, "box body")
    assert [v.with_what for v in found] == ["wall of main"]
    assert found[0].got_mm == pytest.approx(9.0, abs=1e-5)
    assert found[0].want_mm == 10.0
    assert "box body: 9.0 mm from wall of main" in str(found[0])


def test_sticking_through_a_wall_is_negative(job_with):
    found = inside_free_space(bay(job_with), Extent((10, 10, 10), (605, 490, 390)), Pose(), 0.0)
    assert found[0].got_mm == pytest.approx(-5.0, abs=0.02)


def test_outside_altogether(job_with):
    found = inside_free_space(bay(job_with), Extent((1000, 10, 10), (1100, 20, 20)), Pose(), 5.0)
    assert any("outside" in v.with_what for v in found)


def test_interface_of_two_prisms_is_no_wall(job_with):
    spaces = [
        {"name": "lower", "outline": SQUARE, "z": [0, 200]},
        {"name": "upper", "outline": [[-100, 100], [600, 100], [600, 400], [-100, 400]], "z": [200, 400]},
    ]
    b = bay(job_with, space=spaces)
    assert fits(b, (10, 110, 10), (590, 390, 390), 10.0)
    assert not fits(b, (10, 109, 10), (590, 390, 390), 10.0)  # beside the upper one, above the lower one
    assert fits(b, (10, 10, 10), (590, 490, 190), 10.0)
    assert not fits(b, (10, 10, 10), (590, 490, 191), 10.0)


def test_prisms_side_by_side_on_a_slant_are_one_space(job_with):
    spaces = [
        {"outline": [[0, 0], [500, 100], [500, 500], [0, 500]], "z": [0, 300]},
        {"outline": [[500, 100], [0, 0], [0, -300], [500, -300]], "z": [0, 300]},
        {"outline": [[500, -200], [900, -200.000000003], [900, 300], [500, 300]], "z": [0, 300]},
    ]
    b = bay(job_with, space=spaces)
    assert fits(b, (10, -190, 10), (890, 290, 290), 10.0)


def test_slanted_wall(job_with):
    # the wall runs from (600, 0) to (400, 400): normal (2, 1) / sqrt 5
    b = bay(job_with, space=[{"name": "s", "outline": [[0, 0], [600, 0], [400, 400], [0, 400]], "z": [0, 300]}])
    x = 600 - 200 / 2 - 10 * np.sqrt(5) / 2  # corner at y = 200 that is 10 from the wall
    assert fits(b, (50, 50, 50), (x, 200, 250), 10.0)
    assert not fits(b, (50, 50, 50), (x + 0.001, 200, 250), 10.0)


def test_tapered_prism_exact_on_its_slope(job_with):
    above = [[0, 0], [500, 0], [500, 500], [0, 500]]  # x wall leans in by 100 over 400
    b = bay(job_with, space=[{"name": "t", "outline": SQUARE, "outline_above": above, "z": [0, 400]}])
    slope = np.hypot(100, 400) / 400
    x = 600 - 200 / 4 - 10 * slope
    assert fits(b, (50, 50, 50), (x, 450, 200), 10.0)
    assert not fits(b, (50, 50, 50), (x + 0.001, 450, 200), 10.0)


def test_margin_of_a_keep_out_is_round(job_with):
    post = {"name": "post", "box": {"min": [-5, -5, -5], "max": [100, 100, 405]}, "margin": 15}
    b = bay(job_with, keep_out=[post])
    # 15 + 10 from the edge of the post, diagonally: 15 and 20 in plan
    assert fits(b, (115, 120, 20), (300, 300, 300), 10.0)
    assert not fits(b, (114.999, 120, 20), (300, 300, 300), 10.0)


def test_bar_in_the_bay(job_with):
    bar = {"name": "shaft", "cylinder": {"from": [0, 250, 200], "to": [600, 250, 200], "diameter": 40}, "margin": 5}
    b = bay(job_with, keep_out=[bar])
    assert fits(b, (20, 20, 20), (580, 215, 380), 10.0)
    found = inside_free_space(b, Extent((20, 20, 20), (580, 216, 380)), Pose(), 10.0)
    assert found[0].with_what == "shaft"
    assert found[0].got_mm == pytest.approx(9.0, abs=1e-5)


def test_a_body_within_a_keep_out_is_found(job_with):
    block = {"name": "block", "prism": {"outline": [[100, 100], [400, 100], [400, 400], [100, 400]], "z": [50, 350]}}
    b = bay(job_with, keep_out=[block])
    found = inside_free_space(b, Extent((200, 200, 150), (250, 250, 200)), Pose(), 1.0)
    assert [v.with_what for v in found] == ["block"]
    assert found[0].got_mm < 0.0


def test_turned_bodies(job_with):
    b = bay(job_with)
    half = 100.0
    pose = turned_about_z(45.0, (300, 250, 200))
    reach = 500 / 2 - 10  # half diagonal of the plan may reach 240
    assert fits(b, (-half, reach * np.sqrt(2) - half - 1e-9, -50), (half, reach * np.sqrt(2) - half, 50), 10.0, pose) is True
    assert fits(b, (-half, -half, -50), (half, half, 50), 250 - half * np.sqrt(2), pose)
    assert not fits(b, (-half, -half, -50), (half, half, 50), 250 - half * np.sqrt(2) + 0.001, pose)
    raked = raked_about_y(30.0, (300, 250, 200))
    reach = 100 * np.sin(np.radians(30)) + 50 * np.cos(np.radians(30))
    assert fits(b, (-100, -100, -50), (100, 100, 50), 200 - reach, raked)
    assert not fits(b, (-100, -100, -50), (100, 100, 50), 200 - reach + 0.001, raked)


def test_least_clearance(job_with):
    b = bay(job_with)
    got, name = least_clearance(b, Extent((30, 40, 50), (300, 300, 300)), Pose(), 1000.0)
    assert got == pytest.approx(30.0)
    assert name == "wall of main"
    assert is_in_space(b, (1, 1, 1))
    assert not is_in_space(b, (-1, 1, 1))


def test_more_clearance_never_helps_and_less_keep_out_never_hurts(job_with):
    rng = np.random.default_rng(3)
    bar = {"name": "bar", "cylinder": {"from": [0, 100, 100], "to": [600, 400, 300], "diameter": 60}}
    full, empty = bay(job_with, keep_out=[bar]), bay(job_with)
    seen = set()
    for _ in range(25):
        low = rng.uniform(0, 400, 3)
        body, pose = Extent(tuple(low), tuple(low + rng.uniform(20, 200, 3))), turned_about_z(float(rng.uniform(-20, 20)))
        wide = bool(inside_free_space(full, body, pose, 20.0))
        narrow = bool(inside_free_space(full, body, pose, 5.0))
        without = bool(inside_free_space(empty, body, pose, 5.0))
        assert wide >= narrow >= without
        seen.add((wide, narrow, without))
    assert len(seen) >= 3
