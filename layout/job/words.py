"""The validation library's findings as problems in our own words, and paths as the file's reader counts them."""

from __future__ import annotations

import difflib
import json
import re
from collections.abc import Iterator, Mapping
from typing import Any, Final

from pydantic import BaseModel, ValidationError

from layout.errors import Problem
from layout.job.allowed import AXES, keys, models_at, wanted_at
from layout.job.model import Job
from layout.job.places import Path

_STEP: Final = re.compile(r"\[(\d+)\]|\.?(\"(?:[^\"\\]|\\.)*\"|[A-Za-z0-9_-]+)")


def shown(value: Any, longest: int = 60) -> str:
    """A value as it would stand in the file, cut to a line."""
    text = " ".join(_toml(value).split())
    return text if len(text) <= longest else text[: longest - 3] + "..."


def _toml(value: Any) -> str:
    if value is None:
        return "nothing"
    if isinstance(value, str):
        return f"'{value}'" if '"' in value else f'"{value}"'
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{_key(key)} = {_toml(one)}" for key, one in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(_toml(one) for one in value) + "]"
    return str(value).lower()


def dotted(path: Path, data: Mapping[str, Any]) -> str:
    """A path in the file's terms; lists count from 1; the name of the innermost named list entry follows in brackets."""
    text, name, here = "", "", data
    for step in path:
        text += f"[{step + 1}]" if isinstance(step, int) else f".{_key(step)}"
        here = _below(here, step)
        if isinstance(step, int) and isinstance(here, Mapping) and isinstance(here.get("name"), str):
            name = here["name"]
    return text.lstrip(".") + (f' ("{name}")' if name else "")


def _key(step: str) -> str:
    return step if re.fullmatch(r"[A-Za-z0-9_-]+", step) else json.dumps(step, ensure_ascii=False)


def steps(text: str) -> Path:
    """The path that `dotted` writes, back as keys and zero-based indexes."""
    plain = text.partition(' ("')[0]
    found = _STEP.finditer(plain)
    return tuple(int(one[1]) - 1 if one[1] else json.loads(one[2]) if one[2][0] == '"' else one[2] for one in found)


def _below(here: Any, step: str | int) -> Any:
    if isinstance(step, int):
        return here[step] if isinstance(here, list | tuple) and 0 <= step < len(here) else None
    return here.get(step) if isinstance(here, Mapping) else None


def value_at(data: Any, path: Path) -> Any:
    """The value at a path, or None."""
    for step in path:
        data = _below(data, step)
    return data


def problems_from(error: ValidationError, data: Mapping[str, Any]) -> list[Problem]:
    """Every finding as a problem; the branches of one either-or value joined into one problem."""
    by_place: dict[Path, list[dict[str, Any]]] = {}
    for finding in error.errors(include_url=False, include_context=True, include_input=False):
        path = _true_path(finding["loc"], finding["type"], data)
        if not _follows_only(dict(finding), path, data):
            by_place.setdefault(path, []).append(dict(finding))
    deeper = {path[:end] for path in by_place for end in range(len(path))}
    found: list[Problem] = []
    for path, findings in by_place.items():
        choice = all(finding["type"] == "literal_error" for finding in findings)
        if not (choice and path in deeper):
            found.append(_problem(path, findings, data))
    return found


def _follows_only(finding: dict[str, Any], path: Path, data: Mapping[str, Any]) -> bool:
    """True for a list said to be too short only because its items are wrong, which are reported themselves."""
    value = value_at(data, path)
    return finding["type"] == "too_short" and isinstance(value, list) and len(value) >= finding["ctx"]["min_length"]


def _true_path(loc: tuple[Any, ...], kind: str, data: Mapping[str, Any]) -> Path:
    """The library's place without the names it gives to the branches of a choice."""
    path: list[str | int] = []
    here: Any = data
    for position, step in enumerate(loc):
        last = position == len(loc) - 1
        inside = isinstance(here, Mapping) if isinstance(step, str) else isinstance(here, list)
        known = inside and (_below(here, step) is not None or (last and kind in ("missing", "extra_forbidden")))
        if known:
            path.append(step)
            here = _below(here, step)
        elif inside and isinstance(step, int):
            path.append(step)
            here = None
    return tuple(path)


def _problem(path: Path, findings: list[dict[str, Any]], data: Mapping[str, Any]) -> Problem:
    finding = findings[0]
    kind = finding["type"]
    if kind == "extra_forbidden":
        return _unknown_key(path, data)
    if kind == "missing":
        return _missing(path, data)
    value = value_at(data, path)
    if kind == "value_error" and isinstance(value, Mapping):
        reason = str(finding["ctx"]["error"])
        return Problem(dotted(path, data), shown(value), reason, "Change these keys so that they agree.")
    wanted = wanted_at(Job, path)
    want = f"must be {wanted}" if wanted else "is not allowed here"
    remedy = "Write one of these." if len({one["type"] for one in findings}) > 1 else _remedy(path, finding, value)
    return Problem(dotted(path, data), shown(value), want, remedy)


