"""Parts and fasteners of a study as plain data: what a fabricator counts, and what two builds are compared by."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any

from layout.box.finish import finish_of
from layout.design import Assembly, Block, EndHole, FoldedPlate, Hardware, Plate
from layout.design.flat import develop
from layout.design.geometry import loop_extent_mm
from layout.design.profile import Hole, Profile
from layout.several.study import AnyStudy, whole_assembly

Data = dict[str, Any]
Part = Plate | FoldedPlate | Block


def parts_data(study: AnyStudy) -> list[Data]:
    """`parts`: every part but fasteners. Lengths in mm, masses in kg.

    finish: in the job's words. A part cut from sheet: outline and holes in the axes of its flat pattern (those of its DXF
    file), outline as x, y and bulge per corner. A body: its size. mass_kg: None where the mass list does not have the part.
    """
    masses = {item.name: item.mass_kg for item in study.pack_items}
    placed = [part for assembly in _all(whole_assembly(study)) for part in assembly.parts]
    return [_part(part, masses) | {"finish": finish_of(study.job, part)} for part in (*placed, *study.loose)]


def hardware_data(study: AnyStudy) -> list[Data]:
    """`hardware`: how many of each bolt with its washers and nuts."""
    bolts = Counter(_what(bolt) for assembly in _all(whole_assembly(study)) for bolt in assembly.hardware)
    return [{"what": what, "count": bolts[what]} for what in sorted(bolts)]


def _all(assembly: Assembly) -> Iterator[Assembly]:
    yield assembly
    for child in assembly.children:
        yield from _all(child)


def _what(bolt: Hardware) -> str:
    return (
        f"{bolt.kind} {bolt.size}x{bolt.length_mm:g} {bolt.bolt_class}, {bolt.washers} washer(s), {bolt.nuts} nut(s), "
        f"grip {round(bolt.grip_mm, 2):g} mm"
    )


def _part(part: Part, masses: dict[str, float | None]) -> Data:
    data: Data = {"number": part.number, "name": part.name, "group": part.group, "material": part.material}
    if isinstance(part, Block):
        stated = part.mass_kg if part.mass_kg is not None else masses.get(f"{part.number} {part.name}")
        return data | {"size_mm": _rounded(part.extent.size_mm), "mass_kg": stated, "holes": []}
    flat = develop(part) if isinstance(part, FoldedPlate) else None
    profile = flat.profile if flat else part.profile if isinstance(part, Plate) else part.root
    return data | {
        "thickness_mm": part.thickness_mm,
        "mass_kg": masses.get(f"{part.number} {part.name}"),
        "bends": len(flat.bend_lines) if flat else 0,
        "flat_mm": _size(profile),
        "outline": [_rounded(corner, 6) for corner in profile.outline],
        "cutouts": [[_rounded(corner, 6) for corner in loop] for loop in profile.cutouts],
        "holes": [_hole(h) for h in profile.holes],
        "chamfers": [{"edge": b.edge, "leg_mm": b.leg_mm} for b in part.bevels] if isinstance(part, Plate) else [],
        **({"tapped_ends": [_tapped(h) for h in part.tapped]} if isinstance(part, Plate) and part.tapped else {}),
    }


def _size(profile: Profile) -> list[float]:
    x0, y0, x1, y1 = loop_extent_mm(profile.outline)
    return _rounded((x1 - x0, y1 - y0))


def _hole(hole: Hole) -> Data:
    x, y = _rounded(hole.centre_mm, 6)
    slot = {"slot_mm": hole.slot_mm, "slot_angle_deg": hole.slot_angle_deg} if hole.slot_mm else {}
    return {"name": hole.name, "x_mm": x, "y_mm": y, "diameter_mm": hole.diameter_mm, "fastener": hole.fastener, **slot}


def _tapped(hole: EndHole) -> Data:
    """A blind tapped hole in an edge: its middle on the edge and its direction, own axes of the part."""
    return {
        "name": hole.name, "at_mm": _rounded(hole.at_mm, 6), "axis": list(hole.axis), "thread": hole.size,
        "drill_mm": hole.drill_mm, "drill_depth_mm": round(hole.depth_mm, 4), "thread_depth_mm": round(hole.thread_mm, 4),
    }  # fmt: skip


def _rounded(values: Any, digits: int = 4) -> list[float]:
    return [round(float(v), digits) + 0.0 for v in values]
