"""Solids of bolts, washers and nuts: the simple bodies that layout.design.hardware defines, no threads."""

from __future__ import annotations

import math

from OCP.TopoDS import TopoDS_Solid

from layout.design.hardware import Piece, Turned
from layout.design.profile import Hole, Loop, Profile
from shapes.build import face_of, faces_of, plate_solid, sewn


def piece_solid(piece: Piece) -> TopoDS_Solid:
    """The solid of one loose body, in its own frame (z along the bolt's axis)."""
    if len(piece.sections) == 1:
        section = piece.sections[0]
        return plate_solid(_profile(section), section.high_mm - section.low_mm, section.low_mm)
    head, shank = piece.sections
    step = Profile(_outline(head), (Hole("shank", (0.0, 0.0), shank.across_mm),))
    faces = [face_of(step, z_mm=head.high_mm)]
    for section, open_z in ((head, head.high_mm), (shank, shank.low_mm)):
        body = plate_solid(_profile(section), section.high_mm - section.low_mm, section.low_mm)
        faces += [f for f in faces_of(body) if not _is_flat_at(f, open_z)]
    return sewn(faces, piece.name)


def _outline(section: Turned) -> Loop:
    r = section.across_mm / 2.0
    if section.form == "disc":
        return ((r, 0.0, 1.0), (-r, 0.0, 1.0))
    corner = r / math.cos(math.pi / 6.0)
    angles = [math.radians(60.0 * i) for i in range(6)]
    return tuple((corner * math.cos(a), corner * math.sin(a), 0.0) for a in angles)


def _profile(section: Turned) -> Profile:
    bore = (Hole("bore", (0.0, 0.0), section.bore_mm),) if section.bore_mm > 0.0 else ()
    return Profile(_outline(section), bore)


def _is_flat_at(face: object, z_mm: float) -> bool:
    from OCP.Bnd import Bnd_Box
    from OCP.BRepBndLib import BRepBndLib

    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(face, box, False, False)
    _, _, low, _, _, high = box.Get()
    return abs(low - z_mm) < 1e-6 and abs(high - z_mm) < 1e-6
