"""JSON Schema of the job file, for editors that complete and check while typing."""

from __future__ import annotations

import ast
import inspect
from functools import cache
from itertools import pairwise
from typing import Any

from layout.job.entry import Entry
from layout.job.model import Job

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def job_schema() -> dict[str, Any]:
    """The schema as plain data. Keys are the file's; text with units must match its kind's pattern."""
    _describe()
    shared: dict[str, dict[str, Any]] = {}
    plain = _tidy(Job.model_json_schema(by_alias=True, mode="validation"), shared)
    definitions = {**plain.pop("$defs"), **shared}
    return {"$schema": DIALECT, "title": "boxwright job file", **plain, "$defs": definitions}


@cache
def _describe() -> None:
    """Give every field the docstring under it as its description."""
    tables = _below(Entry)
    for table in tables:
        written = _docstrings(table)
        for name, field in table.model_fields.items():
            field.description = field.description or written.get(name)
    for table in tables:
        table.model_rebuild(force=True)


def _below(table: type[Entry]) -> list[type[Entry]]:
    return [found for one in table.__subclasses__() for found in (one, *_below(one))]


def _docstrings(table: type[Entry]) -> dict[str, str]:
    """Text that stands directly under the fields of a table, by the fields' names."""
    body = ast.parse(inspect.getsource(table)).body[0]
    found: dict[str, str] = {}
    for field, text in pairwise(body.body if isinstance(body, ast.ClassDef) else []):
        named = isinstance(field, ast.AnnAssign) and isinstance(field.target, ast.Name)
        if named and isinstance(text, ast.Expr) and isinstance(text.value, ast.Constant) and isinstance(text.value.value, str):
            found[field.target.id] = inspect.cleandoc(text.value.value)  # type: ignore[attr-defined]
    return found


def _tidy(node: Any, shared: dict[str, dict[str, Any]]) -> Any:
    """Without titles that only repeat attribute names, and without nulls, which the file cannot hold.

    Each kind of quantity stands once, in shared, and is referred to.
    """
    if isinstance(node, list):
        return [_tidy(one, shared) for one in node]
    if not isinstance(node, dict):
        return node
    if "anyOf" in node:
        return _choice(node, shared)
    tidy: dict[str, Any] = {}
    for key, value in node.items():
        if key in ("properties", "$defs"):
            tidy[key] = {name: _tidy(one, shared) for name, one in value.items()}
        elif key == "description":
            tidy[key] = " ".join(value.split())
        elif not (key == "title" and isinstance(value, str)) and not (key == "default" and value is None):
            tidy[key] = _tidy(value, shared)
    return tidy


def _choice(node: dict[str, Any], shared: dict[str, dict[str, Any]]) -> dict[str, Any]:
    rest = _tidy({key: value for key, value in node.items() if key != "anyOf"}, shared)
    options = [_tidy(one, shared) for one in node["anyOf"] if one.get("type") != "null"]
    if len(options) == 1:
        return {**options[0], **rest}
    written = [one for one in options if "kind" in one]
    if not written:
        return {"anyOf": options, **rest}
    name, description = written[0].pop("kind"), written[0].pop("description")
    number = [one for one in options if one.get("type") == "number"]
    shared[name] = {"description": description, "anyOf": number + written}
    others = [one for one in options if one not in number and one not in written]
    reference = {"$ref": f"#/$defs/{name}"}
    return {"anyOf": [reference, *others], **rest} if others else {**reference, **rest}
