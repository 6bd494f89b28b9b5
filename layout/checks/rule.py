"""A strength rule as text that is both printed and evaluated, so that formula and number cannot drift apart."""

from __future__ import annotations

import ast
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from types import CodeType
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

Seen = Literal["seen", "secondary", "memory", "derived"]
"""seen: the text or a table reproducing it was seen; secondary: only a summary of it; memory: not seen;
derived: follows from mechanics by a derivation that is given with the rule."""

_FUNCTIONS: dict[str, Any] = {
    "sqrt": np.sqrt,
    "min": lambda *a: np.minimum.reduce(np.broadcast_arrays(*a)) if len(a) > 1 else a[0],
    "max": lambda *a: np.maximum.reduce(np.broadcast_arrays(*a)) if len(a) > 1 else a[0],
    "abs": np.abs,
    "pi": math.pi,
    "g_0": 9.80665,
}
_SCALAR_FUNCTIONS: dict[str, Any] = {**_FUNCTIONS, "sqrt": math.sqrt, "min": min, "max": max, "abs": abs}


@dataclass(frozen=True, slots=True)
class Source:
    """Where a formula or figure comes from: publication, edition, clause; and whether its text was seen."""

    text: str
    seen: Seen

    def __str__(self) -> str:
        notes = {"seen": "text seen", "secondary": "seen in a summary", "memory": "from memory", "derived": "derived"}
        return f"{self.text} [{notes[self.seen]}]"


@dataclass(frozen=True, slots=True)
class Quantity:
    """One symbol of a formula with its value, unit and meaning."""

    symbol: str
    value: float
    unit: str
    meaning: str


@dataclass(frozen=True)
class Check:
    """A demand against a capacity.

    utilisation = demand / capacity; None where nothing could be checked (then `note` says why), which never counts
    as held. case is the load case, part the part number or name.
    """

    name: str
    part: str
    case: str
    demand: float
    capacity: float | None
    unit: str
    source: Source
    demand_formula: str = ""
    capacity_formula: str = ""
    inputs: tuple[Quantity, ...] = field(default_factory=tuple)
    note: str = ""

    if not TYPE_CHECKING:  # so that a mistyped attribute is still found

        def __getattr__(self, name: str) -> Any:
            """Inputs of a check that a Rule made: put together when first asked for, since most checks are never printed."""
            made_of = self.__dict__.get("_made_of")
            if name != "inputs" or made_of is None:
                raise AttributeError(name)
            symbols, values, row = made_of
            inputs = tuple(Quantity(s, _at(values[s], row), unit, meaning) for s, (unit, meaning) in symbols.items())
            self.__dict__["inputs"] = inputs
            return inputs

    @property
    def utilisation(self) -> float | None:
        """Demand over capacity; infinite where there is no capacity at all; None where not checked."""
        if self.capacity is None:
            return None
        if self.demand == 0.0:
            return 0.0
        return self.demand / self.capacity if self.capacity > 0.0 else math.inf

    @property
    def holds(self) -> bool:
        """True only where a capacity is known and not exceeded."""
        utilisation = self.utilisation
        return utilisation is not None and utilisation <= 1.0 and not math.isnan(utilisation)


class Many(Check):
    """One check under many loads at once: demand and capacity are arrays, or numbers where no load changes them.

    rows: True for the loads for which it is made at all (an array, or True: all). parts: where the part's name changes with
    the load, all names and which of them each load has; part is then what the names have in common.
    """

    if TYPE_CHECKING:
        rows: Any
        parts: tuple[tuple[str, ...], Any] | None

    @property
    def utilisation(self) -> Any:
        """As of a single check, for each load; infinite where nothing could be checked."""
        demand, capacity = self.demand, self.capacity
        if capacity is None:
            return np.full(np.shape(demand), math.inf)
        if isinstance(capacity, float):
            if capacity > 0.0:
                return np.asarray(demand) / capacity
            return np.where(np.asarray(demand) == 0.0, 0.0, math.inf)
        demand, capacity = np.broadcast_arrays(demand, capacity)
        some = capacity > 0.0
        used = np.where(some, demand / np.where(some, capacity, 1.0), math.inf)
        return np.where(demand == 0.0, 0.0, used)

    @property
    def holds(self) -> bool:
        """True where it holds under every load."""
        return self.capacity is not None and bool((self.utilisation <= 1.0).all())


