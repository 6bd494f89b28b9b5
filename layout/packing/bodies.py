"""What has to be packed: kinds of bodies and the ways each may stand. Pack frame, millimetres."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from layout.box.between import room_between_mm
from layout.box.carrier_room import bodies_room_mm
from layout.frames import DIRECTIONS, Array, Axes, Pose, Vec3, module_axes, vec3
from layout.job.box import Equipment, EquipmentFixing
from layout.job.model import Job
from layout.job.module import ModuleType

SIDES = ("+x", "-x", "+y", "-y")


@dataclass(frozen=True)
class Stand:
    """One way a body may stand.

    up: its own face that points to pack +z; terminals: the pack direction its terminal face looks to ("" for
    equipment); axes: of its own frame in the pack's; size_mm along the pack's axes; zone_mm: depth of the space that must
    stay clear in front of the terminal face (0: none); centroid_mm: centre of mass from the middle of the body, pack axes;
    wall: the direction of the wall it must stand at ("" where it may stand anywhere); fixed: right on that wall's liner,
    where it is screwed. A module's body here includes the room for the bars on its base; module_mm: from the body's middle to
    the module's own.
    """

    up: str
    terminals: str
    axes: Axes
    size_mm: Vec3
    zone_mm: float
    centroid_mm: Vec3
    wall: str = ""
    module_mm: Vec3 = (0.0, 0.0, 0.0)
    fixed: bool = False


@dataclass(frozen=True)
class Body:
    """A kind of thing to pack: most and least say how many of it there may be."""

    name: str
    kind: ModuleType | Equipment
    stands: tuple[Stand, ...]
    gap_mm: float
    mass_kg: float
    least: int
    most: int

    @property
    def is_module(self) -> bool:
        """Whether it counts as a module."""
        return isinstance(self.kind, ModuleType)

    def standing(self, name: str, value: str) -> Body:
        """With only those of a module's stands whose `up` or `terminals` (the name) has the value; equipment as it is."""
        return replace(self, stands=tuple(s for s in self.stands if not self.is_module or getattr(s, name) == value))


def _stand(size: Vec3, up: str, face: str, terminals: str, zone: float, offset: Vec3) -> Stand | None:
    axes = module_axes(up, face, terminals)
    if axes is None:
        return None
    turned = Pose((0.0, 0.0, 0.0), axes)
    extents = vec3(abs(turned.matrix) @ size)
    rounded = vec3([round(value, 9) for value in extents])
    return Stand(up, terminals, axes, rounded, zone, vec3(turned.vector(offset)))


def with_room(stand: Stand, low_mm: Vec3, high_mm: Vec3) -> Stand:
    """The stand of a module with room around it, beyond the lower and the higher end of its own axes.

    What of the room lies in front of the terminal face counts towards its clear zone.
    """
    if not any((*low_mm, *high_mm)):
        return stand
    size, shift = np.array(stand.size_mm), np.zeros(3)
    for axis, low, high in zip(stand.axes, low_mm, high_mm, strict=True):
        size += (low + high) * np.abs(axis)
        shift += (low - high) / 2.0 * np.array(axis)
    zone = stand.zone_mm
    if stand.terminals and zone > 0.0:
        looks = np.array(DIRECTIONS[stand.terminals])
        ahead = [(high if axis @ looks > 0.0 else low) * abs(axis @ looks)
                 for axis, low, high in zip(np.array(stand.axes), low_mm, high_mm, strict=True)]  # fmt: skip
        zone = max(0.0, zone - float(sum(ahead)))
    centroid = np.array(stand.centroid_mm) + shift
    return replace(stand, size_mm=_rounded(size), centroid_mm=vec3(centroid), module_mm=vec3(shift), zone_mm=zone)


def _rounded(size: Array) -> Vec3:
    return vec3([round(float(value), 9) for value in size])


def on_bars(stand: Stand, room_mm: float) -> Stand:
    """The stand of a module with room for bars beyond its base (own -z)."""
    return with_room(stand, (0.0, 0.0, max(room_mm, 0.0)), (0.0, 0.0, 0.0))


