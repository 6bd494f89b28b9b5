"""Plates that meet without overlapping, holes that are in line, openings where they were asked for."""

from __future__ import annotations

from itertools import combinations

import numpy as np
import pytest

from layout.box.construct import constructed_box
from layout.box.lid import bolt_line
from layout.box.shell import shell_of
from layout.box.welded import design_box
from layout.brackets.plan import plan_options
from layout.design import Hardware, Plate
from layout.design.geometry import loop_extent_mm
from layout.design.mass import body_mass
from layout.errors import DesignError
from layout.frames import Array, Extent
from layout.job import Job
from layout.job.box import Opening
from layout.study.study import Study


def extent_of(plate: Plate) -> Extent:
    x0, y0, x1, y1 = loop_extent_mm(plate.profile.outline)
    return Extent((x0, y0, 0.0), (x1, y1, plate.thickness_mm)).seen_from(plate.pose)


def holes_in_pack(plates: tuple[Plate, ...]) -> dict[str, tuple[Array, float]]:
    return {h.name: (p.pose.point((*h.centre_mm, 0.0)), h.diameter_mm) for p in plates for h in p.profile.holes}


def distance_to_line(point: Array, bolt: Hardware) -> float:
    return float(np.linalg.norm(np.cross(point - np.array(bolt.head_mm), np.array(bolt.axis))))


def test_plates_do_not_overlap(front_study: Study) -> None:
    """Flat plates parallel to the axes: where two boxes of their extents overlap, only the ring's opening may explain it."""
    plates = [p for p in front_study.box.plates if not p.profile.cutouts]
    assert len(plates) > 8
    for a, b in combinations(plates, 2):
        ea, eb = extent_of(a), extent_of(b)
        depth = np.min(np.minimum(ea.max_mm, eb.max_mm) - np.maximum(ea.min_mm, eb.min_mm))
        assert depth <= 1e-9, (a.name, b.name, depth)


def test_lid_bolts_pass_both_their_holes(front_study: Study) -> None:
    holes = holes_in_pack(front_study.box.plates)
    bolts = [b for b in front_study.box.hardware if b.group == "lid"]
    assert len(bolts) >= 12
    for bolt in bolts:
        assert len(bolt.holes) == 2
        for name in bolt.holes:
            place, diameter = holes[name]
            assert distance_to_line(place, bolt) < 1e-9
            assert diameter > float(bolt.size[1:])


def test_lid_bolt_pitch_and_corners() -> None:
    places = bolt_line(Extent((0.0, 0.0, 0.0), (400.0, 150.0, 0.0)), 75.0)
    assert {(0.0, 0.0), (400.0, 0.0), (400.0, 150.0), (0.0, 150.0)} <= set(places)
    steps = [np.hypot(b[0] - a[0], b[1] - a[1]) for a, b in zip(places, places[1:] + places[:1], strict=True)]
    assert max(steps) <= 75.0 + 1e-9
    assert len(places) == 2 * (6 + 2)


def test_opening_lies_where_the_job_says(front_study: Study) -> None:
    """80 mm to the left of and 60 mm above the middle of the aft wall, in vehicle axes, not mirrored."""
    opening = front_study.job.box.openings[0]
    wall = front_study.box.plate(front_study.box.panels["aft"])
    hole = next(h for h in wall.profile.holes if h.fastener == opening.name)
    place = wall.pose.point((*hole.centre_mm, 0.0))
    inside = front_study.arrangement.inside
    assert place[1] == pytest.approx(inside.centre_mm[1] + 80.0)
    assert place[2] == pytest.approx(inside.centre_mm[2] + 60.0)
    assert place[0] == pytest.approx(inside.min_mm[0])
    assert hole.diameter_mm == opening.diameter_mm


def test_opening_too_near_the_edge_is_refused(front_job: Job, front_study: Study) -> None:
    bad = Opening.model_validate({"name": "data", "panel": "left", "diameter": 20, "at": [0, 165]})
    job = front_job.model_copy(update={"box": front_job.box.model_copy(update={"openings": (bad,)})})
    shell = shell_of(job)
    plans = next(iter(plan_options(job, front_study.arrangement.frame, front_study.arrangement.inside, shell)))
    with pytest.raises(DesignError, match=r"data.*left panel.*10 mm"):
        design_box(job, front_study.arrangement.inside, shell, plans)


def test_everything_lies_within_the_shell_the_search_used(front_study: Study) -> None:
    """What the judge was told about is at least what is built."""
    box = front_study.box
    outer = box.shell.outermost(box.inside)
    for plate in box.plates:
        extent = extent_of(plate)
        assert all(a >= b - 1e-9 for a, b in zip(extent.min_mm, outer.min_mm, strict=True)), plate.name
        assert all(a <= b + 1e-9 for a, b in zip(extent.max_mm, outer.max_mm, strict=True)), plate.name
    body, slab = box.shell.body(box.inside), box.shell.slab(box.inside)
    for plate in box.plates:
        extent = extent_of(plate)
        held = any(
            all(a >= b - 1e-9 for a, b in zip(extent.min_mm, piece.min_mm, strict=True))
            and all(a <= b + 1e-9 for a, b in zip(extent.max_mm, piece.max_mm, strict=True))
            for piece in (body, slab)
        )
        assert held, plate.name
    for bolt in box.hardware:
        tip = np.array(bolt.head_mm) + bolt.length_mm * np.array(bolt.axis)
        if bolt.group == "cover":
            head = np.array(bolt.head_mm) - 3.5 * np.array(bolt.axis)
            assert all(a <= v <= b for a, v, b in zip(body.min_mm, head, body.max_mm, strict=True)), bolt.number
            continue
        assert slab.min_mm[2] - 1e-9 <= tip[2] <= bolt.head_mm[2] <= slab.max_mm[2]


def test_volume_of_the_bare_box_by_hand(front_study: Study) -> None:
    """Floor and four walls as a closed shell less its top: outer box minus inner box."""
    box, t = front_study.box, front_study.box.shell.sheet_mm
    sx, sy, sz = box.inside.size_mm
    want = (sx + 2 * t) * (sy + 2 * t) * (sz + t) - sx * sy * sz
    opening = front_study.job.box.openings[0]
    want -= np.pi * opening.diameter_mm**2 / 4.0 * t
    (cover,) = box.covers  # corners of 8 mm radius
    want -= (cover.size_mm[0] * cover.size_mm[1] - (4.0 - np.pi) * 64.0) * t
    names = [box.panels[n] for n in ("bottom", "left", "right", "fore", "aft")]
    got = sum(body_mass(box.plate(n)).volume_mm3 for n in names)
    assert got == pytest.approx(want, rel=1e-9)


def test_other_construction_is_refused_not_ignored(front_job: Job, front_study: Study) -> None:
    box = front_job.box.model_copy(update={"construction": "unheard of"})
    job = front_job.model_copy(update={"box": box})
    shell = shell_of(job)
    plans = next(iter(plan_options(job, front_study.arrangement.frame, front_study.arrangement.inside, shell)))
    with pytest.raises(DesignError, match="construction"):
        constructed_box(job, front_study.arrangement.inside, shell, plans)
