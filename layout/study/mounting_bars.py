"""Mounting bars under the leg bolts, their welds, and the wall beside them. Pack frame."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from layout.box.design import BoxDesign
from layout.box.walls import wall_of
from layout.brackets.design import BracketDesign
from layout.checks import Check
from layout.checks.bars import MountingBar, mounting_bar_checks
from layout.checks.groups import bolt_shears
from layout.frames import Array
from layout.loads.cases import LoadCase
from layout.study.leg_bolts import LegJoint, group_load
from layout.study.uprights import beside
from layout.tables import bolt


@dataclass(frozen=True, eq=False)
class LoadedBar:
    """A bar with the bolts it carries. rows: which of the bracket's bolts; heights_mm: above the floor's underside at
    which they sit, each once; at_height: (bolts, heights) of 1 where a bolt sits there; upward: components of "up" along a
    and n.
    """

    part: str
    bar: MountingBar
    heights_mm: Array
    at_height: Array
    rows: slice
    upward: Array


def loaded_bars(box: BoxDesign, bracket: BracketDesign) -> tuple[LoadedBar, ...]:
    """The bars of a bracket, in the order of its plan."""
    bottom = wall_of(bracket.plan.wall, box.inside).bottom_mm - box.shell.sheet_mm
    sheet = box.shell.sheet_mm
    holes = 2.0 * bolt(bracket.hardware[-1].size).diameter_mm  # the whole of each thread
    plan = bracket.plan
    bare = MountingBar(
        box.material, plan.bar_width_mm, box.shell.bar_mm, box.inside.max_mm[2] - bottom, box.shell.fillet_mm,
        box.material, sheet, holes, box.shell.weld_share(box.inside.max_mm[2] - bottom),
    )  # fmt: skip
    heights = np.array([p[2] for p in bracket.leg_bolts_mm]) - bottom
    up = np.array([bracket.plan.a[2], bracket.plan.up[2]])
    found = []
    for i, u in enumerate(bracket.plan.bars_u_mm):
        many = bracket.plan.bolts_on_bar
        rows = slice(many * i, many * (i + 1))
        bar = replace(bare, place=beside(box, plan.wall, u, plan.bar_width_mm))
        levels, which = np.unique(np.round(heights[rows], 6), return_inverse=True)
        found.append(LoadedBar(f"bar of {bracket.number} at {u:.0f}", bar, levels, np.eye(len(levels))[which], rows, up))
    return tuple(found)


def bar_checks(joint: LegJoint, loaded: LoadedBar, case: LoadCase, forces_n: Array) -> list[Check]:
    """One bar. Each bar carries its own bolts' part of the group (elastic, by the centroid).

    What its ends hand on goes, by finite elements of whole packs, into the wall round the corner and into the floor bars more
    than into the edges of floor and flange, which are not charged with it.

    forces_n: (..., mounts, 3) along a, n, w. case: one of a kind of cases (see `Loads`).
    """
    force, moment = group_load(joint, forces_n)
    total = bolt_shears(joint.group, force, moment)[..., loaded.rows, :].sum(axis=-2)
    pulls = outward(joint.group.offsets_mm, force, moment)[..., loaded.rows] @ loaded.at_height
    upward = total @ loaded.upward
    along = np.linalg.norm(total - upward[..., None] * loaded.upward, axis=-1)
    places = tuple(zip(loaded.heights_mm.tolist(), np.moveaxis(pulls, -1, 0), strict=True))
    return mounting_bar_checks(
        loaded.part, case.name, loaded.bar, places, 0.0, loaded.bar.span_mm / 2.0, (along, upward),
        into_sheets=False,
    )  # fmt: skip


def bending(heights_mm: Array, pulls_n: Array, span_mm: float) -> tuple[Array, Array]:
    """Greatest moment (N*mm) and shear (N), (ways,) each, of a simple beam under forces at heights that differ.

    pulls_n: (ways, heights).
    Both lie at the forces: moments by the influence line z_1 (l - z_2)/l, shears on both sides of each force.
    """
    near, far = np.minimum.outer(heights_mm, heights_mm), np.maximum.outer(heights_mm, heights_mm)
    moments = pulls_n @ (near * (span_mm - far) / span_mm)
    order = np.argsort(heights_mm, kind="stable")
    left = pulls_n @ (1.0 - heights_mm / span_mm)
    shears = left[:, None] - np.cumsum(pulls_n[:, order], axis=1)
    return np.abs(moments).max(axis=1), np.maximum(np.abs(left), np.abs(shears).max(axis=1))


def outward(offsets: Array, force: Array, moment: Array) -> Array:
    """Force of each bolt on the bar, outward from the wall: linear over the group, in equilibrium with the load, (..., n).

    The bracket is loaded by minus (force, moment); what its bolts do to the bars is the load itself turned round: a box
    that pushes its bracket outward is pushed inward by it. Positive: the bolt pulls the bar outward.
    """
    inertia = offsets.T @ offsets
    pulls = np.repeat(-force[..., 2:3] / len(offsets), len(offsets), axis=-1)
    if abs(np.linalg.det(inertia)) > 1e-9 * np.trace(inertia) ** 2:
        wanted = np.stack([-moment[..., 1], moment[..., 0]], axis=-1)
        pulls = pulls - wanted @ np.linalg.solve(inertia, offsets.T)
    return pulls
