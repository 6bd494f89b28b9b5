"""Insides for the search: safe from within, complete from without."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from layout.arrangement import Arrangement
from layout.box.shell import shell_of
from layout.frames import Extent, Pose, turned_about_z
from layout.packing.sites import bare
from layout.space.bay import bay_of
from layout.space.free_boxes import bounding_insides, filled, maximal_insides
from layout.space.judge import is_clear
from layout.space.judge_arrangement import column_clear, judge_arrangement
from layout.space.rectangles import maximal_rectangles

LEAST = (120.0, 80.0, 60.0)
BAR = {"name": "shaft", "cylinder": {"from": [0, 420, 300], "to": [600, 330, 120], "diameter": 30}, "margin": 10}
STEPPED = [
    {"name": "lower", "outline": [[0, 0], [600, 0], [600, 500], [0, 500]], "z": [0, 220]},
    {"name": "upper", "outline": [[-100, 60], [640, 60], [700, 250], [640, 440], [-100, 440]], "z": [220, 480]},
]
MOUNT = [{"name": "foot", "at": [60, 60, 0], "normal": "+z", "thread": "M10"}]


def hard(job_with):
    return job_with(space=STEPPED, keep_out=[BAR], table_mount_point=MOUNT)


def passes(job, bay, frame, inside):
    return not judge_arrangement(job, bay, Arrangement(frame, (), inside), shell_of(job))


def test_plain_bay_gives_the_one_exact_inside(job_with):
    job = job_with()
    bay, shell = bay_of(job, Path()), shell_of(job)
    found = maximal_insides(bay, shell, Pose(), 10.0, 50.0, LEAST)
    assert len(found) == 1
    out = max(shell.slab_out_mm, shell.side_mm) + 10.0
    expected = Extent((out, out, 10 + shell.below_mm), (600 - out, 500 - out, 390 - shell.flange_above_mm))
    np.testing.assert_allclose(found[0].min_mm, expected.min_mm, atol=1e-5)
    np.testing.assert_allclose(found[0].max_mm, expected.max_mm, atol=1e-5)
    assert passes(job, bay, Pose(), found[0])
    assert not passes(job, bay, Pose(), found[0].grown((0.001, 0, 0)))


def holds(outer, inner):
    return bool(np.all(np.array(outer.min_mm) <= inner.min_mm) and np.all(np.array(outer.max_mm) >= inner.max_mm))


@pytest.mark.parametrize("angle", [0.0, 7.0])
def test_inner_insides_pass_the_judge(job_with, angle):
    job = hard(job_with)
    bay, shell, frame = bay_of(job, Path()), shell_of(job), turned_about_z(angle)
    found = maximal_insides(bay, shell, frame, 10.0, 40.0, LEAST)
    assert len(found) > 3
    for inside in found[:: max(1, len(found) // 25)]:
        assert passes(job, bay, frame, inside)


@pytest.mark.parametrize("angle", [0.0, 7.0])
def test_outer_boxes_hold_every_inside_that_passes(job_with, angle):
    job = hard(job_with)
    bay, shell, frame = bay_of(job, Path()), shell_of(job), turned_about_z(angle)
    outer = bounding_insides(bay, shell, frame, 10.0, 40.0, LEAST)
    inner = maximal_insides(bay, shell, frame, 10.0, 40.0, LEAST)
    rng = np.random.default_rng(8)
    tried = inner[:30]
    for _ in range(60):  # grow good ones at random: some still pass
        base = inner[int(rng.integers(len(inner)))]
        low = np.array(base.min_mm) - rng.uniform(-30, 12, 3)
        high = np.array(base.max_mm) + rng.uniform(-30, 12, 3)
        tried.append(Extent(tuple(low), tuple(high)))
    passed = 0
    for inside in tried:
        if np.any(np.array(inside.size_mm) < LEAST) or not passes(job, bay, frame, inside):
            continue
        passed += 1
        assert any(holds(o, inside) for o in outer), inside
    assert passed > 12


def clear(bay, shell, frame, inside, clearance_mm):
    """Whether the box around an inside keeps the clearance and stays out of the mount points' columns; exact."""
    bodies = shell.bodies(inside)
    for name, piece in shell.pieces(inside):
        room = shell.mount_room_mm if piece in bodies else 0.0
        if any(column_clear(c, room, piece, frame, name) for c in bay.columns) or not is_clear(bay, piece, frame, clearance_mm):
            return False
    return True


