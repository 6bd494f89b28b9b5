"""Lists add up to the study they come from."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from layout.study.study import Study
from outputs.lists import fasteners, write_lists


def read(path: Path) -> list[dict[str, str]]:
    with path.open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


@pytest.fixture(scope="module")
def lists(front_study: Study, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("package") / "lists"
    assert len(write_lists(front_study, folder)) == 6
    return folder


def test_masses_add_up_to_the_change(lists: Path, front_study: Study) -> None:
    rows = read(lists / "masses.csv")
    items = [float(r["mass_kg"]) for r in rows if r["source"] != "sum"]
    assert sum(items) == pytest.approx(front_study.balance.change_kg, abs=5e-4 * len(items))


def test_every_sheet_part_stands_in_the_cut_list_once(lists: Path, front_study: Study) -> None:
    numbers = [r["part"] for r in read(lists / "cut-list.csv")]
    wanted = {p.number for p in front_study.box.plates} | {b.number for b in front_study.box.blocks}
    for bracket in front_study.brackets:
        wanted |= {bracket.angle.number, *(g.number for g in bracket.gussets)}
    assert sorted(numbers) == sorted(wanted)


def test_hardware_counts(lists: Path, front_study: Study) -> None:
    rows = read(lists / "hardware.csv")
    bolts = fasteners(front_study)
    assert sum(int(r["quantity"]) for r in rows if r["item"].startswith("hex screw")) == len(bolts)
    assert sum(int(r["quantity"]) for r in rows if r["item"] == "plain washer") == sum(b.washers for b in bolts)
    assert sum(int(r["quantity"]) for r in rows if r["item"] == "hex nut") == sum(b.nuts for b in bolts)


def test_torque_follows_from_preload(lists: Path) -> None:
    """T = K F d, recomputed from the row's own figures."""
    for row in read(lists / "torques.csv"):
        want = float(row["k"]) * float(row["preload_n"]) * float(row["size"][1:]) / 1000.0
        assert float(row["torque_nm"]) == pytest.approx(want, abs=0.06)


def test_weld_lengths(lists: Path, front_study: Study) -> None:
    rows = read(lists / "welds.csv")
    total = sum(float(r["length_mm"]) for r in rows)
    want = sum(w.length_mm for w in front_study.box.welds)
    want += sum(w.length_mm for b in front_study.brackets for w in b.welds)
    assert total == pytest.approx(want, abs=0.05 * len(rows))
