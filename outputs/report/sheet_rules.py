"""The report's section on sheet rules and folding, as plain data."""

from __future__ import annotations

from typing import Any

from layout.box.folding import BENT, FORM_NAMES
from layout.design import FoldedPlate, Plate
from layout.several.study import AnyStudy, labelled_boxes
from layout.study.study import Study

Data = dict[str, Any]


def sheet_rules(study: AnyStudy) -> Data:
    """One row per part and rule with the place nearest to its limit; remedies of what is broken; sources of the limits."""
    rows = study.rules
    sources = {(row.worst.rule, row.worst.source.text, str(row.worst.source).rpartition("[")[2].rstrip("]")) for row in rows}
    return {
        "folded": [label + line for label, one in labelled_boxes(study) for line in _folded(one)],
        "places": sum(row.places for row in rows),
        "broken": sum(row.broken for row in rows),
        "rows": [
            [
                f"{row.part} {row.name}", row.worst.rule, str(row.places), f"{row.worst.figure:.1f}",
                f"{row.worst.sense} {row.worst.limit:.1f}", row.worst.unit, str(row.broken),
            ]
            for row in rows
        ],
        "remedies": [row.words for row in rows if row.broken],
        "late": [f"{part.number}: {', '.join(names)}" for part, _ in study.findings if (names := _late(part))],
        "sources": [list(one) for one in sorted(sources)],
    }  # fmt: skip


def _late(part: Plate | FoldedPlate) -> list[str]:
    """Holes that are made after bending."""
    if isinstance(part, Plate):
        return []
    profiles = (part.root, *(f.profile for f in part.flanges))
    return [h.name.removeprefix(f"{part.number}-") for p in profiles for h in p.holes if h.after_bending]


def _folded(study: Study) -> list[str]:
    """How the box is folded, why from so many flats, and where its bend allowance comes from."""
    one = study.box.folded
    if one is None:
        return []
    form = next(f for f in BENT if f == one.form)
    lines = [f"The box is folded: {FORM_NAMES[form]}; corners {one.corner}."]
    lines += [f"Not {why}." for why in one.why]
    lines.append(f"Bend allowance by K = {one.k_factor:.3f}: {one.k_source}. Bend a test piece of the same sheet first.")
    return [*lines, *one.notes]
