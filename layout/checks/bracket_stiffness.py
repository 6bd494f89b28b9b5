"""How much a bracket gives under a force at its mount hole: 3x3 stiffness in the bracket's own axes (along the bend, normal
to the foot, along the foot), from beam theory.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from layout.checks.brackets import PlainL
from layout.checks.gussets import GussetedL, strip_width_mm

SOFTER = 3.0
"""A gusseted bracket was measured about 3.3 times softer in a solid model than its sections say: the hand figure over 3."""


def plain_l_stiffness(bracket: PlainL) -> Any:
    """Foot and upright as two beams joined square at the bend, the upright clamped at its lowest row of fixings. (3, 3), N/mm.

    Flexibility by unit loads: bending and shear of both legs, and twist of the upright under a force along the bend
    (J = b t^3/3). A force normal to the foot also moves it along the foot, and the other way round.
    """
    e, g = bracket.metal.e_mpa, bracket.metal.g_mpa
    t, b = bracket.thickness_mm, bracket.width_mm
    foot, leg = bracket.foot_arm_mm + t / 2.0, bracket.leg_arm_mm
    weak, strong, twist = b * t**3 / 12.0, t * b**3 / 12.0, b * t**3 / 3.0
    shear = g * b * t / 1.2
    give = np.zeros((3, 3))
    give[1, 1] = foot**3 / (3.0 * e * weak) + foot**2 * leg / (e * weak) + foot / shear + leg / (e * b * t)
    give[2, 2] = leg**3 / (3.0 * e * weak) + leg / shear + foot / (e * b * t)
    give[1, 2] = give[2, 1] = foot * leg**2 / (2.0 * e * weak)
    give[0, 0] = (foot**3 + leg**3) / (3.0 * e * strong) + (foot + leg) / shear + foot**2 * leg / (g * twist)
    return np.linalg.inv(give)


def gusseted_l_stiffness(bracket: GussetedL, leg_arm_mm: float) -> Any:
    """Foot and upright as tapered beams of plate and gussets with shear in the gussets. Diagonal (3, 3), N/mm.

    Normal to the foot: the strip between the gussets (a beam on two edges) gives as well; with it the figure stays within
    0.65 to 1.35 of solid models. Along the bend and along the foot: the beams alone, divided by 3 (SOFTER).
    leg_arm_mm: from the foot to the middle of the fixings in the upright.
    """
    e, g = bracket.metal.e_mpa, bracket.metal.g_mpa
    t, b = bracket.thickness_mm, bracket.width_mm
    stand = bracket.foot_arm_mm + t / 2.0
    strip = strip_width_mm(bracket.washer_mm, 0.0, bracket.clear_mm, (bracket.edge_mm, bracket.foot_arm_mm))
    normal = _tapered(bracket, stand, e, g) + bracket.clear_mm**3 / (4.0 * e * strip * t**3)
    turned = replace(bracket, foot_arm_mm=leg_arm_mm, reach_mm=bracket.height_mm, height_mm=bracket.reach_mm)
    along = _tapered(turned, leg_arm_mm, e, g)
    across = stand**3 / (3.0 * e * t * b**3 / 12.0) + 1.2 * stand / (g * t * b)
    return np.diag(1.0 / np.array([SOFTER * across, normal, SOFTER * along]))


def _tapered(bracket: GussetedL, arm_mm: float, e: float, g: float) -> float:
    """Deflection per N at the load: integral of (arm - x)^2/(E I) and 1/(G A) over the length, by Simpson's rule."""
    x = np.linspace(0.0, arm_mm, 41)
    sections = [bracket.section_at(float(v)) for v in x]
    inertia = np.array([s.inertia_mm4 for s in sections])
    heights = np.array([bracket.gusset_height_mm(float(v)) for v in x])
    webs = bracket.gussets * bracket.gusset_thickness_mm * heights
    shear = np.where(webs > 0.0, webs, bracket.width_mm * bracket.thickness_mm) / 1.2
    weights = np.ones(41)
    weights[1:-1:2], weights[2:-1:2] = 4.0, 2.0
    return float((weights * ((arm_mm - x) ** 2 / (e * inertia) + 1.0 / (g * shear))).sum() * (x[1] - x[0]) / 3.0)
