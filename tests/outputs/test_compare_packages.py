"""Two packages side by side: every kind of change is found, nothing is found where nothing changed."""

from __future__ import annotations

import copy
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from layout.design import FoldedPlate, Plate
from layout.errors import JobError
from layout.study.study import Study
from outputs.cli.commands import run
from outputs.compare import compare
from outputs.parts_data import hardware_data, parts_data

Data = dict[str, Any]


def check(name: str, part: str, case: str, used: float | None, verdict: str = "holds") -> Data:
    return {"name": name, "part": part, "case": case, "utilisation": used, "verdict": verdict, "note": "the sheet is not given"}


def package() -> Data:
    """A pack of two modules, one plate and one bracket, as results.json would say it."""
    plate = {
        "number": "P1", "name": "floor", "group": "box", "material": "5083-H111", "thickness_mm": 3.0, "mass_kg": 1.5,
        "bends": 0, "flat_mm": [400.0, 300.0], "outline": [[0, 0, 0], [400, 0, 0], [400, 300, 0], [0, 300, 0]], "cutouts": [],
        "holes": [
            {"name": "P1-H1", "x_mm": 20.0, "y_mm": 20.0, "diameter_mm": 6.6, "fastener": "M6"},
            {"name": "P1-H2", "x_mm": 380.0, "y_mm": 20.0, "diameter_mm": 6.6, "fastener": "M6"},
        ],
    }  # fmt: skip
    bracket = {**plate, "number": "R1", "name": "angle", "group": "bracket", "material": "S355", "holes": [], "mass_kg": 2.0}
    one = {
        "modules": [{"id": "M1", "type": "brick", "min_mm": [0.0, 0.0, 0.0], "up": "+z", "terminals": "+x"}],
        "box": {"min_mm": [-10.0, -10.0, -10.0], "max_mm": [300.0, 200.0, 150.0]},
    }
    made = {
        "job": {"title": "a job", "date": "", "revision": "A"},
        "fit": {"placed": 1, "upper_bound": 2, "proven": True, "seconds": 1.0, "taken": 1, "arrangements": [one]},
        "mass": {
            "items": [
                {"name": "P1 floor", "mass_kg": 1.5},
                {"name": "charger", "mass_kg": 7.0},
                {"name": "R1-B1 hex screw M6x20", "mass_kg": 0.01},
            ],
            "pack_kg": 20.0, "added_kg": 27.0, "removed_kg": 100.0, "change_kg": -73.0, "pack_ahead_of_axle_kg": 5.0,
            "pack_centroid_mm": [10.0, 0.0, 500.0],
        },
        "axles": {
            "before": {"front_kg": 500.0, "rear_kg": 400.0}, "after": {"front_kg": 450.0, "rear_kg": 377.0},
            "margins": {"front_kg": 150.0, "rear_kg": 223.0}, "ratings_held": True,
        },
        "electrical": {"nominal_v": 44.4, "max_v": 50.4, "min_v": 36.0, "energy_kwh": 2.4, "charge_hours": 1.0},
        "loads": {"checks": [
            check("bolt shear", "R1", "forward", 0.8), check("bolt shear", "R1", "left", 0.3),
            check("sheet", "R1", "forward", None, "not checked"),
        ]},
        "parts": [plate, bracket],
        "hardware": [{"what": "hex screw M6x20 8.8, 1 washer(s), 0 nut(s), grip 6 mm", "count": 4}],
        "cautions": ["High voltage"],
        "files": [{"path": "report.pdf"}],
    }  # fmt: skip
    data: Data = json.loads(json.dumps(made))  # so that no two places share a list
    return data


def at(data: Data, *path: str | int) -> Any:
    for key in path:
        data = data[key]
    return data


def put(*path: str | int, value: Any) -> Callable[[Data], None]:
    def change(data: Data) -> None:
        at(data, *path[:-1])[path[-1]] = value

    return change


def drop(*path: str | int) -> Callable[[Data], None]:
    def change(data: Data) -> None:
        del at(data, *path[:-1])[path[-1]]

    return change


