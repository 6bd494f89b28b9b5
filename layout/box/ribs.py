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
from layout.stepped import Stepped, corner_out, floors_of, two_floors

RIB_THICKNESS_MM = 6.0
RIB_PITCHES_MM = (300.0, 250.0, 200.0, 150.0, 125.0, 100.0, 75.0)
"""Greatest distances of ribs that are tried, the lightest floor first."""
END_CUT_MM = 15.0
STEP_ROOM_MM = 6.0
"""Between a rib and the inner face of a step's wall above it: room for both fillets (common practice, no source)."""


@dataclass(frozen=True)
class RibPlan:
    """axis: 0 where the ribs run along x, 1 along y. at_mm: their middles along the other axis; runs_mm: of each, from where to
    where the floor reaches along it between the walls' inner faces; levels_mm: of each, the height of its floor.
    """

    axis: int
    at_mm: tuple[float, ...]
    height_mm: float
    thickness_mm: float
    runs_mm: tuple[tuple[float, float], ...] = ()
    levels_mm: tuple[float, ...] = ()

    def clear_mm(self, inside: Extent) -> float:
        """Greatest clear width of floor between neighbouring ribs or a rib and a wall, of all floors."""
        return max(self.clear_on_mm(floor) for floor in floors_of(inside))

    def clear_on_mm(self, floor: Extent) -> float:
        """The same of one floor (as of `floors_of`)."""
        other, level = 1 - self.axis, floor.min_mm[2]
        mine = [u for u, z in zip(self.at_mm, self.levels_mm, strict=True) if abs(z - level) < 1e-6]
        lines = [floor.min_mm[other], *sorted(mine), floor.max_mm[other]]
        return max(b - a for a, b in pairwise(lines)) - self.thickness_mm


NO_RIBS = RibPlan(0, (), 0.0, 0.0)


def rib_notes(plan: RibPlan) -> tuple[str, ...]:
    """What stiffens the floor, where something does."""
    if not plan.at_mm:
        return ()
    return ("The floor is stiffened by welded ribs; swages pressed into the sheet in their place are not designed.",)


def rib_plan(inside: Extent, plans: tuple[BracketPlan, ...], pitch_mm: float = 150.0) -> RibPlan:
    """Ribs end under the bars, so they run square to the walls that carry most bars; others fill in at most pitch_mm apart.

    Where a corner of the plan is left out one runs beside the step's wall, under its inner corner. Where the floor is at two
    heights they run along the riser under both floors, so that the riser carries none of their ends.
    """
    bars: dict[int, list[float]] = {0: [], 1: []}
    for plan in plans:
        bars[along(plan.wall)].extend(plan.bars_u_mm)
    step = two_floors(inside)
    other = 1 - step.run if step else 0 if len(bars[0]) >= len(bars[1]) else 1
    places: list[tuple[float, tuple[float, float], float]] = []
    for floor in floors_of(inside):
        low, high = floor.min_mm[other], floor.max_mm[other]
        wanted = [u for u in bars[other] if low < u < high]
        if (corner := corner_out(inside)) is not None:
            wanted.append(corner.line_mm(other))
        room = (low + 2.0 * EDGE_MM, high - 2.0 * EDGE_MM) if step else (low, high)
        lines = sorted({_off_the_step(min(max(round(u, 3), room[0]), room[1]), inside, other) for u in wanted})
        filled = _filled(low, lines, high, inside, other, pitch_mm)
        places += [(u, _run(floor, 1 - other, u), floor.min_mm[2]) for u in filled]
    at, runs, levels = (tuple(p[k] for p in places) for k in range(3))
    return RibPlan(1 - other, at, FLOOR_RIB_MM, RIB_THICKNESS_MM, runs, levels)  # type: ignore[arg-type]


EDGE_MM = RIB_THICKNESS_MM + STEP_ROOM_MM
"""From the line of a riser to the edge of the nearest rib on either side of it, twice: plate and fillets of both."""


def _filled(low: float, lines: list[float], high: float, inside: Extent, other: int, pitch_mm: float) -> list[float]:
    """The lines and more between them at most pitch_mm apart, no two crowding each other."""
    filled = list(lines)
    for a, b in pairwise([low, *lines, high]):
        parts = math.ceil((b - a) / pitch_mm)
        filled.extend(_off_the_step(a + (b - a) * k / parts, inside, other) for k in range(1, parts))
    found = sorted(filled)
    return [u for i, u in enumerate(found) if i == 0 or u - found[i - 1] > 2.0 * RIB_THICKNESS_MM]


def _off_the_step(u: float, inside: Extent, across: int) -> float:
    """A rib's middle moved off the wall plate of a step, into the part of the floor that it runs under full length."""
    step = corner_out(inside)
    if step is None:
        return u
    line, after = step.line_mm(across), step.at_high(across)
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


def rib_plates(prefix: str, material: str, shell: Shell, plan: RibPlan) -> tuple[Plate, ...]:
    """Flat bars on edge under the floor, full width of the box, ends cut back below."""
    t = shell.sheet_mm
    h, cut = plan.height_mm, min(END_CUT_MM, plan.height_mm - 10.0)
    plates = []
    for i, (u, (low, high), level) in enumerate(zip(plan.at_mm, plan.runs_mm, plan.levels_mm, strict=True)):
        length, z = high - low + 2.0 * t, level - t - h
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
