"""What openings must keep clear of: uprights, bars, brackets' legs, and what hangs on their wall. Pack frame."""

from __future__ import annotations

import numpy as np

from layout.arrangement import Arrangement
from layout.box.carrier_room import all_on_bars
from layout.box.carriers import Carriers
from layout.box.openings import level_panel, panel_middle, reach_mm
from layout.box.posts import bar_ends, leg_area
from layout.box.ribs import rib_plan
from layout.box.shell import Shell
from layout.box.walls import PANELS, UPPER_FLOOR, WALLS, along, wall_of
from layout.brackets.plan import BracketPlan
from layout.errors import DesignError
from layout.frames import Extent
from layout.job.box import Opening
from layout.job.model import Job

NUT_MM = 8.0
"""Beyond the edge of an opening: lock nut or flange of what sits in it (common practice, no source)."""
RING_MM = 4.0
"""Beyond the fillet of a ring: room for the torch beside what stands on the panel (common practice, no source)."""
_PANELS = {"top": (0, 1), "bottom": (0, 1), UPPER_FLOOR: (0, 1)}
_FACES = {**WALLS, "top": "+z", "bottom": "-z", UPPER_FLOOR: "-z"}


def opening_place(opening: Opening, inside: Extent) -> tuple[float, float]:
    """Middle of an opening in the pack's frame: along its wall and z; or x and y in lid and floor."""
    u, v = panel_middle(opening.panel, inside)
    return u + opening.at_mm[0], v + opening.at_mm[1]


def room_mm(opening: Opening, sheet_mm: float) -> float:
    """Radius to keep clear, NUT_MM beyond: the opening's, or less by NUT_MM that of its ring where this is more."""
    return max(opening.diameter_mm / 2.0, reach_mm(opening, sheet_mm) + RING_MM - NUT_MM)


def uprights_keep_off(job: Job, wall: str, inside: Extent) -> list[tuple[float, float]]:
    """Middles and widths along a wall that posts leave to openings."""
    return [
        (opening_place(o, inside)[0], 2.0 * (room_mm(o, job.box.sheet_mm) + NUT_MM) - 6.0)
        for o in job.box.openings
        if o.panel == PANELS[wall]
    ]  # 6 mm less: posts keep that much from everything anyhow


def check_openings(
    job: Job, inside: Extent, shell: Shell, plans: tuple[BracketPlan, ...], arrangement: Arrangement | None, carriers: Carriers
) -> None:
    """Raise DesignError for an opening behind hung equipment, a mounting bar, a bracket's leg or the end of a bar."""
    for opening in job.box.openings:
        for name, low, high in _bodies(job, opening, inside, shell, plans, arrangement, carriers):
            _clear(opening, room_mm(opening, shell.sheet_mm), opening_place(opening, inside), name, low, high)


def _bodies(
    job: Job, opening: Opening, inside: Extent, shell: Shell, plans: tuple[BracketPlan, ...], arrangement: Arrangement | None,
    carriers: Carriers,
) -> list[tuple[str, tuple[float, float], tuple[float, float]]]:  # fmt: skip
    """What lies on an opening's panel, as rectangles in its plane."""
    found = []
    plane = _PANELS.get(opening.panel)
    axes = plane or (along(opening.panel), 2)
    for piece in arrangement.equipment if arrangement else ():
        if piece.outside and piece.face == _FACES[opening.panel]:
            low, high = piece.extent.min_mm, piece.extent.max_mm
            found.append((piece.kind.name, (low[axes[0]], low[axes[1]]), (high[axes[0]], high[axes[1]])))
    if plane is None:
        found += _on_wall(opening.panel, inside, shell, plans, carriers)
    elif opening.panel != "top":
        level = level_panel(opening.panel, inside).min_mm[2]
        for bar in carriers.bars:
            if bar.welded and abs(bar.extent.min_mm[2] - level) < 1e-6:
                low, high = bar.extent.min_mm, bar.extent.max_mm
                found.append((f"floor bar {bar.number}", (low[0], low[1]), (high[0], high[1])))
        found += [] if all_on_bars(job) else _ribs(inside, plans, shell.rib_pitch_mm, level)
    return found


def _ribs(
    inside: Extent, plans: tuple[BracketPlan, ...], pitch_mm: float, level_mm: float
) -> list[tuple[str, tuple[float, float], tuple[float, float]]]:
    """The ribs under the floor at a level, as far as it reaches."""
    plan, found = rib_plan(inside, plans, pitch_mm), []
    for u, run, level in zip(plan.at_mm, plan.runs_mm, plan.levels_mm, strict=True):
        if abs(level - level_mm) < 1e-6:
            low, high = [run[0], run[0]], [run[1], run[1]]
            low[1 - plan.axis], high[1 - plan.axis] = u - plan.thickness_mm / 2.0, u + plan.thickness_mm / 2.0
            found.append(("a rib under the floor", (low[0], low[1]), (high[0], high[1])))
    return found


def _on_wall(
    wall: str, inside: Extent, shell: Shell, plans: tuple[BracketPlan, ...], carriers: Carriers
) -> list[tuple[str, tuple[float, float], tuple[float, float]]]:
    found = []
    z1 = inside.max_mm[2]
    for plan in (p for p in plans if PANELS[p.wall] == wall):
        half, z0 = plan.bar_width_mm / 2.0, wall_of(plan.wall, inside).bottom_mm
        found += [(f"mounting bar of {plan.number}", (u - half, z0), (u + half, z1)) for u in plan.bars_u_mm]
        u0, u1, low, high = leg_area(plan, inside, shell, 0.0)
        found.append((f"the leg of bracket {plan.number}", (u0, low), (u1, high)))
    for post in (p for p in carriers.posts if PANELS[p.wall] == wall):
        half, z0 = post.width_mm / 2.0, wall_of(post.wall, inside).bottom_mm
        found.append((f"post {post.number}", (post.u_mm - half, z0), (post.u_mm + half, z1)))
    for end in (e for e in bar_ends(carriers.bars) if PANELS[e.wall] == wall):
        bar = carriers.bars[end.bar]
        out = bar.width_mm / 2.0 if bar.across == along(wall) else bar.thickness_mm / 2.0
        found.append((f"the end of bar {bar.number}", (end.u_mm - out, end.z_mm - 12.0), (end.u_mm + out, end.z_mm + 12.0)))
    return found


def _clear(
    opening: Opening, radius: float, at: tuple[float, float], name: str, low: tuple[float, float], high: tuple[float, float]
) -> None:
    near = np.clip(at, low, high)
    room = float(np.hypot(*(np.array(at) - near))) - radius
    if room < NUT_MM - 1e-6:
        raise DesignError(
            f"opening {opening.name!r} in the {opening.panel} panel", f"it keeps {NUT_MM:g} mm from {name}",
            f"{room:.1f} mm" if room >= 0.0 else f"they overlap by {-room:.1f} mm",
            "Move the opening (job file: box.opening), or choose another arrangement.",
        )  # fmt: skip
