"""The package folder: whole or not at all, every key of the contract, every file read back."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

import pytest

from layout.errors import ExportError
from layout.study.study import Study
from outputs.files import finite, whole_folder
from outputs.publish import publish

JOB = Path(__file__).parents[1] / "jobs" / "larkmoor-front-bay.toml"

KEYS = {
    "fit": {"required", "placed", "upper_bound", "proven", "seconds", "arrangements"},
    "mass": {
        "items", "pack_kg", "added_kg", "removed_kg", "change_kg", "pack_centroid_mm", "pack_ahead_of_axle_kg",
        "pack_ahead_of_axle_share",
    },
    "axles": {"before", "after", "ratings_held"},
    "electrical": {"nominal_v", "max_v", "min_v", "energy_kwh", "charge_hours"},
    "loads": {"cases", "checks", "worst"},
}  # fmt: skip


def test_folder_is_whole_or_absent(tmp_path: Path) -> None:
    def half_written() -> None:
        with whole_folder(tmp_path / "package", replace=False) as draft:
            (draft / "half.txt").write_text("half", encoding="utf-8")
            raise ExportError("the disk is full")

    with pytest.raises(ExportError, match="disk"):
        half_written()
    assert list(tmp_path.iterdir()) == []


def test_older_package_survives_a_failed_replacement(tmp_path: Path) -> None:
    target = tmp_path / "package"
    with whole_folder(target, replace=False) as draft:
        (draft / "results.json").write_text("{}", encoding="utf-8")
    with pytest.raises(ExportError), whole_folder(target, replace=True) as draft:
        raise ExportError("no")
    assert (target / "results.json").read_text(encoding="utf-8") == "{}"
    assert [p.name for p in tmp_path.iterdir()] == ["package"]


def test_folder_of_others_is_never_replaced(tmp_path: Path) -> None:
    target = tmp_path / "photos"
    target.mkdir()
    (target / "one.jpg").write_text("x", encoding="utf-8")
    with pytest.raises(ExportError, match="not written by boxwright"), whole_folder(target, replace=True):
        pass
    assert (target / "one.jpg").exists()


def test_infinite_numbers_do_not_break_json() -> None:
    assert finite({"a": (1.0, float("inf")), "b": float("nan")}) == {"a": [1.0, None], "b": None}


@pytest.mark.cad
@pytest.mark.slow
def test_package_of_the_front_bay(front_study: Study, tmp_path: Path) -> None:
    out = tmp_path / "package"
    package = publish(front_study, out, JOB, replace=False)
    data = json.loads((out / "results.json").read_text(encoding="utf-8"))
    assert data == finite(package.data)
    for table, keys in KEYS.items():
        assert keys <= set(data[table]), table
    assert {"files", "problems", "cautions"} <= set(data)
    one = data["fit"]["arrangements"][0]
    assert {"rank", "modules", "box", "pack_centroid_mm", "insertion", "removal_order"} <= set(one)
    assert {"id", "type", "min_mm", "max_mm", "up", "terminals", "pose"} <= set(one["modules"][0])
    for case in data["loads"]["cases"]:
        assert {"name", "acceleration_g", "equivalent_static_g", "mounts"} <= set(case)
    for check in data["loads"]["checks"]:
        assert {"name", "part", "case", "demand", "capacity", "unit", "utilisation", "source"} <= set(check)
    listed = {f["path"] for f in data["files"]}
    found = {p.relative_to(out).as_posix() for p in out.rglob("*") if p.is_file()} - {"results.json"}
    assert listed == found
    for file in data["files"]:
        assert file["read_back"] is True
        assert hashlib.sha256((out / file["path"]).read_bytes()).hexdigest() == file["sha256"]
    words = (out / "results.json").read_text(encoding="utf-8").lower()
    for claim in ("is safe", "approved", "compliant"):
        assert claim not in words
