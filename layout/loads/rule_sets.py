"""Named rule sets: rows of a table, each with its source, clause, edition, vehicle class and whether its text was seen."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Final, get_args

from layout.checks.rule import Seen, Source
from layout.loads.trouble import LoadsError

DIRECTIONS: Final = ("forward", "rearward", "left", "right", "up", "down")
"""Where the pack is thrown, in the order of every list of cases."""


@dataclass(frozen=True)
class RuleRow:
    """One figure of a rule set.

    kind: "static" (g on the pack), "half sine", "corridor lower" or "corridor upper" (points of ms and g), or "each
    attachment" (share_of_mass of the pack at value_g on every single attachment). direction: where the pack is thrown,
    or "any".
    """

    rule_set: str
    title: str
    vehicle_class: str
    kind: str
    direction: str
    value_g: float
    duration_ms: float | None
    points_ms_g: tuple[tuple[float, float], ...]
    share_of_mass: float | None
    source: Source
    where_seen: str
    note: str


@cache
def rule_sets() -> dict[str, tuple[RuleRow, ...]]:
    """Every rule set by name, in the order of the table."""
    table: dict[str, list[RuleRow]] = {}
    with (files("layout.loads") / "tables" / "rule_sets.csv").open(encoding="utf-8") as text:
        for row in csv.DictReader(text):
            table.setdefault(row["rule_set"], []).append(_row(row))
    return {name: tuple(rows) for name, rows in table.items()}


def rule_set(name: str) -> tuple[RuleRow, ...]:
    """The rows of one rule set.

    Raises:
        LoadsError: there is none of that name; the message lists those there are.
    """
    found = rule_sets().get(name)
    if found is None:
        listed = "; ".join(rule_sets())
        raise LoadsError("crash.rule_set", "it must be one of the listed rule sets", name, f"Choose one of: {listed}")
    return found


def _row(row: dict[str, str]) -> RuleRow:
    seen = row["verified"]
    if seen not in get_args(Seen):
        msg = f"rule_sets.csv: verified = {seen!r} is not one of {get_args(Seen)}"
        raise ValueError(msg)
    text = ", ".join(part for part in (row["source"], row["edition"], row["clause"]) if part)
    points = tuple((float(t), float(g)) for t, g in (pair.split(":") for pair in row["points_ms_g"].split()))
    return RuleRow(
        rule_set=row["rule_set"],
        title=row["title"],
        vehicle_class=row["vehicle_class"],
        kind=row["kind"],
        direction=row["direction"],
        value_g=float(row["value_g"]),
        duration_ms=float(row["duration_ms"]) if row["duration_ms"] else None,
        points_ms_g=points,
        share_of_mass=float(row["share_of_mass"]) if row["share_of_mass"] else None,
        source=Source(text, seen),  # type: ignore[arg-type]
        where_seen=row["where_seen"],
        note=row["note"],
    )
