"""Paths in the file's terms and back, and what is said to be allowed."""

from collections.abc import Iterator

from hypothesis import given
from hypothesis import strategies as st
from pydantic import BaseModel

from layout.job.allowed import keys, models_at, wanted_at
from layout.job.model import Job
from layout.job.words import dotted, shown, steps

STEPS = st.lists(st.one_of(st.text(min_size=1, max_size=8), st.integers(0, 99)), min_size=1, max_size=6)


@given(STEPS.filter(lambda path: isinstance(path[0], str)))
def test_paths_go_there_and_back(path: list[str | int]) -> None:
    assert steps(dotted(tuple(path), {})) == tuple(path)


def test_lists_count_from_one_and_the_innermost_name_is_told() -> None:
    data = {"module": [{"name": "a"}, {"name": 'b ("c")', "size": [1, 2, 3]}]}
    assert dotted(("module", 1, "size", 2), data) == 'module[2].size[3] ("b ("c")")'
    assert steps('module[2].size[3] ("b ("c")")') == ("module", 1, "size", 2)


def test_values_are_shown_as_they_would_stand_in_the_file() -> None:
    value = {"a": [1, 2.5, True], "b c": 'say "x"', "d": "7.5 in"}
    assert shown(value) == """{ a = [1, 2.5, true], "b c" = 'say "x"', d = "7.5 in" }"""
    assert len(shown("x" * 500)) == 60
    assert shown(None) == "nothing"


def every_key(model: type[BaseModel], path: tuple[str | int, ...] = ()) -> Iterator[tuple[str | int, ...]]:
    for key in keys(model):
        yield (*path, key)
        for below in ((*path, key), (*path, key, 0)):
            for found in models_at(Job, below):
                yield from every_key(found, below)


def test_every_key_of_the_file_is_explained_in_words() -> None:
    found = list(every_key(Job))
    assert len(found) > 150
    for path in found:
        words = wanted_at(Job, path)
        assert words, path
        assert "a value" not in words, (path, words)
        assert "^" not in words, (path, words)


def test_words_for_quantities_name_default_unit_and_examples() -> None:
    assert wanted_at(Job, ("vehicle", "wheelbase")).startswith("a length above 0 (a bare number is in mm")
    assert '"unknown"' in wanted_at(Job, ("removed", 0, "mass"))
    assert wanted_at(Job, ("pack", "count")) == 'a whole number or "max"'
    assert "each a length" in wanted_at(Job, ("mount_point", 0, "at"))
    assert wanted_at(Job, ("vehicle", "nothing")) == ""