HOLE = ("parts", 0, "holes", 0)
CHANGES: dict[str, tuple[Callable[[Data], None], str, str]] = {
    "title": (put("job", "title", value="another"), "job", "title: a job -> another"),
    "count": (put("fit", "placed", value=2), "arrangement", "modules placed: 1 -> 2"),
    "proof": (put("fit", "proven", value=False), "arrangement", "proved: yes -> no"),
    "box": (put("fit", "arrangements", 0, "box", "max_mm", value=[301.0, 200.0, 150.0]), "arrangement", "by +1.000, +0.000"),
    "module": (put("fit", "arrangements", 0, "modules", 0, "up", value="-x"), "arrangement", "module M1"),
    "part gone": (drop("parts", 1), "parts", "R1: gone; was: angle, S355, 3 mm, 400 x 300 mm, 2.000 kg"),
    "thickness": (put("parts", 0, "thickness_mm", value=4.0), "parts", "P1 thickness: 3.000 mm -> 4.000 mm (+1.000)"),
    "material": (put("parts", 0, "material", value="S275"), "parts", "P1 material: 5083-H111 -> S275"),
    "size": (put("parts", 0, "flat_mm", value=[401.0, 300.0]), "parts", "P1 size: 400 x 300 mm -> 401 x 300 mm"),
    "corner cut": (put("parts", 0, "outline", 2, value=[400, 300, 0.4]), "parts", "P1 outline"),
    "cut-out": (put("parts", 0, "cutouts", value=[[[9, 9, 0], [19, 9, 0], [9, 19, 0]]]), "parts", "P1 cut-outs"),
    "bend": (put("parts", 0, "bends", value=1), "parts", "P1 bends: 0 -> 1"),
    "part mass": (put("parts", 0, "mass_kg", value=1.6), "parts", "P1 mass: 1.500 kg -> 1.600 kg (+0.100)"),
    "hole moved": (put(*HOLE, "x_mm", value=20.5), "holes", "P1 hole P1-H1 place: 20.000, 20.000 mm -> 20.500, 20.000 mm"),
    "hole size": (put(*HOLE, "diameter_mm", value=9.0), "holes", "P1 hole P1-H1 diameter: 6.600 mm -> 9.000 mm (+2.400)"),
    "hole a slot": (put(*HOLE, "slot_mm", value=5.0), "holes", "P1 hole P1-H1 slot"),
    "hole tapped": (put(*HOLE, "fastener", value="M8 thread"), "holes", "P1 hole P1-H1 for: M6 -> M8 thread"),
    "hole gone": (drop("parts", 0, "holes", 1), "holes", "P1 hole P1-H2: gone; was: 6.6 mm at 380.000, 20.000 mm"),
    "bolts": (put("hardware", 0, "count", value=6), "hardware", "grip 6 mm: 4 -> 6"),
    "pack mass": (put("mass", "pack_kg", value=21.0), "masses", "pack: 20.000 kg -> 21.000 kg (+1.000)"),
    "centroid": (put("mass", "pack_centroid_mm", value=[12.0, 0.0, 500.0]), "masses", "pack centroid"),
    "mass unknown": (put("mass", "items", 1, "mass_kg", value=None), "masses", "charger: 7.000 kg -> unknown"),
    "axle": (put("axles", "after", "front_kg", value=460.0), "axles", "front axle, after: 450.000 kg -> 460.000 kg (+10.000)"),
    "rating": (put("axles", "ratings_held", value=False), "axles", "ratings held: yes -> no"),
    "voltage": (put("electrical", "max_v", value=58.8), "electrical", "max: 50.400 V -> 58.800 V"),
    "worst case": (
        put("loads", "checks", 0, "utilisation", value=0.9),
        "checks",
        "bolt shear: R1: 0.800, holds, forward -> 0.900",
    ),
    "no capacity": (
        put("loads", "checks", 1, value=check("bolt shear", "R1", "left", None, "does not hold")),
        "checks",
        "0.800, holds, forward -> no capacity, does not hold, left",
    ),
    "now checked": (
        put("loads", "checks", 2, value=check("sheet", "R1", "forward", 0.5)),
        "checks",
        "sheet: R1: not checked (the sheet is not given) -> 0.500, holds, forward",
    ),
    "caution": (put("cautions", value=["High voltage", "Fire"]), "cautions", "caution: new: Fire"),
    "file": (put("files", value=[]), "files", "report.pdf: gone"),
}


@pytest.mark.parametrize("name", CHANGES)
def test_each_change_is_found_in_its_group_and_alone(name: str) -> None:
    change, group, words = CHANGES[name]
    after = copy.deepcopy(package())
    change(after)
    found = compare(package(), after)
    assert [c.group for c in found] == [group]
    assert words in str(found[0])
    back = compare(after, package())
    assert [(c.group, c.what) for c in back] == [(group, found[0].what)]