@dataclass(frozen=True)
class Rule:
    """A strength rule: two expressions over named symbols, and where they come from.

    demand and capacity are arithmetic expressions (+ - * / ** ( ) sqrt min max abs pi g_0 and the symbols); symbols maps
    each to (unit, meaning). The same text is evaluated for the value and set as a formula in the report.
    """

    name: str
    demand: str
    capacity: str
    unit: str
    source: Source
    symbols: Mapping[str, tuple[str, str]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        unknown = (_names(self.demand) | _names(self.capacity)) - set(self.symbols) - set(_FUNCTIONS)
        if unknown:
            msg = f"rule {self.name!r} uses symbols it does not explain: {sorted(unknown)}"
            raise ValueError(msg)

    @cached_property
    def _codes(self) -> tuple[CodeType, CodeType]:
        return (compile(self.demand, self.name, "eval"), compile(self.capacity, self.name, "eval"))

    @cached_property
    def _pair(self) -> Callable[..., tuple[float, float]]:
        """Demand and capacity in one call: both expressions compiled once into a function of the symbols by name."""
        names = f"*, {', '.join(self.symbols)}" if self.symbols else ""
        text = f"lambda {names}: (({self.demand}), ({self.capacity}))"
        made: Callable[..., tuple[float, float]] = eval(text, {"__builtins__": {}, **_SCALAR_FUNCTIONS})
        return made

    def figures(self, **values: float) -> tuple[float, float]:
        """Demand and capacity alone, for a search over many places of which only the worst becomes a Check."""
        return self._pair(**values)

    def demand_of(self, **values: Any) -> Any:
        """Demand alone, of numbers or of arrays (of which some must be as large as the others broadcast)."""
        if np.ndarray in map(type, values.values()):
            return self._for_arrays[0](**values)
        return self._pair(**values)[0]

    @cached_property
    def _for_arrays(self) -> tuple[Callable[..., Any], Callable[..., Any], Callable[..., float], frozenset[str]]:
        """Demand and capacity for arrays, capacity for numbers, and the symbols that the capacity uses."""
        names = f"*, {', '.join(self.symbols)}" if self.symbols else ""
        made = [
            eval(f"lambda {names}: ({text})", {"__builtins__": {}, **functions})
            for text, functions in (
                (self.demand, _FUNCTIONS), (self.capacity, _FUNCTIONS), (self.capacity, _SCALAR_FUNCTIONS),
            )
        ]  # fmt: skip
        return made[0], made[1], made[2], frozenset(_names(self.capacity))

    def _many(self, part: str, case: str, note: str, values: dict[str, Any]) -> Check:
        """As `check`, for values of which some are arrays (broadcast together): one per load."""
        arrays = {s for s, v in values.items() if isinstance(v, np.ndarray)}
        demand_of, capacity_of, one_capacity, in_capacity = self._for_arrays
        demand = demand_of(**values)
        capacity = float(one_capacity(**values)) if arrays.isdisjoint(in_capacity) else capacity_of(**values)
        made = object.__new__(Many)
        made.__dict__.update(
            self._fixed, part=part, case=case, note=note, demand=demand, capacity=capacity, rows=True, parts=None,
            _made_of=(self.symbols, values, None),
        )  # fmt: skip
        return made

    @cached_property
    def _fixed(self) -> dict[str, Any]:
        """What all checks of this rule share."""
        return {
            "name": self.name, "unit": self.unit, "source": self.source,
            "demand_formula": self.demand, "capacity_formula": self.capacity,
        }  # fmt: skip

    def check(self, part: str, case: str, note: str = "", /, **values: float) -> Check:
        """Evaluate for one part and case. values: one number per symbol, in the symbol's unit.

        A value that is not a number makes a check that does not hold. With an array among the values: many checks in one (see
        `Many`).
        """
        if np.ndarray in map(type, values.values()):
            return self._many(part, case, note, values)
        demand, capacity = self._pair(**values)
        for value in values.values():
            if value != value:
                demand = math.nan
        made = object.__new__(Check)
        fields = made.__dict__  # filled at once: a frozen dataclass's own __init__ takes four times as long
        fields.update(self._fixed)
        fields["part"], fields["case"], fields["note"] = part, case, note
        fields["demand"], fields["capacity"] = float(demand), float(capacity)
        fields["_made_of"] = (self.symbols, values, None)
        return made

    def utilisations(self, **values: Any) -> Any:
        """Demand over capacity for arrays of values (broadcast together): the vectorised form of `check`.

        As there: infinite where there is no capacity (or it is not a number), 0 where there is no demand.
        """
        demand, capacity = (eval(code, {"__builtins__": {}}, {**_FUNCTIONS, **values}) for code in self._codes)
        demand, capacity = np.broadcast_arrays(np.asarray(demand, dtype=float), np.asarray(capacity, dtype=float))
        for value in values.values():
            demand = np.where(np.isnan(value), math.nan, demand)
        some = capacity > 0.0
        used = np.where(some, demand / np.where(some, capacity, 1.0), math.inf)
        return np.where(demand == 0.0, 0.0, used)

    def demands(self, **values: Any) -> Any:
        """Demand alone for arrays of values (broadcast together)."""
        return np.asarray(eval(self._codes[0], {"__builtins__": {}}, {**_FUNCTIONS, **values}), dtype=float)


def _at(value: Any, row: tuple[tuple[int, ...], int] | None) -> float:
    """A symbol's value; of many loads that of one: row is their shape and its index in one row of them all."""
    if row is None or not isinstance(value, np.ndarray):
        return float(value)
    return float(np.broadcast_to(value, row[0])[np.unravel_index(row[1], row[0])])


def not_checked(name: str, part: str, case: str, why: str, unit: str = "N", demand: float = 0.0) -> Check:
    """A check that could not be made because something is not known: reported, never passed."""
    if isinstance(demand, np.ndarray):
        made = object.__new__(Many)
        made.__dict__.update(
            name=name, unit=unit, source=Source("not checked", "derived"), demand_formula="", capacity_formula="", part=part,
            case=case, note=why, demand=demand, capacity=None, inputs=(), rows=True, parts=None,
        )  # fmt: skip
        return made
    return Check(name, part, case, demand, None, unit, Source("not checked", "derived"), note=why)


def _names(expression: str) -> set[str]:
    return {node.id for node in ast.walk(ast.parse(expression, mode="eval")) if isinstance(node, ast.Name)}
