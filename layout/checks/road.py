"""What road loads ask beyond a crash: stresses well below yield, since they come often."""

from __future__ import annotations

from collections.abc import Iterable

from layout.checks.rule import Check

ROAD_MARGIN = 1.5
"""Nominal stress under road loads stays below the permitted stress over 1.5 (common practice, no source)."""
ROAD_NOTE = "road load: two thirds of the permitted stress (common practice); this is no fatigue check"


def with_road_margin(checks: Iterable[Check]) -> list[Check]:
    """The same checks with two thirds of the capacity wherever a stress is compared; all others unchanged."""
    return [_lowered(c) if c.unit == "MPa" and c.capacity is not None else c for c in checks]


def road_words(check: Check) -> dict[str, str]:
    """Note and formula of the capacity of a check that keeps the margin."""
    note = f"{check.note}; {ROAD_NOTE}" if check.note else ROAD_NOTE
    return {"note": note, "capacity_formula": f"({check.capacity_formula}) / {ROAD_MARGIN:g}" if check.capacity_formula else ""}


def _lowered(check: Check) -> Check:
    made = object.__new__(Check)  # as in Rule.check: inputs stay unmade until they are asked for
    made.__dict__.update(check.__dict__, capacity=(check.capacity or 0.0) / ROAD_MARGIN, **road_words(check))
    return made
