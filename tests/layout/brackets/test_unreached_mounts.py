"""A mount that nothing reaches is named with every kind tried and by how much it missed; gussets give way."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from layout.arrangement import Arrangement
from layout.box.shell import shell_of
from layout.brackets.design import Sizes
from layout.brackets.plan import mounts_in_pack, plan_options, ways_to
from layout.errors import DesignError
from layout.frames import Extent, Pose, vec3
from layout.job import Job
from layout.packing.reach import ways_to_reach
from layout.space.bay import Bay
from layout.space.judge import too_near
from layout.space.judge_arrangement import body_obstacle
from layout.study.clearance import bay_conflicts, clear_bracket
from layout.study.making import making_of
from layout.study.unreached import unreached


def with_block(bay: Bay, low: tuple[float, float, float], high: tuple[float, float, float]) -> Bay:
    return replace(bay, keep_outs=(*bay.keep_outs, body_obstacle("air tank", Extent(low, high), Pose())))


def moved_mount(job: Job, name: str, **changes: object) -> Job:
    mounts = tuple(m.model_copy(update=changes) if m.name == name else m for m in job.mount_points)
    return job.model_copy(update={"mount_points": mounts})


def test_every_kind_tried_is_named_with_what_is_in_the_way(
    front_job: Job, front_bay: Bay, front_arrangement: Arrangement
) -> None:
    """A tank that stands on the mount itself: the angle runs into it, other walls are too near or too far, by how much."""
    x, y, z = next(m for m in front_job.mount_points if m.name == "rail RH front").at_mm
    bay = with_block(front_bay, (x - 30.0, y - 25.0, z), (x + 30.0, y + 25.0, z + 60.0))
    error = unreached(front_job, bay, front_arrangement, shell_of(front_job), 5.0)
    assert isinstance(error, DesignError)
    said = str(error)
    assert "bracket at mount 'rail RH front'" in said
    assert "gusseted L, right wall: its foot runs into air tank by" in said
    assert "fore wall: 40 mm behind its bar's face, an angle reaches 32 to 340 mm: 72 mm too near" in said
    assert "standoff: no wall is faced by it" in said
    assert making_of(front_job, bay, front_arrangement, shell_of(front_job)).trouble == said


def test_mounts_that_are_reached_are_not_complained_of(front_job: Job, front_bay: Bay, front_arrangement: Arrangement) -> None:
    assert unreached(front_job, front_bay, front_arrangement, shell_of(front_job), 5.0) is None


@pytest.mark.parametrize(("at", "words"), [(372.0 + 400.0, "80 mm too far"), (430.0, "7 mm too near")])
def test_a_standoff_says_by_how_much_it_misses(front_job: Job, front_arrangement: Arrangement, at: float, words: str) -> None:
    job = moved_mount(front_job, "rail LH front", at_mm=(at, 0.0, 500.0), normal="-x")
    inside = Extent((-75.0, -217.0, 349.0), (354.0 + 20.0 if at < 500.0 else 354.0, 219.0, 700.0))
    with pytest.raises(DesignError, match=f"fore wall: .* a standoff reaches 45 to 320 mm: {words}"):
        next(plan_options(job, Pose(), inside, shell_of(job)))


def test_a_mount_under_the_box_is_told_from_one_too_near(front_job: Job, front_arrangement: Arrangement) -> None:
    job = moved_mount(front_job, "rail LH front", at_mm=(100.0, 0.0, 330.0))
    with pytest.raises(DesignError, match=r"it lies under the box, whose floor and lid carry no bracket"):
        next(plan_options(job, Pose(), front_arrangement.inside, shell_of(job)))


def test_each_kind_follows_from_the_place_and_says_so(front_job: Job, front_arrangement: Arrangement) -> None:
    shell, inside = shell_of(front_job), front_arrangement.inside
    on_rail = {"rail": front_job.mount_points[0].rail or {"width": 60.0, "along": "x"}}
    jobs = {
        "gusseted L": (front_job, "no other kind is asked for"),
        "saddle": (Job.model_validate(_file_like(front_job, "rail LH front", on_rail)), "on a rail 60 mm wide"),
        "standoff": (moved_mount(front_job, "rail LH front", at_mm=(480.0, 0.0, 500.0), normal="-x"), "faces the fore wall"),
        "plain L": (moved_mount(front_job, "rail LH front", bracket="plain L"), "the job asks for it"),
    }
    for kind, (job, words) in jobs.items():
        mount = next(m for m in mounts_in_pack(job, Pose()) if m.name == "rail LH front")
        best = min(ways_to(mount, inside, shell)[0], key=lambda way: way.cost_mm)
        assert best.kind == kind
        assert words in best.why


def _file_like(job: Job, name: str, changes: dict[str, object]) -> Job:
    from layout.job.bay import Rail

    rail = changes["rail"]
    return moved_mount(job, name, rail=Rail.model_validate(rail) if isinstance(rail, dict) else rail)


def test_gussets_that_would_run_into_something_are_left_out(
    front_job: Job, front_bay: Bay, front_arrangement: Arrangement
) -> None:
    """A pipe across the corner between leg and foot: all gussets go, what is left is a plain L and meets nothing."""
    shell = shell_of(front_job)
    x, y, z = next(m for m in front_job.mount_points if m.name == "rail RH front").at_mm
    plans = next(plan_options(front_job, front_arrangement.frame, front_arrangement.inside, shell))
    plan = next(p for p in plans if any(m.name == "rail RH front" for m in p.mounts))
    usual = clear_bracket(front_job, front_bay, front_arrangement, shell, plan, Sizes(5.0))
    assert usual.kind == "gusseted L"
    corner = y + 30.0  # between the bolt and the leg, above the foot's bolt heads, clear of those of the leg
    bay = with_block(front_bay, (x - 700.0, corner - 4.0, z + 20.0), (x + 40.0, corner + 4.0, z + 28.0))
    met = [name for name, e, p in usual.bodies if too_near(bay, e, front_arrangement.frame.then(p), 0.0) == "air tank"]
    assert met
    assert all(name.startswith("gusset ") for name in met)
    found = clear_bracket(front_job, bay, front_arrangement, shell, plan, Sizes(5.0))
    assert len(found.gussets) < len(usual.gussets)
    assert found.gusset_places_mm == ()
    assert found.kind == "plain L"
    assert "left out that would run into air tank" in found.why
    assert bay_conflicts(bay, front_arrangement, found) == []
    np.testing.assert_allclose(found.mount_bolts[0].head_mm, vec3(usual.mount_bolts[0].head_mm))


def test_the_search_knows_where_a_wall_must_stand_for_a_standoff(front_job: Job) -> None:
    """A mount on a bulkhead that looks aft: the fore wall stands 45 to 320 mm before it, bar and sheet between."""
    job, shell = moved_mount(front_job, "rail LH front", at_mm=(480.0, 0.0, 500.0), normal="-x"), shell_of(front_job)
    limit = Extent((-400.0, -300.0, 340.0), (470.0, 300.0, 800.0))
    fore = [span for way in ways_to_reach(job, Pose(), shell, limit) for span in way if span.face == 3]
    off = shell.sheet_mm + shell.bar_mm
    assert any((s.low_mm, s.high_mm) == (480.0 - 320.0 - off, 480.0 - 45.0 - off) for s in fore)
