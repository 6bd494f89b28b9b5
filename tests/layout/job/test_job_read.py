"""Reading a job file: what is read, and what is said about bad ones."""

import os
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from layout.errors import JobError, Problem
from layout.job import Job, read_job
from layout.job.read import parse_job
from layout.job.text import LARGEST_BYTES

Spoil = Callable[..., str]
Problems = Callable[..., list[Problem]]
JOBS = Path(__file__).resolve().parents[2] / "jobs"


@pytest.fixture(scope="module")
def sound() -> Job:
    return read_job(JOBS / "larkmoor-front-bay.toml")


def test_the_sound_job_is_read_in_base_units(sound: Job) -> None:
    assert sound.vehicle.wheelbase_mm == 2390.0
    assert [m.at_mm for m in sound.mount_points][1] == (340.0, -315.0, 330.0)
    assert sound.modules[0].mass_kg == 12.4
    assert sound.bay.keep_outs[0].cylinder is not None
    assert sound.bay.keep_outs[0].cylinder.diameter_mm == 38.0
    assert sound.crash.pulse is not None
    assert sound.crash.pulse.duration_s == 0.07
    assert sound.pack.voltage_window_v == (140.0, 210.0)
    assert sound.equipment[0].service_from == ("+y", "-y")
    assert sound.folder == JOBS


def test_units_do_not_matter(sound: Job, spoilt: Spoil) -> None:
    other = spoilt(
        ('wheelbase = "2390 mm"', 'wheelbase = "2.39 m"'), ('mass = "12.4 kg"', "mass = 12.4"), ('"70 ms"', '"0.07 s"')
    )
    assert parse_job(other).model_dump() == sound.model_dump()


def test_a_job_from_text_has_no_folder(sound_text: str) -> None:
    assert parse_job(sound_text).folder is None


def test_every_problem_at_once_with_line_place_and_remedy(spoilt: Spoil, problems_of: Problems) -> None:
    text = spoilt(
        ('wheelbase = "2390 mm"', 'wheelbase = "2390 kg"'),
        ('clearance = "10 mm"', 'clearence = "10 mm"'),
        ("at = [340, -315, 330]", "at = [340, -315]"),
        ('mass = "12.4 kg"', 'mass = "12,4 kg"'),
        ("available = 10", "available = 10.5"),
        ('sheet = "3 mm"', 'sheet = "-3 mm"'),
        ('bolt_class = "8.8"', 'bolt_class = "8.9"'),
    )
    found = problems_of(text)
    written = text.splitlines()
    expected = [
        ("vehicle.wheelbase", 'wheelbase = "2390 kg"', "length is needed"),
        ("bay.clearance", "[bay]", "Add clearance"),
        ("bay.clearence", "clearence", 'Did you mean "clearance"?'),
        ('mount_point[2].at ("rail RH front")', "at = [340, -315]", "(z)"),
        ('module[1].mass ("slab-6s")', "12,4 kg", "comma"),
        ('module[1].available ("slab-6s")', "10.5", "whole number"),
        ("box.sheet", "-3 mm", "above 0"),
        ("bracket.bolt_class", "8.9", '"8.8"'),
    ]
    assert [p.path for p in found] == [path for path, _, _ in expected]
    for problem, (_, in_line, remedy) in zip(found, expected, strict=True):
        assert problem.line is not None
        assert in_line in written[problem.line - 1]
        assert remedy in problem.remedy


def test_sense_is_checked_in_the_tables_that_could_be_read(spoilt: Spoil, problems_of: Problems) -> None:
    found = problems_of(spoilt(('mass = "12.4 kg"', 'mass = "124 kg"'), ('wheelbase = "2390 mm"', "wheelbas = 2390")))
    assert {p.path for p in found} == {"vehicle.wheelbase", "vehicle.wheelbas", 'module[1].mass ("slab-6s")'}


