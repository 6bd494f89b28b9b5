"""What the models allow at a place, in words: for error messages, read from the models themselves."""

from __future__ import annotations

import types
from collections.abc import Iterator
from typing import Any, Final, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from layout import units
from layout.job.entry import NOT_NEGATIVE, POSITIVE, Quantity

AXES: Final = ("x", "y", "z")


def keys(model: type[BaseModel]) -> dict[str, FieldInfo]:
    """The table's keys as the file spells them."""
    return {field.alias or name: field for name, field in model.model_fields.items()}


def wanted_at(model: type[BaseModel], path: tuple[str | int, ...]) -> str:
    """In words, what may stand at a path (keys and indexes) below a table. Empty where the path leads nowhere."""
    options: list[tuple[Any, tuple[Any, ...]]] = [(model, ())]
    for step in path:
        options = [below for annotation, _ in options for below in _step(annotation, step)]
    return " or ".join(dict.fromkeys(_words(annotation, extra) for annotation, extra in options))


def models_at(model: type[BaseModel], path: tuple[str | int, ...]) -> list[type[BaseModel]]:
    """The kinds of table that may stand at a path."""
    options: list[tuple[Any, tuple[Any, ...]]] = [(model, ())]
    for step in path:
        options = [below for annotation, _ in options for below in _step(annotation, step)]
    plain = [part for annotation, _ in options for part, _ in _branches(annotation, ())]
    return [part for part in plain if isinstance(part, type) and issubclass(part, BaseModel)]


def _branches(annotation: Any, extra: tuple[Any, ...]) -> Iterator[tuple[Any, tuple[Any, ...]]]:
    """The annotation without Annotated, Optional and Union around it, each branch with its metadata."""
    if hasattr(annotation, "__metadata__"):
        yield from _branches(annotation.__origin__, (*extra, *annotation.__metadata__))
    elif get_origin(annotation) in (Union, types.UnionType):
        for part in get_args(annotation):
            if part is not types.NoneType:
                yield from _branches(part, extra)
    else:
        yield annotation, extra


def _step(annotation: Any, step: str | int) -> Iterator[tuple[Any, tuple[Any, ...]]]:
    for part, _ in _branches(annotation, ()):
        if isinstance(step, str) and isinstance(part, type) and issubclass(part, BaseModel):
            field = keys(part).get(step)
            if field is not None:
                yield field.annotation, tuple(field.metadata)
        elif isinstance(step, int) and get_origin(part) is tuple:
            items = get_args(part)
            if items[-1] is Ellipsis:
                yield items[0], ()
            elif step < len(items):
                yield items[step], ()


def _words(annotation: Any, extra: tuple[Any, ...]) -> str:
    return " or ".join(dict.fromkeys(_one(part, meta) for part, meta in _branches(annotation, extra)))


def _one(part: Any, extra: tuple[Any, ...]) -> str:
    quantity = next((item for item in extra if isinstance(item, Quantity)), None)
    if quantity is not None:
        return _quantity(quantity, extra)
    if get_origin(part) is Literal:
        choices = [f'"{text}"' if isinstance(text, str) else str(text) for text in get_args(part)]
        return choices[0] if len(choices) == 1 else f"one of {', '.join(choices)}"
    if get_origin(part) is tuple:
        return _list(get_args(part), extra)
    if isinstance(part, type) and issubclass(part, BaseModel):
        return f"a table with the keys {', '.join(keys(part))}"
    nouns = {int: "a whole number", float: "a number", str: "text in quotes", bool: "true or false"}
    return nouns.get(part, "a value") + _limits(extra)


def _quantity(quantity: Quantity, extra: tuple[Any, ...]) -> str:
    what = units.KINDS[quantity.kind]
    sign = " above 0" if POSITIVE in extra else ", 0 or more" if NOT_NEGATIVE in extra else ""
    return f"{what.noun}{sign} (a bare number is in {what.default}; or text such as {what.example})" + (
        f", or {quantity.also}" if quantity.also else ""
    )


def _list(items: tuple[Any, ...], extra: tuple[Any, ...]) -> str:
    if items and items[-1] is Ellipsis:
        least = _limit(extra, "min_length")
        more = f" of {least} or more" if least else ""
        return f"a list{more}, each {_words(items[0], ())}"
    counts = {2: "two", 3: "three"}
    same = len(set(map(str, items))) == 1
    each = f", each {_words(items[0], ())}" if same else ""
    return f"a list of exactly {counts.get(len(items), str(len(items)))} values{each}"


def _limit(extra: tuple[Any, ...], name: str) -> Any:
    """The named constraint wherever pydantic keeps it: an attribute of one of the metadata items."""
    found = [getattr(item, name, None) for item in extra]
    return next((value for value in found if value is not None), None)


def _limits(extra: tuple[Any, ...]) -> str:
    said = (("ge", "at least"), ("gt", "above"), ("le", "at most"), ("lt", "below"))
    parts = [f"{word} {value}" for name, word in said if (value := _limit(extra, name)) is not None]
    if _limit(extra, "min_length"):
        parts.append("not empty")
    longest = _limit(extra, "max_length")
    if longest is not None:
        parts.append(f"at most {longest} characters")
    form = _limit(extra, "pattern")
    if form is not None:
        parts.append(_form(str(form)))
    return "".join(f", {part}" for part in parts)


def _form(expression: str) -> str:
    """A pattern in words, for the few kinds of pattern that the models use."""
    choices = {
        r"^(\d{4}-\d{2}-\d{2})?$": "such as 2026-04-30",
        r"^[A-Za-z0-9._-]+$": "of letters, digits, dots, dashes and underscores",
    }
    if expression in choices:
        return choices[expression]
    body = expression.strip("^$")
    if body.startswith("M(") and body.endswith(")"):
        return "one of " + ", ".join(f"M{size}" for size in body[2:-1].split("|"))
    return "one of " + ", ".join(body.strip("()").split("|")) if "|" in body else f"of the form {body}"
