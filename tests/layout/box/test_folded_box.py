"""Folded boxes: forms by the press's limits, true offsets, holes in line, nothing in a bend, rules kept."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
import shapely

from layout.arrangement import Arrangement
from layout.box.construct import constructed_box
from layout.box.design import BoxDesign
from layout.box.folded_flats import GAP_MM
from layout.box.folding import BENT, FORM_NAMES, shop_of
from layout.box.shell import shell_of
from layout.brackets.plan import BracketPlan, plan_options
from layout.design import FoldedPlate, Plate
from layout.design.flat import develop, flat_poses, profile_of
from layout.design.geometry import polygon
from layout.design.sheet_rules import check_sheet
from layout.errors import DesignError
from layout.frames import Extent, Pose
from layout.job import Job
from layout.job.box import Opening, Press
from layout.space.judge_arrangement import _in_the_room
from layout.stepped import Stepped
from layout.study.findings import rule_rows, sheet_findings

INSIDE = Extent((-80.0, -240.0, 383.0), (362.0, 229.5, 725.0))


def folded(job: Job, **changes: Any) -> Job:
    box = job.box.model_copy(update={"construction": "folded", **changes})
    return job.model_copy(update={"box": box})


def plans_of(job: Job, inside: Extent = INSIDE) -> tuple[BracketPlan, ...]:
    return next(iter(plan_options(job, Pose(), inside, shell_of(job))))


def designed(job: Job, inside: Extent = INSIDE, arrangement: Arrangement | None = None) -> BoxDesign:
    return constructed_box(job, inside, shell_of(job), plans_of(job, inside), arrangement)


def limited(job: Job, **limits: float | tuple[float, float]) -> Job:
    return folded(job, press=Press.model_construct(**{**Press().model_dump(), "test_bends": (), **limits}))


def sheet(box: BoxDesign) -> list[FoldedPlate]:
    return [p for p in box.plates if isinstance(p, FoldedPlate)]


def test_a_box_wider_than_deep_is_bent_from_one_flat(front_job: Job) -> None:
    box = designed(folded(front_job))
    (pan,) = sheet(box)
    assert box.folded is not None
    assert box.folded.form == "pan"
    assert box.folded.why == ()
    assert any("box_depth" in note for note in box.folded.notes), "the depth is not known of this press: to be asked"
    assert len(develop(pan).bend_lines) == 8
    assert {box.panels[w] for w in ("bottom", "left", "right", "fore", "aft")} == {pan.number}


@pytest.mark.parametrize(
    ("limits", "form", "words"),
    [
        ({"box_depth_mm": 200.0}, "left and right", "depth of a box with four bent walls"),
        ({"box_depth_mm": 400.0}, "pan", ""),
        ({"flat_mm": (1230.0, 1180.0)}, "pan", ""),
        ({"flat_mm": (1230.0, 900.0)}, "left and right", "flat size"),
        ({"flat_mm": (1180.0, 520.0)}, "fore and aft", "flat size"),
    ],
)
def test_limits_of_the_press_choose_the_form(front_job: Job, limits: dict[str, Any], form: str, words: str) -> None:
    box = designed(limited(front_job, **limits))
    assert box.folded is not None
    assert box.folded.form == form
    assert len(sheet(box)) == 5 - len(BENT[box.folded.form])  # type: ignore[index]
    if words:
        assert any(words in why and FORM_NAMES["pan"] in why for why in box.folded.why)


def test_walls_deeper_than_their_distance_are_not_bent_opposite_each_other(front_job: Job) -> None:
    deep = Extent((-80.0, -240.0, 343.0), (362.0, 229.5, 810.0))
    box = designed(folded(front_job), deep)
    assert box.folded is not None
    assert box.folded.form == "left"
    assert [p.name for p in sheet(box)] == ["floor with left wall", "right wall", "fore wall", "aft wall"]


def test_a_press_that_bends_none_of_the_forms_is_named_with_its_figures(front_job: Job) -> None:
    with pytest.raises(DesignError, match=r"box: .*bend length.*at most 300 mm.*welded"):
        designed(limited(front_job, bend_length_mm=300.0))


def test_the_flange_is_made_long_enough_for_the_stated_press(front_job: Job) -> None:
    long = shell_of(limited(front_job, least_flange_mm=60.0))
    assert long.flange_out_mm + long.sheet_mm >= 60.0
    box = designed(limited(front_job, least_flange_mm=60.0))
    shop = shop_of(limited(front_job, least_flange_mm=60.0))
    assert all(f.ok for p in sheet(box) for f in check_sheet(p, shop))


def test_no_sheet_rule_is_broken_by_any_folded_part(front_job: Job) -> None:
    for thickness, bolt in ((2.0, "M4"), (3.0, "M5"), (4.0, "M6"), (5.0, "M8")):
        job = folded(front_job, sheet_mm=thickness, lid_bolt=bolt)
        box = designed(job)
        broken = [row.words for row in rule_rows(sheet_findings(job, box, ())) if row.broken]
        assert broken == []


def test_room_keeps_every_body_out_of_the_bend_at_the_floor(front_job: Job) -> None:
    """The bend's inner face: a quarter of a cylinder of the inside radius; a corner of the room lies on its open side."""
    shell = shell_of(folded(front_job, liner_mm=1.0))
    r = shell.fold_radius_mm
    assert r == 3.0
    room = shell.room(INSIDE)
    for axis in (0, 1):
        beside = room.min_mm[axis] - INSIDE.min_mm[axis]
        above = room.min_mm[2] - INSIDE.min_mm[2]
        assert (beside, above) == (3.0, 1.0)
        assert beside >= r or np.hypot(r - beside, r - above) <= r
    assert shell_of(front_job).room(INSIDE).min_mm[0] - INSIDE.min_mm[0] == 2.0


