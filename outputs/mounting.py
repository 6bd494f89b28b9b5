"""How the box is held: each bracket with what its kind follows from, and the tools for its bolts in the order of assembly."""

from __future__ import annotations

from typing import Any

from layout.several.study import AnyStudy, labelled_boxes

Data = dict[str, Any]


def bracket_data(study: AnyStudy) -> list[Data]:
    """`brackets`: number, kind and why, wall, mounts, sheet and leg bolts."""
    return [
        {
            "number": b.number,
            "kind": b.kind,
            "why": b.why,
            "wall": b.plan.wall,
            "mounts": [m.name for m in b.plan.mounts],
            "sheet_mm": b.thickness_mm,
            "leg_bolt": b.plan.leg_bolt,
        }
        for _, one in labelled_boxes(study)
        for b in one.brackets
    ]


def tool_data(study: AnyStudy) -> list[Data]:
    """`tools`: bolts that are tightened alike, when, with which tool from which side, and what is in the way."""
    return [
        {
            "what": way.what, "bolts": list(way.bolts), "when": way.when, "tool": way.tool, "possible": way.possible,
            "note": way.note,
        }
        for _, one in labelled_boxes(study)
        for way in one.tools
    ]  # fmt: skip


def bracket_rows(study: AnyStudy) -> list[list[str]]:
    """Number, kind, mounts, and why that kind."""
    brackets = [b for _, one in labelled_boxes(study) for b in one.brackets]
    return [[b.number, b.kind, ", ".join(m.name for m in b.plan.mounts), b.why] for b in brackets]


def bracket_lines(study: AnyStudy) -> list[str]:
    """Each bracket with its kind and why, for the terminal."""
    return ["", "Brackets", *(f"  {number}  {kind} at {mounts}: {why}" for number, kind, mounts, why in bracket_rows(study))]


def tool_rows(study: AnyStudy) -> list[list[str]]:
    """When, what with its bolts, and how."""
    rows = []
    for label, way in ((label, way) for label, one in labelled_boxes(study) for way in one.tools):
        names = way.bolts[0] if len(way.bolts) == 1 else f"{way.bolts[0]} to {way.bolts[-1]}, {len(way.bolts)} of them"
        how = [*([] if way.possible else ["NO STRAIGHT TOOL GOES IN"]), *(t for t in (way.tool, way.note) if t)]
        rows.append([way.when, f"{label}{way.what}: {names}", "; ".join(how)])
    return rows
