"""The report prints what finite elements say, and that there is none where there is none."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader

from layout.fe.figures import CaseAnswer, Fe, NoFe, Rechecked, Row
from layout.study.study import Study
from outputs.report import write_report
from outputs.report.record import record
from outputs.results import load_data

CASE = CaseAnswer("down 10 g", (("left", (1.0, 2.0, -3456.0)),), 2.34, (1.0, 2.0, 3.0))
ROW = Row("shear at the mount", "left", 1501.0, "forward", 1000.0, "forward", "N")
OVER = Row("stress in floor", "floor", 1.23, "down", None, "", "-", 140.0)
AGAIN = Rechecked("bolt shear", "left", "forward", 1.21, 0.87)
DONE = Fe("2.20", 1234, 567, 1.0, 5.0, 1e-8, (CASE,), (ROW, OVER), (AGAIN,))


WORDS = ["567 bricks", "1501 N", "1.50", "In 1 of 2 comparisons", "140 MPa", "2.34 mm", "-3456", "1.21", "0.87"]


@pytest.mark.slow
def test_report_with_finite_elements(front_study: Study, tmp_path: Path) -> None:
    study = replace(front_study, fe=DONE)
    assert write_report(study, tmp_path / "report.pdf").read_back
    pages = PdfReader(tmp_path / "report.pdf").pages
    text = "".join("".join(page.extract_text().split()) for page in (pages[0], *pages[-6:]))
    for word in WORDS:
        assert "".join(word.split()) in text, word


def test_absent_finite_elements_are_said_in_record_and_results(front_study: Study) -> None:
    told = NoFe("CalculiX (ccx) is not installed", ("last # line",))
    study = replace(front_study, fe=told)
    assert record(study)["fe"] == {"done": False, "reason": told.reason, "tail": ["last # line"]}
    assert load_data(study)["fe"]["done"] is False
    assert load_data(replace(front_study, fe=DONE))["fe"]["compared"][0]["hand_is_unsafe"] is True
    assert "fe" not in load_data(front_study)
