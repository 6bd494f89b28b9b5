"""Whole jobs: a scanned bay, a bay that holds modules its neck keeps the box out of, and a search in a hurry."""

from __future__ import annotations

import importlib.util
import re
from dataclasses import replace
from pathlib import Path

import pytest

from layout.box.shell import shell_of
from layout.job import read_job
from layout.packing.equipment_fit import equipment_violations
from layout.packing.search import arrange
from layout.space.bay import bay_of
from layout.space.judge_arrangement import judge_arrangement
from layout.study.access import access_of, fit_of

pytestmark = pytest.mark.slow
TESTS = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    spec = importlib.util.spec_from_file_location("scan_jobs", TESTS / "benchmarks" / "scan_jobs.py")
    assert spec is not None
    assert spec.loader is not None
    writer = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(writer)
    where = tmp_path_factory.mktemp("shows")
    writer.main(where)
    return where


def searched(file, seconds):
    job = read_job(file)
    bay = bay_of(job, file.parent)
    return job, bay, shell_of(job), arrange(job, bay, seconds=seconds, seed=0)


def test_a_scanned_bay(folder):
    job, bay, shell, found = searched(folder / "scanned.toml", 6.0)
    assert 8 <= found.placed <= found.upper_bound
    for one in found.arrangements:
        assert judge_arrangement(job, bay, one, shell) == []
    looked = fit_of(job, bay, found, 1, shell)
    assert looked.insertions[0].possible
    assert "scan" in looked.insertions[0].note
    assert any("3 parts" in note for note in looked.space_notes)
    assert {a.name for a in looked.access} == {f"terminals of {m.id}" for m in found.arrangements[0].modules}


def test_modules_fit_and_the_box_cannot_be_brought_in(folder):
    job, bay, shell, found = searched(folder / "narrow-neck.toml", 6.0)
    assert found.placed >= 8
    (way,), _ = access_of(job, bay, replace(found, arrangements=found.arrangements[:1]), shell)
    assert not way.possible
    assert way.path_mm == ()
    assert "no way in from +z" in way.note
    assert "edge of the opening +z" in way.note
    # the neck is 410 x 300; with 3 mm on either side a box of its sizes may be no larger than 404 x 294
    body = shell.outermost(found.arrangements[0].inside).size_mm
    said = float(re.search(r"a box (\d+) mm smaller on every side", way.note)[1])
    as_it_stands, turned = (max(x - 404.0, y - 294.0) / 2.0 for x, y in (body[:2], body[1::-1]))
    assert min(as_it_stands, turned) - 1.0 <= said <= as_it_stands + 16.0


def test_a_search_in_a_hurry_still_passes_the_judges():
    job, bay, shell, found = searched(TESTS / "jobs" / "larkmoor-front-bay.toml", 0.2)
    assert found.placed == 8
    assert found.proven
    assert found.upper_bound >= 9
    for one in found.arrangements:
        assert judge_arrangement(job, bay, one, shell) == []
        assert equipment_violations(bay, one, shell) == []
