"""The judge of fit for a whole arrangement: modules among themselves, in the box, and the box in the bay."""

from __future__ import annotations

from collections import Counter
from itertools import combinations

import numpy as np

from layout.arrangement import Arrangement, PlacedModule
from layout.box.between import room_between_mm
from layout.box.shell import Shell
from layout.frames import DIRECTIONS, Array, Extent, Pose, vec3
from layout.job.model import Job
from layout.space.judge import TOLERANCE_MM, Violation, distance_to, drawn_in, inside_free_space
from layout.space.model import Bay, Column
from layout.space.obstacle import Obstacle
from layout.space.round_bar import Bar
from layout.space.solids import box_triangles
from layout.stepped import parts_of


def judge_arrangement(job: Job, bay: Bay, arrangement: Arrangement, shell: Shell) -> list[Violation]:
    """Everything wrong with an arrangement; [] where it holds.

    Judged: modules are of the job's types, right size, right-handed, an allowed face up, no more than there are; in the
    room the liner leaves; no nearer to each other than the greater of both gaps (between modules only: the liner may be
    touched); terminal zones clear of other modules and within the room (zones may overlap each other); the shell's pieces
    keep the bay's clearance and stay out of the mount points' columns.
    """
    return [
        *_kinds(job, arrangement),
        *_poses(arrangement),
        *_in_the_room(arrangement, shell),
        *_apart(arrangement, room_between_mm(job.box)),
        *_zones_clear(arrangement),
        *_shell_fits(bay, arrangement, shell),
    ]


def _rule(what: str, rule: str, got: float, want: float, module: PlacedModule | None = None) -> Violation:
    place = module.pose.origin_mm if module else (0.0, 0.0, 0.0)
    return Violation(what, rule, got, want, place)


def _kinds(job: Job, arrangement: Arrangement) -> list[Violation]:
    known = {m.name: m for m in job.modules}
    found = []
    for module in arrangement.modules:
        if known.get(module.kind.name) != module.kind:
            found.append(_rule(module.id, f"module type {module.kind.name!r}, which is not the job's", 0.0, 0.0, module))
    counts = Counter(m.kind.name for m in arrangement.modules)
    for name, number in counts.items():
        if name in known and number > known[name].available:
            found.append(_rule(f"{number} of {name}", "the number available", known[name].available, number))
    if len({m.id for m in arrangement.modules}) < len(arrangement.modules):
        found.append(_rule("modules", "names, of which two are the same", 0.0, 0.0))
    return found


def _poses(arrangement: Arrangement) -> list[Violation]:
    found = []
    for module in arrangement.modules:
        rotation = module.pose.matrix
        off = float(np.abs(rotation.T @ rotation - np.eye(3)).max())
        if off > 1e-9 or np.linalg.det(rotation) < 0.0:
            found.append(_rule(module.id, "a turned body (mirrored or stretched)", off, 0.0, module))
        up = module.pose.vector(DIRECTIONS[module.up])
        if module.up not in module.kind.up or up[2] < 1.0 - 1e-9:
            allowed = ", ".join(module.kind.up)
            found.append(_rule(module.id, f"faces allowed up ({allowed}): {module.up} is stated", 0.0, 0.0, module))
        looks = module.pose.vector(DIRECTIONS[module.kind.terminal_face])
        if module.terminals not in DIRECTIONS or looks @ np.array(DIRECTIONS[module.terminals]) < 1.0 - 1e-9:
            found.append(_rule(module.id, f"its terminal face, said to look to {module.terminals}", 0.0, 0.0, module))
    return found


def _sticks_out(corners: Array, room: Extent) -> float:
    """How far the furthest corner lies outside the room; negative inside.

    A body square to a stepped room lies in it exactly if it lies in one of its two largest boxes.
    """
    outs = [max((np.array(p.min_mm) - corners).max(), (corners - np.array(p.max_mm)).max()) for p in parts_of(room)]
    return float(min(outs))


def _in_the_room(arrangement: Arrangement, shell: Shell) -> list[Violation]:
    room = shell.room(arrangement.inside)
    found = []
    for module in arrangement.modules:
        out = _sticks_out(module.pose.point(module.own_extent.corners()), room)
        if out > TOLERANCE_MM:
            found.append(_rule(module.id, "the room within walls and liner", -out, 0.0, module))
        zone = zone_of(module)
        out = _sticks_out(module.pose.point(zone.corners()), room) if zone else -1.0
        if out > TOLERANCE_MM:
            found.append(_rule(f"terminal zone of {module.id}", "walls and liner", -out, 0.0, module))
    return found