def test_the_judge_refuses_a_body_in_the_bend(front_job: Job, front_arrangement: Arrangement) -> None:
    """Laid out for a welded box, 2 mm from the walls: in a folded one the modules would stand in the bend."""
    assert not _in_the_room(front_arrangement, shell_of(front_job))
    found = _in_the_room(front_arrangement, shell_of(folded(front_job)))
    assert found
    assert min(v.got_mm for v in found) == pytest.approx(-1.0)


def test_an_opening_that_reaches_into_a_bend_is_refused(front_job: Job) -> None:
    low = Opening.model_validate({"name": "data", "panel": "aft", "diameter": 20, "at": [0, 155]})
    with pytest.raises(DesignError, match=r"data.*aft panel.*10 mm"):
        designed(folded(front_job, openings=(low,)))
    job = folded(front_job, openings=(low.model_copy(update={"at_mm": (0.0, 100.0)}),))
    (pan,) = sheet(designed(job))
    assert any(h.fastener == "data" for f in pan.flanges for h in f.profile.holes)


def test_an_opening_near_a_bend_is_a_finding_with_its_figure(front_job: Job) -> None:
    near = Opening.model_validate({"name": "data", "panel": "aft", "diameter": 20, "at": [0, 147.5]})
    job = folded(front_job, openings=(near,), press=Press.model_validate({"die": 40}))
    broken = [row for row in rule_rows(sheet_findings(job, designed(job), ())) if row.broken]
    assert [row.worst.rule for row in broken if "AFT-O1" in row.worst.at] == ["hole to bend"]
    assert "after bending" in broken[0].words


def test_a_test_bend_of_the_shop_goes_before_the_standard(front_job: Job) -> None:
    bend = {"radius": 3, "allowance": 5.9}
    job = folded(front_job, press=Press.model_validate({"test_bend": [bend]}))
    box = designed(job)
    (pan,) = sheet(box)
    assert all(line.allowance_mm == pytest.approx(5.9) for line in develop(pan).bend_lines)
    assert box.folded is not None
    assert "shop" in box.folded.k_source.text
    (by_standard,) = sheet(designed(folded(front_job)))
    shorter = np.ptp(np.array(develop(by_standard).profile.outline)[:, 0]) - np.ptp(
        np.array(develop(pan).profile.outline)[:, 0]
    )
    want = 4.0 * (np.pi / 2.0 * (3.0 + 0.325 * 3.0) - 5.9)
    assert shorter == pytest.approx(want, abs=1e-9)


