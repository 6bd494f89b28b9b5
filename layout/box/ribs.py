"""Ribs under the floor, so that the sheet between them and they themselves carry the modules."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from layout.box.shell import FLOOR_RIB_MM, Shell
from layout.brackets.plan import BracketPlan, along
from layout.design import Plate, Profile
from layout.frames import Extent, Pose

RIB_THICKNESS_MM = 6.0
RIB_PITCH_MM = 150.0
END_CUT_MM = 15.0


@dataclass(frozen=True)
class RibPlan:
    """axis: 0 where the ribs run along x, 1 along y. at_mm: their middles along the other axis."""

    axis: int
    at_mm: tuple[float, ...]
    height_mm: float
    thickness_mm: float

    def clear_mm(self, inside: Extent) -> float:
        """Greatest clear width of floor between neighbouring ribs or a rib and a wall."""
        other = 1 - self.axis
        lines = [inside.min_mm[other], *sorted(self.at_mm), inside.max_mm[other]]
        return max(b - a for a, b in pairwise(lines)) - self.thickness_mm


def rib_plan(inside: Extent, plans: tuple[BracketPlan, ...]) -> RibPlan:
    """Ribs end under the bars, so they run square to the walls that carry most bars; others fill in at most 150 mm apart."""
    bars: dict[int, list[float]] = {0: [], 1: []}
    for plan in plans:
        bars[along(plan.wall)].extend(plan.bars_u_mm)
    other = 0 if len(bars[0]) >= len(bars[1]) else 1
    low, high = inside.min_mm[other], inside.max_mm[other]
    lines = sorted({round(u, 3) for u in bars[other]})
    marks = [low, *lines, high]
    filled = list(lines)
    for a, b in pairwise(marks):
        parts = math.ceil((b - a) / RIB_PITCH_MM)
        filled.extend(a + (b - a) * k / parts for k in range(1, parts))
    apart = [u for i, u in enumerate(sorted(filled)) if i == 0 or u - sorted(filled)[i - 1] > 2.0 * RIB_THICKNESS_MM]
    return RibPlan(1 - other, tuple(apart), FLOOR_RIB_MM, RIB_THICKNESS_MM)


def rib_plates(prefix: str, material: str, inside: Extent, shell: Shell, plan: RibPlan) -> tuple[Plate, ...]:
    """Flat bars on edge under the floor, full width of the box, ends cut back below."""
    t = shell.sheet_mm
    length = inside.size_mm[plan.axis] + 2.0 * t
    h, cut = plan.height_mm, min(END_CUT_MM, plan.height_mm - 10.0)
    outline = (
        (cut, 0.0, 0.0),
        (length - cut, 0.0, 0.0),
        (length, cut, 0.0),
        (length, h, 0.0),
        (0.0, h, 0.0),
        (0.0, cut, 0.0),
    )
    z = inside.min_mm[2] - t - h
    plates = []
    for i, u in enumerate(plan.at_mm):
        if plan.axis == 0:  # own x = x, own y = z, own z = -y
            pose = Pose((inside.min_mm[0] - t, u + plan.thickness_mm / 2.0, z), ((1, 0, 0), (0, 0, 1), (0, -1, 0)))
        else:  # own x = y, own y = z, own z = x
            pose = Pose((u - plan.thickness_mm / 2.0, inside.min_mm[1] - t, z), ((0, 1, 0), (0, 0, 1), (1, 0, 0)))
        plates.append(Plate(f"{prefix}-F{i + 1}", f"floor rib {i + 1}", material, plan.thickness_mm, Profile(outline), pose))
    return tuple(plates)
