"""How much a bracket gives: 3x3 stiffness at the mount, from the bracket's own geometry. Pack frame, N/mm."""

from __future__ import annotations

import numpy as np

from layout.brackets.design import BracketDesign
from layout.brackets.plan import PackMount
from layout.frames import Array
from layout.tables import material

SOFTER = 3.0
"""A gusseted bracket was found 3.3 times softer in a solid model than its root section says: the hand figure over 3."""


def bracket_stiffness(bracket: BracketDesign, mount: PackMount) -> Array:
    """Stiffness at a mount point, shape (3, 3).

    Along the normal: the foot as a cantilever from the bar's face to the bolt, section of foot and its two gussets; along
    the wall's normal: the leg as a cantilever from the foot to the middle of the leg bolts, same kind of section; along
    the bend: foot bending in its own plane. Each with shear; each divided by 3 where gussets stiffen it (see SOFTER).
    Sources: beam formulas P L^3 / 3 E I + P L / (G A_s) (Roark, 7th ed., table 8.1, from memory); own derivation.
    """
    metal = material(bracket.material)
    e, g = metal.e_mpa, metal.e_mpa / (2.0 * (1.0 + metal.poisson))
    t = bracket.thickness_mm
    stand = max(bracket.plan.stand_mm(mount) - t, t)
    level = float(np.dot(mount.at_mm, bracket.plan.n))
    height = float(np.mean([np.dot(p, bracket.plan.n) for p in bracket.leg_bolts_mm])) - level
    width = min(bracket.a_mm[1] - bracket.a_mm[0], 2.0 * stand + 50.0)
    gussets = min(len(bracket.gussets), 2)
    softer = SOFTER if gussets else 1.0
    flexible = (
        (_tee(width, t, gussets, bracket.gusset_thickness_mm, 0.5 * bracket.gusset_mm[0]), stand),
        (_tee(width, t, gussets, bracket.gusset_thickness_mm, 0.5 * bracket.gusset_mm[1]), height),
    )
    along_n, along_w = (softer * (length**3 / (3.0 * e * i) + length / (g * a)) for (i, a), length in flexible)
    along_a = softer * (stand**3 / (3.0 * e * t * width**3 / 12.0) + 1.2 * stand / (g * t * width))
    axes = np.column_stack([bracket.plan.n, bracket.plan.w, bracket.plan.a])
    return axes @ np.diag([1.0 / along_n, 1.0 / along_w, 1.0 / along_a]) @ axes.T


def _tee(width: float, t: float, count: int, gusset_t: float, gusset_h: float) -> tuple[float, float]:
    """Second moment (mm4) and shear area (mm2) of a plate with `count` gussets of mean height `gusset_h` standing on it."""
    areas = [width * t] + [gusset_t * gusset_h] * count
    heights = [t / 2.0] + [t + gusset_h / 2.0] * count
    own = [width * t**3 / 12.0] + [gusset_t * gusset_h**3 / 12.0] * count
    total = sum(areas)
    middle = sum(a * y for a, y in zip(areas, heights, strict=True)) / total
    second = sum(i + a * (y - middle) ** 2 for i, a, y in zip(own, areas, heights, strict=True))
    shear = count * gusset_t * gusset_h if count else width * t / 1.2
    return second, shear
