"""Where a box with a step may stand: pairs of plain insides that together make one with an edge left out.

The edge is an upright one (a corner of the plan) or a level one below (the floor is at two heights).

A stepped inside fits exactly where both its largest boxes fit as insides of their own: the shell around a union is the
union of the shells. So every stepped inside that fits lies in a pair of the bay's largest plain insides, each cut to what
makes the pair a step, or in one of them; pairs of bounding insides bound it likewise.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from layout.box.shell import Shell
from layout.frames import Array, Extent, Pose, vec3
from layout.packing.bodies import Body
from layout.packing.count import volume_of_mm3, widest_gap_mm
from layout.packing.hung import Pocket
from layout.packing.sites import Ground, Site, cut_for, hanging, pockets_of
from layout.packing.slide_step import LEAST_STEP_MM
from layout.stepped import Stepped, axes_across

MOST_SITES = 60
"""Sites with a step of one kind that are filled at most, the largest first (for bounds all are looked at)."""
SAME_MM = 1e-8
CORNERS = ((1.0, 1.0, 1.0), (1.0, -1.0, 1.0), (-1.0, 1.0, 1.0), (-1.0, -1.0, 1.0))
BELOW = {0: ((1.0, 1.0, -1.0), (1.0, -1.0, -1.0)), 1: ((1.0, 1.0, -1.0), (-1.0, 1.0, -1.0))}
EDGES = ((2, CORNERS), *BELOW.items())
"""Edges that may be left out, by the axis they run along: signs that turn each to the high ends of the two others. Of the
edges that run level only those below count: the lid stays one plane.
"""


@dataclass(frozen=True)
class _Steps:
    """Steps at one edge. run: the axis along it; sign: turns it to the high ends of the two others. rows: (n, 8), least corner
    of the bounds, greatest corner, the step's inner corner along those two; pockets: what hangs on each one's faces.
    """

    run: int
    sign: Array
    rows: Array
    pockets: tuple[tuple[Pocket, ...], ...]

    @property
    def axes(self) -> list[int]:
        """The two axes square to the edge."""
        return list(axes_across(self.run))

    def volumes(self, grown: Array | float = 0.0) -> Array:
        """Volumes, the bounds made longer by so much along each axis; the step keeps its size across its edge."""
        low, high, axes = self.rows[:, 0:3], self.rows[:, 3:6], self.axes
        size = high - low + grown
        ends = np.where(self.sign[axes] > 0.0, high[:, axes], low[:, axes])
        return np.asarray(size.prod(axis=1) - np.abs(ends - self.rows[:, 6:8]).prod(axis=1) * size[:, self.run])

    def taken(self, which: NDArray[np.int64] | NDArray[np.bool_]) -> _Steps:
        """Some of them."""
        index = np.arange(len(self.rows))[which]
        return _Steps(self.run, self.sign, self.rows[index], tuple(self.pockets[k] for k in index.tolist()))

    def undominated(self) -> _Steps:
        """Those that lie within no other one, the largest first, whatever hangs where."""
        order = np.argsort(-self.volumes(), kind="stable")
        a, b = self.rows[:, 0:3] * self.sign, self.rows[:, 3:6] * self.sign
        reach = np.column_stack([-np.minimum(a, b), np.maximum(a, b), self.rows[:, 6:8] * self.sign[self.axes]])
        kept: list[int] = []
        for k in order.tolist():
            if not (reach[kept] >= reach[k] - SAME_MM).all(axis=1).any():
                kept.append(k)
        return self.taken(np.array(kept, dtype=np.int64))

    def sites(self, pose: Pose, shell: Shell) -> list[Site]:
        """As sites."""
        found = []
        for row, pockets in zip(self.rows, self.pockets, strict=True):
            low, high = row[0:3], row[3:6]
            out_low, out_high = low.copy(), high.copy()
            for axis, line in zip(self.axes, row[6:8], strict=True):
                (out_low if self.sign[axis] > 0.0 else out_high)[axis] = line
            limit = Stepped(vec3(low), vec3(high), Extent(vec3(out_low), vec3(out_high)))
            found.append(Site(pose, limit, pockets, shell))
        return found


def stepped_sites(ground: Ground, plain: list[Site], bodies: tuple[Body, ...], worth: int) -> list[Site]:
    """Stepped sites of one frame that by volume may hold `worth` modules or more; largest first.

    plain: the frame's sites before anything is hung on their faces (see `plain_sites`).
    """
    if not plain:
        return []
    pose, limits = plain[0].pose, [s.limit for s in plain]
    low, high = np.array([e.min_mm for e in limits]), np.array([e.max_mm for e in limits])
    edges = [(run, np.array(sign)) for run, signs in EDGES for sign in signs]
    found = [_worth_it(_at_edge(low, high, run, sign, ground), ground, bodies, worth) for run, sign in edges]
    for kind, free in hanging(ground, pose):
        pockets = list(pockets_of(kind, free, ground.shell))
        found = [_worth_it(_with_pockets(steps, pockets, ground), ground, bodies, worth) for steps in found]
    sites: list[Site] = []
    for plan in (True, False):
        alike = [s for steps in found if (steps.run == 2) is plan for s in steps.sites(pose, ground.shell)]
        alike.sort(key=lambda s: -s.limit.volume_mm3)
        sites += alike if ground.outer else alike[:MOST_SITES]
    return sorted(sites, key=lambda s: -s.limit.volume_mm3)


def _worth_it(steps: _Steps, ground: Ground, bodies: tuple[Body, ...], worth: int) -> _Steps:
    """The steps whose room, by volume, may hold so many modules; none within another."""
    need, t = volume_of_mm3(bodies, worth), ground.shell.liner_mm
    room = steps.volumes(widest_gap_mm(bodies) + 1e-4 - np.array([2.0 * t, 2.0 * t, t]))
    return steps.taken(room >= need).undominated()


def _with_pockets(steps: _Steps, pockets: list[Pocket], ground: Ground) -> _Steps:
    """Every step drawn in for a piece on a face, in every way; where nothing of a step is left the plain sites hold it."""
    rows, hung = [np.zeros((0, 8))], []
    for pocket in pockets:
        which, low, high = cut_for(steps.rows[:, 0:3], steps.rows[:, 3:6], pocket, ground.shell, ground.least_mm)
        lines, axes = steps.rows[which, 6:8], steps.axes
        deep = SAME_MM if ground.outer else LEAST_STEP_MM
        left = np.minimum(lines - low[:, axes], high[:, axes] - lines).min(axis=1) >= deep
        rows.append(np.column_stack([low, high, lines])[left])
        hung += [(*steps.pockets[k], pocket) for k in which[left].tolist()]
    return _Steps(steps.run, steps.sign, np.concatenate(rows), tuple(hung))


def _at_edge(low: Array, high: Array, run: int, sign: Array, ground: Ground) -> _Steps:
    """All steps at one edge that pairs of plain insides make.

    Turned to the high ends of the two axes square to it: the second inside reaches further along the first of them, the
    first one along the second.
    """
    a, b = np.minimum(low * sign, high * sign), np.maximum(low * sign, high * sign)
    deep, axes = SAME_MM if ground.outer else LEAST_STEP_MM, axes_across(run)
    least = np.array(ground.least_mm) - SAME_MM
    one, two = axes
    found = [np.zeros((0, 8))]
    for i in range(len(a)):
        common_low, common_high = np.maximum(a[i], a), np.minimum(b[i], b)
        fits = (common_high - common_low >= least).all(axis=1)
        fits &= (b[:, one] - b[i, one] >= deep) & (b[i, two] - b[:, two] >= deep)
        at = np.flatnonzero(fits)
        top = common_high[at].copy()
        top[:, one], top[:, two] = b[at, one], b[i, two]
        ends = common_low[at] * sign, top * sign
        found.append(np.column_stack([np.minimum(*ends), np.maximum(*ends), common_high[at][:, axes] * sign[list(axes)]]))
    rows = np.unique(np.concatenate(found), axis=0)
    return _Steps(run, sign, rows, ((),) * len(rows))
