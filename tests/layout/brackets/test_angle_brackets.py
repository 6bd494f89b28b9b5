"""Brackets land on the vehicle's own holes, and say so when they cannot."""

from __future__ import annotations

import numpy as np
import pytest

from layout.box.shell import shell_of
from layout.brackets.angle import design_bracket
from layout.brackets.plan import plan_options
from layout.brackets.stiffness import bracket_stiffness
from layout.design.flat import flat_poses
from layout.errors import DesignError
from layout.frames import Array, Extent, Pose, turned_about_z
from layout.job import Job
from layout.study.clearance import bracket_conflicts
from layout.study.study import Study


def foot_holes(bracket: object) -> dict[str, Array]:
    angle = bracket.angle  # type: ignore[attr-defined]
    pose = angle.pose.then(flat_poses(angle)[1])
    return {h.fastener + "|" + h.name: pose.point((*h.centre_mm, 0.0)) for h in angle.flanges[0].profile.holes}


def test_every_mount_has_a_hole_exactly_above_it(front_study: Study) -> None:
    """The axis of each foot hole passes through the mount point: the wrong hole is the worst drawing error."""
    found = 0
    for bracket in front_study.brackets:
        holes = list(foot_holes(bracket).values())
        for mount, hole in zip(bracket.plan.mounts, holes, strict=True):
            off = np.cross(hole - np.array(mount.at_mm), np.array(mount.normal))
            assert np.linalg.norm(off) < 1e-9
            found += 1
    assert found == len(front_study.job.mount_points)


def test_foot_lies_on_the_vehicles_metal(front_study: Study) -> None:
    for bracket in front_study.brackets:
        pose = bracket.angle.pose.then(flat_poses(bracket.angle)[1])
        faces = sorted(float(np.dot(pose.point((10.0, 10.0, z)), bracket.plan.n)) for z in (0.0, bracket.thickness_mm))
        level = float(np.dot(bracket.plan.mounts[0].at_mm, bracket.plan.n))
        assert faces[0] == pytest.approx(level, abs=1e-9)
        assert faces[1] == pytest.approx(level + bracket.thickness_mm, abs=1e-9)


def test_leg_holes_and_bar_holes_are_in_line(front_study: Study) -> None:
    bars = [p for p in front_study.box.plates if p.name.startswith("mounting bar")]
    threads = [p.pose.point((*h.centre_mm, p.thickness_mm)) for p in bars for h in p.profile.holes]
    legs = []
    for bracket in front_study.brackets:
        root = bracket.angle.pose.then(flat_poses(bracket.angle)[0])
        legs += [root.point((*h.centre_mm, 0.0)) for h in bracket.angle.root.holes]
    assert len(threads) == len(legs) > 0
    for place in legs:
        assert min(np.linalg.norm(place - t) for t in threads) < 1e-9


def test_leg_bolts_do_not_reach_the_wall(front_study: Study) -> None:
    for bracket in front_study.brackets:
        for bolt in bracket.hardware:
            if bolt.size == "M8":
                assert 1.4 * 8.0 <= bolt.length_mm - bolt.grip_mm <= 15.0


def test_brackets_meet_nothing(front_study: Study, front_bay: object) -> None:
    shell = front_study.box.shell
    assert bracket_conflicts(front_bay, front_study.arrangement, shell, front_study.brackets) == []  # type: ignore[arg-type]


def test_mount_too_near_the_box_is_refused(front_job: Job, front_study: Study) -> None:
    inside = front_study.arrangement.inside
    near = Extent(inside.min_mm, (inside.max_mm[0], 285.0, inside.max_mm[2]))
    with pytest.raises(DesignError, match=r"rail LH front.*to 260 mm"):
        list(plan_options(front_job, Pose(), near, shell_of(front_job)))


def test_mount_too_far_from_the_box_is_refused(front_job: Job) -> None:
    far = Extent((800.0, 700.0, 400.0), (860.0, 740.0, 700.0))
    with pytest.raises(DesignError, match="outside its bar's face"):
        list(plan_options(front_job, Pose(), far, shell_of(front_job)))


def test_turned_pack_with_a_level_mount_still_lands_on_it(front_job: Job) -> None:
    """A pack turned by 10 degrees: holes in vehicle axes stay above the vehicle's threads."""
    frame = turned_about_z(10.0, (100.0, 0.0, 0.0))
    inside = Extent((-150.0, -180.0, 390.0), (180.0, 180.0, 700.0))
    shell = shell_of(front_job)
    plans = next(iter(plan_options(front_job, frame, inside, shell)))
    for plan in plans:
        bracket = design_bracket(front_job, plan, inside, shell)
        for mount, hole in zip(plan.mounts, foot_holes(bracket).values(), strict=True):
            place = frame.point(hole)
            assert np.hypot(*(place - np.array(mount.entry.at_mm))[:2]) < 1e-9


def test_stiffness_is_symmetric_and_positive(front_study: Study) -> None:
    for bracket in front_study.brackets:
        for mount in bracket.plan.mounts:
            k = bracket_stiffness(bracket, mount)
            assert np.allclose(k, k.T)
            assert np.linalg.eigvalsh(k).min() > 0.0
