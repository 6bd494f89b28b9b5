"""Two boxes evaluated: forces, masses, wiring, names, and the boxes held against one another."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from layout.arrangement import SearchResult
from layout.frames import Pose, vec3
from layout.job import Job
from layout.several.apart import APART_MM, other_boxes
from layout.several.cables import cables_of
from layout.several.model import PackArrangement
from layout.several.pairing import faults
from layout.several.study import PackStudy, whole_assembly
from layout.several.ways import ways_in
from layout.space.bay import Bay
from layout.space.judge import distance_to
from layout.space.judge_arrangement import body_obstacle

G0 = 9.80665


def _pack(search: SearchResult) -> PackArrangement:
    pack = search.arrangements[0]
    assert isinstance(pack, PackArrangement)
    return pack


def test_forces_sum_to_each_boxs_load_and_to_the_packs(two_box_study: PackStudy) -> None:
    for case in two_box_study.cases:
        load = G0 * (np.array([0.0, 0.0, -1.0]) - np.array(case.case.acceleration_g))
        total = np.sum([r.force_n for r in case.forces], axis=0)
        assert total == pytest.approx(two_box_study.pack.mass_kg * load, abs=1e-3)
        for _, one in two_box_study.boxes:
            own = {m.name for m in one.mounts}
            part = np.sum([r.force_n for r in case.forces if r.name in own], axis=0)
            assert part == pytest.approx(one.pack.mass_kg * load, abs=1e-3)


def test_the_packs_mass_is_that_of_its_boxes(two_box_study: PackStudy) -> None:
    masses = [one.pack.mass_kg for one in two_box_study.studies]
    assert two_box_study.pack.mass_kg == pytest.approx(sum(masses))
    centroid = np.average([one.pack.centroid_mm for one in two_box_study.studies], axis=0, weights=masses)
    assert two_box_study.pack.centroid_mm == pytest.approx(centroid)
    assert two_box_study.balance.change_kg == pytest.approx(two_box_study.balance.added_kg - 230.0)


def test_names_of_parts_and_items_tell_the_boxes_apart(two_box_study: PackStudy) -> None:
    parts = [p.number for box in whole_assembly(two_box_study).children for a in box.children for p in a.parts]
    assert max(Counter(parts).values()) == 1
    assert {n.split("-")[2] for n in parts} == {"B1", "B2"}
    assert max(Counter(i.name for i in two_box_study.pack_items).values()) == 1
    assert all(c.part.startswith(("B1 ", "B2 ")) or "-B1-" in c.part or "-B2-" in c.part for c in two_box_study.checks)


def test_the_string_runs_through_both_boxes_with_one_cable(two_box_study: PackStudy) -> None:
    pack = two_box_study.arrangement
    assert pack.wiring is not None
    (string,) = pack.wiring.strings
    assert sorted(string) == sorted(m.id for m in pack.modules)
    assert len(pack.cables) == 1
    own = [part.wiring for part in pack.parts]
    assert sum(w.length_mm for w in own if w) + pack.cables[0].length_mm == pytest.approx(pack.wiring.length_mm)
    (cable,) = cables_of(two_box_study.job, pack)
    assert cable.way_mm is not None
    assert cable.way_mm >= cable.straight_mm
    assert two_box_study.electrical.nominal_v == pytest.approx(4 * 14.8)


def test_brackets_keep_clear_of_the_other_box_and_its_brackets(two_box_study: PackStudy, two_box_bay: Bay) -> None:
    pack, (first, second) = two_box_study.arrangement, two_box_study.studies
    for _, extent, pose in (body for b in first.brackets for body in b.bodies):
        for _, piece in pack.pieces(two_box_study.job, 2):
            got, _ = distance_to(body_obstacle("", piece, Pose()), extent, pose, two_box_bay.clearance_mm)
            assert got >= two_box_bay.clearance_mm - 1e-6
        for _, other, place in (body for b in second.brackets for body in b.bodies):
            got, _ = distance_to(body_obstacle("", other, place), extent, pose, APART_MM)
            assert got >= APART_MM - 1e-6


def test_a_box_moved_into_the_other_is_found_by_the_judge(
    four_module_job: Job, two_box_bay: Bay, four_module_search: SearchResult
) -> None:
    pack = _pack(four_module_search)
    assert faults(four_module_job, two_box_bay, pack) == ""
    left = pack.parts[0]
    by = np.array([0.0, 430.0, 0.0])  # of the right one, towards the left
    moved = replace(
        pack.parts[1],
        modules=tuple(replace(m, pose=Pose(vec3(m.pose.origin_mm + by), m.pose.axes)) for m in pack.parts[1].modules),
        inside=replace(
            pack.parts[1].inside, min_mm=vec3(pack.parts[1].inside.min_mm + by), max_mm=vec3(pack.parts[1].inside.max_mm + by)
        ),
    )
    bare = replace(two_box_bay, keep_outs=(), columns=())
    wrong = faults(four_module_job, bare, replace(pack, parts=(left, moved)))
    assert "of box B" in wrong
    assert len(other_boxes(four_module_job, bare, pack, 1).keep_outs) == 2


def test_the_boxes_go_in_one_after_the_other(four_module_job: Job, two_box_bay: Bay, four_module_search: SearchResult) -> None:
    ways = ways_in(four_module_job, two_box_bay, _pack(four_module_search))
    assert ways.possible
    assert sorted(ways.order) == [1, 2]
    assert ways.under == ((), ())


def test_a_case_in_which_the_boxes_accelerate_differently_is_each_boxs_own(two_box_study: PackStudy) -> None:
    first, second = two_box_study.studies
    case = second.cases[0]
    harder = replace(case, case=replace(case.case, acceleration_g=(-9.0, 0.0, 0.0)))
    changed = replace(two_box_study, studies=(first, replace(second, cases=(harder, *second.cases[1:]))))
    own = [c for c in changed.cases if c.box]
    assert [(c.box, len(c.forces)) for c in own] == [("B1", 4), ("B2", 4)]
    assert [c.case.name for c in own] == [f"{case.case.name}, box B1", f"{case.case.name}, box B2"]
    named = {c.case for c in changed.checks} & {c.case.name for c in own}
    assert named == {c.case.name for c in own}
    assert case.case.name not in {c.case for c in changed.checks}
