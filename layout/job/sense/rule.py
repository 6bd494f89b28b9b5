"""What a rule of physical sense is."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from layout.errors import Problem


@dataclass(frozen=True)
class Rule:
    """needs: attributes of Job (or "folder") that find takes, in order; it yields what is wrong."""

    needs: tuple[str, ...]
    find: Callable[..., Iterable[Problem]]


def mm(value: float) -> str:
    """A length as text, without needless zeros."""
    return f"{round(value, 2):g} mm"


def repeated(named: Iterable[Any], path: str) -> Iterator[Problem]:
    """A problem for each entry of a list whose name an earlier one bears."""
    first: dict[str, int] = {}
    for index, one in enumerate(named, start=1):
        if one.name in first:
            want = f"names must differ; entry {first[one.name]} has this one"
            yield Problem(f"{path}[{index}].name", f'"{one.name}"', want, "Give each a name of its own: reports use it.")
        first.setdefault(one.name, index)
