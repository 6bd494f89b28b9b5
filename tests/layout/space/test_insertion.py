"""Ways in: there, and not there with the reason."""

import re
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from layout.frames import Extent, Pose, turned_about_z
from layout.space.bay import bay_of
from layout.space.insertion import WAY_CLEARANCE_MM, insertion_path
from layout.space.judge import is_clear
from layout.space.opened import opened

POCKET = [
    {"name": "shaft", "outline": [[0, 0], [300, 0], [300, 300], [0, 300]], "z": [0, 600]},
    {"name": "pocket", "outline": [[0, 0], [600, 0], [600, 300], [0, 300]], "z": [0, 200]},
]


def box(low, high):
    return (("box body", Extent(low, high)),)


def keeps_clear(bay, pieces, pose, sides, path):
    """Walk the way in small steps and judge every stand."""
    space, middle = opened(bay, sides), np.array(pieces[0][1].centre_mm)
    for a, b in pairwise(path):
        for t in np.linspace(0.0, 1.0, 30):
            offset = pose.inverse_point(np.array(a) + t * (np.array(b) - np.array(a))) - middle
            for _, p in pieces:
                moved = Extent(tuple(np.array(p.min_mm) + offset), tuple(np.array(p.max_mm) + offset))
                if not is_clear(space, moved, pose, WAY_CLEARANCE_MM):
                    return False
    return True


def test_straight_down(job_with):
    bay = bay_of(job_with(), Path())
    pieces = box((20, 20, 20), (580, 480, 300))
    found = insertion_path(bay, pieces, Pose(), ("+z",))
    assert found.possible
    assert found.path_mm[-1] == (300.0, 250.0, 160.0)
    assert found.path_mm[0][2] - 140.0 >= 400.0
    assert "straight in from +z" in found.note
    assert "20.0 mm" in found.note
    assert keeps_clear(bay, pieces, Pose(), ("+z",), found.path_mm)


def test_down_and_aside_into_a_pocket(job_with):
    bay = bay_of(job_with(space=POCKET), Path())
    pieces = box((320, 20, 20), (580, 280, 180))
    found = insertion_path(bay, pieces, Pose(), ("+z",))
    assert found.possible
    assert len(found.path_mm) >= 3
    assert found.path_mm[-1] == (450.0, 150.0, 100.0)
    assert keeps_clear(bay, pieces, Pose(), ("+z",), found.path_mm)


def test_too_long_for_the_shaft(job_with):
    bay = bay_of(job_with(space=POCKET), Path())
    found = insertion_path(bay, box((250, 20, 20), (580, 280, 180)), Pose(), ("+z",))
    assert not found.possible
    assert found.path_mm == ()
    # 330 long, the shaft leaves 300 - 2 x 3: 18 mm too much on every side; the lattice steps by 7.5 mm
    said = float(re.search(r"a box (\d+) mm smaller on every side", found.note)[1])
    assert 17.0 <= said <= 18.0 + 8.5
    assert "wall of the bay" in found.note


@pytest.mark.parametrize("neck", [240.0, 280.0])
def test_neck_figure(job_with, neck):
    half = neck / 2.0
    spaces = [
        {"name": "room", "outline": [[0, 0], [500, 0], [500, 500], [0, 500]], "z": [0, 300]},
        {"name": "neck", "outline": [[250 - half, 0], [250 + half, 0], [250 + half, 500], [250 - half, 500]], "z": [300, 420]},
    ]
    bay = bay_of(job_with(space=spaces), Path())
    wide = insertion_path(bay, box((90, 50, 50), (410, 450, 250)), Pose(), ("+z",))
    assert not wide.possible
    said = float(re.search(r"a box (\d+) mm smaller on every side", wide.note)[1])
    exact = (320.0 - (neck - 2 * WAY_CLEARANCE_MM)) / 2.0
    assert exact - 1.0 <= said <= exact + 8.5
    fits = neck / 2.0 - WAY_CLEARANCE_MM
    narrow = box((250 - fits, 50, 50), (250 + fits, 450, 250))
    assert insertion_path(bay, narrow, Pose(), ("+z",)).possible


def test_a_bar_across_the_opening(job_with):
    bar = {"name": "strut", "cylinder": {"from": [-50, 250, 500], "to": [650, 250, 500], "diameter": 30}}
    bay = bay_of(job_with(keep_out=[bar]), Path())
    found = insertion_path(bay, box((50, 50, 50), (550, 450, 350)), Pose(), ("+z",))
    assert not found.possible
    assert "strut" in found.note
    assert insertion_path(bay, box((50, 50, 50), (550, 200, 350)), Pose(), ("+z",)).possible


def test_sides_that_are_not_open_stay_walls(job_with):
    bay = bay_of(job_with(), Path())
    lid = {"name": "panel", "box": {"min": [-10, -10, 390], "max": [610, 510, 410]}}
    closed = bay_of(job_with(keep_out=[lid]), Path())
    pieces = box((50, 50, 50), (550, 450, 350))
    assert not insertion_path(closed, pieces, Pose(), ("+z",)).possible
    assert insertion_path(closed, pieces, Pose(), ("+z", "-x")).possible
    assert insertion_path(bay, pieces, Pose(), ("+y",)).path_mm[0][1] > 700.0
    assert "closed off" in insertion_path(closed, pieces, Pose(), ("+z",)).note


def test_a_bay_that_ends_in_an_edge_has_no_way_in_there(job_with):
    bay = bay_of(job_with(space=[{"outline": [[0, 0], [400, 0], [200, 300]], "z": [0, 300]}]), Path())
    found = insertion_path(bay, box((150, 20, 50), (250, 80, 150)), Pose(), ("+y",))
    assert not found.possible
    assert "no flat outermost face" in found.note


def test_turned_box_lifted_out(job_with):
    bay = bay_of(job_with(), Path())
    pose = turned_about_z(20.0, (300, 250, 0))
    found = insertion_path(bay, box((-200, -100, 40), (200, 100, 300)), pose, ("+z",))
    assert found.possible
    np.testing.assert_allclose(found.path_mm[-1], (300, 250, 170), atol=1e-9)


def test_a_turn_at_the_end(job_with):
    """The neck lies across the room: a long box passes it lengthwise only, and turns below it."""
    spaces = [
        {"name": "room", "outline": [[0, 0], [600, 0], [600, 600], [0, 600]], "z": [0, 300]},
        {"name": "neck", "outline": [[220, 0], [380, 0], [380, 600], [220, 600]], "z": [300, 400]},
    ]
    bay = bay_of(job_with(space=spaces), Path())
    found = insertion_path(bay, box((100, 250, 20), (500, 350, 200)), Pose(), ("+z",))
    assert found.possible
    assert "turned by 90 degrees" in found.note or "turned by -90 degrees" in found.note
    assert found.path_mm[-1] == (300.0, 300.0, 110.0)
    assert found.path_mm[0][2] >= 490.0
    post = {"name": "post", "box": {"min": [150, 400, -1], "max": [200, 450, 301]}}
    other = {"name": "other post", "box": {"min": [400, 400, -1], "max": [450, 450, 301]}}
    barred = bay_of(job_with(space=spaces, keep_out=[post, other]), Path())
    assert not insertion_path(barred, box((100, 250, 20), (500, 350, 200)), Pose(), ("+z",)).possible