def _missing(path: Path, data: Mapping[str, Any]) -> Problem:
    step = path[-1] if path else ""
    if isinstance(step, int):
        of = f" ({AXES[step]})" if _is_point(path) else ""
        around = path[:-1]
        remedy = f"Value {step + 1}{of} of the list is missing: add it."
        return Problem(dotted(around, data), shown(value_at(data, around)), f"must be {wanted_at(Job, around)}", remedy)
    home = f" to [{dotted(path[:-1], data)}]" if path[:-1] else ""
    tables = models_at(Job, path)
    if len(path) == 1 and tables:
        return Problem(dotted(path, data), "nothing", _needs(tables[0]), f"Add a table [{step}].")
    if len(path) == 1 or models_at(Job, (*path, 0)):
        table = models_at(Job, (*path, 0))[0]
        head = f"[[{'.'.join(str(one) for one in path if isinstance(one, str))}]]"
        return Problem(dotted(path, data), "nothing", _needs(table), f"Add a table {head}, one for each.")
    return Problem(dotted(path, data), "nothing", f"must be given: {wanted_at(Job, path)}", f"Add {step} = ...{home}.")


def _needs(table: type[BaseModel]) -> str:
    needed = [key for key, field in keys(table).items() if field.is_required()]
    if needed:
        return f"must be given: a table with at least the keys {', '.join(needed)}"
    return f"must be given: a table with some of the keys {', '.join(keys(table))}"


def _is_point(path: Path) -> bool:
    """Whether a path leads to one coordinate of a point or one edge of a size."""
    last = path[-1]
    named = len(path) > 1 and path[-2] in ("at", "from", "to", "min", "max", "size", "centroid_offset")
    in_outline = len(path) > 2 and path[-3] in ("outline", "outline_above", "pattern", "terminals", "points")
    return isinstance(last, int) and last < 3 and (named or in_outline)


def _unknown_key(path: Path, data: Mapping[str, Any]) -> Problem:
    key = str(path[-1])
    models = models_at(Job, path[:-1])
    known = list(dict.fromkeys(name for model in models for name in keys(model)))
    near = difflib.get_close_matches(key.lower(), known, n=1, cutoff=0.6)
    elsewhere = [place for place, model in _all_tables() if key in keys(model)]
    if near:
        remedy = f'Did you mean "{near[0]}"?'
    elif elsewhere:
        remedy = f"It belongs to [{elsewhere[0]}]: write it there, above any [table] that follows."
    else:
        remedy = "Remove it, or turn it into a comment with #."
    want = f"no such key here; the keys are {', '.join(known)}"
    return Problem(dotted(path, data), shown(value_at(data, path)), want, remedy)


def _all_tables() -> Iterator[tuple[str, type[BaseModel]]]:
    """Every table of the file with the place where it stands."""
    waiting: list[tuple[Path, type[BaseModel]]] = [((), Job)]
    while waiting:
        path, model = waiting.pop(0)
        if path:
            yield ".".join(str(step) for step in path if isinstance(step, str)), model
        for key in keys(model):
            for below in ((*path, key), (*path, key, 0)):
                waiting += [(below, found) for found in models_at(Job, below) if len(below) < 8]


_REMEDIES: Final = {
    **dict.fromkeys(("int_type", "int_parsing", "float_type", "float_parsing"), "Write a plain number, without quotes."),
    "int_from_float": "Write a whole number.",
    "string_type": "Put the text in quotes.",
    **dict.fromkeys(("tuple_type", "list_type"), "Write a list in square brackets."),
    **dict.fromkeys(
        ("model_type", "model_attributes_type", "dict_type"), "Write a table: { key = value, ... } or a [table] of its own."
    ),
    **dict.fromkeys(("bool_type", "bool_parsing"), "Write true or false, without quotes."),
    "string_too_short": "Write something between the quotes.",
}


def _remedy(path: Path, finding: dict[str, Any], value: Any) -> str:
    kind = finding["type"]
    if kind == "value_error":
        axis = f"{AXES[int(path[-1])]}: " if _is_point(path) else ""
        return _sentence(axis + str(finding["ctx"]["error"]))
    if kind in ("literal_error", "string_pattern_mismatch") and isinstance(value, str):
        return _near_choice(path, value)
    if kind in ("too_short", "too_long"):
        return f"{'Add to it' if kind == 'too_short' else 'Take some out'}: it holds {len(value)}."
    if kind == "string_too_long":
        return f"Shorten it: it has {len(value)} characters."
    if kind == "int_type" and isinstance(value, float):
        return "Write a whole number."
    return _REMEDIES.get(kind, "Change it to a value that is allowed.")


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + ("" if text.endswith(("?", ".")) else ".")


def _near_choice(path: Path, value: str) -> str:
    words = wanted_at(Job, path)
    choices = re.findall(r'"([^"]+)"', words) or re.findall(r"\bM\d+\b", words)
    near = difflib.get_close_matches(value.lower(), choices, n=1, cutoff=0.6)
    if near:
        return f'Did you mean "{near[0]}"?'
    return "Write one of these." if choices else "Write it in that form."
