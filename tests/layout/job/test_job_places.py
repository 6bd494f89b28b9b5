"""Line numbers of keys and values, against the text itself."""

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.job.places import Path, line_numbers, line_of

AWKWARD = '''# a comment with [brackets] and "quotes
top = 1
"quoted key" = 'single # not a comment'
[a]   # a table
b.c = 2
list = [ 1, # one
  [2, 3],
  # only a comment
  { x = 4, y = [5,
     6] },
]
text = """first
second = 99
third \\""" still text"""
raw = \'\'\'
[not.a.table]
\'\'\'
[[a.rows]]
name = "one"
[[a.rows]]
name = "two ] } ,"
inline = { p = { q = "#" }, "r s" = 1 }
[a.rows.below]
deep = true
[[a.rows.cells]]
v = 1979-05-27T07:32:00Z
[[a.rows.cells]]
v = -1.5e3
"end" = "}"
'''

EXPECTED: dict[Path, int] = {
    ("top",): 2,
    ("quoted key",): 3,
    ("a",): 4,
    ("a", "b", "c"): 5,
    ("a", "list"): 6,
    ("a", "list", 0): 6,
    ("a", "list", 1): 7,
    ("a", "list", 1, 1): 7,
    ("a", "list", 2): 9,
    ("a", "list", 2, "x"): 9,
    ("a", "list", 2, "y", 1): 10,
    ("a", "text"): 12,
    ("a", "raw"): 15,
    ("a", "rows", 0): 18,
    ("a", "rows", 0, "name"): 19,
    ("a", "rows", 1): 20,
    ("a", "rows", 1, "name"): 21,
    ("a", "rows", 1, "inline"): 22,
    ("a", "rows", 1, "inline", "p", "q"): 22,
    ("a", "rows", 1, "inline", "r s"): 22,
    ("a", "rows", 1, "below"): 23,
    ("a", "rows", 1, "below", "deep"): 24,
    ("a", "rows", 1, "cells", 0, "v"): 26,
    ("a", "rows", 1, "cells", 1): 27,
    ("a", "rows", 1, "cells", 1, "end"): 29,
}


@pytest.mark.parametrize(("path", "line"), EXPECTED.items(), ids=str)
def test_awkward_text(path: Path, line: int) -> None:
    tomllib.loads(AWKWARD)
    assert line_numbers(AWKWARD)[path] == line


def test_windows_line_ends_count_once() -> None:
    assert line_numbers(AWKWARD.replace("\n", "\r\n")) == line_numbers(AWKWARD)


def paths(data: object, here: Path = ()) -> list[Path]:
    """Every path of the data."""
    items = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    return [found for key, value in items for found in ((*here, key), *paths(value, (*here, key)))]


def test_every_path_of_the_sound_job_has_a_line(sound_text: str) -> None:
    lines, written = line_numbers(sound_text), sound_text.splitlines()
    for path in paths(tomllib.loads(sound_text)):
        keys = [step for step in path if isinstance(step, str)]
        assert keys[-1] in written[lines[path] - 1] or isinstance(path[-1], int), path


KEYS = st.text("abcXY_-09", min_size=1, max_size=5)
VALUES = st.recursive(
    st.sampled_from(["1", "-2.5", "true", '"a,b]#}"', "'x = [1'", '"""two\nlines"""', "'''\n[t]\n'''"]),
    lambda inner: st.lists(inner, max_size=3).map(lambda items: "[\n " + ",\n # note ] \n ".join(items) + "\n]"),
    max_leaves=6,
)


@given(st.dictionaries(KEYS, VALUES, min_size=1, max_size=6), st.lists(st.sampled_from(["", "# [[x]] = '", "  "]), max_size=3))
def test_generated_texts(entries: dict[str, str], between: list[str]) -> None:
    written, expected = list(between), {}
    for key, value in entries.items():
        expected[(key,)] = len(written) + 1
        written += f"{key} = {value}".split("\n") + between
    text = "\n".join(written)
    data = tomllib.loads(text)
    lines = line_numbers(text)
    assert {path: lines[path] for path in expected} == expected
    assert set(paths(data)) <= set(lines)


def test_nearest_place_around() -> None:
    assert line_of({("a",): 3}, ("a", "b", 0)) == 3
    assert line_of({("a",): 3}, ("c",)) is None
