"""Solids from plates, folded plates, blocks and fasteners: plane faces drawn out, bends as drawn-out sectors.

No boolean cuts but for the blind holes in the ends of bars.

Every solid lies in its part's own frame (layout.design.parts); `located` places it by a pose. Lengths in mm.
"""

from __future__ import annotations

import math

from OCP.BRep import BRep_Builder
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
from OCP.BRepBuilderAPI import (
    BRepBuilderAPI_MakeEdge,
    BRepBuilderAPI_MakeFace,
    BRepBuilderAPI_MakeVertex,
    BRepBuilderAPI_Sewing,
)
from OCP.BRepFilletAPI import BRepFilletAPI_MakeChamfer
from OCP.BRepLib import BRepLib
from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeCylinder, BRepPrimAPI_MakePrism
from OCP.gp import gp_Ax2, gp_Circ, gp_Dir, gp_Pln, gp_Pnt, gp_Trsf, gp_Vec
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_SHELL, TopAbs_SOLID
from OCP.TopExp import TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS, TopoDS_Edge, TopoDS_Face, TopoDS_Shape, TopoDS_Solid, TopoDS_Wire

from layout.design.bevels import wedges
from layout.design.flat import BendFrame, base_edge, bend_frames, flat_poses, profile_of
from layout.design.geometry import arc_of, edges, require_valid, slot_loop
from layout.design.moments import loop_moments
from layout.design.parts import FoldedPlate, Part, Plate
from layout.design.profile import Hole, Loop, Profile
from layout.errors import DesignError
from layout.frames import Extent, Pose

_UP = gp_Dir(0.0, 0.0, 1.0)
_DOWN = gp_Dir(0.0, 0.0, -1.0)
_SEW_MM = 1e-5


def solid_of(part: Part) -> TopoDS_Solid:
    """The solid of a part in its own frame. Raises DesignError where the profile cannot be cut or the fold cannot be closed."""
    if isinstance(part, Plate | FoldedPlate) and not part.thickness_mm > 0.0:
        raise DesignError(part.number, "its thickness must be positive", f"{part.thickness_mm:g} mm", "State the sheet.")
    if isinstance(part, Plate):
        require_valid(part.profile, part.number)
        return drilled(_bevelled(plate_solid(part.profile, part.thickness_mm), part), part)
    if isinstance(part, FoldedPlate):
        return folded_solid(part)
    if not min(part.extent.size_mm) > 0.0:
        size = " x ".join(f"{v:g}" for v in part.extent.size_mm)
        raise DesignError(part.number, "a body must have a size in every direction", f"{size} mm", "Correct its size.")
    return block_solid(part.extent)


def drilled(solid: TopoDS_Solid, part: Plate) -> TopoDS_Solid:
    """The plate with the holes in its edges cut out as cylinders. Raises DesignError where what is left is not one body."""
    for hole in part.tapped:
        axis = gp_Ax2(gp_Pnt(*hole.at_mm), gp_Dir(*hole.axis))
        cut = BRepAlgoAPI_Cut(solid, BRepPrimAPI_MakeCylinder(axis, hole.drill_mm / 2.0, hole.depth_mm).Shape())
        found = TopExp_Explorer(cut.Shape(), TopAbs_SOLID)
        if not found.More():
            raise DesignError(part.number, "nothing is left of it", f"hole {hole.name}", "Use a thicker bar.")
        solid = TopoDS.Solid_s(found.Current())
    return solid


def location(pose: Pose) -> TopLoc_Location:
    """The kernel's form of a pose."""
    if pose == Pose():
        return TopLoc_Location()
    (xx, xy, xz), (yx, yy, yz), (zx, zy, zz) = pose.axes
    ox, oy, oz = pose.origin_mm
    trsf = gp_Trsf()
    trsf.SetValues(xx, yx, zx, ox, xy, yy, zy, oy, xz, yz, zz, oz)
    return TopLoc_Location(trsf)


def located(shape: TopoDS_Shape, pose: Pose) -> TopoDS_Shape:
    """The same body (shared, not copied) at a pose."""
    return shape.Moved(location(pose))


def placed(part: Part) -> TopoDS_Shape:
    """The solid of a part where its pose puts it."""
    return located(solid_of(part), part.pose)