def module_stands(
    kind: ModuleType, bars_mm: float = 0.0, room_of: Callable[[str], tuple[Vec3, Vec3] | None] | None = None
) -> tuple[Stand, ...]:
    """All allowed ways up times the turns about z, those that differ in nothing that matters left out.

    Two stands are the same where size, centre of mass and (if it needs a clear zone) the terminals' direction are.
    Stands whose terminals look straight up or down are turned by no more than their sizes tell apart. bars_mm: room for
    the bars on its base; room_of: in its place, by the face that is up, room around it at the lower and higher end of its own
    axes, None for a face with which it cannot be held.
    """
    found: dict[tuple[object, ...], Stand] = {}
    for up in kind.up:
        room = room_of(up) if room_of else ((0.0, 0.0, bars_mm), (0.0, 0.0, 0.0))
        if room is None:
            continue
        for terminals in (*SIDES, "+z", "-z"):
            stand = _stand(kind.size_mm, up, kind.terminal_face, terminals, kind.terminal_clearance_mm, kind.centroid_offset_mm)
            for one in _with_turns(stand):
                wide = with_room(one, *room)
                found.setdefault((wide.size_mm, wide.terminals, wide.centroid_mm), wide)
    return tuple(found.values())


def _with_turns(stand: Stand | None) -> tuple[Stand, ...]:
    if stand is None:
        return ()
    if stand.terminals[1] != "z":
        return (stand,)
    return tuple(turned(stand, quarter) for quarter in range(4))


def turned(stand: Stand, quarters: int) -> Stand:
    """The stand after a number of quarter turns about pack z (x towards y)."""
    c, s = ((1, 0), (0, 1), (-1, 0), (0, -1))[quarters % 4]

    def turn(v: Vec3) -> Vec3:
        return vec3((c * v[0] - s * v[1], s * v[0] + c * v[1], v[2]))

    axes = (turn(stand.axes[0]), turn(stand.axes[1]), turn(stand.axes[2]))
    x, y, z = stand.size_mm
    size = (x, y, z) if quarters % 2 == 0 else (y, x, z)
    return Stand(stand.up, stand.terminals, axes, size, stand.zone_mm, turn(stand.centroid_mm), stand.wall)


def equipment_stands(kind: Equipment) -> tuple[Stand, ...]:
    """Ways a piece in the box may stand: upright as given, long side either way, at each wall it is served from.

    A piece without service_from may stand anywhere. Served from +z or -z means from the lid: it may stand anywhere in plan.
    """
    if kind.fixing is not None:
        return fixed_stands(kind, kind.fixing)
    walls: list[str] = [w for w in kind.service_from if w[1] != "z"] or [""]
    plain = _stand(kind.size_mm, "+z", "+x", "+x", 0.0, (0.0, 0.0, 0.0))
    assert plain is not None
    upright = Stand("+z", "", plain.axes, plain.size_mm, 0.0, (0.0, 0.0, 0.0))
    turns = [upright] if kind.size_mm[0] == kind.size_mm[1] else [upright, turned(upright, 1)]
    return tuple(Stand(t.up, "", t.axes, t.size_mm, 0.0, t.centroid_mm, wall) for wall in walls for t in turns)


def fixed_stands(kind: Equipment, fixing: EquipmentFixing) -> tuple[Stand, ...]:
    """Ways a piece with feet may stand on a wall: at each wall it is served from (else any of the four).

    Its face with the feet looks to the wall; own z stays up, or where the feet are on +z or -z own x lies level or upright.
    """
    walls: list[str] = [w for w in kind.service_from if w[1] != "z"] or list(SIDES)
    ups = ("+x", "+y") if fixing.face[1] == "z" else ("+z",)
    found: dict[tuple[object, ...], Stand] = {}
    for wall in walls:
        for up in ups:
            stand = _stand(kind.size_mm, up, fixing.face, wall, 0.0, kind.centroid_offset_mm)
            if stand is not None:
                made = replace(stand, up="", terminals="", wall=wall, fixed=True)
                found.setdefault((made.size_mm, wall), made)
    return tuple(found.values())


def bodies_of(job: Job) -> tuple[Body, ...]:
    """Everything that goes into the box: module types first, then equipment that is "in box"."""
    wanted = job.pack.count
    total = sum(m.available for m in job.modules)
    most = total if wanted == "max" else wanted
    room = room_between_mm(job.box)
    modules = [
        Body(
            m.name, m, module_stands(m, room_of=partial(bodies_room_mm, job, m)), max(m.gap_mm, room), m.mass_kg, 0,
            min(m.available, most),
        )
        for m in job.modules
    ]
    gap = max(room, *(m.gap_mm for m in job.modules))
    inside = [
        Body(e.name, e, equipment_stands(e), max(gap, e.clearance_mm), e.mass_kg, 1, 1)
        for e in job.equipment
        if e.where == "in box"
    ]
    return (*modules, *inside)


def gap_between(a: Body, b: Body) -> float:
    """Clear distance between two bodies: the greater of what each asks for."""
    return max(a.gap_mm, b.gap_mm)
