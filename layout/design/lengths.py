"""Bolt lengths from what lies between head and nut."""

from __future__ import annotations

from layout.errors import DesignError
from layout.tables import bolt_lengths_mm


def next_length_mm(size: str, least_mm: float, part: str = "bolt") -> float:
    """The shortest standard length of a hex screw threaded to its head (ISO 4017 series) not below `least_mm`.

    Raises:
        DesignError: no standard length is long enough.
    """
    lengths = bolt_lengths_mm(size, "hex screw")
    for length in lengths:
        if length >= least_mm - 1e-9:
            return length
    raise DesignError(
        part, f"no standard {size} screw is long enough", f"{least_mm:.1f} mm needed", f"Longest: {lengths[-1]:g} mm."
    )