@pytest.mark.parametrize("depth", [None, 200.0])
def test_lid_bolts_and_module_screws_pass_the_holes_they_name(front_job: Job, depth: float | None) -> None:
    box = designed(limited(front_job, box_depth_mm=depth) if depth else folded(front_job))
    holes = {}
    for part in box.plates:
        if isinstance(part, Plate):
            holes |= {h.name: part.pose.point((*h.centre_mm, 0.0)) for h in part.profile.holes}
            continue
        for i, pose in enumerate(flat_poses(part)):
            holes |= {h.name: part.pose.then(pose).point((*h.centre_mm, 0.0)) for h in profile_of(part, i).holes}
    assert len(box.hardware) >= 20
    for one in box.hardware:
        for name in one.holes:
            off = np.cross(holes[name] - np.array(one.head_mm), np.array(one.axis))
            assert np.linalg.norm(off) < 1e-9


def test_lid_bolts_keep_off_the_seams_of_the_corners(front_job: Job) -> None:
    box = designed(folded(front_job))
    corner = np.array(box.inside.max_mm)
    far = [p for p in box.lid_bolts_mm if p[0] > corner[0] and p[1] > corner[1]]
    for x, y, _ in box.lid_bolts_mm:
        off = abs((x - corner[0]) - (y - corner[1])) / np.sqrt(2.0)
        assert off > 5.0 + GAP_MM  # half an M5 washer
    assert far == [] or all(abs(x - y) > 0 for x, y, _ in far)


def test_gasket_lies_on_flat_flange_only(front_job: Job) -> None:
    """Under every point of the gasket there is flange: seen from above, but for the seams of the corners."""
    box = designed(folded(front_job))
    (gasket,) = [p for p in box.plates if p.group == "gasket"]
    (pan,) = sheet(box)
    assert isinstance(gasket, Plate)
    origin = np.array(gasket.pose.origin_mm)[:2]
    seal = shapely.transform(polygon(gasket.profile), lambda p: p + origin)
    under = []
    for i, pose in enumerate(flat_poses(pan)):
        placed = pan.pose.then(pose)
        if abs(placed.axes[2][2]) > 0.5 and placed.origin_mm[2] > box.inside.max_mm[2] - 1.0:
            under.append(
                shapely.transform(polygon(profile_of(pan, i)), lambda p, f=placed: f.point(np.c_[p, 0 * p[:, :1]])[:, :2])
            )
    assert len(under) == 4
    rest = shapely.difference(seal, shapely.union_all(under))
    width = 8.0 * np.sqrt(2.0)
    assert rest.area <= 4 * (GAP_MM * width + 30.0)
    corners = [shapely.Point(x, y).buffer(25.0) for x in (-80.0, 362.0) for y in (-240.0, 229.5)]
    holes_only = shapely.difference(rest, shapely.union_all(corners))
    assert holes_only.area < 1e-6


def test_bars_end_below_the_bend_of_the_flange_and_welds_lie_on_flat_sheet(front_job: Job) -> None:
    box = designed(folded(front_job))
    r, (z0, z1) = box.shell.fold_radius_mm, (box.inside.min_mm[2], box.inside.max_mm[2])
    bars = [p for p in box.plates if p.name.startswith("mounting bar")]
    assert bars
    for bar in bars:
        assert isinstance(bar, Plate)
        top = bar.pose.origin_mm[2] + max(v[1] for v in bar.profile.outline)
        assert top == pytest.approx(z1 - r)
        mine = [w for w in box.welds if w.joins[0] == bar.number]
        assert len(mine) == 2
        for weld in mine:
            assert weld.length_mm == pytest.approx(z1 - z0 - 2.0 * r)
    assert len({w.number for w in box.welds}) == len(box.welds)


def test_a_stepped_inside_is_refused_with_its_step(front_job: Job) -> None:
    stepped = Stepped(INSIDE.min_mm, INSIDE.max_mm, Extent((250.0, 100.0, 383.0), INSIDE.max_mm))
    with pytest.raises(DesignError, match=r"rectangular plan.*112 x 130 mm of the inside.*welded"):
        constructed_box(folded(front_job), stepped, shell_of(folded(front_job)), ())
