"""Mounting bars under the leg bolts, their welds, and the wall beside them. Pack frame."""

from __future__ import annotations

import numpy as np

from layout.box.design import BoxDesign
from layout.box.shell import MOUNTING_BAR_MM
from layout.brackets.design import BracketDesign
from layout.checks import Check
from layout.checks.bars import MountingBar, mounting_bar_checks
from layout.checks.groups import bolt_shears
from layout.frames import Array
from layout.study.leg_bolts import bolt_group, group_load
from layout.study.shares import Share
from layout.tables import bolt


def bar_checks(box: BoxDesign, bracket: BracketDesign, share: Share) -> list[Check]:
    """Every bar of a bracket for one case. Each carries its own four bolts' share of the group (elastic, by the centroid)."""
    group, centre = bolt_group(bracket)
    force, moment = group_load(bracket, share, centre)
    shears = bolt_shears(group, force, moment)
    pulls = _outward(group.offsets_mm, force, moment)
    bottom = box.inside.min_mm[2] - box.shell.sheet_mm
    span = box.inside.max_mm[2] - bottom
    size = bolt(bracket.hardware[-1].size)
    bar = MountingBar(
        box.material,
        bracket.plan.bar_width_mm,
        MOUNTING_BAR_MM,
        span,
        box.shell.sheet_mm,
        box.material,
        box.shell.sheet_mm,
        2.0 * size.diameter_mm,
    )
    up = np.array([bracket.plan.a[2], bracket.plan.n[2]])
    found: list[Check] = []
    for i, u in enumerate(bracket.plan.bars_u_mm):
        rows = slice(4 * i, 4 * i + 4)
        places = tuple(
            (float(p[2]) - bottom, float(pull)) for p, pull in zip(bracket.leg_bolts_mm[rows], pulls[rows], strict=True)
        )
        total = shears[rows].sum(axis=0)
        upward = float(total @ up)
        along = float(np.linalg.norm(total - upward * up))
        part = f"bar of {bracket.number} at {u:.0f}"
        found += mounting_bar_checks(part, share.name, bar, places, 0.0, span / 2.0, (along, upward))
    return found


def _outward(offsets: Array, force: Array, moment: Array) -> Array:
    """Force of each bolt on the bar, outward from the wall: linear over the group, in equilibrium with the load.

    The bracket is loaded by minus (force, moment); what its bolts do to the bars is the load itself turned round: a box
    that pushes its bracket outward is pushed inward by it. Positive: the bolt pulls the bar outward.
    """
    inertia = offsets.T @ offsets
    pulls = np.full(len(offsets), -force[2] / len(offsets))
    if abs(np.linalg.det(inertia)) > 1e-9 * np.trace(inertia) ** 2:
        pulls = pulls - offsets @ np.linalg.solve(inertia, np.array([-moment[1], moment[0]]))
    return pulls
