"""Solids and surfaces as triangles small enough to send along."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray
from OCP.BRep import BRep_Tool
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.TopAbs import TopAbs_REVERSED
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Shape

from layout.errors import ExportError
from shapes.build import faces_of

Corners = NDArray[np.int32]

STEP_MM = 0.01
"""Coordinates are whole multiples of this, so that the same body gives the same bytes."""

SAG_MM = 0.2
TURN_RAD = 0.35
"""Greatest distance of a chord from its arc, and greatest turn from one chord to the next."""


@dataclass(frozen=True, eq=False)
class Mesh:
    """A closed or open surface. points: (n, 3) in steps of STEP_MM; triangles: (m, 3) places in it, outward anticlockwise."""

    points: Corners
    triangles: Corners

    @property
    def points_mm(self) -> NDArray[np.float64]:
        """Corners in mm, (n, 3)."""
        return np.asarray(self.points * STEP_MM, dtype=np.float64)


def mesh_of_solid(shape: TopoDS_Shape, part: str) -> Mesh:
    """Triangles of a solid in its own frame. Raises ExportError, naming the part, where a face has none."""
    BRepMesh_IncrementalMesh(shape, SAG_MM, False, TURN_RAD, False)
    points, triangles, count = [], [], 0
    for face in faces_of(shape):
        place = TopLoc_Location()
        found = BRep_Tool.Triangulation_s(face, place)
        if found is None:
            raise ExportError(f"{part}: one of its faces could not be divided into triangles for the 3D view")
        trsf = place.Transformation()
        nodes = [found.Node(i + 1).Transformed(trsf) for i in range(found.NbNodes())]
        points += [(p.X(), p.Y(), p.Z()) for p in nodes]
        turned = face.Orientation() == TopAbs_REVERSED
        for i in range(found.NbTriangles()):
            a, b, c = found.Triangle(i + 1).Get()
            triangles.append((a, c, b) if turned else (a, b, c))
            triangles[-1] = tuple(v - 1 + count for v in triangles[-1])
        count += len(nodes)
    return joined(points, triangles)


def mesh_of_triangles(corners_mm: ArrayLike) -> Mesh:
    """A surface given as (m, 3, 3) corners in mm."""
    corners = np.asarray(corners_mm, dtype=float).reshape(-1, 3)
    return joined(corners, np.arange(len(corners)).reshape(-1, 3))


def joined(points_mm: ArrayLike, triangles: ArrayLike) -> Mesh:
    """Equal corners made one; triangles that have no area left dropped. The order depends on the form alone."""
    steps = np.rint(np.asarray(points_mm, dtype=float).reshape(-1, 3) / STEP_MM).astype(np.int32)
    return _welded(steps, np.asarray(triangles, dtype=np.int32).reshape(-1, 3))


def _welded(steps: Corners, triangles: Corners) -> Mesh:
    points, place = np.unique(steps, axis=0, return_inverse=True)
    faces = place.reshape(-1)[triangles].astype(np.int32)
    a, b, c = faces.T
    faces = faces[(a != b) & (b != c) & (c != a)]
    return Mesh(points.astype(np.int32), faces)


def coarsened(mesh: Mesh, most: int) -> Mesh:
    """The mesh with at most `most` triangles: corners of one cell of a grid made one, in cells as small as will do.

    Clustering of corners (Rossignac and Borrel, 1993, from memory). For what surrounds the pack (scans); parts are left whole.
    """
    cell = 50
    found = mesh
    while len(found.triangles) > most:
        snapped = (np.floor_divide(mesh.points, cell) * cell + cell // 2).astype(np.int32)
        found = _welded(snapped, mesh.triangles)
        found = Mesh(found.points, _without_doubles(found.triangles))
        cell *= 2
    return found


def _without_doubles(triangles: Corners) -> Corners:
    _, first = np.unique(np.sort(triangles, axis=1), axis=0, return_index=True)
    kept: Corners = triangles[np.sort(first)]
    return kept