@pytest.mark.parametrize(
    ("old", "new", "path", "said"),
    [
        ('title = "Larkmoor 900 estate: front bay pack"', "title = 900", "job.title", "text in quotes"),
        ('drawing_number = "LKM-01"', 'drawing_number = "LKM/01"', "job.drawing_number", "letters, digits"),
        ('reference_axle = "front"', 'reference_axle = "Front"', "vehicle.reference_axle", 'Did you mean "front"?'),
        ('track = "1290 mm"', "track = nan", "vehicle.track", "finite"),
        ('track = "1290 mm"', "track = inf", "vehicle.track", "finite"),
        ('track = "1290 mm"', "track = -1290", "vehicle.track", "above 0"),
        ('track = "1290 mm"', 'track = "129000000000000 m"', "vehicle.track", "larger"),
        ('track = "1290 mm"', "track = true", "vehicle.track", "true"),
        ('track = "1290 mm"', "track = [1290]", "vehicle.track", "single value"),
        ('track = "1290 mm"', "track = 2026-04-30", "vehicle.track", "one number"),
        ("at = [-60, 0, 520]", "at = [-60, 0, 520, 1]", 'removed[1].at ("engine and ancillaries")', "exactly three"),
        ("at = [-60, 0, 520]", 'at = [-60, 0, "520 kg"]', 'removed[1].at[3] ("engine and ancillaries")', "Z: 'kg'"),
        ("at = [-60, 0, 520]", "at = 60", 'removed[1].at ("engine and ancillaries")', "square brackets"),
        ('insert_from = ["+z"]', 'insert_from = ["up"]', "bay.insert_from[1]", '"+z"'),
        ('insert_from = ["+z"]', "insert_from = []", "bay.insert_from", "holds 0"),
        ('thread = "M10"', 'thread = "M11"', 'mount_point[1].thread ("rail LH front")', "M5, M6, M8, M10"),
        ("available = 10", 'available = "10"', 'module[1].available ("slab-6s")', "without quotes"),
        ("available = 10", "available = 0", 'module[1].available ("slab-6s")', "at least 1"),
        ("available = 10", "available = true", 'module[1].available ("slab-6s")', "whole number"),
        ("count = 8 ", 'count = "all"', "pack.count", 'a whole number or "max"'),
        ("count = 8 ", "count = 7.5", "pack.count", 'a whole number or "max"'),
        ("parallel = 1", "parallel = 1\nturn = [0, '5 mm']", "pack.turn[2]", "an angle is needed"),
        ("parallel = 1", 'parallel = 1\nturn = "loose"', "pack.turn", '"free"'),
        ("parallel = 1", "parallel = 1\ncharge_efficiency = nan", "pack.charge_efficiency", "number"),
        ('liner = "2 mm"', "series = 8", "box.series", "belongs to [pack]"),
        ("target_utilisation = 0.8", "target_utilisation = 1.2", "crash.target_utilisation", "at most 1"),
        ("factors = {", "rules = {", "crash.rules", "no such key"),
        ("forward = 20,", 'forward = "20 kg",', "crash.factors.forward", "an acceleration is needed"),
        ("left = 15,", "", "crash.factors.left", "Add left"),
        ("[crash]", "[crash]\npulses = 3", "crash.pulses", "square brackets"),
        ("[bracket]", '[bracket]\n"two words" = 1', 'bracket."two words"', "Remove it"),
        ('mass = "118 kg"', 'mass_kg = 118', 'removed[1].mass_kg ("engine and ancillaries")', 'Did you mean "mass"?'),
    ],
)  # fmt: skip
def test_one_wrong_value(spoilt: Spoil, problems_of: Problems, old: str, new: str, path: str, said: str) -> None:
    text = spoilt((old, new))
    problem = next(p for p in problems_of(text) if p.path == path)
    assert said in str(problem)
    assert problem.line is not None
    assert text.splitlines()[problem.line - 1].strip() != ""


def test_missing_tables_name_the_keys_they_need(problems_of: Problems) -> None:
    found = {p.path: p for p in problems_of("")}
    assert set(found) == {"job", "vehicle", "bay", "mount_point", "module", "pack", "box", "bracket", "crash"}
    assert "[[mount_point]]" in found["mount_point"].remedy
    assert "at, normal, thread" in found["mount_point"].want


def test_no_mount_point_at_all(sound_text: str, problems_of: Problems) -> None:
    begin, end = sound_text.index("[[mount_point]]"), sound_text.index("[[module]]")
    found = problems_of(sound_text[:begin] + sound_text[end:])
    assert [p.path for p in found] == ["mount_point"]


def test_a_wrong_entry_of_a_list_is_told_once(spoilt: Spoil, problems_of: Problems) -> None:
    found = problems_of(spoilt(('terminal_face = "+x"', 'terminal_face = "front"')))
    assert [p.path for p in found] == ['module[1].terminal_face ("slab-6s")']


