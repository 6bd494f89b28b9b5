"""What openings must keep clear of: uprights, bars, brackets' legs, and what hangs on their wall. Pack frame."""

from __future__ import annotations

import numpy as np

from layout.arrangement import Arrangement
from layout.box.carriers import Carriers
from layout.box.openings import level_panel, panel_middle
from layout.box.posts import bar_ends, leg_area
from layout.box.shell import Shell
from layout.box.walls import PANELS, UPPER_FLOOR, WALLS, along, wall_of
from layout.brackets.plan import BracketPlan
from layout.errors import DesignError
from layout.frames import Extent
from layout.job.box import Opening
from layout.job.model import Job

NUT_MM = 8.0
"""Beyond the edge of an opening: lock nut or flange of what sits in it (common practice, no source)."""
_PANELS = {"top": (0, 1), "bottom": (0, 1), UPPER_FLOOR: (0, 1)}
_FACES = {**WALLS, "top": "+z", "bottom": "-z", UPPER_FLOOR: "-z"}


def opening_place(opening: Opening, inside: Extent) -> tuple[float, float]:
    """Middle of an opening in the pack's frame: along its wall and z; or x and y in lid and floor."""
    u, v = panel_middle(opening.panel, inside)
    return u + opening.at_mm[0], v + opening.at_mm[1]


def uprights_keep_off(job: Job, wall: str, inside: Extent) -> list[tuple[float, float]]:
    """Middles and widths along a wall that posts leave to openings."""
    return [
        (opening_place(o, inside)[0], o.diameter_mm + 2.0 * NUT_MM - 6.0) for o in job.box.openings if o.panel == PANELS[wall]
    ]  # 6 mm less: posts keep that much from everything anyhow


def check_openings(
    job: Job, inside: Extent, shell: Shell, plans: tuple[BracketPlan, ...], arrangement: Arrangement | None, carriers: Carriers
) -> None:
    """Raise DesignError for an opening behind hung equipment, a mounting bar, a bracket's leg or the end of a bar."""
    for opening in job.box.openings:
        for name, low, high in _bodies(opening, inside, shell, plans, arrangement, carriers):
            _clear(opening, opening_place(opening, inside), name, low, high)


def _bodies(
    opening: Opening, inside: Extent, shell: Shell, plans: tuple[BracketPlan, ...], arrangement: Arrangement | None,
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


def _clear(opening: Opening, at: tuple[float, float], name: str, low: tuple[float, float], high: tuple[float, float]) -> None:
    near = np.clip(at, low, high)
    room = float(np.hypot(*(np.array(at) - near))) - opening.diameter_mm / 2.0
    if room < NUT_MM - 1e-6:
        raise DesignError(
            f"opening {opening.name!r} in the {opening.panel} panel", f"it keeps {NUT_MM:g} mm from {name}",
            f"{room:.1f} mm" if room >= 0.0 else f"they overlap by {-room:.1f} mm",
            "Move the opening (job file: box.opening), or choose another arrangement.",
        )  # fmt: skip
