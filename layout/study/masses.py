"""The mass list of a design: every part of the pack, what comes in beside it, what left."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

from layout.arrangement import Arrangement
from layout.balance.items import MassItem, body_item, module_item
from layout.box.design import BoxDesign
from layout.box.soft import density_kg_m3, is_estimate
from layout.brackets.design import BracketDesign
from layout.design import Block, FoldedPlate, Hardware, Plate
from layout.design.mass import body_mass
from layout.frames import Extent, Pose, vec3
from layout.job.model import Job
from layout.study.hulls import body_of


@lru_cache(maxsize=4096)
def part_item(part: Plate | FoldedPlate | Block | Hardware, frame: Pose) -> MassItem:
    """Mass item of one part: mass, centroid and inertia exact from profile and density, body for the cut at the axle.

    Parts are values: equal ones are worked out once.
    """
    exact = body_mass(part, density_kg_m3)
    if isinstance(part, Hardware):
        name = f"{part.number} {part.kind} {part.size}x{part.length_mm:g}"
    else:
        name = f"{part.number} {part.name}"
    stated = isinstance(part, Block) and part.mass_kg is not None
    item = body_item(name, body_of(part, frame), computed_kg=None if stated else exact.mass_kg, weighed_kg=exact.mass_kg)
    item = replace(item, centroid_mm=vec3(frame.point(exact.centroid_mm)))
    if stated:
        return item
    estimate = not isinstance(part, Hardware) and is_estimate(part.material)
    return replace(item, source="estimated" if estimate else "computed")


def equipment_blocks(job: Job, arrangement: Arrangement) -> tuple[Block, ...]:
    """Equipment placed with the pack, as bodies with their stated mass."""
    blocks = []
    for i, placed in enumerate(arrangement.equipment):
        number = f"{job.job.drawing_number}-E{i + 1}"
        x, y, z = (v / 2.0 for v in placed.kind.size_mm)
        own = Extent((-x, -y, -z), (x, y, z))
        offset = placed.kind.centroid_offset_mm if any(placed.kind.centroid_offset_mm) else None
        blocks.append(Block(number, placed.kind.name, own, placed.pose, "", placed.kind.mass_kg, offset, "equipment"))
    return tuple(blocks)


def pack_items(job: Job, arrangement: Arrangement, box: BoxDesign, brackets: tuple[BracketDesign, ...]) -> tuple[MassItem, ...]:
    """All that the mounts carry: modules, box, equipment in and on it, hardware, brackets (they ride with the box)."""
    riding = [item for bracket in brackets for item in bracket_items(bracket, arrangement.frame)]
    return (*box_items(job, arrangement, box), *riding)


def box_items(job: Job, arrangement: Arrangement, box: BoxDesign) -> tuple[MassItem, ...]:
    """Modules, equipment, box and its hardware."""
    frame = arrangement.frame
    items = [module_item(m, frame) for m in arrangement.modules]
    items += [part_item(b, frame) for b in equipment_blocks(job, arrangement)]
    parts: list[Plate | FoldedPlate | Block | Hardware] = [*box.plates, *box.blocks, *box.hardware]
    items += [part_item(p, frame) for p in parts]
    return tuple(items)


def bracket_items(bracket: BracketDesign, frame: Pose) -> tuple[MassItem, ...]:
    """A bracket with its gussets and bolts."""
    parts: list[Plate | FoldedPlate | Block | Hardware] = [bracket.angle, *bracket.gussets, *bracket.hardware]
    return tuple(part_item(p, frame) for p in parts)
