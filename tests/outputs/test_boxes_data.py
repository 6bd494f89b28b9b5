"""Two boxes in the outputs: the fixed keys hold all boxes, and every list has the parts of each."""

from __future__ import annotations

import json

import pytest

from layout.several.study import PackStudy
from outputs.boxes_data import any_study_data
from outputs.cli.boxes_words import pack_fit_lines
from outputs.files import finite
from outputs.flats import sheet_parts
from outputs.lists import cut_list, hardware_list, mass_list, weld_list
from outputs.page.worker import result_of
from outputs.report.record import record


def test_fixed_keys_hold_all_boxes(two_box_study: PackStudy) -> None:
    data = json.loads(json.dumps(finite(any_study_data(two_box_study))))
    one = data["fit"]["arrangements"][0]
    assert [m["id"] for m in one["modules"]] == ["B1-M1", "B1-M2", "B2-M1", "B2-M2"]
    for k in range(3):
        assert one["box"]["min_mm"][k] == min(b["min_mm"][k] for b in one["boxes"])
        assert one["box"]["max_mm"][k] == max(b["max_mm"][k] for b in one["boxes"])
    assert one["insertion"]["possible"]
    assert sorted(one["removal_order"]) == ["B1-M1", "B1-M2", "B2-M1", "B2-M2"]
    assert sum(b["mass_kg"] for b in data["boxes"]) == pytest.approx(data["mass"]["pack_kg"])
    pack = sum(i["mass_kg"] for i in data["mass"]["items"] if i["group"] == "pack")
    assert pack == pytest.approx(data["mass"]["pack_kg"])
    assert {m["name"] for m in data["loads"]["cases"][0]["mounts"]} == {m.name for m in two_box_study.job.mount_points}


def test_lists_have_the_parts_of_both_boxes(two_box_study: PackStudy) -> None:
    first, second = two_box_study.studies
    assert len(sheet_parts(two_box_study)) == len(sheet_parts(first)) + len(sheet_parts(second))
    head = 1
    assert len(cut_list(two_box_study)) == len(cut_list(first)) + len(cut_list(second)) - head
    assert len(weld_list(two_box_study)) == len(weld_list(first)) + len(weld_list(second)) - head
    bolts = [sum(int(str(r[5])) for r in hardware_list(s)[head:]) for s in (two_box_study, first, second)]
    assert bolts[0] == bolts[1] + bolts[2]
    names = [str(row[0]) for row in mass_list(two_box_study)]
    assert "B1-M1 (block-300)" in names
    assert "B2-M1 (block-300)" in names


def test_the_report_tells_each_box(two_box_study: PackStudy) -> None:
    told = record(two_box_study)["arrangement"]
    assert [b["name"] for b in told["boxes"]] == ["B1", "B2"]
    assert [row[0] for row in told["boxes"][1]["modules"]] == ["B2-M1", "B2-M2"]
    assert len(told["cables"]) == 1
    assert told["insertion_possible"]


def test_the_page_gets_both_boxes(two_box_study: PackStudy) -> None:
    shown = result_of(two_box_study)
    (row,) = shown["arrangements"]
    assert row["modules"] == 4
    assert row["insertion"]["possible"]
    assert any("4 placed" in line for line in shown["figures"])
    parts = {c.part for c in two_box_study.checks}
    assert {c["part"] for c in shown["checks"]} <= parts


def test_the_terminal_is_told_of_every_box_and_cable(two_box_study: PackStudy) -> None:
    told = "\n".join(pack_fit_lines(two_box_study.job, two_box_study.fit.search, two_box_study.fit))
    boxes = ("box B1: 2 block-300", "box B2: 2 block-300")
    for words in ("cut at y = 0 mm", *boxes, "cable 1 between boxes: from B", "way in: B1 before B2"):
        assert words in told
