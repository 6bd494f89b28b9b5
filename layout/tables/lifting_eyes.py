"""Lifting eye bolts of DIN 580 (and ISO 3266, which it follows in form): working loads and the sizes that matter here."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from layout.checks.rule import Source
from layout.tables.reading import UnknownName, number, rows, source_of


@dataclass(frozen=True, slots=True)
class LiftingEye:
    """Working loads in kg for a pull along its axis, up to 45 and up to 90 degrees off it, and sizes in mm.

    collar_mm: outside of the collar that must lie on metal all round; ring_centre_mm: from there to the middle of the ring;
    thread_mm: length of the thread, which must be screwed in wholly.
    """

    size: str
    axial_kg: float
    at_45_deg_kg: float
    at_90_deg_kg: float
    collar_mm: float
    ring_centre_mm: float
    thread_mm: float
    source: Source


def lifting_eye_sizes() -> tuple[str, ...]:
    """Threads in the table."""
    return tuple(r["size"] for r in rows("lifting_eyes"))


@cache
def lifting_eye(size: str) -> LiftingEye:
    """Lifting eye bolt by its thread, e.g. "M10". Raises UnknownName."""
    for row in rows("lifting_eyes"):
        if row["size"] == size.strip().upper():
            fields = [k for k in LiftingEye.__dataclass_fields__ if k not in ("size", "source")]
            return LiftingEye(size=row["size"], source=source_of(row), **{k: number(row, k) for k in fields})
    raise UnknownName("lifting eye", size, lifting_eye_sizes())
