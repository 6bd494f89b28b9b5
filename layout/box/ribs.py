"""Ribs under the floor, so that the sheet between them and they themselves carry the modules."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

from layout.box.shell import FLOOR_RIB_MM, Shell
from layout.box.walls import along
from layout.brackets.plan import BracketPlan
from layout.design import Plate, Profile
from layout.frames import Extent, Pose
from layout.stepped import Stepped

RIB_THICKNESS_MM = 6.0
RIB_PITCHES_MM = (300.0, 250.0, 200.0, 150.0, 125.0, 100.0, 75.0)
"""Greatest distances of ribs that are tried, the lightest floor first."""
END_CUT_MM = 15.0
STEP_ROOM_MM = 6.0
"""Between a rib and the inner face of a step's wall above it: room for both fillets (common practice, no source)."""


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


def rib_notes(plan: RibPlan) -> tuple[str, ...]:
    """What stiffens the floor, where something does."""
    if not plan.at_mm:
        return ()
    return ("The floor is stiffened by welded ribs; swages pressed into the sheet in their place are not designed.",)


def rib_plan(inside: Extent, plans: tuple[BracketPlan, ...], pitch_mm: float = 150.0) -> RibPlan:
    """Ribs end under the bars, so they run square to the walls that carry most bars; others fill in at most pitch_mm apart.

    Where a corner of the plan is left out one runs beside the step's wall, under its inner corner.
    """
    bars: dict[int, list[float]] = {0: [], 1: []}
    for plan in plans:
        bars[along(plan.wall)].extend(plan.bars_u_mm)
    other = 0 if len(bars[0]) >= len(bars[1]) else 1
    low, high = inside.min_mm[other], inside.max_mm[other]
    wanted = [*bars[other], *([inside.line_mm(other)] if isinstance(inside, Stepped) else [])]
    lines = sorted({_off_the_step(round(u, 3), inside, other) for u in wanted})
    marks = [low, *lines, high]
    filled = list(lines)
    for a, b in pairwise(marks):
        parts = math.ceil((b - a) / pitch_mm)
        filled.extend(_off_the_step(a + (b - a) * k / parts, inside, other) for k in range(1, parts))
    apart = [u for i, u in enumerate(sorted(filled)) if i == 0 or u - sorted(filled)[i - 1] > 2.0 * RIB_THICKNESS_MM]
    return RibPlan(1 - other, tuple(apart), FLOOR_RIB_MM, RIB_THICKNESS_MM)


def _off_the_step(u: float, inside: Extent, across: int) -> float:
    """A rib's middle moved off the wall plate of a step, into the part of the floor that it runs under full length."""
    if not isinstance(inside, Stepped):
        return u
    line, after = inside.line_mm(across), inside.at_high(across)
    off = RIB_THICKNESS_MM / 2.0 + STEP_ROOM_MM
    near = line - off < u < line + 2.0 * off if after else line - 2.0 * off < u < line + off
    return round(line - off if after else line + off, 3) if near else u


def _run(inside: Extent, axis: int, u: float) -> tuple[float, float]:
    """From where to where the floor reaches along a rib, between the walls' inner faces."""
    low, high = inside.min_mm[axis], inside.max_mm[axis]
    if not isinstance(inside, Stepped):
        return low, high
    line, across = inside.line_mm(axis), 1 - axis
    beyond = u > inside.line_mm(across) if inside.at_high(across) else u < inside.line_mm(across)
    if not beyond:
        return low, high
    return (low, line) if inside.at_high(axis) else (line, high)


def rib_plates(prefix: str, material: str, inside: Extent, shell: Shell, plan: RibPlan) -> tuple[Plate, ...]:
    """Flat bars on edge under the floor, full width of the box, ends cut back below."""
    t = shell.sheet_mm
    h, cut = plan.height_mm, min(END_CUT_MM, plan.height_mm - 10.0)
    z = inside.min_mm[2] - t - h
    plates = []
    for i, u in enumerate(plan.at_mm):
        low, high = _run(inside, plan.axis, u)
        length = high - low + 2.0 * t
        outline = (
            (cut, 0.0, 0.0),
            (length - cut, 0.0, 0.0),
            (length, cut, 0.0),
            (length, h, 0.0),
            (0.0, h, 0.0),
            (0.0, cut, 0.0),
        )
        if plan.axis == 0:  # own x = x, own y = z, own z = -y
            pose = Pose((low - t, u + plan.thickness_mm / 2.0, z), ((1, 0, 0), (0, 0, 1), (0, -1, 0)))
        else:  # own x = y, own y = z, own z = x
            pose = Pose((u - plan.thickness_mm / 2.0, low - t, z), ((0, 1, 0), (0, 0, 1), (1, 0, 0)))
        plates.append(Plate(f"{prefix}-F{i + 1}", f"floor rib {i + 1}", material, plan.thickness_mm, Profile(outline), pose))
    return tuple(plates)
