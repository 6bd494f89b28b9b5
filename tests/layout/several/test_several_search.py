"""Two boxes searched for: as many as were asked for, each in its own piece of the bay, none found at fault by the judge."""

from __future__ import annotations

from itertools import product

import pytest

from layout.errors import JobError, NothingFits
from layout.frames import Extent
from layout.job import Job
from layout.several.model import PackArrangement
from layout.several.pairing import faults
from layout.several.search import arrange_several
from layout.space.bay import Bay


def _gap_mm(one: Extent, other: Extent) -> float:
    """Greatest distance of two boxes along one axis."""
    return max(max(one.min_mm[a] - other.max_mm[a], other.min_mm[a] - one.max_mm[a]) for a in range(3))


def test_what_was_asked_for_lies_in_two_boxes_apart(four_module_job: Job, two_box_bay: Bay) -> None:
    found = arrange_several(four_module_job, two_box_bay, seconds=1.0, seed=0)
    assert found.placed == 4
    assert found.proven
    assert found.upper_bound >= 16  # what longer searches place
    for one in found.arrangements:
        assert isinstance(one, PackArrangement)
        assert all(part.modules for part in one.parts)
        assert faults(four_module_job, two_box_bay, one) == ""
        first, second = (one.pieces(four_module_job, k) for k in (1, 2))
        for (_, a), (_, b) in product(first, second):
            assert _gap_mm(a, b) >= two_box_bay.clearance_mm - 1e-6
        assert len(one.cables) == 1
        assert one.wiring is not None
        assert one.mounts[0].isdisjoint(one.mounts[1])


def test_more_than_two_boxes_can_hold_is_refused_with_the_bound(two_box_job: Job, two_box_bay: Bay) -> None:
    pack = two_box_job.pack.model_copy(update={"count": 20, "series": 20})
    job = two_box_job.model_copy(update={"pack": pack})
    with pytest.raises(NothingFits, match="2 boxes in this bay") as error:
        arrange_several(job, two_box_bay, seconds=0.5, seed=0)
    assert error.value.fitted < 20
    assert error.value.bound is not None


def test_mount_points_all_on_one_side_leave_no_cut(two_box_job: Job, two_box_bay: Bay) -> None:
    named = tuple(m.model_copy(update={"box": 1}) for m in two_box_job.mount_points)
    job = two_box_job.model_copy(update={"mount_points": named})
    with pytest.raises(JobError) as error:
        arrange_several(job, two_box_bay, seconds=0.5, seed=0)
    assert [p.path for p in error.value.problems] == ["pack.boxes"]


def test_mount_points_that_name_their_boxes_decide_which_box_is_which(four_module_job: Job, two_box_bay: Bay) -> None:
    named = tuple(
        m.model_copy(update={"box": 2 if m.name.startswith("LH") else 1}) for m in four_module_job.mount_points
    )
    job = four_module_job.model_copy(update={"mount_points": named})
    found = arrange_several(job, two_box_bay, seconds=0.5, seed=0)
    one = found.arrangements[0]
    assert isinstance(one, PackArrangement)
    right, left = one.parts
    assert right.inside.max_mm[1] < left.inside.min_mm[1]
    assert all(name.startswith("RH") for name in one.mounts[0])
