"""Sheet stock, as-bent radii, general tolerances."""

from __future__ import annotations

from itertools import pairwise

from layout.errors import DesignError
from layout.tables.metals import Family, material
from layout.tables.reading import UnknownName, maybe, number, rows

_FAMILIES = ("steel", "aluminium")


def sheet_thicknesses(family: Family) -> tuple[float, ...]:
    """Standard thicknesses in mm, rising. Raises UnknownName for another family than steel or aluminium."""
    if family not in _FAMILIES:
        raise UnknownName("family", family, _FAMILIES)
    return tuple(number(r, "thickness_mm") for r in rows("sheet_stock") if r["family"] == family)


def bend_radius_mm(material_name: str, thickness_mm: float) -> float:
    """Inside radius to design a bend with: the greater of the material's least radius and what a press brake makes.

    Between listed thicknesses the shop's radius is interpolated; outside them only the least radius counts.
    """
    metal = material(material_name)
    column = {"stainless steel": "stainless_mm", "aluminium": "aluminium_mm"}.get(metal.group, "steel_mm")
    points = [(number(r, "thickness_mm"), maybe(r, column)) for r in rows("shop_bend_radii")]
    known = [(t, radius) for t, radius in points if radius is not None]
    least = metal.min_bend_radius_mm(thickness_mm)
    for (t0, r0), (t1, r1) in pairwise(known):
        if t0 <= thickness_mm <= t1:
            return max(least, r0 + (r1 - r0) * (thickness_mm - t0) / (t1 - t0))
    return least


def tolerance_mm(standard: str, tolerance_class: str, length_mm: float, thickness_mm: float | None = None) -> float:
    """Plus-minus tolerance of a length: "ISO 2768-1", "ISO 13920", "ISO 13920 flatness", "ISO 9013" (needs the thickness).

    Raises UnknownName for a standard or class that is not listed, DesignError for a size beyond the table.
    """
    listed = [r for r in rows("tolerances") if r["standard"] == standard]
    if not listed:
        raise UnknownName("tolerance standard", standard, sorted({r["standard"] for r in rows("tolerances")}))
    listed = [r for r in listed if r["class"] == tolerance_class]
    if not listed:
        classes = sorted({r["class"] for r in rows("tolerances") if r["standard"] == standard})
        raise UnknownName(f"class of {standard}", tolerance_class, classes)
    for row in listed:
        low_t, high_t = maybe(row, "thickness_over_mm"), maybe(row, "thickness_up_to_mm")
        if high_t is not None and (thickness_mm is None or not (low_t or 0.0) < thickness_mm <= high_t):
            continue
        low = number(row, "over_mm")
        if (low < length_mm or length_mm == low == number(listed[0], "over_mm")) and length_mm <= number(row, "up_to_mm"):
            return number(row, "plus_minus_mm")
    size = f"{length_mm:g} mm" + ("" if thickness_mm is None else f" in {thickness_mm:g} mm sheet")
    raise DesignError(f"{standard} class {tolerance_class}", "the table does not reach this size", size, "State a tolerance.")
