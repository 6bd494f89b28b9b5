"""The whole pack as one nested assembly, in the pack's frame."""

from __future__ import annotations

from layout.design import Assembly, Block
from layout.study.study import Study


def module_blocks(study: Study) -> tuple[Block, ...]:
    """Modules as bodies, numbered after the drawing."""
    prefix = study.job.job.drawing_number
    return tuple(
        Block(f"{prefix}-{m.id}", f"module {m.kind.name}", m.own_extent, m.pose, "", m.kind.mass_kg, m.kind.centroid_offset_mm)
        for m in study.arrangement.modules
    )


def pack_assembly(study: Study) -> Assembly:
    """Box, lid, modules, equipment, and a sub-assembly per bracket."""
    prefix = study.job.job.drawing_number
    box = study.box
    lid_parts = tuple(p for p in box.plates if p.group in ("lid", "gasket"))
    covers = tuple(p for p in box.plates if p.group == "cover")
    welded = tuple(p for p in box.plates if p.group not in ("lid", "gasket", "cover"))
    lid_bolts = tuple(h for h in box.hardware if h.group == "lid")
    cover_screws = tuple(h for h in box.hardware if h.group == "cover")
    others = tuple(h for h in box.hardware if h.group not in ("lid", "cover"))
    lids = {p.number for p in lid_parts}
    on_lid = tuple(w for w in box.welds if set(w.joins) <= lids)
    children = [
        Assembly(f"{prefix}-BOX", (*welded, *box.blocks), others, tuple(w for w in box.welds if w not in on_lid)),
        Assembly(f"{prefix}-LID", lid_parts, lid_bolts, on_lid),
        Assembly(f"{prefix}-MODULES", module_blocks(study)),
    ]
    if covers:
        children.append(Assembly(f"{prefix}-COVERS", covers, cover_screws))
    if study.equipment:
        children.append(Assembly(f"{prefix}-EQUIPMENT", study.equipment))
    for bracket in study.brackets:
        children.append(Assembly(f"{bracket.number}-ASSY", (bracket.angle, *bracket.gussets), bracket.hardware, bracket.welds))
    return Assembly(prefix, children=tuple(children))
