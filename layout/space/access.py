"""Can covers and terminals be reached with the box in its place?

A hand is taken as a cube of the job's hand width. A cover is reached where such a cube has room before it and a way, by
straight moves without turning, from there out of the bay through one of its open sides. Terminals are reached from above
with the lid off: what matters is whether other modules lie over the clear zone before them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from layout.arrangement import Arrangement, PlacedEquipment, PlacedModule
from layout.box.shell import Shell
from layout.frames import DIRECTIONS, Extent, Pose, vec3
from layout.job.model import Job
from layout.space.grid import surely_free
from layout.space.judge_arrangement import body_obstacle, zone_of
from layout.space.lines import grid_lines
from layout.space.model import Bay
from layout.space.offsets import joined, lattice_of, offset_axes
from layout.space.opened import opened, outermost
from layout.space.removal import meets

STEP_MM = 20.0
OFF_MM = 0.01
"""The hand's cube stands off the cover by this."""


@dataclass(frozen=True)
class Access:
    """Whether one thing can be reached, from which side, and what to know about it. under: what lies over it and comes out."""

    name: str
    side: str
    possible: bool
    note: str
    under: tuple[str, ...] = ()


def service_access(job: Job, arrangement: Arrangement, bay: Bay, shell: Shell) -> tuple[Access, ...]:
    """Access to every piece of equipment that names service sides, and to every module's terminals.

    For equipment one of its service sides is enough; the first one that can be reached is named.
    """
    served = [e for e in arrangement.equipment if e.kind.service_from]
    found = []
    if served:
        reach = _Reach(job, arrangement, bay, shell)
        found = [_cover(reach, piece) for piece in served]
    return (*found, *(_terminals(arrangement, shell, m) for m in arrangement.modules))


class _Reach:
    """Free cells of the bay, opened, with the box and what hangs on it in place: where a hand can go."""

    def __init__(self, job: Job, arrangement: Arrangement, bay: Bay, shell: Shell) -> None:
        self.bay, self.frame, self.hand_mm = bay, arrangement.frame, job.pack.hand_width_mm
        self.sides = tuple(dict.fromkeys(job.bay.insert_from))
        self.body, self.slab = shell.body(arrangement.inside), shell.slab(arrangement.inside)
        outside = [(e.kind.name, e.extent) for e in arrangement.equipment if e.outside]
        solid = [body_obstacle(n, e, self.frame) for n, e in (*shell.pieces(arrangement.inside), *outside)]
        space = opened(bay, self.sides)
        space = replace(space, keep_outs=(*space.keep_outs, *solid))
        self.lines = grid_lines(space, self.frame, 0.0, STEP_MM, 0.0)
        self.free = surely_free(space, self.frame, self.lines, 0.0)

    def cube(self, piece: PlacedEquipment, side: str) -> Extent:
        """A hand's cube before the piece on one side of the box (before the piece itself where it hangs outside)."""
        out, middle = np.array(DIRECTIONS[side]), np.array(piece.extent.centre_mm)
        axis, half = int(np.argmax(np.abs(out))), self.hand_mm / 2.0
        face = piece.extent if piece.outside else (self.slab if side == "+z" else self.body)
        level = face.max_mm[axis] if out[axis] > 0 else face.min_mm[axis]
        middle[axis] = level + out[axis] * (half + OFF_MM)
        return Extent(vec3(middle - half), vec3(middle + half))

    def way_out(self, cube: Extent) -> tuple[bool, bool]:
        """Whether the cube has room where it is, and whether it can leave the bay."""
        lattice = lattice_of(self.free, self.lines, [cube], offset_axes(self.lines, [cube], STEP_MM))
        if not lattice.free[lattice.start]:
            return False, False
        goals = np.zeros(lattice.free.shape, dtype=bool)
        for side in self.sides:
            out = np.array(DIRECTIONS[side])
            x, y, z = (a * c for a, c in zip(lattice.axes, self.frame.inverse_vector(out), strict=True))
            rear = float((self.frame.point(cube.corners()) @ out).min())
            goals |= x[:, None, None] + y[None, :, None] + z[None, None, :] + rear >= outermost(self.bay, side)
        start = int(np.ravel_multi_index(lattice.start, lattice.free.shape))
        return True, joined(lattice, start, goals & lattice.free)


def _sides_of(piece: PlacedEquipment) -> tuple[str, ...]:
    """Sides to try: the wall it stands at first where the job allows it; a cover inside lies at that wall or in the lid."""
    allowed = piece.kind.service_from
    if not piece.outside and piece.face:
        return tuple(s for s in allowed if s in (piece.face, "+z"))
    return allowed


def _cover(reach: _Reach, piece: PlacedEquipment) -> Access:
    hand = f"{reach.hand_mm:.0f} mm"
    tried = _sides_of(piece)
    said = []
    for side in tried:
        room, out = reach.way_out(reach.cube(piece, side))
        if room and out:
            return Access(piece.kind.name, side, True, f"a hand's width ({hand}) from {side} out of the bay")
        lack = "no way out of the bay for" if room else "no room for"
        said.append(f"{side}: {lack} a hand's width ({hand}) before it")
    side = tried[0] if tried else piece.kind.service_from[0]
    return Access(piece.kind.name, side, False, "; ".join(said) or "it does not stand at a side it is served from")


def _terminals(arrangement: Arrangement, shell: Shell, module: PlacedModule) -> Access:
    zone = zone_of(module) or module.own_extent
    seen = zone.seen_from(Pose(module.pose.origin_mm, module.pose.axes))
    top = arrangement.inside.max_mm[2] + shell.flange_above_mm
    shaft = Extent(vec3(np.array(seen.min_mm) + 1e-6), (seen.max_mm[0] - 1e-6, seen.max_mm[1] - 1e-6, top))
    others = [(m.id, m.extent) for m in arrangement.modules if m is not module]
    others += [(e.kind.name, e.extent) for e in arrangement.equipment if not e.outside]
    over = tuple(name for name, body in others if meets(shaft, body))
    width, depth = sorted((seen.size_mm[0], seen.size_mm[1]), reverse=True)
    name = f"terminals of {module.id}"
    if over:
        return Access(name, "+z", False, f"under {', '.join(over)}: reached once that is out", over)
    return Access(name, "+z", True, f"from above with the lid off, {width:.0f} x {depth:.0f} mm clear")
