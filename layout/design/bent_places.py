"""Where holes of an angle lie once it is bent: their distance from the outer face of the other leg."""

from __future__ import annotations

import math

from layout.design.parts import FoldedPlate

RIGHT_DEG = 90.0
SAME_DEG = 1e-6


def from_other_leg_mm(part: FoldedPlate) -> dict[str, float]:
    """Distance of each hole's centre from the outer face of the other leg, for a part with one right-angled bend; else empty.

    That is the distance from the bend's tangent line, and the inside radius and thickness on top: what a square laid on the
    bent part shows.
    """
    if len(part.flanges) != 1 or abs(abs(part.flanges[0].bend.angle_deg) - RIGHT_DEG) > SAME_DEG:
        return {}
    (flange,) = part.flanges
    outer = flange.bend.inside_radius_mm + part.thickness_mm
    outline, edge = part.root.outline, flange.bend.edge
    (ax, ay, _), (bx, by, _) = outline[edge], outline[(edge + 1) % len(outline)]
    length = math.hypot(bx - ax, by - ay)
    ux, uy = (bx - ax) / length, (by - ay) / length
    found = {h.name: (h.centre_mm[1] - ay) * ux - (h.centre_mm[0] - ax) * uy + outer for h in part.root.holes}
    return found | {h.name: h.centre_mm[1] + outer for h in flange.profile.holes}
