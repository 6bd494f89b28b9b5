"""The search on bays small enough to reason about by hand."""

from __future__ import annotations

from typing import Any

import pytest

from layout.box.shell import shell_of
from layout.errors import JobError, NothingFits
from layout.packing.equipment_fit import equipment_violations
from layout.packing.search import arrange
from layout.space.judge_arrangement import judge_arrangement


def search(make: Any, job: Any, seconds: float = 10.0, seed: int = 1) -> Any:
    bay = make.bay(job)
    result = arrange(job, bay, seconds=seconds, seed=seed)
    for one in result.arrangements:
        assert judge_arrangement(job, bay, one, shell_of(job)) == []
        assert equipment_violations(bay, one, shell_of(job)) == []
    return result


def test_one_module_in_a_room_of_its_own_size(make: Any) -> None:
    result = search(make, make.job((300, 120, 100), [make.slab], {"count": 1}))
    assert result.placed == 1
    assert result.proven


@pytest.mark.parametrize("axis", [0, 1, 2])
def test_a_room_one_millimetre_too_small_holds_nothing(make: Any, axis: int) -> None:
    room = [300.0, 120.0, 100.0]
    room[axis] -= 1.0
    with pytest.raises(NothingFits, match=r"lacks 1\.0 mm along") as caught:
        search(make, make.job(tuple(room), [make.slab], {"count": 1}))
    assert caught.value.fitted == 0
    assert caught.value.bound == 0
    assert f"along {'xyz'[axis]}" in str(caught.value)


def test_exact_fit_of_four_with_gaps(make: Any) -> None:
    result = search(make, make.job((300, 244, 204), [make.slab], {"count": "max"}))
    assert (result.placed, result.upper_bound, result.proven) == (4, 4, True)


def test_gap_takes_room(make: Any) -> None:
    result = search(make, make.job((300, 243, 204), [make.slab], {"count": "max"}))
    assert (result.placed, result.upper_bound, result.proven) == (2, 2, True)


def test_more_modules_than_fit_is_refused_with_proof(make: Any) -> None:
    with pytest.raises(NothingFits, match="impossible") as caught:
        search(make, make.job((300, 244, 204), [make.slab], {"count": 5}))
    assert (caught.value.fitted, caught.value.bound) == (4, 4)


def test_no_more_than_there_are(make: Any) -> None:
    slab = make.slab | {"available": 3}
    result = search(make, make.job((300, 244, 204), [slab], {"count": "max"}))
    assert (result.placed, result.proven) == (3, True)


def test_zones_may_overlap_but_no_body_may_lie_in_one(make: Any) -> None:
    slab = make.slab | {"terminal_clearance": 40}
    both = search(make, make.job((640, 120, 100), [slab], {"count": "max"}))
    assert (both.placed, both.proven) == (2, True)
    looks = {m.terminals for m in both.arrangements[0].modules}
    assert looks == {"+x", "-x"}
    tight = search(make, make.job((639, 120, 100), [slab], {"count": "max"}))
    assert (tight.placed, tight.proven) == (1, True)


def test_terminals_never_face_down(make: Any) -> None:
    # it fits only standing on end, terminals up or down, which no allowed way up gives
    slab = make.slab | {"up": ["+z", "+y", "-y"]}
    with pytest.raises(NothingFits):
        search(make, make.job((130, 130, 320), [slab], {"count": 1}))


def test_two_types_share_a_room(make: Any) -> None:
    cube = make.slab | {"name": "cube", "size": [100, 100, 100], "mass": 4.0, "available": 3}
    slab = make.slab | {"available": 1}
    result = search(make, make.job((404, 120, 100), [slab, cube], {"count": "max"}))
    assert (result.placed, result.proven) == (3, True)
    result = search(make, make.job((404, 120, 100), [slab, cube | {"available": 1}], {"count": "max"}))
    assert (result.placed, result.proven) == (2, True)
    assert {m.kind.name for m in result.arrangements[0].modules} == {"slab", "cube"}


@pytest.mark.slow
def test_mirrored_bay_holds_as_many(make: Any) -> None:
    post = {"min": [40.0, -200.0, 300.0], "max": [90.0, -100.0, 700.0]}
    low, high = -200.0, -200.0 + 350.0 + 2 * (20.25 + 2.0 + 5.0)
    mirrored = {"min": [40.0, low + high + 100.0, 300.0], "max": [90.0, low + high + 200.0, 700.0]}
    counts = []
    for box in (post, mirrored):
        job = make.job((420, 350, 110), [make.slab], {"count": "max"}, bay={"keep_out": [{"name": "post", "box": box}]})
        counts.append(search(make, job).placed)
    assert counts[0] == counts[1] == 2


