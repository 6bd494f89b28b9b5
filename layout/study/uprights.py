"""Where uprights (mounting bars and posts) stand on a wall, and how much bare wall is left beside each. Pack frame."""

from __future__ import annotations

import numpy as np

from layout.box.design import BoxDesign
from layout.box.walls import Wall, wall_of
from layout.checks.upright_sheets import Beside
from layout.design import Plate

ON_WALL_MM = 1.0


def beside(box: BoxDesign, wall: str, u_mm: float, width_mm: float) -> Beside:
    """The bare wall on both sides of an upright, to the next upright or to the corner."""
    one = wall_of(wall, box.inside)
    low, high = u_mm - width_mm / 2.0, u_mm + width_mm / 2.0
    others = [(a, b) for a, b in _standing(box, one) if b <= low + ON_WALL_MM or a >= high - ON_WALL_MM]
    before = max([b for _, b in others if b <= low + ON_WALL_MM], default=one.low_mm)
    after = min([a for a, _ in others if a >= high - ON_WALL_MM], default=one.high_mm)
    return Beside(f"{wall} wall", (max(low - before, 0.0), max(after - high, 0.0)))


def _standing(box: BoxDesign, wall: Wall) -> list[tuple[float, float]]:
    """From where to where along a wall its uprights stand."""
    found = []
    face = wall.outer_mm(box.shell.sheet_mm)
    for plate in box.plates:
        if not isinstance(plate, Plate) or not (plate.name == "post" or plate.name.startswith("mounting bar")):
            continue
        if not np.allclose(plate.pose.axes[2], wall.w) or abs(float(np.dot(plate.pose.origin_mm, wall.w)) - face) > ON_WALL_MM:
            continue
        xs = [v[0] for v in plate.profile.outline]
        ends = sorted(float(plate.pose.point((x, 0.0, 0.0))[wall.along]) for x in (min(xs), max(xs)))
        found.append((ends[0], ends[1]))
    return found
