"""The job files that come with the tool, and the schema beside them."""

import re
import tomllib
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest

from layout.job import read_job
from layout.job.allowed import keys, models_at
from layout.job.model import Job
from layout.job.read import parse_job
from layout.job.schema import job_schema
from layout.job.sense import cautions
from layout.job.template import demo_path, new_job_text

JOBS = Path(__file__).resolve().parents[2] / "jobs"
SOUND = {
    "contract": (JOBS / "larkmoor-front-bay.toml").read_text(encoding="utf-8"),
    "demo": demo_path().read_text(encoding="utf-8"),
    "start": new_job_text(),
}


@pytest.mark.parametrize("name", SOUND)
def test_reads_without_a_problem(name: str) -> None:
    job = parse_job(SOUND[name])
    assert job.pack.count == job.pack.series * job.pack.parallel
    assert not any("window" in text or "unusual" in text for text in cautions(job))


def test_the_demo_is_a_file_that_can_be_named() -> None:
    assert read_job(demo_path()).job.show_in == "in"


def test_the_three_jobs_share_neither_vehicle_nor_module() -> None:
    jobs = [parse_job(text) for text in SOUND.values()]
    assert len({job.vehicle.wheelbase_mm for job in jobs}) == 3
    assert len({job.modules[0].size_mm for job in jobs}) == 3
    assert len({job.modules[0].name for job in jobs}) == 3


def test_the_demo_mixes_units() -> None:
    assert all(f'{unit}"' in SOUND["demo"] for unit in (" in", " lb", " mm", " kg"))


def test_every_mount_of_demo_and_start_says_what_it_is_in() -> None:
    assert all(mount.sheet for name in ("demo", "start") for mount in parse_job(SOUND[name]).mount_points)


def test_schema_line_comes_first_and_is_a_comment() -> None:
    text = new_job_text("JOB.schema.json")
    assert text.splitlines()[0] == "#:schema ./JOB.schema.json"
    assert tomllib.loads(text) == tomllib.loads(new_job_text())


def test_keys_shown_as_comments_in_the_template_exist() -> None:
    """Every "# key = ..." below a table is a key of that table, and reads with the value shown, unless it says [x, y]."""
    table: tuple[str | int, ...] = ()
    shown = 0
    for line in SOUND["start"].splitlines():
        if head := re.match(r"(?:# )?\[\[?([a-z_.]+)\]", line):
            table = tuple(head[1].split("."))
        elif comment := re.match(r"# ([a-z_]+) = ", line):
            found = [model for end in (table, (*table, 0)) for model in models_at(Job, _indexed(end))]
            assert any(comment[1] in keys(model) for model in found), line
            shown += 1
    assert shown > 20


def _indexed(path: tuple[str | int, ...]) -> tuple[str | int, ...]:
    """The path with an index after each key that names a list of tables."""
    made: tuple[str | int, ...] = ()
    for step in path:
        made = (*made, step)
        if isinstance(step, str) and not models_at(Job, made) and models_at(Job, (*made, 0)):
            made = (*made, 0)
    return made


SCHEMA = job_schema()


TYPES = {"string": str, "number": (int, float), "integer": int, "boolean": bool, "array": list, "object": dict}


def complaints(value: Any, rule: Mapping[str, Any], at: str = "") -> Iterator[str]:
    """What a plain reading of the few schema words used here has against a value."""
    if "$ref" in rule:
        yield from complaints(value, SCHEMA["$defs"][rule["$ref"].rpartition("/")[2]], at)
    elif "anyOf" in rule:
        tried = [list(complaints(value, option, at)) for option in rule["anyOf"]]
        if all(tried):
            yield f"{at}: no option fits {value!r}: {tried}"
    elif "type" in rule and (
        not isinstance(value, TYPES[rule["type"]]) or isinstance(value, bool) != (rule["type"] == "boolean")
    ):
        yield f"{at}: {value!r} is no {rule['type']}"
    elif isinstance(value, list):
        yield from list_complaints(value, rule, at)
    elif isinstance(value, dict):
        yield from table_complaints(value, rule, at)
    else:
        yield from plain_complaints(value, rule, at)


def plain_complaints(value: Any, rule: Mapping[str, Any], at: str) -> Iterator[str]:
    if "const" in rule and value != rule["const"]:
        yield f"{at}: {value!r}"
    if "enum" in rule and value not in rule["enum"]:
        yield f"{at}: {value!r} not in {rule['enum']}"
    if "pattern" in rule and not re.search(rule["pattern"], value):
        yield f"{at}: {value!r} is not of the form"
    if "exclusiveMinimum" in rule and not value > rule["exclusiveMinimum"]:
        yield f"{at}: {value!r} too small"


def list_complaints(value: list[Any], rule: Mapping[str, Any], at: str) -> Iterator[str]:
    if not rule.get("minItems", 0) <= len(value) <= rule.get("maxItems", len(value)):
        yield f"{at}: {len(value)} items"
    rules = rule.get("prefixItems") or [rule.get("items", {})] * len(value)
    for index, (one, its) in enumerate(zip(value, rules, strict=False)):
        yield from complaints(one, its, f"{at}[{index}]")


def table_complaints(value: dict[str, Any], rule: Mapping[str, Any], at: str) -> Iterator[str]:
    known = rule.get("properties", {})
    yield from (f"{at}.{key}: unknown" for key in value if key not in known)
    yield from (f"{at}.{key}: missing" for key in rule.get("required", ()) if key not in value)
    for key, one in value.items():
        yield from complaints(one, known.get(key, {}), f"{at}.{key}")


@pytest.mark.parametrize("name", SOUND)
def test_schema_takes_the_good_jobs(name: str) -> None:
    assert list(complaints(tomllib.loads(SOUND[name]), SCHEMA)) == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('wheelbase = "2390 mm"', 'wheelbase = "2,390 mm"'),
        ('wheelbase = "2390 mm"', 'wheelbase = "2390 kg"'),
        ('wheelbase = "2390 mm"', 'wheelbase = "-2390 mm"'),
        ('wheelbase = "2390 mm"', "wheelbase = 0"),
        ('wheelbase = "2390 mm"', "wheelbas = 2390"),
        ('mass = "118 kg"', 'mass = "118,0 kg"'),
        ('mass = "12.4 kg"', 'mass = "12.4"'),
        ("at = [340, 315, 330]", "at = [340, 315]"),
        ('lid = "+z"', 'lid = "up"'),
        ("count = 8 ", 'count = "all"'),
    ],
)
def test_schema_refuses_what_the_reader_refuses(old: str, new: str) -> None:
    text = SOUND["contract"]
    assert old in text
    assert list(complaints(tomllib.loads(text.replace(old, new, 1)), SCHEMA))


def test_schema_explains_tables_and_quantities() -> None:
    definitions = SCHEMA["$defs"]
    assert all(definition.get("description") for definition in definitions.values())
    assert "16.5 in" in definitions["length"]["description"]
    assert SCHEMA["$schema"].startswith("https://json-schema.org/")


def test_schema_forbids_unknown_keys_everywhere() -> None:
    assert all(d["additionalProperties"] is False for d in SCHEMA["$defs"].values() if d.get("type") == "object")
