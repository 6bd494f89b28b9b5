"""What the finished solids really are: volume, centroid, extents, validity, and what two of them share."""

from __future__ import annotations

import math
from dataclasses import dataclass

from OCP.Bnd import Bnd_Box
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepExtrema import BRepExtrema_DistShapeShape
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_SOLID
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS_Shape

from layout.frames import Axes, Extent, Vec3, vec3


@dataclass(frozen=True)
class Solidity:
    """Volume, centroid and second moments of a solid, as the kernel integrates them.

    inertia_mm5: integral of (r.r) E - r r^T about the centroid, unit density.
    """

    volume_mm3: float
    centroid_mm: Vec3
    inertia_mm5: Axes


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


def shared_volume_mm3(a: TopoDS_Shape, b: TopoDS_Shape) -> float:
    """Volume that two shapes both claim; 0 where their boxes do not overlap."""
    return 0.0 if _box(a).IsOut(_box(b)) else common_volume_mm3(a, b)


def common_volume_mm3(a: TopoDS_Shape, b: TopoDS_Shape) -> float:
    """Volume of the kernel's intersection of two shapes; nan where it cannot be made."""
    common = BRepAlgoAPI_Common(a, b)
    return volume_mm3(common.Shape()) if common.IsDone() else math.nan


def distance_mm(a: TopoDS_Shape, b: TopoDS_Shape) -> float:
    """Least distance between two shapes, 0 where they touch or overlap."""
    return float(BRepExtrema_DistShapeShape(a, b).Value())
