"""File -> text -> plain TOML data. What goes wrong on the way becomes a JobError in our own words."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path as FilePath
from typing import Any, Final

from layout.errors import JobError, Problem

LARGEST_BYTES: Final = 256 * 1024
_KILOBYTES: Final = LARGEST_BYTES // 1024

_JOIN: Final = "Join the two; for one more entry of a list write [[name]] with two brackets."
_TROUBLES: Final = (
    ("Cannot overwrite", "a key is given twice", "Keep one of the two."),
    ("Duplicate inline table key", "a key is given twice", "Keep one of the two."),
    ("Cannot declare", "a table is given twice", _JOIN),
    ("Cannot redefine", "a table is given twice", _JOIN),
    ("Cannot mutate", "something is added to what { } or [ ] has closed", "Write it inside the brackets."),
    ("Invalid value", "neither a number nor text in quotes", 'Put text, and a number with a unit, in quotes: "420 mm".'),
    ("Unclosed array", "a list is not closed, or a comma is missing in it", "Write a comma between values and ] at the end."),
    ("Unclosed inline", "a table is not closed, or a comma is missing", "Write a comma between keys and } at the end."),
    ("Unescaped", "a backslash stands in text", "Write / instead, or single quotes around the text."),
    ("Unterminated", "text is not closed", "Close the quotes."),
    ("Expected '\"", "text is not closed", "Close the quotes."),
    ("Expected \"'", "text is not closed", "Close the quotes."),
    ("Illegal character", "text is not closed on its line, or holds a control character", "Close the quotes on the same line."),
    ("Expected '='", "a key stands without =", "Write key = value, one on a line."),
    ("Expected ']", "the head of a table is not closed", "Write [name], or [[name]] for an entry of a list."),
    ("Invalid initial", "a key is missing or holds a letter that needs quotes", "Write key = value with a plain key."),
    ("Invalid statement", "the line is neither key = value nor [table]", "Write key = value, or put # before a comment."),
    ("Invalid date", "the date does not exist", 'Write "2026-04-30".'),
    (
        "Expected newline",
        "something follows the value",
        'Put a number and its unit in quotes: "420 mm"; write in, not the inch mark, inside such quotes.',
    ),
)


def text_of(file: FilePath) -> str:
    """The text of a job file. Raises JobError where there is none, or it is no UTF-8 text of a sensible size."""
    raw = _bytes_of(file)
    if len(raw) > LARGEST_BYTES:
        raise JobError([too_large(file.name)])
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        got = f"the byte 0x{raw[error.start]:02X}"
        problem = Problem(file.name, got, "the file must be UTF-8 text", "Save it as UTF-8 in your editor.", line)
        raise JobError([problem]) from None


def _bytes_of(file: FilePath) -> bytes:
    try:
        if file.is_dir():
            raise JobError([Problem(str(file), "a folder", "a job file is needed here", "Name the .toml file itself.")])
        if file.exists() and not file.is_file():
            raise JobError([Problem(str(file), "a device or pipe", "a job file is needed here", "Name a plain file.")])
        with file.open("rb") as stream:
            return stream.read(LARGEST_BYTES + 1)
    except FileNotFoundError:
        remedy = "Check the name, or write a job file to start from with `boxwright new`."
        raise JobError([Problem(str(file), "no such file", "the job file must exist", remedy)]) from None
    except (OSError, ValueError) as error:
        got = str(getattr(error, "strerror", None) or "a name that cannot be used")
        raise JobError([Problem(str(file), got, "the job file must be readable", "Check its name and rights.")]) from None


def too_large(name: str) -> Problem:
    """A file that no hand can have written."""
    want = f"a job file has at most {_KILOBYTES} kB"
    return Problem(name, f"more than {_KILOBYTES} kB", want, "Put scans and meshes into files of their own beside it.")


def data_of(text: str, name: str) -> dict[str, Any]:
    """The data of a TOML text. Raises JobError with the line where it is not TOML."""
    if len(text) > LARGEST_BYTES:
        raise JobError([too_large(name)])
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise JobError([_not_toml(str(error), text, name)]) from None
    except RecursionError:
        got = "brackets within brackets within brackets"
        raise JobError([Problem(name, got, "lists and tables are nested too deeply", "Close the brackets.")]) from None
    except ValueError:  # a number of thousands of digits
        problem = Problem(name, "a number of very many digits", "no measure is that large", "Write the number as measured.")
        raise JobError([problem]) from None


def _not_toml(message: str, text: str, name: str) -> Problem:
    place = re.search(r"\(at line (\d+), column (\d+)\)", message)
    lines = text.splitlines()
    number = min(int(place[1]), len(lines)) if place else len(lines)
    line = " ".join(lines[number - 1].split()) if lines else ""
    default = ("", "the line is not TOML", "Compare it with the file that `boxwright new` writes.")
    _, reason, remedy = next((trouble for trouble in _TROUBLES if message.startswith(trouble[0])), default)
    where = f" (near column {place[2]})" if place else " (at the end of the file)"
    got = line if len(line) <= 60 else line[:57] + "..."
    return Problem(name, got or "nothing", f"not TOML: {reason}{where}", remedy, max(number, 1))