def test_same_seed_same_answer(make: Any) -> None:
    job = make.job((430, 300, 104), [make.slab | {"up": ["+z", "+y"], "terminal_clearance": 30}], {"count": 2})
    first, second = search(make, job, 60.0), search(make, job, 60.0)
    assert first.arrangements == second.arrangements


def test_boxes_and_lids_that_are_not_done_are_refused(make: Any) -> None:
    job = make.job((300, 244, 204), [make.slab], {"count": 4, "boxes": 2})
    with pytest.raises(JobError, match=r"pack\.boxes"):
        search(make, job)


def test_equipment_in_the_box_stands_at_its_wall(make: Any) -> None:
    unit = {"name": "unit", "size": [150, 60, 40], "mass": 0.5, "where": "in box", "service_from": ["-y"]}
    result = search(make, make.job((300, 190, 100), [make.slab], {"count": 1}, equipment=[unit]))
    (piece,) = result.arrangements[0].equipment
    inside = result.arrangements[0].inside
    assert piece.face == "-y"
    assert piece.extent.min_mm[1] - inside.min_mm[1] <= 2.0 + 15.0


def test_equipment_on_a_face_takes_room_behind_the_box(make: Any) -> None:
    hung = {"name": "controller", "size": [120, 80, 50], "mass": 3.0, "where": "aft face"}
    result = search(make, make.job((380, 120, 110), [make.slab], {"count": 1}, equipment=[hung]))
    (piece,) = result.arrangements[0].equipment
    assert piece.outside
    assert piece.extent.size_mm[0] == 50.0
    with pytest.raises(NothingFits):
        search(make, make.job((349, 120, 110), [make.slab], {"count": 1}, equipment=[hung]))


@pytest.mark.parametrize(("face", "axis"), [("fore face", 0), ("left face", 1), ("right face", 1), ("top face", 2)])
def test_equipment_on_other_faces(make: Any, face: str, axis: int) -> None:
    hung = {"name": "controller", "size": [120, 80, 50], "mass": 3.0, "where": face}
    result = search(make, make.job((380, 190, 170), [make.slab], {"count": 1}, equipment=[hung]), 4.0)
    (piece,) = result.arrangements[0].equipment
    assert piece.outside
    assert piece.extent.size_mm[axis] == pytest.approx(50.0)
    inside = result.arrangements[0].inside
    if face in ("fore face", "left face", "top face"):
        assert piece.extent.min_mm[axis] > inside.max_mm[axis]
    else:
        assert piece.extent.max_mm[axis] < inside.min_mm[axis]


def test_equipment_at_a_stated_place_keeps_the_box_away(make: Any) -> None:
    there = {"name": "fuse box", "size": [60, 60, 60], "mass": 1.0, "where": "bay", "at": [-60, -160, 340], "clearance": 2}
    with pytest.raises(NothingFits):
        search(make, make.job((300, 120, 100), [make.slab], {"count": 1}, equipment=[there]), 4.0)
    result = search(make, make.job((300, 260, 100), [make.slab], {"count": 1}, equipment=[there]), 4.0)
    (piece,) = result.arrangements[0].equipment
    assert piece.pose.origin_mm == (-60.0, -160.0, 340.0)
    outside = there | {"at": [-90, -160, 340]}
    with pytest.raises(JobError, match=r"equipment\[0\]\.at"):
        search(make, make.job((300, 260, 100), [make.slab], {"count": 1}, equipment=[outside]), 4.0)


def test_a_turned_bay_holds_as_many_when_the_pack_may_turn(make: Any) -> None:
    straight = make.job((300, 244, 100), [make.slab], {"count": "max"})
    turned = make.turned(straight, 30.0, [0.0, 30.0])
    result = search(make, turned)
    assert (result.placed, result.proven) == (2, True)
    x_axis = result.arrangements[0].frame.axes[0]
    assert x_axis[1] == pytest.approx(0.5)


def test_stop_ends_with_the_best_so_far(make: Any) -> None:
    job = make.job((520, 400, 220), [make.slab], {"count": "max"})
    result = arrange(job, make.bay(job), seconds=60.0, seed=1, stop=lambda: True)
    assert result.placed > 0
    assert result.seconds < 10.0


def test_progress_grows(make: Any) -> None:
    job = make.job((300, 244, 204), [make.slab], {"count": "max"})
    seen: list[tuple[int, int | None]] = []
    arrange(job, make.bay(job), seconds=10.0, seed=1, progress=lambda n, bound: seen.append((n, bound)))
    assert [n for n, _ in seen] == sorted(n for n, _ in seen)
    assert seen[-1] == (4, 4)
