"""Checks under many loads at once: forces may be numbers or arrays of numbers, one per load.

A check function that is given arrays makes `Many` checks; `settled` keeps of each, for every load case, the load under which
it is used most.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import Any, Protocol

import numpy as np

from layout.checks.road import ROAD_MARGIN, road_words
from layout.checks.rule import Check, Many

NUMBER = "\0"
"""Stands in a part's name for the number, from 1, that the load has along its last axis (the bolts of a group)."""


class Case(Protocol):
    """A load case's name, and whether joints must not slip in it (then stresses keep the margin of road loads)."""

    @property
    def name(self) -> str: ...  # noqa: D102

    @property
    def no_slip(self) -> bool: ...  # noqa: D102


def pulling(force: Any) -> Any:
    """A pull; pressure (below 0) as none. Not-a-number stays so, that it never passes."""
    if isinstance(force, np.ndarray):
        return np.where(force < 0.0, 0.0, force)
    return 0.0 if force < 0.0 else force


def is_pulled(force: Any) -> Any:
    """Whether there is a pull (or something that is no number)."""
    return np.logical_not(force <= 0.0) if isinstance(force, np.ndarray) else not force <= 0.0


def hypot(first: Any, second: Any) -> Any:
    """Root of both squares."""
    if isinstance(first, np.ndarray) or isinstance(second, np.ndarray):
        return np.hypot(first, second)
    return math.hypot(first, second)


def all_finite(forces: Iterable[Any]) -> bool:
    """Whether every force is a number."""
    return all(bool(np.isfinite(f).all()) if isinstance(f, np.ndarray) else math.isfinite(f) for f in forces)


def greatest(values: Sequence[Any]) -> Any:
    """Greatest of some forces, load by load; 0 of none."""
    if any(isinstance(v, np.ndarray) for v in values):
        return np.maximum.reduce(np.broadcast_arrays(*values))
    return max(values, default=0.0)


def made_where(rows: Any, checks: list[Check]) -> list[Check]:
    """The checks for some loads only: none of them where rows is False, or False for every load."""
    if not isinstance(rows, np.ndarray):
        return checks if rows else []
    if not rows.any():
        return []
    return [_where(check, rows) for check in checks]


def _where(check: Check, rows: Any) -> Check:
    made = object.__new__(Many)
    made.__dict__.update({"rows": True, "parts": None}, **check.__dict__)
    made.__dict__["rows"] = rows & made.rows
    return made


def named_by(check: Check, names: tuple[str, ...], which: Any, common: str) -> Check:
    """The same check with a part's name for each load: names[which]."""
    made = object.__new__(Many)
    made.__dict__.update(check.__dict__, part=common, parts=(names, which))
    return made


def with_note(check: Check, note: str) -> Check:
    """The same check with another note."""
    made = object.__new__(type(check))
    made.__dict__.update(check.__dict__, note=note)
    return made


def settled(checks: Iterable[Check], cases: Sequence[Case]) -> list[Check]:
    """Of each check in each case the load under which it is used most: arrays have the cases along their first axis.

    Checks that share name and part (up to NUMBER) count as one. Where nothing could be checked the greatest demand counts; a
    utilisation that is not a number comes before all others. In service stresses keep the margin of road loads.
    """
    alike: dict[tuple[str, str], list[_Ranked]] = {}
    for check in checks:
        alike.setdefault((check.name, check.part), []).append(_Ranked(check, len(cases)))
    found: list[Check] = []
    for group in alike.values():
        for c, case in enumerate(cases):
            best = group[0]
            for one in group[1:]:
                if one.used[c] > best.used[c] or (one.used[c] == best.used[c] and one.demand(c) > best.demand(c)):
                    best = one
            if best.used[c] >= 0.0:
                found.append(best.at(c, case))
    return found


def worst(checks: Iterable[Check], cases: Sequence[Case]) -> Check | None:
    """Of all checks that could be made the one used most in any case, with the margin of road loads in service."""
    best: tuple[float, _Ranked, int] | None = None
    for check in checks:
        if check.capacity is None:
            continue
        one = _Ranked(check, len(cases))
        for c, used in enumerate(one.used):
            counted = used * ROAD_MARGIN if cases[c].no_slip and check.unit == "MPa" else used
            if used >= 0.0 and (best is None or counted > best[0]):
                best = (counted, one, c)
    return None if best is None else best[1].at(best[2], cases[best[2]])


class _Ranked:
    """A check with the load under which it is used most in each case, and how far (-1: not made in that case).

    index: of that load, case by case, among all loads in one row.
    """

    def __init__(self, check: Check, count: int) -> None:
        self.check = check
        self.shape: tuple[int, ...] = ()
        self._shared: dict[bool, dict[str, Any]] = {}
        used = check.utilisation
        if not isinstance(used, np.ndarray) or not used.ndim:
            used = math.inf if used is None or math.isnan(used) else float(used)
            self.index, self.used = [0] * count, [used] * count
            return
        self.shape = used.shape
        rank = used if check.capacity is not None else np.asarray(check.demand)
        rows = getattr(check, "rows", True)
        if rows is not True:
            used, rank = np.where(rows, used, -1.0), np.where(rows, rank, -1.0)
        at = rank.reshape(count, -1).argmax(axis=1)  # not-a-number counts as the greatest
        at += np.arange(count) * (rank.size // count)
        most = used.reshape(-1)[at].tolist()
        self.index = at.tolist()
        self.used = [math.inf if u != u else u for u in most]

    def demand(self, case: int) -> float:
        """Demand under the load that counts in a case."""
        return _value(self.check.demand, self.shape, self.index[case])

    def at(self, case: int, which: Case) -> Check:
        """The check of one case alone, under the load that counts."""
        index = self.index[case]
        fixed = self._shared.get(which.no_slip) or self._in_common(which.no_slip)
        made = object.__new__(Check)
        fields = made.__dict__
        fields.update(fixed)
        fields["case"], fields["demand"] = which.name, _value(fixed["demand"], self.shape, index)
        if fixed["capacity"] is not None:
            fields["capacity"] = _value(fixed["capacity"], self.shape, index)
        if self.shape:
            self._of_load(fields, index)
        return made

    def _of_load(self, fields: dict[str, Any], index: int) -> None:
        """What depends on the load that counts: where the inputs are found, and the part's name."""
        made_of, part = fields.get("_made_of"), fields["part"]
        if made_of is not None:
            fields["_made_of"] = (made_of[0], made_of[1], (self.shape, index))
        parts = getattr(self.check, "parts", None)
        if parts is not None:
            fields["part"] = parts[0][int(_value(parts[1], self.shape, index))]
        elif NUMBER in part:
            fields["part"] = part.replace(NUMBER, str(index % self.shape[-1] + 1))

    def _in_common(self, in_service: bool) -> dict[str, Any]:
        """What the check has in common in all cases of a kind; where a road load asks for it with the margin."""
        check = self.check
        fields = {k: v for k, v in check.__dict__.items() if k not in ("rows", "parts")}
        if in_service and check.unit == "MPa" and check.capacity is not None:
            fields |= {**road_words(check), "capacity": check.capacity / ROAD_MARGIN}
        self._shared[in_service] = fields
        return fields


def _value(value: Any, shape: tuple[int, ...], index: int) -> float:
    """Of a number itself, of an array that broadcasts to a shape its element by the index in one row."""
    if not isinstance(value, np.ndarray):
        return float(value)
    if value.shape == shape:
        return float(value.item(index))
    return float(np.broadcast_to(value, shape)[np.unravel_index(index, shape)])
