"""How much a bracket gives: 3x3 stiffness at the mount, from the bracket's own geometry. Pack frame, N/mm."""

from __future__ import annotations

import numpy as np

from layout.brackets.design import BracketDesign
from layout.brackets.foot import foot_shape, level_mm
from layout.brackets.plan import PackMount
from layout.checks.bracket_stiffness import gusseted_l_stiffness, plain_l_stiffness
from layout.checks.gussets import GussetedL
from layout.frames import Array


def bracket_stiffness(bracket: BracketDesign, mount: PackMount) -> Array:
    """Stiffness at a mount point, shape (3, 3), symmetric and positive definite.

    From the beams of layout.checks.bracket_stiffness (own derivation, held against solid models in the tests): foot and
    leg with their gussets where these stand on both sides of the mount, else the plain L. What the angle gives along the
    bend between mount and bar is not in it: the envelope over mounts equally stiff, soft and slack covers it.
    """
    shape = foot_shape(bracket, mount)
    if isinstance(shape, GussetedL):
        heights = np.array(bracket.leg_bolts_mm) @ bracket.plan.n - level_mm(bracket, mount)
        own = gusseted_l_stiffness(shape, float(heights.mean()))
    else:
        own = plain_l_stiffness(shape)
    axes = np.column_stack([bracket.plan.a, bracket.plan.n, bracket.plan.w])
    k: Array = axes @ own @ axes.T
    return (k + k.T) / 2.0