def test_other_case_that_is_not_the_worst_is_no_change() -> None:
    after = package()
    after["loads"]["checks"][1]["utilisation"] = 0.4
    assert compare(package(), after) == []


def test_time_of_the_search_and_last_digits_are_no_change() -> None:
    after = package()
    after["fit"]["seconds"] = 9.0
    after["mass"]["pack_kg"] += 1e-9
    after["parts"][0]["holes"][0]["x_mm"] += 1e-7
    assert compare(package(), after) == []


def test_two_parts_of_one_number_are_told_apart() -> None:
    before = package()
    before["parts"].append({**before["parts"][1], "number": "P1", "name": "module", "mass_kg": 9.0})
    after = copy.deepcopy(before)
    after["parts"][2]["mass_kg"] = 10.0
    assert [str(c) for c in compare(before, after)] == ["P1 module mass: 9.000 kg -> 10.000 kg (+1.000)"]


def folder(path: Path, data: Data) -> Path:
    path.mkdir()
    (path / "results.json").write_text(json.dumps(data), encoding="utf-8")
    return path


def test_command_says_same_different_and_no_package(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    a, b = folder(tmp_path / "a", package()), folder(tmp_path / "b", package())
    assert run(["compare", str(a), str(b)]) == 0
    assert "holds the same" in capsys.readouterr().out
    thick = package()
    thick["parts"][0]["thickness_mm"] = 4.0
    c = folder(tmp_path / "c", thick)
    assert run(["compare", str(a), str(c)]) == 1
    assert "P1 thickness" in capsys.readouterr().out
    assert run(["compare", str(a), str(c), "--json"]) == 1
    data = json.loads(capsys.readouterr().out)
    assert data["same"] is False
    assert data["counts"]["parts"] == 1
    assert data["changes"] == [{"group": "parts", "what": "P1 thickness", "before": "3.000 mm", "after": "4.000 mm (+1.000)"}]


NO_PACKAGE = {
    "nothing there": None,
    "no JSON": "{",
    "a list": "[]",
    "other JSON": '{"job": {}}',
    "half": '{"job": {}, "fit": 3}',
}


@pytest.mark.parametrize("name", NO_PACKAGE)
def test_no_package_ends_with_2(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    a, b = folder(tmp_path / "a", package()), tmp_path / "b"
    text = NO_PACKAGE[name]
    if text is not None:
        b.mkdir()
        (b / "results.json").write_text(text, encoding="utf-8")
    assert run(["compare", str(a), str(b)]) == 2
    told = capsys.readouterr()
    assert "boxwright build" in told.err
    assert "Traceback" not in told.err


def test_data_of_another_form_are_refused() -> None:
    odd = package()
    odd["fit"]["arrangements"] = {}
    with pytest.raises(JobError, match="another form"):
        compare(package(), odd)


def test_every_part_of_a_study_is_listed_with_its_own_holes(front_study: Study) -> None:
    listed = parts_data(front_study)
    plates: list[Plate | FoldedPlate] = list(front_study.box.plates)
    for bracket in front_study.brackets:
        plates += [bracket.angle, *bracket.gussets]
    by_key = {(p["number"], p["name"]): p for p in listed}
    for plate in plates:
        entry = by_key[plate.number, plate.name]
        count = len(plate.profile.holes) if isinstance(plate, Plate) else len(plate.root.holes) + sum(
            len(f.profile.holes) for f in plate.flanges
        )  # fmt: skip
        assert len(entry["holes"]) == count
        assert entry["thickness_mm"] == plate.thickness_mm
        assert entry["mass_kg"] > 0.0
    modules = [p for p in listed if p["group"] == "module"]
    assert len(modules) == len(front_study.arrangement.modules)
    bolts = len(front_study.box.hardware) + sum(len(b.hardware) for b in front_study.brackets)
    assert sum(h["count"] for h in hardware_data(front_study)) == bolts


def test_total_of_the_parts_and_bolts_is_the_pack(front_study: Study) -> None:
    parts = sum(p["mass_kg"] for p in parts_data(front_study))
    hardware = [*front_study.box.hardware, *(h for b in front_study.brackets for h in b.hardware)]
    names = {f"{h.number} {h.kind} {h.size}x{h.length_mm:g}" for h in hardware}
    bolts = sum(i.mass_kg or 0.0 for i in front_study.pack_items if i.name in names)
    assert parts + bolts == pytest.approx(front_study.pack.mass_kg, rel=1e-9)
