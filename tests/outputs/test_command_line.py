"""The command line as a user meets it: exit status, words, nothing left behind."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from outputs.cli.commands import run

JOBS = Path(__file__).parents[1] / "jobs"
GOOD = (JOBS / "larkmoor-front-bay.toml").read_text(encoding="utf-8")


def write(folder: Path, text: str) -> Path:
    path = folder / "job.toml"
    path.write_text(text, encoding="utf-8")
    return path


def changed(old: str, new: str) -> str:
    assert old in GOOD, old
    return GOOD.replace(old, new, 1)


def without_mounts(keep: int) -> str:
    head, *mounts = GOOD.split("[[mount_point]]")
    tail = mounts[-1].split("[[module]]", 1)[1]
    kept = [m.split("[[module]]")[0] for m in mounts[:keep]]
    return "[[mount_point]]".join([head, *kept]) + "[[module]]" + tail


BAD = {
    "negative number": (changed('mass = "118 kg"', "mass = -118"), "removed[1].mass"),
    "not a number": (changed('mass = "118 kg"', "mass = nan"), "removed[1].mass"),
    "infinite": (changed('wheelbase = "2390 mm"', "wheelbase = inf"), "vehicle.wheelbase"),
    "another kind of unit": (changed('wheelbase = "2390 mm"', 'wheelbase = "2390 kg"'), "vehicle.wheelbase"),
    "wrong type": (changed("series = 8", "series = true"), "pack.series"),
    "outline of two points": (
        changed("outline = [[-330, -345], [395, -345], [395, 345], [-330, 345]]", "outline = [[-330, -345], [395, -345]]"),
        "bay.space[1].outline",
    ),
    "module larger than the bay": (changed("size = [392, 151, 108]", "size = [1392, 1151, 1108]"), "module[1]"),
    "no mount point": (without_mounts(0), "mount_point"),
    "one mount point": (without_mounts(1), "mount_point"),
    "more modules than exist": (changed("available = 10", "available = 7"), "count"),
    "unknown key": (changed("clearance = ", "clearence = "), "clearance"),
    "not TOML": ("[job\ntitle = ", "job.toml"),
    "empty": ("", "job"),
}


@pytest.mark.parametrize("name", BAD)
@pytest.mark.parametrize("command", ["check", "build"])
def test_bad_input_is_said_and_leaves_nothing(
    name: str, command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    text, word = BAD[name]
    job = write(tmp_path, text)
    monkeypatch.chdir(tmp_path)
    arguments = [command, str(job)] + (["-o", str(tmp_path / "package")] if command == "build" else [])
    assert run(arguments) == 2
    told = capsys.readouterr()
    assert word in told.err
    assert "Traceback" not in told.err + told.out
    assert sorted(p.name for p in tmp_path.iterdir()) == ["job.toml"]


@pytest.mark.parametrize("name", ["missing.toml", "."])
def test_missing_or_unreadable_file(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["check", str(tmp_path / name)]) == 2
    assert "Traceback" not in capsys.readouterr().err


def test_several_problems_come_at_once_with_their_lines(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = changed('mass = "118 kg"', "mass = -118").replace('wheelbase = "2390 mm"', 'wheelbase = "2390 kg"')
    job = write(tmp_path, text)
    assert run(["check", str(job), "--json"]) == 2
    problems = json.loads(capsys.readouterr().out)["problems"]
    lines = text.splitlines()
    assert len(problems) == 2
    for problem, word in zip(problems, ("wheelbase", "-118"), strict=True):
        assert word in lines[problem["line"] - 1]
        assert set(problem) == {"path", "got", "want", "remedy", "line"}
        assert problem["want"]
        assert problem["remedy"]


def test_good_file_checks_clean_with_cautions(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(["check", str(write(tmp_path, GOOD))]) == 0
    out = capsys.readouterr().out
    for word in ("High voltage", "Fire", "Lifting", "Hot work", "licensed engineer"):
        assert word in out


def test_new_writes_a_job_that_reads_and_never_overwrites(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tmp_path / "mine.toml"
    assert run(["new", str(job)]) == 0
    assert run(["check", str(job)]) == 0
    schema = json.loads((tmp_path / "mine.schema.json").read_text(encoding="utf-8"))
    assert {"job", "vehicle", "bay", "module", "pack", "box", "crash"} <= set(schema["properties"])
    before = job.read_bytes()
    job.write_bytes(before + b"# my own words\n")
    assert run(["new", str(job)]) == 4
    assert job.read_bytes() == before + b"# my own words\n"
    assert "exists already" in capsys.readouterr().err


def test_existing_folder_is_not_overwritten(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = write(tmp_path, GOOD)
    out = tmp_path / "package"
    out.mkdir()
    (out / "mine.txt").write_text("keep me", encoding="utf-8")
    assert run(["build", str(job), "-o", str(out)]) == 4
    assert "exists already" in capsys.readouterr().err
    assert (out / "mine.txt").read_text(encoding="utf-8") == "keep me"


WRONG_LINES = [["fly"], ["fit"], ["fit", "x.toml", "--time", "0"], ["fit", "x.toml", "--arrangement", "0"]]


@pytest.mark.parametrize("arguments", WRONG_LINES)
def test_wrong_command_lines_end_with_2(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert run(arguments) == 2
    assert "Traceback" not in capsys.readouterr().err


@pytest.mark.parametrize("words", [["--help"], ["build", "--help"], ["--version"]])
def test_help_and_version_end_with_0(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    assert run(words) == 0
    assert capsys.readouterr().out


def test_nothing_fits_ends_with_3(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Ten modules whose box would need more than the bay: said with the counts, and no folder."""
    text = GOOD.replace("available = 10", "available = 60").replace("count = 8", "count = 60")
    text = text.replace("series = 8", "series = 60").replace('["140 V", "210 V"]', '["1000 V", "1600 V"]')
    job = write(tmp_path, text)
    assert run(["build", str(job), "-o", str(tmp_path / "package"), "--time", "3"]) == 3
    told = capsys.readouterr()
    assert "Traceback" not in told.err
    assert "60" in told.err
    assert sorted(p.name for p in tmp_path.iterdir()) == ["job.toml"]
