"""Where a bay is cut for several boxes: regions, shares, and the bound over all cuts."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.frames import Pose
from layout.job import Job
from layout.packing.clock import Clock, clock_for
from layout.several.counting import Counting, ask_of
from layout.several.cuts import Ceiling, Finder
from layout.several.regions import Region
from layout.several.splits import MOST_SPLITS, splits
from layout.space.bay import Bay

EVER = Clock(math.inf)


class _Rods(Counting):
    """Boxes that hold a module for every `each_mm` of the region along x, less their two walls: known in closed form."""

    each_mm, walls_mm, length_mm = 100.0, 30.0, 780.0

    def count(self, number: int, region: Region) -> int:
        del number
        low, high = max(region.low_mm[0], 400.0), min(region.high_mm[0], 400.0 + self.length_mm)
        return max(math.floor((high - low - self.walls_mm) / self.each_mm + 1e-9), 0)


@given(st.lists(st.integers(1, 9), min_size=2, max_size=3), st.integers(1, 27))
def test_shares_add_up_and_no_box_takes_more_than_it_holds(holds: list[int], wanted: int) -> None:
    found = splits(tuple(holds), wanted)
    assert bool(found) == (len(holds) <= wanted <= sum(holds))
    assert len(found) <= MOST_SPLITS
    for counts in found:
        assert sum(counts) == wanted
        assert all(1 <= c <= h for c, h in zip(counts, holds, strict=True))


def test_pieces_on_both_sides_of_a_cut_leave_the_gap_between_them() -> None:
    whole = Region()
    low, high = whole.below(1, 40.0).within(10.0), whole.above(1, 40.0).within(10.0)
    assert high.min_mm[1] - low.max_mm[1] == pytest.approx(10.0)
    assert whole.below(1, 40.0).holds((0.0, 39.9, 0.0))
    assert not whole.below(1, 40.0).holds((0.0, 40.0, 0.0))
    assert whole.above(1, 40.0).holds((0.0, 40.0, 0.0))


def _rods(job: Job, bay: Bay) -> _Rods:
    return _Rods(ask_of(job, bay, Pose(), 0, 40.0))


def test_the_bound_over_all_cuts_is_what_two_rows_hold(two_box_job: Job, two_box_bay: Bay) -> None:
    span = (two_box_bay.extent.min_mm, two_box_bay.extent.max_mm)
    bound = Ceiling(_rods(two_box_job, two_box_bay), span, EVER, 0).value((1, 2), Region())
    # a cut square to y or z parts nothing of a row along x: each piece then holds all of it
    whole = math.floor((780.0 - 30.0) / 100.0)
    assert bound == 2 * whole


def test_the_bound_over_cuts_along_the_row_is_the_closed_form(two_box_job: Job, two_box_bay: Bay) -> None:
    span = (two_box_bay.extent.min_mm, two_box_bay.extent.max_mm)
    ceiling = Ceiling(_rods(two_box_job, two_box_bay), span, EVER, 0)
    from layout.several.cuts import Cut

    along = ceiling._over(Cut(0, (1,), (2,)), Region())
    best = max(math.floor((c - 30.0) / 100.0) + math.floor((780.0 - c - 30.0) / 100.0) for c in range(30, 751))
    assert best <= along <= best + 1  # intervals are halved down to half a millimetre


def test_a_bay_with_a_hump_holds_more_in_two_boxes(two_box_job: Job, two_box_bay: Bay) -> None:
    ask = ask_of(two_box_job, two_box_bay, Pose(), 0, 40.0)
    span = (two_box_bay.extent.min_mm, two_box_bay.extent.max_mm)
    counting = Counting(ask)
    single = counting.count(1, Region())
    plans = Finder(counting, span, clock_for(30.0), ask.most).plans((1, 2), Region())
    assert plans[0].count > single
    assert plans[0].cuts[0][0] == 1
    left, right = plans[0].pieces
    assert left.region.low_mm[1] == right.region.high_mm[1]
    assert all(ask.mounts.enough(p.number, p.region) for p in plans[0].pieces)
    bound = Ceiling(Counting(ask, outer=True), span, clock_for(30.0), 0).value((1, 2), Region())
    assert bound >= plans[0].count


def test_mount_points_go_to_the_box_they_name_or_to_their_side(two_box_job: Job, two_box_bay: Bay) -> None:
    named = two_box_job.mount_points[0].model_copy(update={"box": 2})
    job = two_box_job.model_copy(update={"mount_points": (named, *two_box_job.mount_points[1:])})
    mounts = ask_of(job, two_box_bay, Pose(), 0, 40.0).mounts
    left = Region().above(1, 0.0)
    assert named.name not in mounts.of(1, left)
    assert named.name in mounts.of(2, Region().below(1, 0.0))
    assert len(mounts.of(1, left)) == 3
    assert not mounts.enough(1, left.below(0, 800.0))
