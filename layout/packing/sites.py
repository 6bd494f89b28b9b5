"""Where the box may stand: frames to try, maximal insides in each, and the pockets beside it for what hangs on its faces."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from layout.box.shell import Shell
from layout.frames import Extent, Pose, pose_from_rotation, raked_about_y, turned_about_z, vec3
from layout.job.box import Equipment
from layout.job.model import Job
from layout.job.module import Pack
from layout.packing.hung import FACES, Pocket, ways_to_hang
from layout.space.bay import Bay
from layout.space.free_boxes import maximal_insides

FREE_STEP_DEG = 5.0
TURN_LIMIT_DEG, RAKE_LIMIT_DEG = 45.0, 30.0
STEP_MM = 5.0
"""Grid on which free space that is not bounded by axis-parallel planes is looked at."""


@dataclass(frozen=True)
class Site:
    """A frame, the limits of the inside of the box's walls in it, and one way to hang each piece on its face."""

    pose: Pose
    limit: Extent
    pockets: tuple[Pocket, ...]
    shell: Shell

    @property
    def room(self) -> Extent:
        """What liner and walls leave for modules when the box is as large as it can be."""
        return self.shell.room(self.limit)


def poses_to_try(pack: Pack, bay: Bay) -> list[Pose]:
    """Frames of the pack: all named turns about z times all named rakes about y; "free" means 5 degree steps.

    Free turns go to 45 degrees either way (the modules' own quarter turns do the rest), free rakes to 30. A turned pack
    turns about the middle of the bay.
    """
    turns = _angles(pack.turn_deg, TURN_LIMIT_DEG)
    rakes = _angles(pack.rake_deg, RAKE_LIMIT_DEG)
    middle = np.array(bay.extent.centre_mm)
    out = []
    for turn, rake in product(turns, rakes):
        if turn == 0.0 and rake == 0.0:
            out.append(Pose())
            continue
        rotation = turned_about_z(turn).matrix @ raked_about_y(rake).matrix
        out.append(pose_from_rotation(middle, rotation))
    return out


def _angles(given: tuple[float, ...] | str, limit: float) -> list[float]:
    if isinstance(given, tuple):
        return sorted(set(given), key=lambda a: (abs(a), a))
    steps = np.arange(-limit, limit + 1e-9, FREE_STEP_DEG)
    return sorted((float(a) for a in steps), key=lambda a: (abs(a), a))


def bare(shell: Shell) -> Shell:
    """A shell that adds nothing: what hangs on a face is looked for as a box without walls."""
    return replace(
        shell, sheet_mm=0.0, liner_mm=0.0, side_mm=0.0, below_mm=0.0, flange_out_mm=0.0, flange_below_mm=0.0,
        flange_above_mm=0.0,
    )


def sites_in(job: Job, bay: Bay, shell: Shell, pose: Pose, least_mm: tuple[float, float, float]) -> list[Site]:
    """All sites of one frame; none contains another one. least_mm: least edges of an inside worth having."""
    limits = maximal_insides(bay, shell, pose, bay.clearance_mm, STEP_MM, least_mm)
    sites = [Site(pose, limit, (), shell) for limit in limits]
    for kind in job.equipment:
        if kind.where not in FACES:
            continue
        free = _free_pockets(bay, shell, pose, kind)
        sites = [s for site in sites for s in _with_pocket(site, kind, free, least_mm)]
    return largest_only(sites)


def _free_pockets(bay: Bay, shell: Shell, pose: Pose, kind: Equipment) -> list[Extent]:
    least = tuple(min(size[a] for size, _ in ways_to_hang(kind)) for a in range(3))
    clear = max(bay.clearance_mm, kind.clearance_mm)
    return maximal_insides(bay, bare(shell), pose, clear, STEP_MM, vec3(least))


def _with_pocket(site: Site, kind: Equipment, free: list[Extent], least_mm: tuple[float, float, float]) -> list[Site]:
    face = FACES[kind.where]
    out = []
    for (size, axes), extent in product(ways_to_hang(kind), free):
        if any(e < s - 1e-9 for e, s in zip(extent.size_mm, size, strict=True)):
            continue
        pocket = Pocket(kind, face, size, axes, extent, site.shell)
        limit = _cut(site.limit, pocket, site.shell)
        if limit is None or any(e < m for e, m in zip(limit.size_mm, least_mm, strict=True)):
            continue
        out.append(Site(site.pose, limit, (*site.pockets, pocket), site.shell))
    return out


def _cut(limit: Extent, pocket: Pocket, shell: Shell) -> Extent | None:
    """The inside's limits drawn in so that the piece has its place outside the wall; None where it has none."""
    axis, plus = "xyz".index(pocket.face[1]), pocket.face[0] == "+"
    low, high = list(limit.min_mm), list(limit.max_mm)
    need = pocket.stand_off_mm + pocket.size_mm[axis]
    if plus:
        high[axis] = min(high[axis], pocket.limit.max_mm[axis] - need)
    else:
        low[axis] = max(low[axis], pocket.limit.min_mm[axis] + need)
    if high[axis] <= low[axis]:
        return None
    for a in range(3):
        if a == axis:
            continue
        top = high[a] - (shell.flange_below_mm + 2.0 if a == 2 else 0.0)
        if min(top, pocket.limit.max_mm[a]) - max(low[a], pocket.limit.min_mm[a]) < pocket.size_mm[a] - 1e-9:
            return None
    # the near end of the free pocket must reach back to the wall's range
    near = pocket.limit.min_mm[axis] if plus else pocket.limit.max_mm[axis]
    if plus and near > high[axis] + pocket.stand_off_mm + 1e-9:
        return None
    if not plus and near < low[axis] - pocket.stand_off_mm - 1e-9:
        return None
    return Extent(vec3(low), vec3(high))


def largest_only(sites: list[Site]) -> list[Site]:
    """Without sites whose inside lies within that of another one, whatever hangs where. Largest first."""
    kept: list[Site] = []
    for site in sorted(sites, key=lambda s: (-s.limit.volume_mm3, s.limit.min_mm, s.limit.max_mm)):
        if not any(_within(site.limit, other.limit) for other in kept):
            kept.append(site)
    return kept


def _within(inner: Extent, outer: Extent) -> bool:
    lows = zip(inner.min_mm, outer.min_mm, strict=True)
    highs = zip(inner.max_mm, outer.max_mm, strict=True)
    return all(a >= b - 1e-9 for a, b in lows) and all(a <= b + 1e-9 for a, b in highs)
