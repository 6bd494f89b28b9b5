"""Parts as closed surfaces, so that their mass can be cut at the axle plane. Vehicle axes."""

from __future__ import annotations

import numpy as np

from layout.balance.bodies import Body, Piece, box_piece, convex_piece, uniform_body
from layout.design import Block, FoldedPlate, Hardware, Part, Plate, Profile
from layout.design.bevels import wedges
from layout.design.flat import bend_frames, flat_poses, profile_of
from layout.design.geometry import loop_points, slot_loop
from layout.design.hardware import pieces
from layout.frames import Array, Extent, Pose

SAG_MM = 0.05
"""Greatest distance of a chord from the arc it stands for."""


def body_of(part: Part | Hardware, frame: Pose) -> Body:
    """Closed surface of a part (arcs as chords, bends as their hull, bolts as boxes round their axis), in vehicle axes."""
    if isinstance(part, Plate):
        found = [_plate(part)]
    elif isinstance(part, FoldedPlate):
        found = _folded(part)
    elif isinstance(part, Hardware):
        found = _fastener(part)
    else:
        found = [_block(part)]
    return uniform_body([p.moved(frame) for p in found])


def _block(part: Block) -> Piece:
    return box_piece(part.extent, part.pose)


def _plate(part: Plate) -> Piece:
    """A prism, and the wedges of its bevels turned inside out, so that they are taken off."""
    whole = _prism(part.profile, part.thickness_mm, part.pose)
    if not part.bevels:
        return whole
    off = [
        _prism(Profile(w.section), w.length_mm, part.pose.then(w.pose)).triangles_mm[:, ::-1] for w in wedges(part)
    ]
    return Piece(np.concatenate([whole.triangles_mm, *off]))


def _prism(profile: Profile, thickness_mm: float, pose: Pose) -> Piece:
    """A profile drawn out along z: fans of signed triangles for the faces, quads for the sides."""
    loops = [_turned(loop_points(profile.outline, SAG_MM), positive=True)]
    loops += [_turned(loop_points(loop, SAG_MM), positive=False) for loop in profile.cutouts]
    loops += [_turned(_hole_points(profile, i), positive=False) for i in range(len(profile.holes))]
    triangles = np.concatenate([_drawn_out(loop, thickness_mm) for loop in loops])
    return Piece(pose.point(triangles))


def _hole_points(profile: Profile, index: int) -> Array:
    hole = profile.holes[index]
    if hole.slot_mm > 0.0:
        return loop_points(slot_loop(hole), SAG_MM)
    angles = np.linspace(0.0, 2.0 * np.pi, 24, endpoint=False)
    r = hole.diameter_mm / 2.0
    return np.array(hole.centre_mm) + r * np.column_stack([np.cos(angles), np.sin(angles)])


def _turned(points: Array, *, positive: bool) -> Array:
    """The loop, anticlockwise where positive, else clockwise."""
    x, y = points[:, 0], points[:, 1]
    area = float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))
    return points if (area > 0.0) == positive else points[::-1]


def _drawn_out(points: Array, height: float) -> Array:
    low = np.column_stack([points, np.zeros(len(points))])
    high = np.column_stack([points, np.full(len(points), height)])
    next_low, next_high = np.roll(low, -1, axis=0), np.roll(high, -1, axis=0)
    sides = np.concatenate([np.stack([low, next_low, next_high], 1), np.stack([low, next_high, high], 1)])
    top = np.stack([np.broadcast_to(high[0], high.shape), high, next_high], 1)
    bottom = np.stack([np.broadcast_to(low[0], low.shape), next_low, low], 1)
    return np.concatenate([sides, top, bottom])


def _folded(part: FoldedPlate) -> list[Piece]:
    flats = [_prism(profile_of(part, i), part.thickness_mm, part.pose.then(p)) for i, p in enumerate(flat_poses(part))]
    bends = []
    for bend in bend_frames(part):
        angles = np.linspace(0.0, abs(bend.angle_rad), 6)
        side = -1.0 if bend.angle_rad > 0.0 else 1.0
        rings = [
            (x, rho * np.sin(a), bend.centre_z_mm + side * rho * np.cos(a))
            for rho in (bend.inside_radius_mm, bend.inside_radius_mm + part.thickness_mm)
            for a in angles
            for x in (0.0, bend.length_mm)
        ]
        bends.append(convex_piece(part.pose.then(bend.pose).point(rings)))
    return flats + bends


def _fastener(part: Hardware) -> list[Piece]:
    found = []
    for piece in pieces(part):
        for s in piece.sections:
            half = 0.5 * float(np.sqrt(s.area().area_mm2))
            found.append(box_piece(Extent((-half, -half, s.low_mm), (half, half, s.high_mm)), piece.pose))
    return found
