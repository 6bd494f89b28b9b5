"""A bracket as designed: parts, hardware and welds in the pack's frame, and the figures its checks start from."""

from __future__ import annotations

from dataclasses import dataclass

from layout.brackets.plan import BracketPlan
from layout.design import FoldedPlate, Hardware, Plate, Weld
from layout.frames import Vec3


@dataclass(frozen=True)
class BracketDesign:
    """An angle bracket with gussets.

    leg_bolts_mm: places on the bars' outer face. a_mm: from its least to its greatest coordinate along the bend.
    leg_top_mm: from the mount plane to the leg's free edge. foot_out_mm: from the bar's face to the foot's free edge.
    gusset_mm: height along the leg and reach along the foot.
    """

    number: str
    kind: str
    plan: BracketPlan
    material: str
    thickness_mm: float
    inside_radius_mm: float
    angle: FoldedPlate
    gussets: tuple[Plate, ...]
    hardware: tuple[Hardware, ...]
    welds: tuple[Weld, ...]
    leg_bolts_mm: tuple[Vec3, ...]
    mount_bolts: tuple[Hardware, ...]
    a_mm: tuple[float, float]
    leg_top_mm: float
    foot_out_mm: float
    gusset_mm: tuple[float, float]
    gusset_thickness_mm: float
    gusset_places_mm: tuple[float, ...]