def zone_of(module: PlacedModule) -> Extent | None:
    """The space in front of the terminal face that must stay clear, own axes; None where none is asked for."""
    depth = module.kind.terminal_clearance_mm
    if depth <= 0.0:
        return None
    axis = "xyz".index(module.kind.terminal_face[1])
    low, high = list(module.own_extent.min_mm), list(module.own_extent.max_mm)
    if module.kind.terminal_face[0] == "+":
        low[axis], high[axis] = high[axis], high[axis] + depth
    else:
        low[axis], high[axis] = low[axis] - depth, low[axis]
    return Extent(vec3(low), vec3(high))


def body_obstacle(name: str, body: Extent, pose: Pose) -> Obstacle:
    """A turned box as something to stay clear of."""
    return Obstacle(name, pose.point(box_triangles(body)), solid=True)


def _apart(arrangement: Arrangement, least_mm: float) -> list[Violation]:
    """Nearer than their gaps ask for, or than what is to lie between them is thick."""
    found = []
    for one, other in combinations(arrangement.modules, 2):
        want = max(one.kind.gap_mm, other.kind.gap_mm, least_mm)
        if _far(one.extent, other.extent, want):
            continue
        got = _between(one, other, want + 1.0)
        if got <= 0.0 or got < want:
            found.append(_rule(one.id, other.id, got, want, one))
    return found


def _between(one: PlacedModule, other: PlacedModule, reach_mm: float) -> float:
    """Distance of two modules; where both stand square to the pack, that of two axis-parallel boxes."""
    if _square(one.pose) and _square(other.pose):
        a, b = drawn_in(one.extent, TOLERANCE_MM), other.extent
        gap = np.maximum(np.subtract(a.min_mm, b.max_mm), np.subtract(b.min_mm, a.max_mm))
        return float(np.linalg.norm(np.maximum(gap, 0.0)))
    obstacle = body_obstacle(other.id, other.own_extent, other.pose)
    return distance_to(obstacle, drawn_in(one.own_extent, TOLERANCE_MM), one.pose, reach_mm)[0]


def _square(pose: Pose) -> bool:
    """Whether a pose's axes are those of the pack, in some order and sense, to rounding."""
    size = np.abs(pose.matrix)
    return bool((np.minimum(size, np.abs(size - 1.0)) < 1e-12).all() and np.allclose(size.sum(axis=0), 1.0))


def _far(one: Extent, other: Extent, by_mm: float) -> bool:
    gap = np.maximum(np.subtract(one.min_mm, other.max_mm), np.subtract(other.min_mm, one.max_mm))
    return bool(gap.max() > by_mm)


def _zones_clear(arrangement: Arrangement) -> list[Violation]:
    found = []
    for module in arrangement.modules:
        zone = zone_of(module)
        if zone is None:
            continue
        judged, around = drawn_in(zone, TOLERANCE_MM), zone.seen_from(module.pose)
        for other in arrangement.modules:
            if other is module or _far(around, other.extent, 0.0):
                continue
            got, _ = distance_to(body_obstacle(other.id, other.own_extent, other.pose), judged, module.pose, 1.0)
            if got <= 0.0:
                found.append(_rule(f"terminal zone of {module.id}", other.id, 0.0, 0.0, module))
    return found


def _shell_fits(bay: Bay, arrangement: Arrangement, shell: Shell) -> list[Violation]:
    if min(arrangement.inside.size_mm) <= 0.0:
        return [_rule("inside of the box", "a size above 0", min(arrangement.inside.size_mm), 0.0)]
    found = []
    bodies = shell.bodies(arrangement.inside)
    for name, piece in shell.pieces(arrangement.inside):
        found += inside_free_space(bay, piece, arrangement.frame, bay.clearance_mm, name)
        room = shell.mount_room_mm if piece in bodies else 0.0
        for column in bay.columns:
            found += column_clear(column, room, piece, arrangement.frame, name)
    return found


def column_clear(column: Column, room_mm: float, body: Extent, pose: Pose, what: str) -> list[Violation]:
    """Whether a body stays out of a mount point's column, widened to a radius of room_mm where that is more."""
    bar = column.bar(room_mm)
    obstacle = Obstacle(column.name, np.zeros((0, 3, 3)), bar=bar)
    got, _ = distance_to(obstacle, drawn_in(body, TOLERANCE_MM), pose, 1.0)
    if got > 0.0:
        return []
    axis = Obstacle(column.name, np.zeros((0, 3, 3)), bar=Bar(bar.start_mm, bar.end_mm, 0.0))
    reach, _ = distance_to(axis, body, pose, bar.radius_mm + 1.0)
    return [Violation(what, f"the axis of mount point {column.name}", reach, bar.radius_mm, column.at_mm)]
