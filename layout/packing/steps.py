"""Where a box with a step may stand: pairs of plain insides that together make one with a corner of its plan left out.

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
from layout.stepped import PLAN, Stepped

MOST_SITES = 60
"""Stepped sites that are filled at most, the largest first (for bounds all are looked at)."""
SAME_MM = 1e-8
CORNERS = ((1.0, 1.0, 1.0), (1.0, -1.0, 1.0), (-1.0, 1.0, 1.0), (-1.0, -1.0, 1.0))
"""Signs that turn each corner of the plan to the high ends of x and y."""


@dataclass(frozen=True)
class _Steps:
    """Steps at one corner of the plan. sign: turns that corner to the high ends of x and y. rows: (n, 8), least corner of the
    bounds, greatest corner, x and y of the step's inner corner; pockets: what hangs on each one's faces.
    """

    sign: Array
    rows: Array
    pockets: tuple[tuple[Pocket, ...], ...]

    def volumes(self, grown: Array | float = 0.0) -> Array:
        """Volumes, the bounds made longer by so much along each axis; the step keeps its size in plan."""
        size = self.rows[:, 3:6] - self.rows[:, 0:3] + grown
        ends = np.where(self.sign[:2] > 0.0, self.rows[:, 3:5], self.rows[:, 0:2])
        return np.asarray(size.prod(axis=1) - np.abs(ends - self.rows[:, 6:8]).prod(axis=1) * size[:, 2])

    def taken(self, which: NDArray[np.int64] | NDArray[np.bool_]) -> _Steps:
        """Some of them."""
        index = np.arange(len(self.rows))[which]
        return _Steps(self.sign, self.rows[index], tuple(self.pockets[k] for k in index.tolist()))

    def undominated(self) -> _Steps:
        """Those that lie within no other one, the largest first, whatever hangs where."""
        order = np.argsort(-self.volumes(), kind="stable")
        a, b = self.rows[:, 0:3] * self.sign, self.rows[:, 3:6] * self.sign
        reach = np.column_stack([-np.minimum(a, b), np.maximum(a, b), self.rows[:, 6:8] * self.sign[:2]])
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
            for axis in PLAN:
                (out_low if self.sign[axis] > 0.0 else out_high)[axis] = row[6 + axis]
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
    corners = [_worth_it(_at_corner(low, high, np.array(sign), ground), ground, bodies, worth) for sign in CORNERS]
    for kind, free in hanging(ground, pose):
        pockets = list(pockets_of(kind, free, ground.shell))
        corners = [_worth_it(_with_pockets(steps, pockets, ground), ground, bodies, worth) for steps in corners]
    sites = [site for steps in corners for site in steps.sites(pose, ground.shell)]
    sites.sort(key=lambda s: -s.limit.volume_mm3)
    return sites if ground.outer else sites[:MOST_SITES]


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
        lines = steps.rows[which, 6:8]
        deep = SAME_MM if ground.outer else LEAST_STEP_MM
        left = np.minimum(lines - low[:, :2], high[:, :2] - lines).min(axis=1) >= deep
        rows.append(np.column_stack([low, high, lines])[left])
        hung += [(*steps.pockets[k], pocket) for k in which[left].tolist()]
    return _Steps(steps.sign, np.concatenate(rows), tuple(hung))


def _at_corner(low: Array, high: Array, sign: Array, ground: Ground) -> _Steps:
    """All steps at one corner of the plan that pairs of plain insides make.

    Turned to the high ends of x and y: the second inside reaches further along x, the first along y.
    """
    a, b = np.minimum(low * sign, high * sign), np.maximum(low * sign, high * sign)
    deep = SAME_MM if ground.outer else LEAST_STEP_MM
    least = np.array(ground.least_mm) - SAME_MM
    found = [np.zeros((0, 8))]
    for i in range(len(a)):
        common_low, common_high = np.maximum(a[i], a), np.minimum(b[i], b)
        fits = (common_high - common_low >= least).all(axis=1)
        fits &= (b[:, 0] - b[i, 0] >= deep) & (b[i, 1] - b[:, 1] >= deep)
        at = np.flatnonzero(fits)
        top = common_high[at].copy()
        top[:, 0], top[:, 1] = b[at, 0], b[i, 1]
        ends = common_low[at] * sign, top * sign
        found.append(np.column_stack([np.minimum(*ends), np.maximum(*ends), common_high[at, :2] * sign[:2]]))
    rows = np.unique(np.concatenate(found), axis=0)
    return _Steps(sign, rows, ((),) * len(rows))
