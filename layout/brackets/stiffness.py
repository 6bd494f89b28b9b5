"""How much a bracket gives: 3x3 stiffness at the mount, from the bracket's own geometry. Pack frame, N/mm."""

from __future__ import annotations

from layout.brackets.design import BracketDesign
from layout.brackets.foot import foot_shape
from layout.brackets.plan import PackMount
from layout.checks.box_column import BoxColumn, box_column_stiffness
from layout.checks.bracket_stiffness import gusseted_l_stiffness, plain_l_stiffness
from layout.checks.gussets import GussetedL
from layout.frames import Array


def bracket_stiffness(bracket: BracketDesign, mount: PackMount) -> Array:
    """Stiffness at a mount point, shape (3, 3), symmetric and positive definite.

    From the beams of layout.checks.bracket_stiffness (own derivation, held against solid models in the tests): foot and
    leg with their gussets where these stand on both sides of the mount, else the plain L; a standoff as a box column. What the
    angle gives along the bend between mount and bar, and what the legs of a saddle add, is not in it: the envelope over mounts
    equally stiff, soft and slack covers it.
    """
    shape = foot_shape(bracket, mount)
    if isinstance(shape, BoxColumn):
        own = box_column_stiffness(shape)
    elif isinstance(shape, GussetedL):
        own = gusseted_l_stiffness(shape, sum(y for _, y in bracket.leg_at_mm) / len(bracket.leg_at_mm))
    else:
        own = plain_l_stiffness(shape)
    axes = bracket.plan.foot_axes.T
    k: Array = axes @ own @ axes.T
    return (k + k.T) / 2.0
