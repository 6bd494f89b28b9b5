"""The judge on whole arrangements: each rule broken alone."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from layout.arrangement import Arrangement, PlacedModule
from layout.box.shell import shell_of
from layout.frames import Extent, Pose, module_axes, turned_about_z, vec3
from layout.space.bay import bay_of
from layout.space.judge_arrangement import judge_arrangement

INSIDE = Extent((0.0, 0.0, 0.0), (400.0, 300.0, 200.0))
FRAME = Pose((80.0, 80.0, 80.0))
ROOMY = [{"name": "main", "outline": [[0, 0], [600, 0], [600, 500], [0, 500]], "z": [0, 400]}]


def module(job, number, low, up="+z", terminals="+x"):
    kind = job.modules[0]
    axes = module_axes(up, kind.terminal_face, terminals)
    size = np.abs(np.array(axes).T @ np.array(kind.size_mm))
    return PlacedModule(f"m{number}", kind, Pose(vec3(np.array(low) + size / 2), axes), up, terminals)


def verdict(job, modules, inside=INSIDE, frame=FRAME, bay=None):
    return judge_arrangement(job, bay or bay_of(job, Path()), Arrangement(frame, tuple(modules), inside), shell_of(job))


def good(job):
    return [module(job, 1, (2, 2, 2)), module(job, 2, (2, 106, 2)), module(job, 3, (2, 2, 86))]


def test_a_good_arrangement_passes(job_with):
    job = job_with(space=ROOMY)
    assert verdict(job, good(job)) == []


@pytest.mark.parametrize(
    ("low", "words"),
    [
        ((2, 105.999, 2), "m1: 4.0 mm from m2"),  # the gap of 4 mm
        ((2, 90, 2), "m1: 0.0 mm from m2"),
        ((1.9, 106, 2), "the room within walls and liner"),
        ((170, 106, 2), "terminal zone of m2: -2.0 mm from walls and liner"),
    ],
)
def test_a_module_in_a_wrong_place(job_with, low, words):
    job = job_with(space=ROOMY)
    found = verdict(job, [module(job, 1, (2, 2, 2)), module(job, 2, low)])
    assert len(found) == 1
    assert words in str(found[0])


def test_terminal_zone_must_stay_clear_but_zones_may_overlap(job_with):
    job = job_with(space=ROOMY)
    one, other = module(job, 1, (2, 2, 2)), module(job, 2, (212, 150, 2), "+y", "+x")
    inside = Extent((0, 0, 0), (480, 300, 200))
    frame = Pose((60.0, 80.0, 80.0))
    in_front = module(job, 2, (231.9, 50, 2))
    found = verdict(job, [one, in_front], inside, frame)
    assert [v.what for v in found] == ["terminal zone of m1"]
    assert verdict(job, [one, module(job, 2, (232, 50, 2))], inside, frame) == []
    facing = module(job, 2, (240, 2, 2), "+z", "-x")
    assert verdict(job, [one, facing], Extent((0, 0, 0), (450, 300, 200)), frame) == []
    assert verdict(job, [one, other], inside, frame) == []


def test_face_up_must_be_allowed_and_true(job_with):
    job = job_with(space=ROOMY)
    down = module(job, 1, (2, 2, 2), "-z")
    assert any("faces allowed up" in v.with_what for v in verdict(job, [down]))
    lied = replace(module(job, 1, (2, 2, 2), "+y"), up="+z")
    assert any("faces allowed up" in v.with_what for v in verdict(job, [lied]))
    wrong_side = replace(module(job, 1, (40, 2, 2)), terminals="-x")
    assert any("terminal face" in v.with_what for v in verdict(job, [wrong_side]))


def test_mirrored_or_foreign_or_too_many_modules(job_with):
    job = job_with(space=ROOMY)
    one = module(job, 1, (40, 2, 2))
    mirrored = replace(one, pose=Pose(one.pose.origin_mm, ((1.0, 0, 0), (0, -1.0, 0), (0, 0, 1.0))))
    assert any("mirrored" in v.with_what for v in verdict(job, [mirrored]))
    foreign = replace(one, kind=one.kind.model_copy(update={"size_mm": (100.0, 50.0, 40.0)}))
    assert any("not the job's" in v.with_what for v in verdict(job, [foreign]))
    four = [*good(job), module(job, 4, (2, 106, 86))]
    assert any(v.what == "4 of brick" for v in verdict(job, four))
    twice = [good(job)[0], replace(good(job)[1], id="m1")]
    assert any("the same" in v.with_what for v in verdict(job, twice))


def test_the_shell_keeps_the_bays_clearance(job_with):
    job = job_with(space=ROOMY)
    shell = shell_of(job)
    edge = 10 + max(shell.slab_out_mm, shell.side_mm)
    at_the_wall = Pose((edge, 80.0, 80.0))
    assert verdict(job, good(job), frame=at_the_wall) == []
    found = verdict(job, good(job), frame=Pose((edge - 0.01, 80.0, 80.0)))
    assert {v.with_what for v in found} == {"wall of main"}
    assert verdict(job, good(job), frame=turned_about_z(5.0, (120.0, 80.0, 80.0))) == []


def test_mount_columns_stay_clear_of_the_body(job_with):
    shell = shell_of(job_with())
    out = 80.0 - shell.side_mm  # face of the body, vehicle axes

    def mounts(x):
        return [{"name": "foot", "at": [x, 200, 0], "normal": "+z", "thread": "M10"}]

    clear = job_with(space=ROOMY, table_mount_point=mounts(out - shell.mount_room_mm))
    assert verdict(clear, good(clear)) == []
    close = job_with(space=ROOMY, table_mount_point=mounts(out - shell.mount_room_mm + 0.01))
    found = verdict(close, good(close))
    assert [v.with_what for v in found] == ["the axis of mount point foot"]
    assert found[0].got_mm == pytest.approx(shell.mount_room_mm - 0.01, abs=1e-6)


def test_random_arrangements_mirror_alike(job_with):
    """The bay is symmetric about x = 300: an arrangement and its mirror image get the same verdict."""
    job = job_with(space=ROOMY)
    bay = bay_of(job, Path())
    rng = np.random.default_rng(6)
    seen = set()
    for _ in range(12):
        x = float(rng.uniform(25, 175))
        frame, mirror = Pose((x, 80.0, 80.0)), Pose((600 - x - 400, 80.0, 80.0))
        a = bool(verdict(job, [module(job, 1, (50, 50, 50))], frame=frame, bay=bay))
        b = bool(verdict(job, [module(job, 1, (150, 50, 50), "+z", "-x")], frame=mirror, bay=bay))
        assert a == b
        seen.add(a)
    assert seen == {True, False}
