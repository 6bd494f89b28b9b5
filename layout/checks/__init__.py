"""Demand against capacity: each check is a value with its formula, its inputs and its source."""

from layout.checks.rule import Check, Quantity, Rule, Seen, Source, not_checked

__all__ = ["Check", "Quantity", "Rule", "Seen", "Source", "not_checked"]
