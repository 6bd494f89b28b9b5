"""Mounts above the box: the leg goes up past the edge of the lid flange without touching it."""

from __future__ import annotations

import numpy as np
import pytest

from layout.arrangement import Arrangement
from layout.box.shell import shell_of
from layout.brackets.angle import design_bracket
from layout.brackets.plan import plan_options
from layout.job import Job
from layout.study.clearance import bracket_bodies


def hung(job: Job, lid_bolt: str) -> Job:
    """The job with its mounts in a roof over the box."""
    mounts = tuple(m.model_copy(update={"at_mm": (m.at_mm[0], m.at_mm[1], 830.0), "normal": "-z"}) for m in job.mount_points)
    return job.model_copy(update={"mount_points": mounts, "box": job.box.model_copy(update={"lid_bolt": lid_bolt})})


@pytest.mark.parametrize("lid_bolt", ["M4", "M5", "M6", "M8"])
def test_leg_of_a_bracket_to_a_roof_passes_the_lid_flange(
    front_job: Job, front_arrangement: Arrangement, lid_bolt: str
) -> None:
    job, inside = hung(front_job, lid_bolt), front_arrangement.inside
    shell = shell_of(job)
    assert shell.bar_mm >= shell_of(front_job).bar_mm
    flange = shell.slab(inside)
    for plan in next(plan_options(job, front_arrangement.frame, inside, shell)):
        bracket = design_bracket(job, plan, inside, shell, 6.0)
        assert bracket.leg_top_mm > 830.0 - flange.min_mm[2]  # it reaches down below the flange
        for name, extent, pose in bracket_bodies(bracket):
            seen = extent.seen_from(pose)
            depth = np.min(np.minimum(seen.max_mm, flange.max_mm) - np.maximum(seen.min_mm, flange.min_mm))
            assert depth <= 0.0, name
