"""Lifting eye bolts: working load per leg with two of four legs carrying, and whether the slings pass the lid."""

from __future__ import annotations

import math
from collections.abc import Sequence

from layout.checks.rule import Check, Rule, Source
from layout.tables.lifting_eyes import LiftingEye

METAL_FACTOR = 2.0
"""On the load for the metal round the eye: no lasting deformation under twice the working load (EN 13155 5.1, from memory).
The eye's own working load holds a factor of 6 against breaking (DIN 580 Annex A, seen)."""
SLING_MM = 12.0
"""Room for a sling or shackle beside what it passes (common practice, no source)."""

WORKING_LOAD = Rule(
    "working load of a lifting eye", "m * s / c", "m_90", "kg",
    Source("DIN 580 (edition of 2010 on): working load for a pull square to the eye's axis, as reproduced by makers", "seen"),
    {
        "m": ("kg", "mass lifted"), "s": ("-", "share of one leg where two of four carry, centre of mass off their middle"),
        "c": ("-", "cosine of the leg's angle from the vertical"), "m_90": ("kg", "working load up to 90 degrees off the axis"),
    },
)  # fmt: skip

SLING = Rule(
    "sling clear of the lid flange", "h * g + r", "o", "mm", Source("straight sling from ring to hook", "derived"),
    {
        "h": ("mm", "height of the lid over the ring"), "g": ("-", "tangent of the leg's angle from the vertical"),
        "r": ("mm", "room for the sling itself"), "o": ("mm", "ring outside the edge of the lid flange"),
    },
)  # fmt: skip

ABOVE = Rule(
    "lifting points above the centre of mass", "z_g", "z_l", "mm",
    Source("a load hung below its centre of mass turns over", "derived"),
    {"z_g": ("mm", "height of the centre of mass"), "z_l": ("mm", "height of the lifting points")},
)  # fmt: skip


def leg_share(centre_mm: Sequence[float], points_mm: Sequence[Sequence[float]]) -> float:
    """Greatest share of the weight on one leg where only two carry it, in plan; infinite where two cannot.

    Pairs are those whose line passes on both sides of the centre (lever rule along the line between them); never below 1/2.
    """
    worst = 0.5
    carried = False
    for i, a in enumerate(points_mm):
        for b in points_mm[i + 1 :]:
            dx, dy = b[0] - a[0], b[1] - a[1]
            length2 = dx * dx + dy * dy
            at = ((centre_mm[0] - a[0]) * dx + (centre_mm[1] - a[1]) * dy) / length2
            if 0.0 < at < 1.0 and _diagonal(a, b, points_mm):
                worst, carried = max(worst, at, 1.0 - at), True
    return worst if carried else math.inf


def _diagonal(a: Sequence[float], b: Sequence[float], points: Sequence[Sequence[float]]) -> bool:
    """Whether the other points lie on both sides of the line from a to b."""
    sides = [(b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0]) for p in points if p is not a and p is not b]
    return min(sides) < 0.0 < max(sides)


def eye_checks(
    part: str, eye: LiftingEye, mass_kg: float, share: float, angle_deg: float, lid_over_mm: float, beyond_mm: float
) -> list[Check]:
    """Working load of one eye, and its sling past the lid. lid_over_mm: from ring to the top of the lid; beyond_mm: from the
    edge of the lid flange out to the ring.
    """
    angle = math.radians(angle_deg)
    note = "eye stands level: the leg pulls square to its axis; fit for lifting only, screwed home, collar on metal"
    return [
        WORKING_LOAD.check(part, "lifting", note, m=mass_kg, s=share, c=math.cos(angle), m_90=eye.at_90_deg_kg),
        SLING.check(part, "lifting", "", h=lid_over_mm, g=math.tan(angle), r=SLING_MM, o=beyond_mm),
    ]  # fmt: skip
