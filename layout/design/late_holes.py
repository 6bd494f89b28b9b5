"""Holes too near to a bend: made once the part is bent, and only marked in the flat."""

from __future__ import annotations

import math
from dataclasses import replace

from layout.design.flat import BendLine, develop
from layout.design.parts import FoldedPlate
from layout.design.profile import Hole, Profile
from layout.design.sheet_rules import Shop, room_to_bend_mm


def with_late_holes(part: FoldedPlate, shop: Shop | None = None) -> FoldedPlate:
    """The part with every hole and slot that a bend would pull out of shape told to be made after bending.

    Those are the ones nearer to a bend's middle line in the flat than `sheet_rules.room_to_bend_mm`. Raises DesignError as
    `develop` does.
    """
    flat = develop(part)
    late = {h.name for h in flat.profile.holes if any(_too_near(h, b, flat.thickness_mm, shop) for b in flat.bend_lines)}
    if not late:
        return part
    flanges = tuple(replace(f, profile=_told(f.profile, late)) for f in part.flanges)
    return replace(part, root=_told(part.root, late), flanges=flanges)


def _told(profile: Profile, late: set[str]) -> Profile:
    return replace(profile, holes=tuple(replace(h, after_bending=h.name in late) for h in profile.holes))


def _too_near(hole: Hole, bend: BendLine, thickness_mm: float, shop: Shop | None) -> bool:
    room, _ = room_to_bend_mm(thickness_mm, bend.inside_radius_mm, hole.slot_mm <= 0.0, shop)
    nearest = min(_distance_mm(end, bend) for end in hole.ends_mm)
    return nearest - hole.diameter_mm / 2.0 < room - 1e-3


def _distance_mm(point: tuple[float, float], bend: BendLine) -> float:
    """From a point to the bend's middle line, which ends where the bend does."""
    (ax, ay), (bx, by) = bend.start_mm, bend.end_mm
    ux, uy, px, py = bx - ax, by - ay, point[0] - ax, point[1] - ay
    along = min(max((px * ux + py * uy) / (ux * ux + uy * uy), 0.0), 1.0)
    return math.hypot(px - along * ux, py - along * uy)
