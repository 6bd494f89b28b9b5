"""Round holes and slots found on finished solids, as the fastener that is to pass them would find them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.GeomAbs import GeomAbs_Cylinder
from OCP.TopAbs import TopAbs_REVERSED
from OCP.TopoDS import TopoDS_Face, TopoDS_Shape

from layout.frames import Array, Pose, Vec3, vec3
from shapes.build import faces_of

_SAME = 1e-6


@dataclass(frozen=True, slots=True)
class FoundHole:
    """A hole found on a solid.

    middle_mm: the middle of a round hole, or of one end's axis of a slot; axis: its direction; diameter_mm, depth_mm.
    to_other_mm: for a slot, the vector from this end's axis to the other end's (zero for a round hole).
    """

    middle_mm: Vec3
    axis: Vec3
    diameter_mm: float
    depth_mm: float
    to_other_mm: Vec3 = (0.0, 0.0, 0.0)

    def seen_from(self, pose: Pose) -> FoundHole:
        """The same hole in the outer frame of `pose`."""
        middle, axis = vec3(pose.point(self.middle_mm)), vec3(pose.vector(self.axis))
        return FoundHole(middle, axis, self.diameter_mm, self.depth_mm, vec3(pose.vector(self.to_other_mm)))

    def offset_mm(self, point_mm: Vec3, axis: Vec3) -> float | None:
        """How far a shank's axis lies off the nearest place that the hole offers; None where it runs another way."""
        own = np.array(self.axis)
        if np.linalg.norm(np.cross(own, axis)) > 1e-3:
            return None
        away = np.array(point_mm) - np.array(self.middle_mm)
        away = away - (away @ own) * own
        along = np.array(self.to_other_mm)
        length2 = float(along @ along)
        share = 0.0 if length2 == 0.0 else min(1.0, max(0.0, float(away @ along) / length2))
        return float(np.linalg.norm(away - share * along))


@dataclass(frozen=True)
class _Wall:
    """A cylinder face with the metal outside it.

    A point on its axis half way down, axis, radius, depth, turn and its middle direction.
    """

    middle: Array
    axis: Array
    radius: float
    depth: float
    turn_rad: float
    towards: Array

    def same_axis(self, other: _Wall) -> bool:
        return bool(
            abs(self.radius - other.radius) < _SAME
            and abs(self.depth - other.depth) < 1e-4
            and np.linalg.norm(self.middle - other.middle) < 1e-4
            and np.linalg.norm(np.cross(self.axis, other.axis)) < _SAME
        )


def holes_of(shape: TopoDS_Shape) -> list[FoundHole]:
    """Every full round hole and every slot with half-round ends, in the frame of the shape."""
    walls = [w for w in map(_wall, faces_of(shape)) if w is not None]
    return _round(walls) + _slots([w for w in walls if abs(w.turn_rad - math.pi) < 1e-4])


def round_holes(shape: TopoDS_Shape) -> list[FoundHole]:
    """Full round holes only."""
    return _round([w for w in map(_wall, faces_of(shape)) if w is not None])


def _wall(face: TopoDS_Face) -> _Wall | None:
    """The face as a hole's wall; None where it is no cylinder or the metal lies inside it.

    A cylinder's normal points outward in a right-handed position; the face's own orientation turns it over.
    """
    surface = BRepAdaptor_Surface(face)
    if surface.GetType() != GeomAbs_Cylinder:
        return None
    position = surface.Cylinder().Position()
    if (face.Orientation() == TopAbs_REVERSED) != position.Direct():
        return None
    p, d, x, y = position.Location(), position.Direction(), position.XDirection(), position.YDirection()
    axis = np.array([d.X(), d.Y(), d.Z()])
    v0, v1 = surface.FirstVParameter(), surface.LastVParameter()
    u0, u1 = surface.FirstUParameter(), surface.LastUParameter()
    u = (u0 + u1) / 2.0
    towards = math.cos(u) * np.array([x.X(), x.Y(), x.Z()]) + math.sin(u) * np.array([y.X(), y.Y(), y.Z()])
    middle = np.array([p.X(), p.Y(), p.Z()]) + axis * (v0 + v1) / 2.0
    lead = axis[int(np.argmax(np.abs(axis) > 1e-9))]
    return _Wall(middle, axis * math.copysign(1.0, lead), surface.Cylinder().Radius(), abs(v1 - v0), u1 - u0, towards)


def _round(walls: list[_Wall]) -> list[FoundHole]:
    groups: list[list[_Wall]] = []
    for wall in walls:
        group = next((g for g in groups if g[0].same_axis(wall)), None)
        if group is None:
            groups.append([wall])
        else:
            group.append(wall)
    full = (g[0] for g in groups if sum(w.turn_rad for w in g) > 2.0 * math.pi - 1e-6)
    return [FoundHole(vec3(w.middle), vec3(w.axis), 2.0 * w.radius, w.depth) for w in full]


def _slots(halves: list[_Wall]) -> list[FoundHole]:
    """Half-round walls that open towards one another, each with its nearest mate."""
    found: list[FoundHole] = []
    free = list(halves)
    while free:
        a = free.pop(0)
        mates = [(float(np.linalg.norm(b.middle - a.middle)), i) for i, b in enumerate(free) if _faces(a, b)]
        if mates:
            b = free.pop(min(mates)[1])
            found.append(FoundHole(vec3(a.middle), vec3(a.axis), 2.0 * a.radius, a.depth, vec3(b.middle - a.middle)))
    return found


def _faces(a: _Wall, b: _Wall) -> bool:
    if abs(a.radius - b.radius) > _SAME or np.linalg.norm(np.cross(a.axis, b.axis)) > _SAME:
        return False
    gap = b.middle - a.middle
    length = float(np.linalg.norm(gap))
    return bool(length > _SAME and a.towards @ gap < -(1.0 - 1e-6) * length and b.towards @ gap > (1.0 - 1e-6) * length)
