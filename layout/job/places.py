"""Where each key and value of a TOML text stands: line numbers, which the standard parser does not give.

Runs only on text that the standard parser has accepted, so it need not judge the grammar; one pass, linear in time.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final

Path = tuple[str | int, ...]
"""Keys and zero-based indexes from the top of the file to a value."""

_BLANK: Final = re.compile(r"[ \t\r\n]+|#[^\n]*")
_KEY: Final = re.compile(r"[A-Za-z0-9_-]+|\"(?:[^\"\\\n]|\\.)*\"|'[^'\n]*'")
_STRING: Final = re.compile(
    r'"""(?:[^"\\]|\\[\s\S]|"(?!""))*"{3,5}' r"|'''(?:[^']|'(?!''))*'{3,5}" r'|"(?:[^"\\\n]|\\.)*"' r"|'[^'\n]*'"
)
_BARE: Final = re.compile(r"[^,\]}#\n]+")


@dataclass
class _Scan:
    text: str
    at: int = 0
    line: int = 1
    lines: dict[Path, int] = field(default_factory=dict)

    def skip(self, expression: re.Pattern[str]) -> str:
        found = expression.match(self.text, self.at)
        taken = found.group() if found else ""
        self.at += len(taken)
        self.line += taken.count("\n")
        return taken

    def blank(self) -> None:
        while self.skip(_BLANK):
            pass

    def take(self, mark: str) -> bool:
        if self.text.startswith(mark, self.at):
            self.at += len(mark)
            return True
        return False

    def more(self) -> bool:
        return self.at < len(self.text)


def line_numbers(text: str) -> dict[Path, int]:
    """Line (from 1) of every table, key and list item of a valid TOML text, by path.

    A table header names its own line; items of a list the line on which they begin.
    """
    scan = _Scan(text.replace("\r\n", "\n"))
    counts: dict[Path, int] = {}
    table: Path = ()
    scan.blank()
    while scan.more():
        if scan.take("[["):
            table = _header(scan, counts, is_list=True)
        elif scan.take("["):
            table = _header(scan, counts, is_list=False)
        else:
            _assignment(scan, table)
        scan.blank()
    return scan.lines


def _header(scan: _Scan, counts: dict[Path, int], *, is_list: bool) -> Path:
    line = scan.line
    keys = _dotted(scan)
    scan.take("]]" if is_list else "]")
    path: Path = ()
    for position, key in enumerate(keys):
        path = (*path, key)
        if is_list and position == len(keys) - 1:
            counts[path] = counts.get(path, 0) + 1
        scan.lines.setdefault(path, line)
        if path in counts:
            path = (*path, counts[path] - 1)
            scan.lines.setdefault(path, line)
    scan.lines[path] = line
    return path


def _dotted(scan: _Scan) -> list[str]:
    keys: list[str] = []
    while True:
        scan.blank()
        keys.append(_plain(scan.skip(_KEY)))
        scan.blank()
        if not scan.take("."):
            return keys


def _plain(key: str) -> str:
    if key[:1] == "'":
        return key[1:-1]
    return str(tomllib.loads(f"key = {key}")["key"]) if key[:1] == '"' else key


def _assignment(scan: _Scan, table: Path) -> None:
    line = scan.line
    path = table
    for key in _dotted(scan):
        path = (*path, key)
        scan.lines.setdefault(path, line)
    if not scan.take("="):  # cannot be in valid text; never loop on it
        scan.at = len(scan.text)
        return
    _value(scan, path)


def _value(scan: _Scan, path: Path) -> None:
    scan.blank()
    scan.lines[path] = scan.lines.get(path, scan.line)
    if scan.take("["):
        _items(scan, path, "]")
    elif scan.take("{"):
        _items(scan, path, "}")
    elif not scan.skip(_STRING):
        scan.skip(_BARE)


def _items(scan: _Scan, path: Path, close: str) -> None:
    index = 0
    scan.blank()
    while scan.more() and not scan.take(close):
        before = scan.at
        if close == "]":
            scan.lines[(*path, index)] = scan.line
            _value(scan, (*path, index))
            index += 1
        else:
            _assignment(scan, path)
        scan.blank()
        scan.take(",")
        scan.blank()
        if scan.at == before:
            scan.at = len(scan.text)


def line_of(lines: Mapping[Path, int], path: Path) -> int | None:
    """Line of a path, or of the nearest thing around it that has one."""
    for end in range(len(path), 0, -1):
        if path[:end] in lines:
            return lines[path[:end]]
    return None