@pytest.mark.parametrize("angle", [0.0, 7.0])
def test_outer_boxes_of_a_body_without_walls(job_with, angle):
    """What hangs on a face: every free body lies in one of the outer boxes, and none of those holds a keep-out's middle."""
    block = {"name": "block", "box": {"min": [200, 150, 0], "max": [420, 330, 200]}}
    bay = bay_of(job_with(space=STEPPED, keep_out=[BAR, block], table_mount_point=MOUNT), Path())
    shell = replace(bare(shell_of(job_with())), flange_below_mm=LEAST[2], mount_room_mm=0.0)
    frame = turned_about_z(angle)
    outer = bounding_insides(bay, shell, frame, 10.0, 40.0, LEAST)
    if angle == 0.0:
        middle = Extent((300.0, 230.0, 90.0), (320.0, 250.0, 110.0))
        assert not any(holds(o, middle) for o in outer)
    rng, passed = np.random.default_rng(4), 0
    for _ in range(400):
        centre = frame.inverse_point(rng.uniform([-60, 20, 20], [640, 460, 460]))
        half = rng.uniform(LEAST, [300, 250, 240]) / 2.0
        body = Extent(tuple(centre - half), tuple(centre + half))
        if clear(bay, shell, frame, body, 10.0):
            passed += 1
            assert any(holds(o, body) for o in outer), body
    assert passed > 12


def test_half_the_step_never_loses_a_box(job_with):
    job = hard(job_with)
    bay, shell = bay_of(job, Path()), shell_of(job)
    coarse = maximal_insides(bay, shell, Pose(), 10.0, 60.0, LEAST)
    fine = maximal_insides(bay, shell, Pose(), 10.0, 30.0, LEAST)
    for one in coarse:
        assert any(holds(f, one.grown(-1e-6)) for f in fine)
    assert max(f.volume_mm3 for f in fine) >= max(c.volume_mm3 for c in coarse) - 1e-6


def test_too_small_a_bay_has_no_inside(job_with):
    job = job_with(space=[{"outline": [[0, 0], [100, 0], [100, 100], [0, 100]], "z": [0, 90]}])
    bay, shell = bay_of(job, Path()), shell_of(job)
    assert maximal_insides(bay, shell, Pose(), 10.0, 20.0, LEAST) == []
    assert bounding_insides(bay, shell, Pose(), 10.0, 20.0, LEAST) == []


def test_lines_nest_when_the_step_is_halved():
    coarse, fine = filled(np.array([33.0, 470.0]), 0.0, 500.0, 40.0), filled(np.array([33.0, 470.0]), 0.0, 500.0, 20.0)
    assert set(np.round(coarse, 9)) <= set(np.round(fine, 9))
    assert np.diff(coarse).max() <= 40.0


def test_maximal_rectangles_against_brute_force():
    rng = np.random.default_rng(2)
    for _ in range(40):
        free = rng.random((6, 7)) < 0.75
        xs, ys = np.cumsum(rng.uniform(1, 5, 7)), np.cumsum(rng.uniform(1, 5, 8))
        every = [
            (i, j, k, m)
            for i in range(6)
            for k in range(i + 1, 7)
            for j in range(7)
            for m in range(j + 1, 8)
            if free[i:k, j:m].all()
        ]
        within = lambda a, b: b != a and b[0] <= a[0] and b[1] <= a[1] and b[2] >= a[2] and b[3] >= a[3]  # noqa: E731
        largest = [a for a in every if not any(within(a, b) for b in every)]
        expected = sorted((xs[i], ys[j], xs[k], ys[m]) for i, j, k, m in largest)
        np.testing.assert_allclose(sorted(maximal_rectangles(free, xs, ys, 0.0, 0.0)), expected)
