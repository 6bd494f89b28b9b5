"""The calculation report: every figure from the study, formulas that mean what was computed, the same bytes twice."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from pypdf import PdfReader

from layout.study.study import Study
from outputs.report import write_report
from outputs.report.formula import figure, mathematics, symbol
from outputs.report.record import governing, plain, record, two


@pytest.fixture(scope="module")
def report(front_study: Study, tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("report") / "report.pdf"
    assert write_report(front_study, path).read_back
    return path


@pytest.fixture(scope="module")
def text(report: Path) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(report).pages)


def squeezed(words: str) -> str:
    return "".join(words.split())


def test_symbols_and_formulas() -> None:
    assert symbol("alpha_v") == 'alpha_"v"'
    assert symbol("f_ub") == 'f_"ub"'
    assert symbol("sigma") == "sigma"
    assert mathematics("a * (b + c)") == "a dot lr((b + c))"
    assert mathematics("a - (b - c)") == "a - lr((b - c))"
    assert mathematics("(a + b) ** 2") == "lr((a + b))^(2)"
    assert mathematics("x_1 / y", {"x_1": -2.0, "y": 4.0}) == "((-2)) / (4)"


@pytest.mark.parametrize(("value", "want"), [(1234.0, "1234"), (0.3333333, "0.3333"), (235000.0, "235000"), (0.0, "0")])
def test_figures(value: float, want: str) -> None:
    assert figure(value) == want


@pytest.mark.parametrize(("value", "want"), [(44100.4, "44100"), (0.12346, "0.1235"), (9.6, "9.600"), (None, "")])
def test_table_figures(value: float | None, want: str) -> None:
    assert plain(value) == want


def test_every_governing_check_is_printed(text: str, front_study: Study) -> None:
    flat = squeezed(text)
    for check in governing(front_study.checks):
        assert squeezed(check.part) in flat, check.part
        if check.utilisation is not None:
            assert squeezed(f"{plain(check.demand)}{plain(check.capacity)}{two(check.utilisation)}") in flat, check.name


def test_mount_forces_and_sums_are_printed(text: str, front_study: Study) -> None:
    flat = squeezed(text)
    for case in front_study.cases:
        for reaction in case.forces:
            row = reaction.name + "".join(f"{f:.0f}" for f in reaction.force_n)
            assert squeezed(row) in flat.replace("−", "-"), row


def test_printed_use_is_demand_over_capacity(front_study: Study) -> None:
    """A reader's pocket calculator: the use that is printed follows from the two figures printed beside it."""
    rows = 0
    for rule in record(front_study)["rules"]:
        for _, _, demand, capacity, use, holds in rule["rows"]:
            if float(capacity) <= 0.0:
                continue
            rows += 1
            assert float(demand) / float(capacity) == pytest.approx(float(use), abs=0.006 + 0.002 * float(use))
            assert holds == (float(demand) <= float(capacity) * (1.0 + 1e-3))
    assert rows > 50


def test_totals_and_axles_are_printed(text: str, front_study: Study) -> None:
    flat = squeezed(text).replace("−", "-")
    after = front_study.balance.after.loads
    for value in (front_study.pack.mass_kg, front_study.balance.change_kg, after.front_kg, after.rear_kg):
        assert f"{value:.1f}" in flat or f"{value:+.1f}" in flat


def test_sources_say_whether_their_text_was_seen(text: str) -> None:
    assert "from memory" in text
    assert "text seen" in text


def test_cautions_stand_on_the_first_pages_and_no_claim_is_made(report: Path, text: str) -> None:
    first = squeezed(PdfReader(report).pages[0].extract_text())
    for word in ("Highvoltage", "Fire", "Lifting", "licensedengineer"):
        assert word in first
    assert not re.search(r"\b(is safe|approved|compliant)\b", text.lower())


@pytest.mark.slow
def test_same_study_same_bytes(report: Path, front_study: Study, tmp_path: Path) -> None:
    again = tmp_path / "again.pdf"
    write_report(front_study, again)
    assert again.read_bytes() == report.read_bytes()
