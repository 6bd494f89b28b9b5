"""The command `weigh`: words and data of the study, and what-if questions that agree with moments on paper."""

from __future__ import annotations

from pathlib import Path

import pytest

from layout.errors import JobError
from layout.study.study import Study
from outputs.cli import weighing
from outputs.cli.pipeline import Options

OPTIONS = Options(Path("job.toml"), 1.0, 0, None, False)


@pytest.fixture(autouse=True)
def without_search(monkeypatch: pytest.MonkeyPatch, front_study: Study) -> None:
    monkeypatch.setattr(weighing, "studied", lambda _: front_study)


def test_words_and_data_hold_the_totals(front_study: Study) -> None:
    result = weighing.weighed(OPTIONS, None, None, None)
    text = "\n".join(result.lines)
    for word in ("removed: engine and ancillaries", "Load states", "unladen", "Pack as a battery", "High voltage"):
        assert word in text
    assert f"{front_study.pack.mass_kg:.2f} (" in text
    items = result.data["mass"]["items"]
    assert sum(i["mass_kg"] for i in items) == pytest.approx(front_study.balance.added_kg)
    assert result.data["axles"]["states"][0]["name"] == "unladen"
    assert result.held == front_study.balance.ratings_held


def test_moving_the_pack_shifts_load_by_its_moment(front_study: Study) -> None:
    before = front_study.balance.after.loads
    result = weighing.weighed(OPTIONS, ("pack", "100,0,0"), None, None)
    after = result.data["axles"]["after"]
    want = front_study.pack.mass_kg * 100.0 / front_study.job.vehicle.wheelbase_mm
    assert after["front_kg"] - before.front_kg == pytest.approx(want, rel=1e-9)
    assert after["rear_kg"] - before.rear_kg == pytest.approx(-want, rel=1e-9)
    assert any("what if" in line for line in result.lines)


def test_front_share_says_where_the_pack_must_lie(front_study: Study) -> None:
    """Move the pack to the place that is said: the split is the wanted one."""
    result = weighing.weighed(OPTIONS, None, None, 0.58)
    line = next(line for line in result.lines if "the pack's centroid must lie" in line)
    x = float(line.split("x = ")[1].split(" ")[0])
    by = x - front_study.pack.centroid_mm[0]
    after = weighing.weighed(OPTIONS, ("pack", f"{by},0,0"), None, None).data["axles"]["after"]
    assert after["front_kg"] / (after["front_kg"] + after["rear_kg"]) == pytest.approx(0.58, abs=2e-4)


@pytest.mark.parametrize("by", ["1,2", "a,b,c", "1;2;3", ""])
def test_a_place_that_is_no_place_is_refused(by: str) -> None:
    with pytest.raises(JobError, match="three numbers"):
        weighing.weighed(OPTIONS, ("pack", by), None, None)


def test_an_unknown_name_is_refused_with_the_nearest() -> None:
    with pytest.raises(JobError, match="drive motor"):
        weighing.weighed(OPTIONS, ("drive moter and adapter", "1,0,0"), None, None)
