"""What a maker allows on one fixing point of what he makes: a module's thread, a foot of a piece of equipment."""

from __future__ import annotations

from dataclasses import replace

from layout.checks.rule import Rule, Source

FIXING_POINT = Rule(
    "module's own fixing point", "sqrt(F_t**2 + F_v**2)", "F_max", "N",
    Source("what the maker allows, as the job file states it", "derived"),
    {"F_t": ("N", "pull of the bolt"), "F_v": ("N", "shear"), "F_max": ("N", "greatest force on one fixing point")},
)  # fmt: skip

FOOT = replace(FIXING_POINT, name="equipment's own foot")
