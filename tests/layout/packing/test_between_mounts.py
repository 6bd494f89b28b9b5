"""Where no wish settles the place, the pack goes to the middle of its mounts."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from layout.box import shell_of
from layout.frames import Extent, Pose
from layout.job import Job, read_job
from layout.packing.between import between_mounts
from layout.packing.bodies import bodies_of
from layout.packing.goal import Spot
from layout.packing.search import arrange
from layout.packing.slide import Frame, Layout
from layout.space.bay import bay_of
from layout.space.judge_arrangement import judge_arrangement

JOB = Path(__file__).parents[2] / "jobs" / "ostermark-floor.toml"


@pytest.fixture(scope="module")
def under_floor() -> Job:
    return read_job(JOB)


def centroid(job: Job, prefer: tuple[str, ...]) -> tuple[np.ndarray, object]:
    wished = job.model_copy(update={"pack": job.pack.model_copy(update={"prefer": prefer})})
    bay = bay_of(wished, JOB.parent)
    best = arrange(wished, bay, seconds=3.0, seed=0).arrangements[0]
    masses = [m.kind.mass_kg for m in best.modules]
    return best.frame.point(np.average([m.centroid_mm for m in best.modules], axis=0, weights=masses)), (wished, bay, best)


def test_pack_hangs_between_its_mounts(under_floor: Job) -> None:
    middle = np.mean([m.at_mm for m in under_floor.mount_points], axis=0)
    at, (job, bay, best) = centroid(under_floor, ("low", "centred"))
    assert at[0] == pytest.approx(middle[0], abs=1.0)
    assert judge_arrangement(job, bay, best, shell_of(job)) == []


def test_a_settled_axis_stays_and_limits_hold(under_floor: Job) -> None:
    bodies = bodies_of(under_floor)
    size = np.array(bodies[0].stands[0].size_mm)
    limit = Extent((-2000.0, -400.0, 250.0), (-1000.0, 400.0, 450.0))
    inside = Extent((-1400.0, -100.0, 250.0), (-1000.0, 100.0, 400.0))
    layout = Layout((Spot(0, 0, (-1399.0, -99.0, 251.0)),), inside)
    frame = Frame(Pose(), limit, 1.0)
    settled = under_floor.model_copy(
        update={"pack": under_floor.pack.model_copy(update={"prefer": ("ahead_of_axle", "centred")})}
    )
    assert between_mounts(settled, layout, bodies, frame, ("low",)) is layout
    free = under_floor.model_copy(update={"pack": under_floor.pack.model_copy(update={"prefer": ("low",)})})
    moved = between_mounts(free, layout, bodies, frame, ("low",))
    assert moved.inside.min_mm[0] == pytest.approx(-1750.0 - size[0] / 2.0 - 1.0, abs=1.0 + 0.5)
    assert moved.inside.size_mm == inside.size_mm
    assert np.subtract(moved.spots[0].low_mm, moved.inside.min_mm) == pytest.approx([1.0, 1.0, 1.0])
    near = Frame(Pose(), Extent((-1500.0, -400.0, 250.0), (-1000.0, 400.0, 450.0)), 1.0)
    assert between_mounts(free, layout, bodies, near, ("low",)).inside.min_mm[0] == -1500.0