def loop_edges(loop: Loop, z_mm: float = 0.0) -> list[TopoDS_Edge]:
    """One kernel edge per outline edge, in the plane z = z_mm, neighbours sharing their vertex."""
    corners = [BRepBuilderAPI_MakeVertex(gp_Pnt(x, y, z_mm)).Vertex() for x, y, _ in loop]
    made = []
    for i, (a, b) in enumerate(edges(loop)):
        start, end = corners[i], corners[(i + 1) % len(corners)]
        arc = arc_of(a, b)
        if arc is None:
            made.append(BRepBuilderAPI_MakeEdge(start, end).Edge())
        else:
            centre = gp_Pnt(arc.centre_mm[0], arc.centre_mm[1], z_mm)
            circle = gp_Circ(gp_Ax2(centre, _UP if arc.sweep_rad > 0.0 else _DOWN), arc.radius_mm)
            made.append(BRepBuilderAPI_MakeEdge(circle, start, end).Edge())
    return made


def wire(parts: list[TopoDS_Edge]) -> TopoDS_Wire:
    """A closed wire from edges in order that share their vertices. The edges stay the very same ones."""
    made, builder = TopoDS_Wire(), BRep_Builder()
    builder.MakeWire(made)
    for edge in parts:
        builder.Add(made, edge)
    made.Closed(True)
    return made


def hole_wire(hole: Hole, z_mm: float = 0.0) -> TopoDS_Wire:
    """Anticlockwise wire of a round hole or slot."""
    if hole.slot_mm > 0.0:
        return wire(loop_edges(slot_loop(hole), z_mm))
    circle = gp_Circ(gp_Ax2(gp_Pnt(*hole.centre_mm, z_mm), _UP), hole.diameter_mm / 2.0)
    return wire([BRepBuilderAPI_MakeEdge(circle).Edge()])


def face_of(profile: Profile, outline: list[TopoDS_Edge] | None = None, z_mm: float = 0.0) -> TopoDS_Face:
    """Plane face of a profile, its normal along +z. outline: the outline's edges where they are made already."""
    outer = wire(outline if outline is not None else loop_edges(profile.outline, z_mm))
    maker = BRepBuilderAPI_MakeFace(gp_Pln(gp_Pnt(0.0, 0.0, z_mm), _UP), outer)
    for hole in profile.holes:
        maker.Add(TopoDS.Wire_s(hole_wire(hole, z_mm).Reversed()))
    for cutout in profile.cutouts:
        inner = wire(loop_edges(cutout, z_mm))
        maker.Add(TopoDS.Wire_s(inner.Reversed()) if loop_moments(cutout).area_mm2 > 0.0 else inner)
    return maker.Face()


def plate_solid(profile: Profile, thickness_mm: float, z_mm: float = 0.0) -> TopoDS_Solid:
    """The profile drawn out from z = z_mm by the thickness."""
    return TopoDS.Solid_s(BRepPrimAPI_MakePrism(face_of(profile, z_mm=z_mm), gp_Vec(0.0, 0.0, thickness_mm)).Shape())


def _bevelled(solid: TopoDS_Solid, part: Plate) -> TopoDS_Solid:
    """The plate with its bevels cut off by the kernel."""
    off = wedges(part)
    if not off:
        return solid
    maker = BRepFilletAPI_MakeChamfer(solid)
    for wedge in off:
        (ax, ay), (bx, by) = wedge.start_mm, wedge.end_mm
        maker.Add(wedge.leg_mm, _edge_at(solid, ((ax + bx) / 2.0, (ay + by) / 2.0, 0.0)))
    return TopoDS.Solid_s(TopExp_Explorer(maker.Shape(), TopAbs_SOLID).Current())


def _edge_at(solid: TopoDS_Solid, middle: tuple[float, float, float]) -> TopoDS_Edge:
    """The straight edge whose middle lies at a point."""
    explorer = TopExp_Explorer(solid, TopAbs_EDGE)
    while explorer.More():
        edge = TopoDS.Edge_s(explorer.Current())
        curve = BRepAdaptor_Curve(edge)
        point = curve.Value((curve.FirstParameter() + curve.LastParameter()) / 2.0)
        if point.Distance(gp_Pnt(*middle)) < _SEW_MM:
            return edge
        explorer.Next()
    msg = f"no edge has its middle at {middle}"
    raise ValueError(msg)


def block_solid(extent: Extent) -> TopoDS_Solid:
    """An axis-parallel box."""
    return BRepPrimAPI_MakeBox(gp_Pnt(*extent.min_mm), gp_Pnt(*extent.max_mm)).Solid()


def faces_of(shape: TopoDS_Shape) -> list[TopoDS_Face]:
    """All faces, in the kernel's order."""
    found, explorer = [], TopExp_Explorer(shape, TopAbs_FACE)
    while explorer.More():
        found.append(TopoDS.Face_s(explorer.Current()))
        explorer.Next()
    return found


