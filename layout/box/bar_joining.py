"""Bars away from the floor that lie so near to one another that they are made one, as wide as both take."""

from __future__ import annotations

from dataclasses import replace

from layout.box.carriers import CarrierBar

WIDTHS_MM = (25.0, 30.0, 40.0, 50.0, 60.0, 80.0, 100.0)
"""Widths of flat bar in stock: common practice, no source."""
APART_MM = 3.0
"""Least distance between two bars, and between a bar and what it is not bolted to."""


def joined(bar: CarrierBar, bars: list[CarrierBar], width_mm: float) -> tuple[int | None, CarrierBar]:
    """A bar with that of `bars` (and its place among them) that it would meet at its own level; alone where it meets none, or
    more than one, or none is wide enough. width_mm: beyond the rows of bolts.
    """
    near = [i for i, other in enumerate(bars) if _side_by_side(bar, other)]
    if len(near) != 1:
        return None, bar
    other = bars[near[0]]
    bolts = (*other.bolts, *bar.bolts)
    rows = [b.at_mm[bar.across] for b in bolts]
    low, high = min(rows), max(rows)
    width = next((w for w in WIDTHS_MM if w >= width_mm + high - low - 1e-6), None)
    if width is None:
        return None, bar
    under = max(bar.under_mm, other.under_mm)
    return near[0], replace(other, bolts=bolts, at_mm=(low + high) / 2.0, width_mm=width, under_mm=under)


def _side_by_side(one: CarrierBar, other: CarrierBar) -> bool:
    """Whether two bars of one level would lie nearer than APART_MM."""
    level = (one.run, one.normal, one.sign, one.welded) == (other.run, other.normal, other.sign, other.welded)
    ends = abs(one.ends_mm[0] - other.ends_mm[0]) < 1e-6 and abs(one.ends_mm[1] - other.ends_mm[1]) < 1e-6
    if not (level and ends and abs(one.face_mm - other.face_mm) < 1e-3):
        return False
    return abs(one.at_mm - other.at_mm) < (one.width_mm + other.width_mm) / 2.0 + APART_MM


def prying(bar: CarrierBar, at_mm: float) -> float:
    """By how much a bolt off the middle of a bar that its ends let turn is pulled more than it holds.

    The bar, held at its ends in its middle, turns about its length until its edge beyond the bolt presses on the module: with
    T the bolt's pull, C at the edge and F what the module asks of both, T e = C w / 2 and T - C = F, so T = F / (1 - 2 e / w).
    """
    off = 2.0 * abs(at_mm - bar.at_mm) / bar.width_mm
    return 1.0 if bar.welded or off < 1e-6 else 1.0 / max(1.0 - off, 1e-9)
