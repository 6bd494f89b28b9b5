"""Published examples and closed forms of load sharing and shock response: each row names its source and evidence."""

from __future__ import annotations

import csv
import importlib.util
from pathlib import Path

import numpy as np
import pytest

from layout.loads.pulses import half_sine, haversine, rectangle, saw_tooth, trapezoid, triangle
from layout.loads.shock import spectrum

_SPEC = importlib.util.spec_from_file_location("validation_table_loads", Path(__file__).with_name("table.py"))
TABLE = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(TABLE)
ROWS = [row for name, row in TABLE.data_rows() if name.startswith("loads/")]
METHODS = TABLE.evaluators()
DATA = Path(__file__).resolve().parent.parent / "data" / "loads"

UNIT = {
    "half_sine": half_sine(1.0, 1.0),
    "rect": rectangle(1.0, 1.0),
    "triangle": triangle(1.0, 1.0),
    "saw_initial_peak": saw_tooth(1.0, 1.0, "start"),
    "saw_terminal_peak": saw_tooth(1.0, 1.0, "end"),
    "haversine": haversine(1.0, 1.0),
    "trapezoid_10_80_10": trapezoid(1.0, 1.0, 0.1, 0.1),
}


@pytest.mark.parametrize("row", ROWS, ids=[r["id"] for r in ROWS])
def test_published_load_example(row):
    ours = METHODS[row["method"]](row["inputs"])
    off = {name: (wanted, got) for name, wanted, got, diff in TABLE.compared(row, ours) if diff > row["tolerance"]}
    assert not off, f"{row['source']}: {off}"


@pytest.mark.parametrize("row", [r for r in ROWS if "wrong_published" in r], ids=lambda r: r["id"])
def test_wrong_publication_about_loads_is_not_met(row):
    """The program finds the most loaded bolt, not the one the publication happened to look at."""
    ours = METHODS[row["method"]](row["inputs"])
    for name, printed in row["wrong_published"].items():
        assert ours[name] > printed * 1.2


def test_rows_about_loads_say_where_they_come_from():
    assert len(ROWS) >= 20
    assert {r["evidence"] for r in ROWS} <= {"seen", "partly seen", "memory", "exact"}
    assert {"MG5"} == {r["id"] for r in ROWS if "wrong_published" in r}


@pytest.mark.parametrize("shape", UNIT)
def test_undamped_amplification_against_closed_forms(shape):
    """Maximum undamped response over td/T, tabulated from the closed forms of Chopra ch. 4 and Harris ch. 8 (from memory).

    A step is drawn as a ramp outside the pulse, so pulses with steps may come out up to 2 % high where td is a tenth of
    the period, never low.
    """
    with (DATA / "daf_table.csv").open(encoding="utf-8", newline="") as text:
        rows = list(csv.DictReader(text))
    ratio = np.array([float(r["td_over_T"]) for r in rows])
    published = np.array([float(r[shape]) for r in rows])
    along, against = spectrum(UNIT[shape], ratio, 0.0)
    off = np.maximum(along, against) / published - 1.0
    assert off.min() > -0.002, dict(zip(ratio, off, strict=True))
    assert off.max() < (0.02 if "saw" in shape or shape == "rect" else 0.001), dict(zip(ratio, off, strict=True))
