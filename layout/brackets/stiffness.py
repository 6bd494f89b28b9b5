"""How much a bracket gives: 3x3 stiffness at the mount, from the bracket's own geometry. Pack frame, N/mm."""

from __future__ import annotations

import numpy as np

from layout.brackets.design import BracketDesign
from layout.brackets.foot import foot_shape
from layout.brackets.plan import PackMount
from layout.checks.box_column import BoxColumn, box_column_stiffness
from layout.checks.bracket_stiffness import gusseted_l_stiffness, plain_l_stiffness
from layout.checks.gussets import GussetedL
from layout.checks.overhang import AngleSection, overhang_give
from layout.frames import Array


def bracket_stiffness(bracket: BracketDesign, mount: PackMount) -> Array:
    """Stiffness at a mount point, shape (3, 3), symmetric and positive definite.

    From the beams of layout.checks.bracket_stiffness (own derivation, held against solid models in the tests): foot and
    leg with their gussets where these stand on both sides of the mount, else the plain L; a standoff as a box column. Where the
    mount lies beyond or between the leg bolts, the angle between them gives as well (layout.checks.overhang). What the legs of
    a saddle add is not in it: the envelope over mounts equally stiff, soft and slack covers it.
    """
    shape = foot_shape(bracket, mount)
    if isinstance(shape, BoxColumn):
        own = box_column_stiffness(shape)
    elif isinstance(shape, GussetedL):
        own = gusseted_l_stiffness(shape, sum(y for _, y in bracket.leg_at_mm) / len(bracket.leg_at_mm))
    else:
        own = plain_l_stiffness(shape)
    along = None if isinstance(shape, BoxColumn) else _angle_stiffness(bracket, mount)
    if along is not None:
        own = np.linalg.inv(np.linalg.inv(own) + np.linalg.inv(along))
    axes = bracket.plan.foot_axes.T
    k: Array = axes @ own @ axes.T
    return (k + k.T) / 2.0


def _angle_stiffness(bracket: BracketDesign, mount: PackMount) -> Array | None:
    """What the angle holds at a mount's station, the leg bolts on either side of it held; None where it lies among them."""
    place = bracket.mount_places[bracket.plan.mounts.index(mount)]
    stretches = _held_stretches(bracket)
    if any(low - 1e-9 <= place.x_mm <= high + 1e-9 for low, high in stretches):
        return None
    section = AngleSection(bracket.material, bracket.thickness_mm, bracket.leg_top_mm, bracket.foot_depth_mm)
    before = max((high for _, high in stretches if high < place.x_mm), default=None)
    after = min((low for low, _ in stretches if low > place.x_mm), default=None)
    at = (bracket.thickness_mm / 2.0, place.z_mm)
    found = np.zeros((3, 3))
    for end, side in ((before, 1.0), (after, -1.0)):
        if end is not None:
            found += np.linalg.inv(overhang_give(section, abs(place.x_mm - end), at, side))
    return found


def _held_stretches(bracket: BracketDesign) -> list[tuple[float, float]]:
    """From the first to the last column of leg bolts of each bar, along the bend."""
    xs = [x for x, _ in bracket.leg_at_mm]
    many = bracket.plan.bolts_on_bar
    return [(min(xs[i : i + many]), max(xs[i : i + many])) for i in range(0, len(xs), many)]
