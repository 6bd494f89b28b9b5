"""Where the box may stand: frames to try, maximal insides in each, and the pockets beside it for what hangs on its faces."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
from numpy.typing import NDArray

from layout.box.shell import Shell
from layout.frames import Array, Extent, Pose, Vec3, pose_from_rotation, raked_about_y, turned_about_z, vec3
from layout.job.box import Equipment
from layout.job.model import Job
from layout.job.module import Pack
from layout.packing.hung import FACES, Pocket, below_flange_mm, ways_to_hang
from layout.space.bay import Bay
from layout.space.free_boxes import FreeGrid, free_grid, insides_of

FREE_STEP_DEG = 5.0
TURN_LIMIT_DEG, RAKE_LIMIT_DEG = 45.0, 30.0


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
        shell,
        sheet_mm=0.0,
        liner_mm=0.0,
        side_mm=0.0,
        below_mm=0.0,
        flange_out_mm=0.0,
        flange_below_mm=10.0,
        flange_above_mm=0.0,
        fold_radius_mm=0.0,
    )


@dataclass(frozen=True)
class Ground:
    """Where to look for sites: step_mm of the grid on which slopes are looked at; outer: for bounds, not for building.

    least_mm: least edges of an inside worth having. within: what the box, and what hangs on it, must lie in (pack frame).
    """

    job: Job
    bay: Bay
    shell: Shell
    least_mm: Vec3
    step_mm: float
    outer: bool = False
    within: Extent | None = None

    def grid(self, pose: Pose, clearance_mm: float, shell: Shell | None = None) -> FreeGrid:
        """Free cells of the bay in a frame."""
        return free_grid(self.bay, shell or self.shell, pose, clearance_mm, self.step_mm, inner=not self.outer)

    def insides(self, grid: FreeGrid, shell: Shell, clearance_mm: float, least_mm: Vec3) -> list[Extent]:
        """Largest insides of a box with the given shell."""
        listed = insides_of(grid, shell, least_mm)
        if self.outer:
            listed = clipped(listed, _within_bay(self.bay, shell, grid.frame, clearance_mm), least_mm)
        return listed if self.within is None else clipped(listed, insides_within(self.within, shell), least_mm)


def clipped(insides: list[Extent], bounds: Extent, least_mm: Vec3) -> list[Extent]:
    """What of some insides lies within bounds, where that is worth having."""
    cut = [_common(extent, bounds) for extent in insides]
    return [e for e in cut if all(s >= m - 1e-3 for s, m in zip(e.size_mm, least_mm, strict=True))]


def insides_within(limit: Extent, shell: Shell) -> Extent:
    """Bounds of any inside whose box lies within a limit (both in the pack's frame)."""
    outermost = shell.outermost(Extent((0.0, 0.0, 0.0), (0.0, 0.0, 0.0)))
    low, high = np.subtract(limit.min_mm, outermost.min_mm), np.subtract(limit.max_mm, outermost.max_mm)
    return Extent(vec3(low), vec3(high))


def _within_bay(bay: Bay, shell: Shell, pose: Pose, clearance_mm: float) -> Extent:
    """Bounds of any inside whose box lies in the bay's bounds, less the clearance, as seen in the pack's frame."""
    corners = pose.inverse_point(bay.extent.grown(-clearance_mm).corners())
    limit = Extent(vec3(corners.min(axis=0)), vec3(corners.max(axis=0)))
    return insides_within(limit, shell).grown(1e-5)


def _common(one: Extent, other: Extent) -> Extent:
    """What two boxes have in common; an edge is negative where they have nothing."""
    return Extent(vec3(np.maximum(one.min_mm, other.min_mm)), vec3(np.minimum(one.max_mm, other.max_mm)))


def bounding_site(ground: Ground, pose: Pose) -> Site:
    """One site that holds every inside that could fit in a frame, by the bay's bounds alone (for bounds only)."""
    return Site(pose, _within_bay(ground.bay, ground.shell, pose, ground.bay.clearance_mm), (), ground.shell)


def sites_in(ground: Ground, pose: Pose) -> list[Site]:
    """All plain sites of one frame; none contains another one; the largest first."""
    sites = plain_sites(ground, pose)
    for kind, free in hanging(ground, pose):
        sites = largest_only(_with_pocket(sites, kind, free, ground))
    return sites


def plain_sites(ground: Ground, pose: Pose) -> list[Site]:
    """Sites of one frame with nothing hung on their faces."""
    clearance = ground.bay.clearance_mm
    limits = ground.insides(ground.grid(pose, clearance), ground.shell, clearance, ground.least_mm)
    return [Site(pose, limit, (), ground.shell) for limit in limits]


def hanging(ground: Ground, pose: Pose) -> Iterator[tuple[Equipment, list[Extent]]]:
    """What the job hangs on faces of the box, each piece with the free spaces that it may lie in."""
    kinds = [kind for kind in ground.job.equipment if kind.where in FACES]
    if kinds:
        grid = ground.grid(pose, ground.bay.clearance_mm)
        for kind in kinds:
            yield kind, _free_pockets(ground, grid, kind)


def _free_pockets(ground: Ground, grid: FreeGrid, kind: Equipment) -> list[Extent]:
    """Where a piece that hangs on a face may lie: as a box without walls.

    When building it keeps off the mount points' columns as far as the box does; for bounds only off the columns themselves.
    """
    least = vec3([min(size[a] for size, _ in ways_to_hang(kind)) for a in range(3)])
    clearance, naked = max(ground.bay.clearance_mm, kind.clearance_mm), bare(ground.shell)
    if clearance > ground.bay.clearance_mm:
        room = 0.0 if ground.outer else naked.mount_room_mm
        grid = ground.grid(grid.frame, clearance, replace(naked, mount_room_mm=room))
    elif ground.outer:
        grid = replace(grid, body=grid.slab)  # the slab's cells are those off the columns themselves
    if ground.outer:
        naked = replace(naked, flange_below_mm=least[2])  # whatever its height, it claims this much below its top
    return ground.insides(grid, naked, clearance, least)


def _with_pocket(sites: list[Site], kind: Equipment, free: list[Extent], ground: Ground) -> list[Site]:
    """Every site with every way to hang a piece that leaves an inside worth having."""
    out: list[Site] = []
    if not sites:
        return out
    low, high = np.array([s.limit.min_mm for s in sites]), np.array([s.limit.max_mm for s in sites])
    for pocket in pockets_of(kind, free, ground.shell):
        for at, a, b in zip(*cut_for(low, high, pocket, ground.shell, ground.least_mm), strict=True):
            out.append(replace(sites[at], limit=Extent(vec3(a), vec3(b)), pockets=(*sites[at].pockets, pocket)))
    return out


def pockets_of(kind: Equipment, free: list[Extent], shell: Shell) -> Iterator[Pocket]:
    """Every way to hang a piece in every free space that is large enough."""
    for (size, axes), extent in product(ways_to_hang(kind), free):
        if all(e >= s - 1e-9 for e, s in zip(extent.size_mm, size, strict=True)):
            yield Pocket(kind, FACES[kind.where], size, axes, extent, shell)


def cut_for(
    low_mm: Array, high_mm: Array, pocket: Pocket, shell: Shell, least_mm: Vec3
) -> tuple[NDArray[np.int64], Array, Array]:
    """Limits of insides (n, 3) drawn in so that the piece has its place outside the wall; numbers and limits of those left."""
    axis, plus = "xyz".index(pocket.face[1]), pocket.face[0] == "+"
    low, high = low_mm.copy(), high_mm.copy()
    free_low, free_high = pocket.limit.min_mm, pocket.limit.max_mm
    need = pocket.stand_off_mm + pocket.size_mm[axis]
    if plus:
        high[:, axis] = np.minimum(high[:, axis], free_high[axis] - need)
        # the near end of the free pocket must reach back to the wall's range
        reached = free_low[axis] <= high[:, axis] + pocket.stand_off_mm + 1e-9
    else:
        low[:, axis] = np.maximum(low[:, axis], free_low[axis] + need)
        reached = free_high[axis] >= low[:, axis] - pocket.stand_off_mm - 1e-9
    ok = reached & (high[:, axis] > low[:, axis]) & (high - low >= np.array(least_mm) - 1e-9).all(axis=1)
    for a in range(3):
        if a != axis:
            top = high[:, a] - (below_flange_mm(shell) if a == 2 else 0.0)
            ok &= np.minimum(top, free_high[a]) - np.maximum(low[:, a], free_low[a]) >= pocket.size_mm[a] - 1e-9
    left = np.flatnonzero(ok)
    return left, low[left], high[left]


def largest_only(sites: list[Site]) -> list[Site]:
    """Without sites whose inside lies within that of another one, whatever hangs where. Largest first."""
    ranked = sorted(sites, key=lambda s: (-s.limit.volume_mm3, s.limit.min_mm, s.limit.max_mm))
    low, high = np.array([s.limit.min_mm for s in ranked]), np.array([s.limit.max_mm for s in ranked])
    kept: list[int] = []
    for k in range(len(ranked)):
        covered = (low[kept] <= low[k] + 1e-9).all(axis=1) & (high[kept] >= high[k] - 1e-9).all(axis=1)
        if not covered.any():
            kept.append(k)
    return [ranked[k] for k in kept]
