"""Where a box with a step may stand: pairs of plain insides that together make one with a corner of its plan left out.

A stepped inside fits exactly where both its largest boxes fit as insides of their own: the shell around a union is the
union of the shells. So every stepped inside that fits lies in a pair of the bay's largest plain insides, each cut to what
makes the pair a step, or in one of them; pairs of bounding insides bound it likewise.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from layout.frames import Array, Extent, vec3
from layout.packing.bodies import Body
from layout.packing.count import volume_of_mm3, widest_gap_mm
from layout.packing.sites import Ground, Site, hung_sites
from layout.packing.slide_step import LEAST_STEP_MM
from layout.stepped import Stepped

MOST_SITES = 60
"""Stepped sites that are filled at most, the largest first (for bounds all are looked at)."""
SAME_MM = 1e-8
CORNERS = ((1.0, 1.0, 1.0), (1.0, -1.0, 1.0), (-1.0, 1.0, 1.0), (-1.0, -1.0, 1.0))
"""Signs that turn each corner of the plan to the high ends of x and y."""


def stepped_sites(ground: Ground, plain: list[Site], bodies: tuple[Body, ...], worth: int) -> list[Site]:
    """Stepped sites of one frame that by volume may hold `worth` modules or more; largest first.

    plain: the frame's sites before anything is hung on their faces (see `plain_sites`).
    """
    if not plain:
        return []
    pairs = _worth_it([s.limit for s in plain], ground, bodies, worth)
    sites = [Site(plain[0].pose, limit, (), ground.shell) for limit in sorted(pairs, key=lambda e: -e.volume_mm3)]
    return hung_sites(ground, sites if ground.outer else sites[:MOST_SITES], plain[0].pose)


def _worth_it(limits: list[Extent], ground: Ground, bodies: tuple[Body, ...], worth: int) -> list[Extent]:
    """The steps whose room, by volume, may hold so many modules; of each corner none within another."""
    low, high = np.array([e.min_mm for e in limits]), np.array([e.max_mm for e in limits])
    found: list[Extent] = []
    for sign in CORNERS:
        turn = np.array(sign)
        lows, highs = np.minimum(low * turn, high * turn), np.maximum(low * turn, high * turn)
        boxes = _undominated([v for v in _outer_corner(lows, highs, ground) if len(v)], ground, bodies, worth)
        for one in boxes:
            a, b, c = one[0:3] * turn, one[3:6] * turn, np.append(one[6:8], one[2]) * turn
            left_out = Extent(vec3(np.minimum(b, c)), vec3(np.maximum(b, c)))
            found.append(Stepped(vec3(np.minimum(a, b)), vec3(np.maximum(a, b)), left_out))
    return found


def _undominated(pairs: list[Array], ground: Ground, bodies: tuple[Body, ...], worth: int) -> Array:
    """The rows worth looking at, those left out that lie within another one."""
    if not pairs:
        return np.zeros((0, 8))
    need, gap, t = volume_of_mm3(bodies, worth), widest_gap_mm(bodies), ground.shell.liner_mm
    rows = np.unique(np.concatenate(pairs), axis=0)
    room = rows[:, 3:6] - rows[:, 0:3] - np.array([2.0 * t, 2.0 * t, t]) + gap + 1e-4
    step = (rows[:, 3:5] - rows[:, 6:8]).prod(axis=1) * room[:, 2]  # liner and gap leave its size in plan as it is
    rows = rows[room.prod(axis=1) - step >= need]
    rows = rows[np.argsort(-_volumes(rows), kind="stable")]
    reach = np.column_stack([-rows[:, 0:3], rows[:, 3:8]])
    kept: list[int] = []
    for k in range(len(rows)):
        if not (reach[kept] >= reach[k] - SAME_MM).all(axis=1).any():
            kept.append(k)
    return rows[kept]


def _volumes(rows: Array) -> Array:
    size = rows[:, 3:6] - rows[:, 0:3]
    return np.asarray(size.prod(axis=1) - (rows[:, 3:5] - rows[:, 6:8]).prod(axis=1) * size[:, 2])


def _outer_corner(low: Array, high: Array, ground: Ground) -> Iterator[Array]:
    """Steps with the corner at the high ends of x and y left out: the second box reaches further along x, the first along y.

    Rows of eight: least corner of the bounds, greatest corner, x and y of the step's inner corner.
    """
    deep = SAME_MM if ground.outer else LEAST_STEP_MM
    least = np.array(ground.least_mm) - SAME_MM
    for i in range(len(low)):
        common_low, common_high = np.maximum(low[i], low), np.minimum(high[i], high)
        fits = (common_high - common_low >= least).all(axis=1)
        fits &= (high[:, 0] - high[i, 0] >= deep) & (high[i, 1] - high[:, 1] >= deep)
        at = np.flatnonzero(fits)
        top = common_high[at].copy()
        top[:, 0], top[:, 1] = high[at, 0], high[i, 1]
        yield np.column_stack([common_low[at], top, common_high[at, :2]])
