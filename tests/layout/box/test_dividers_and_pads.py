"""Dividers and soft pads between neighbouring modules: the room they ask for, where they lie, what they weigh."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from pydantic import ValidationError

from layout.arrangement import Arrangement
from layout.box.between import parted, room_between_mm
from layout.box.carriers import Carriers
from layout.box.shell import shell_of
from layout.box.welded import design_box
from layout.frames import Pose
from layout.job import Job
from layout.job.box import Divider, GapPad
from layout.job.sense import sense_problems
from layout.loads.cases import cases_of
from layout.packing.bodies import bodies_of, gap_between
from layout.space.bay import Bay
from layout.space.judge_arrangement import judge_arrangement
from layout.study.held_modules import Held

DIVIDER = Divider(material="insulating sheet", thickness=1.0)
PAD = GapPad(thickness=4.0, pressed=2.5, density=500.0)


def with_box(job: Job, **more: object) -> Job:
    return job.model_copy(update={"box": job.box.model_copy(update=more)})


@pytest.mark.parametrize(
    ("divider", "pad", "room"), [(None, None, 0.0), (DIVIDER, None, 2.0), (None, PAD, 2.5), (DIVIDER, PAD, 3.5)]
)
def test_room_between_modules(front_job: Job, divider: Divider | None, pad: GapPad | None, room: float) -> None:
    job = with_box(front_job, divider=divider, gap_pad=pad)
    assert room_between_mm(job.box) == pytest.approx(room)
    bodies = [b for b in bodies_of(job) if b.is_module]
    assert gap_between(bodies[0], bodies[0]) == pytest.approx(max(room, 4.0))


def test_the_search_keeps_more_than_the_modules_gap(front_job: Job, front_bay: Bay, front_arrangement: Arrangement) -> None:
    thick = GapPad(thickness=9.0, pressed=6.0, density=500.0)
    job = with_box(front_job, gap_pad=thick)
    assert all(b.gap_mm >= 6.0 for b in bodies_of(job))
    shell = shell_of(job)
    near = [v for v in judge_arrangement(job, front_bay, front_arrangement, shell) if v.with_what.startswith("M")]
    plain = judge_arrangement(front_job, front_bay, front_arrangement, shell)
    assert near  # four millimetres apart
    assert not [v for v in plain if v.with_what.startswith("M")]


def test_pad_and_divider_fill_the_gap(front_job: Job, front_arrangement: Arrangement) -> None:
    job = with_box(front_job, divider=DIVIDER, gap_pad=PAD)
    found = parted(job, front_arrangement, Carriers())
    pairs = {one.modules for one in found.found}
    assert pairs == {("M1", "M2"), ("M2", "M3"), ("M4", "M5"), ("M5", "M6"), ("M7", "M8")}
    by_id = {m.id: m.extent for m in front_arrangement.modules}
    for one in found.found:
        low, high = (by_id[name] for name in one.modules)
        pad, divider = one.plates
        assert (pad.name, divider.name) == ("gap pad", "divider")
        assert pad.thickness_mm == pytest.approx(3.0)  # four millimetres less the divider
        assert pad.pose.point((0.0, 0.0, 0.0))[1] == pytest.approx(low.max_mm[1])
        assert divider.pose.point((0.0, 0.0, 1.0))[1] == pytest.approx(high.min_mm[1])
        for plate in one.plates:
            corners = plate.pose.point(np.array([(x, y, 0.0) for x, y, _ in plate.profile.outline]))
            assert corners[:, 0].min() == pytest.approx(low.min_mm[0])
            assert corners[:, 0].max() == pytest.approx(low.max_mm[0])
            assert corners[:, 2].min() == pytest.approx(low.min_mm[2])
            assert corners[:, 2].max() == pytest.approx(low.max_mm[2])
        want = 0.392 * 0.108 * (0.003 * 500.0 + 0.001 * 1400.0)
        assert one.mass_kg == pytest.approx(want)
    assert found.mass_at_kg("M2") == pytest.approx(2.0 * want)


def test_modules_hold_what_lies_beside_them(front_job: Job, front_arrangement: Arrangement) -> None:
    job = with_box(front_job, gap_pad=GapPad(thickness=6.0, pressed=3.0, density=500.0))
    three = front_arrangement.modules[:3]
    raised = tuple(replace(m, pose=Pose((*m.pose.origin_mm[:2], m.pose.origin_mm[2] + 23.0), m.pose.axes)) for m in three)
    arrangement = replace(front_arrangement, modules=raised, equipment=())
    box = design_box(job, arrangement.inside, shell_of(job), (), arrangement)
    held = Held(box, arrangement, cases_of(job))
    loads = {one.held.id: one.mass_kg - 12.4 for one in held.models[0]}
    assert loads == {m.id: pytest.approx(box.between.mass_at_kg(m.id)) for m in raised if m.id in loads}
    assert {p.name for p in box.plates} >= {"gap pad"}


def test_neighbours_too_far_apart_are_named(front_job: Job, front_arrangement: Arrangement) -> None:
    job = with_box(front_job, gap_pad=PAD)
    one, other = front_arrangement.modules[:2]
    x, y, z = other.pose.origin_mm
    away = replace(other, pose=Pose((x, y + 6.0, z), other.pose.axes))
    found = parted(job, replace(front_arrangement, modules=(one, away)), Carriers())
    assert found.found == ()
    assert "10.0 mm apart" in found.notes[0]


def test_pads_are_pressed_to_no_less_than_half() -> None:
    with pytest.raises(ValidationError, match="at least half"):
        GapPad(thickness=4.0, pressed=1.5, density=500.0)
    with pytest.raises(ValidationError, match="less than the whole"):
        GapPad(thickness=4.0, pressed=4.0, density=500.0)


def test_a_pad_thinner_than_the_modules_own_gap_is_refused(front_job: Job) -> None:
    pads = [p.path for p in sense_problems(with_box(front_job, gap_pad=PAD))]
    both = [p.path for p in sense_problems(with_box(front_job, gap_pad=PAD, divider=DIVIDER))]
    assert "box.gap_pad.thickness" in pads
    assert "box.gap_pad.thickness" not in both


def test_a_divider_of_no_known_metal_is_refused(front_job: Job) -> None:
    job = with_box(front_job, divider=Divider(material="6082-T9", thickness=1.0))
    found = [p for p in sense_problems(job) if p.path == "box.divider.material"]
    assert len(found) == 1
    assert "insulating sheet" in found[0].want