@pytest.mark.parametrize(
    ("text", "line", "said"),
    [
        ("a = 1\nb = 420 mm\n", 2, "in quotes"),
        ("a = 1\na = 2\n", 2, "twice"),
        ("[a]\n[b]\n[a]\n", 3, "twice"),
        ("a = [1, 2\nb = 3\n", 2, "list"),
        ('a = "open\nb = 3\n', 1, "quotes"),
        ("just words\n", 1, "key = value"),
        ("a = \n", 1, "neither a number nor text"),
        ("[a\nb = 1\n", 1, "head of a table"),
        ('a = "C:\\parts"\n', 1, "backslash"),
        ("a = { b = 1\n", 1, "table"),
        ("a = 1979-02-31\n", 1, "date"),
    ],
)
def test_not_toml(text: str, line: int, said: str, problems_of: Problems) -> None:
    (problem,) = problems_of(text)
    assert problem.line == line
    assert said in str(problem)
    assert "not TOML" in problem.want


def test_deep_nesting_and_endless_numbers_are_refused(problems_of: Problems) -> None:
    assert "nested" in problems_of("a = " + "[" * 5000)[0].want
    assert problems_of("a = " + "9" * 10_000)


def test_files_that_cannot_be_read(tmp_path: Path) -> None:
    latin = tmp_path / "latin.toml"
    latin.write_bytes(b'[job]\ntitle = "caf\xe9"\n')
    large = tmp_path / "large.toml"
    large.write_bytes(b"# " + b"x" * LARGEST_BYTES)
    cases = {
        tmp_path / "none.toml": "no such file",
        tmp_path: "a folder",
        latin: "UTF-8",
        large: "256 kB",
        tmp_path / ("n" * 300): "readable",
        tmp_path / "nul\0.toml": "readable",
    }
    for path, said in cases.items():
        with pytest.raises(JobError) as trouble:
            read_job(path)
        assert said in str(trouble.value), path


@pytest.mark.skipif(os.name != "posix", reason="pipes are made otherwise elsewhere")
def test_a_pipe_is_refused_rather_than_waited_for(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.toml"
    os.mkfifo(pipe)
    with pytest.raises(JobError, match="plain file"):
        read_job(pipe)


def test_a_byte_order_mark_is_passed_over(tmp_path: Path, sound_text: str) -> None:
    file = tmp_path / "marked.toml"
    file.write_bytes(b"\xef\xbb\xbf" + sound_text.replace("\n", "\r\n").encode())
    assert read_job(file).pack.count == 8


PLAIN = ["nan", "[]", "{}", "[[]]", "true", "-1", "1e308", "2026-01-01", "[1, 2, 3]"]
TEXTS = ['""', '"7,5 mm"', '"12 bananas"', "'''\n'''", '"max"']
TOKENS = st.sampled_from(PLAIN + TEXTS)


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=80, deadline=None)
@given(st.data())
def test_whatever_is_written_either_reads_or_is_explained(sound_text: str, data: st.DataObject) -> None:
    lines = sound_text.splitlines()
    for _ in range(data.draw(st.integers(1, 3))):
        index = data.draw(st.integers(0, len(lines) - 1))
        key = lines[index].partition("=")[0]
        lines[index] = data.draw(
            st.one_of(TOKENS.map(lambda token, key=key: f"{key}= {token}"), st.just(""), st.just("[box]"), st.just("x = 1"))
        )
    text = "\n".join(lines)
    for problem in problems_or_none(text):
        said = str(problem)
        assert problem.got
        assert problem.want
        assert problem.remedy.endswith((".", "?"))
        assert problem.line is None or 1 <= problem.line <= len(lines)
        assert not any(word in said for word in ("pydantic", "Input should", "http", "Value error", "Field required"))


def problems_or_none(text: str) -> list[Problem]:
    try:
        parse_job(text, "job.toml")
    except JobError as error:
        return error.problems or [Problem("", "", "", "an error without a problem")]
    return []


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=60, deadline=None)
@given(st.one_of(st.text(max_size=80), st.text("ab=[]{}'\"#.\n, 1\\", max_size=40)))
def test_any_text_is_refused_politely(text: str) -> None:
    assert all(problem.remedy for problem in problems_or_none(text))
    assert problems_or_none(text)
