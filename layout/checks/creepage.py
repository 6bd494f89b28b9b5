"""Creepage distance between live terminals and the metal of the box (IEC 60664-1)."""

from __future__ import annotations

from layout.checks.rule import Check, Rule, Source
from layout.errors import DesignError
from layout.tables import rows

CREEPAGE = Rule(
    "creepage from live terminals", "2 * d_basic", "d", "mm",
    Source(
        "IEC 60664-1:2007 Table F.4, pollution degree 3, material group III, as reproduced in a catalogue; doubled as for "
        "reinforced insulation (our choice)", "seen",
    ),
    {
        "d_basic": ("mm", "creepage for basic insulation at the pack's greatest voltage"),
        "d": ("mm", "straight distance kept, which no path along a surface is shorter than"),
    },
)  # fmt: skip


def creepage_mm(voltage_v: float) -> float:
    """Creepage for basic insulation, pollution degree 3, material group III; the next higher voltage of the table counts.

    DC is taken as an r.m.s. voltage of the same figure. Raises DesignError beyond the table.
    """
    for row in rows("creepage"):
        if float(row["voltage_v"]) >= voltage_v:
            return float(row["pd3_group_3_mm"])
    last = rows("creepage")[-1]["voltage_v"]
    raise DesignError("creepage", f"the table reaches {last} V", f"{voltage_v:g} V", "Have the insulation designed by hand.")


def creepage_check(part: str, voltage_v: float, kept_mm: float, note: str = "") -> Check:
    """The distance kept against what the voltage asks for."""
    return CREEPAGE.check(part, "in service", note, d_basic=creepage_mm(voltage_v), d=kept_mm)
