"""The demo's vehicle on scales after the build, with one line of its mass list wrong by 9 kg."""

from importlib.resources import files
from pathlib import Path

import pytest

from layout.balance.figures import added_items, balance_figures, removed_items
from layout.balance.items import MassItem
from layout.balance.problems import balance_table_problems
from layout.balance.weighed import reconcile
from layout.job import read_job
from layout.job.model import Job

EXTRA = Path(__file__).parents[2] / "data" / "balance" / "as-weighed.toml"
WRONG = "charger and converter"


def problems_of(job):
    return balance_table_problems({name: getattr(job, name) for name in Job.model_fields})


@pytest.fixture
def weighed_job(tmp_path: Path) -> Job:
    demo = (files("layout.job") / "examples" / "demo.toml").read_text(encoding="utf-8")
    path = tmp_path / "as-weighed.toml"
    path.write_text(f"{demo}\n{EXTRA.read_text(encoding='utf-8')}", encoding="utf-8")
    return read_job(path)


@pytest.fixture
def pack() -> list[MassItem]:
    """The pack where it stands in the demo, with the mass its parts compute to."""
    return [MassItem("modules, box and brackets", 181.9, (217.1, 0.9, 776.5), source="computed")]


def test_the_wrong_line_is_found(weighed_job, pack):
    assert problems_of(weighed_job) == []
    found = balance_figures(weighed_job, pack, [weighed_job.modules[0]] * 8)
    assert found.pack.mass_kg == pytest.approx(182.3)
    assert found.items[0].computed_kg == pytest.approx(181.9)
    scales = found.weighed
    assert scales is not None
    assert not scales.consistent
    first = scales.suspects[0]
    assert first.name == WRONG
    assert first.error_kg == pytest.approx(9.0, abs=0.7)
    assert first.mass_kg == pytest.approx(10.886 + 9.0, abs=0.7)
    assert f"most likely wrong: {WRONG}, by +" in scales.verdict
    assert max(abs(v) for v in first.left_kg) < 0.7
    listed = next(i for i in added_items(weighed_job) if i.name == WRONG)
    assert scales.unlisted is not None
    assert scales.unlisted.mass_kg == pytest.approx(9.0, abs=0.6)
    assert scales.unlisted.x_mm == pytest.approx(listed.centroid_mm[0], abs=150.0)
    assert scales.unlisted.y_mm == pytest.approx(listed.centroid_mm[1], abs=60.0)


def test_with_the_line_mended_list_and_scales_agree(weighed_job, pack):
    weighed_pack = [MassItem("pack", 182.3, pack[0].centroid_mm, tolerance_kg=0.3)]
    added = [
        MassItem(i.name, 19.9 if i.name == WRONG else i.mass_kg, i.centroid_mm, source=i.source)
        for i in added_items(weighed_job)
    ]
    found = reconcile(weighed_job.vehicle, weighed_job.as_weighed, removed_items(weighed_job), [*weighed_pack, *added])
    assert found.consistent
