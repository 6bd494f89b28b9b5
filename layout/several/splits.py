"""How a number of modules may be shared among boxes that hold so many each at most."""

from __future__ import annotations

from itertools import product

MOST_SPLITS = 4


def splits(holds: tuple[int, ...], wanted: int) -> list[tuple[int, ...]]:
    """Up to MOST_SPLITS ways, each box with one module at least: the most even ones first, then those that fill a box.

    Of the even ones several, since modules in rows and layers are often held in even numbers only.
    """
    every = [s for s in product(*(range(1, h + 1) for h in holds)) if sum(s) == wanted]
    if not every:
        return []
    even = sorted(every, key=lambda s: (max(s) - min(s), [-v for v in s]))
    fullest = [_fullest(every, k) for k in range(len(holds))]
    return list(dict.fromkeys([*even[: MOST_SPLITS - 1], *fullest]))[:MOST_SPLITS]


def _fullest(every: list[tuple[int, ...]], box: int) -> tuple[int, ...]:
    """The way with the most modules in one box, the most even one of these."""
    return max(every, key=lambda s: (s[box], min(s) - max(s)))
