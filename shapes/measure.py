"""What the finished solids really are: volume, centroid, extents, holes, validity, and whether two of them share space."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from OCP.Bnd import Bnd_Box
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.BRepGProp import BRepGProp
from OCP.GeomAbs import GeomAbs_Cylinder
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_REVERSED, TopAbs_SOLID
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS_Shape

from layout.frames import Axes, Extent, Vec3, vec3
from shapes.build import faces_of


@dataclass(frozen=True)
class Solidity:
    """Volume, centroid and second moments of a solid, as the kernel integrates them.

    inertia_mm5: integral of (r.r) E - r r^T about the centroid, unit density.
    """

    volume_mm3: float
    centroid_mm: Vec3
    inertia_mm5: Axes


@dataclass(frozen=True, slots=True)
class FoundHole:
    """A cylindrical hole found on a solid: a point on its axis (the middle), the axis' direction, diameter and depth."""

    middle_mm: Vec3
    axis: Vec3
    diameter_mm: float
    depth_mm: float


def solidity(shape: TopoDS_Shape) -> Solidity:
    """Mass properties of a shape, unit density."""
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, props)
    c = props.CentreOfMass()
    m = props.MatrixOfInertia()
    rows = tuple((m.Value(i, 1), m.Value(i, 2), m.Value(i, 3)) for i in (1, 2, 3))
    return Solidity(props.Mass(), (c.X(), c.Y(), c.Z()), (rows[0], rows[1], rows[2]))


def volume_mm3(shape: TopoDS_Shape) -> float:
    """Volume of a shape."""
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, props)
    return float(props.Mass())


def extent(shape: TopoDS_Shape) -> Extent:
    """Least axis-parallel box around a shape, on its exact geometry."""
    box = _box(shape)
    x0, y0, z0, x1, y1, z1 = box.Get()
    return Extent(vec3((x0, y0, z0)), vec3((x1, y1, z1)))


def _box(shape: TopoDS_Shape) -> Bnd_Box:
    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(shape, box, False, False)
    return box


def is_valid(shape: TopoDS_Shape) -> bool:
    """Whether the kernel's own examination finds topology and geometry in order."""
    return bool(BRepCheck_Analyzer(shape).IsValid())


def solid_count(shape: TopoDS_Shape) -> int:
    """Number of solids in a shape, each occurrence counted."""
    count, explorer = 0, TopExp_Explorer(shape, TopAbs_SOLID)
    while explorer.More():
        count += 1
        explorer.Next()
    return count


def round_holes(shape: TopoDS_Shape) -> list[FoundHole]:
    """Full round holes: inward cylinder faces that together go once round an axis. Half-round slot ends are left out."""
    turns: dict[tuple[float, ...], float] = {}
    found: dict[tuple[float, ...], FoundHole] = {}
    for face in faces_of(shape):
        surface = BRepAdaptor_Surface(face)
        if surface.GetType() != GeomAbs_Cylinder or not _inward(face, surface):
            continue
        hole = _hole(surface)
        key = tuple(round(v, 6) for v in (*hole.middle_mm, *hole.axis, hole.diameter_mm))
        turns[key] = turns.get(key, 0.0) + surface.LastUParameter() - surface.FirstUParameter()
        found[key] = hole
    return [hole for key, hole in found.items() if turns[key] > 2.0 * math.pi - 1e-6]


def _inward(face: TopoDS_Shape, surface: BRepAdaptor_Surface) -> bool:
    """Whether the metal lies outside the cylinder.

    A right-handed cylinder's normal points outward unless the face is reversed.
    """
    direct = surface.Cylinder().Position().Direct()
    return bool((face.Orientation() == TopAbs_REVERSED) == direct)


def _hole(surface: BRepAdaptor_Surface) -> FoundHole:
    cylinder = surface.Cylinder()
    p, d = cylinder.Position().Location(), cylinder.Position().Direction()
    axis = np.array([d.X(), d.Y(), d.Z()])
    v0, v1 = surface.FirstVParameter(), surface.LastVParameter()
    middle = np.array([p.X(), p.Y(), p.Z()]) + axis * (v0 + v1) / 2.0
    lead = axis[np.argmax(np.abs(axis) > 1e-9)]
    return FoundHole(vec3(middle), vec3(axis * math.copysign(1.0, lead)), 2.0 * cylinder.Radius(), abs(v1 - v0))


def shared_volume_mm3(a: TopoDS_Shape, b: TopoDS_Shape) -> float:
    """Volume that two shapes both claim; 0 where their boxes do not overlap."""
    if _box(a).IsOut(_box(b)):
        return 0.0
    common = BRepAlgoAPI_Common(a, b)
    return volume_mm3(common.Shape()) if common.IsDone() else math.nan


def distance_mm(a: TopoDS_Shape, b: TopoDS_Shape) -> float:
    """Least distance between two shapes, 0 where they touch or overlap."""
    return float(BRepExtrema_DistShapeShape(a, b).Value())