def sewn(faces: list[TopoDS_Face], part: str) -> TopoDS_Solid:
    """One solid from faces that close on one another. Raises DesignError, naming the part, where they do not."""
    sewing = BRepBuilderAPI_Sewing(_SEW_MM)
    for face in faces:
        sewing.Add(face)
    sewing.Perform()
    shells, explorer = [], TopExp_Explorer(sewing.SewedShape(), TopAbs_SHELL)
    while explorer.More():
        shells.append(TopoDS.Shell_s(explorer.Current()))
        explorer.Next()
    if len(shells) != 1 or sewing.NbFreeEdges() or sewing.NbMultipleEdges():
        open_edges, crowded = sewing.NbFreeEdges(), sewing.NbMultipleEdges()
        figure = f"{len(shells)} shells, {open_edges} open edges, {crowded} edges shared by more than two faces"
        remedy = "Check that flanges meet their bends and nothing else."
        raise DesignError(part, "its faces do not close to one body", figure, remedy)
    solid, builder = TopoDS_Solid(), BRep_Builder()
    builder.MakeSolid(solid)
    builder.Add(solid, shells[0])
    BRepLib.OrientClosedSolid_s(solid)
    return solid


def folded_solid(part: FoldedPlate) -> TopoDS_Solid:
    """One solid of a folded part.

    Each flat and each bend drawn out without the faces where they meet, sewn on the common edges.
    """
    poses, frames = flat_poses(part), bend_frames(part)
    faces: list[TopoDS_Face] = []
    for index, pose in enumerate(poses):
        profile = profile_of(part, index)
        require_valid(profile, f"{part.number} flat {index}")
        bent = {f.bend.edge for f in part.flanges if f.parent == index}
        if index:
            bent.add(base_edge(part, index, frames[index - 1].length_mm))
        faces += [TopoDS.Face_s(located(f, pose)) for f in _flat_faces(profile, part.thickness_mm, bent)]
    for frame in frames:
        faces += [TopoDS.Face_s(located(f, frame.pose)) for f in _bend_faces(frame)]
    return sewn(faces, part.number)


def _flat_faces(profile: Profile, thickness_mm: float, open_edges: set[int]) -> list[TopoDS_Face]:
    """Faces of a drawn-out flat without the walls over the given outline edges."""
    outline = loop_edges(profile.outline)
    prism = BRepPrimAPI_MakePrism(face_of(profile, outline), gp_Vec(0.0, 0.0, thickness_mm))
    walls = [prism.Generated(outline[i]).First() for i in open_edges]
    return [f for f in faces_of(prism.Shape()) if not any(f.IsSame(w) for w in walls)]


def bend_loop(frame: BendFrame) -> Loop:
    """Section of a bend as an anticlockwise loop in its frame's (y, z) plane; its first edge or edges run along the arcs."""
    a, c = frame.angle_rad, frame.centre_z_mm
    inner, outer = frame.inside_radius_mm, frame.inside_radius_mm + frame.thickness_mm
    side = -1.0 if a > 0.0 else 1.0
    s, k, bulge = math.sin(abs(a)), math.cos(a), math.tan(abs(a) / 4.0)

    def at(rho: float) -> tuple[tuple[float, float], tuple[float, float]]:
        return (0.0, c + side * rho), (rho * s, c + side * rho * k)

    (o1, o2), (i1, i2) = at(outer), at(inner)
    far = ((*o1, bulge), (*o2, 0.0)) if a > 0.0 else ((*o2, bulge), (*o1, 0.0))
    if inner <= 0.0:
        return (*far, (*i1, 0.0))
    near = ((*i2, -bulge), (*i1, 0.0)) if a > 0.0 else ((*i1, -bulge), (*i2, 0.0))
    return (*far, *near)


def _bend_faces(frame: BendFrame) -> list[TopoDS_Face]:
    """Faces of a drawn-out bend without the two plane ones where flats join: arcs' walls and the two ends."""
    loop = bend_loop(frame)
    outline = loop_edges(loop)
    prism = BRepPrimAPI_MakePrism(face_of(Profile(loop), outline), gp_Vec(0.0, 0.0, frame.length_mm))
    walls = [prism.Generated(outline[i]).First() for i, v in enumerate(loop) if v[2] == 0.0]
    turn = Pose(axes=((0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0)))  # (u, v, w) = (y, z, x)
    kept = [f for f in faces_of(prism.Shape()) if not any(f.IsSame(w) for w in walls)]
    return [TopoDS.Face_s(located(f, turn)) for f in kept]
