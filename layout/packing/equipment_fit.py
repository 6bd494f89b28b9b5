"""Whether the pack's equipment lies where it may: what the judge of fit does not look at. Exact, independent of the search."""

from __future__ import annotations

import numpy as np

from layout.arrangement import Arrangement, PlacedEquipment, PlacedModule
from layout.box.shell import Shell
from layout.frames import Extent, vec3
from layout.packing.slide import WALL_REACH_MM
from layout.space.bay import Bay
from layout.space.judge import TOLERANCE_MM, Violation, inside_free_space
from layout.space.judge_arrangement import column_clear, zone_of
from layout.stepped import parts_of


def gap_mm(one: Extent, other: Extent) -> float:
    """Greatest clear distance along one axis between two axis-parallel boxes; negative where they overlap."""
    return float(np.maximum(np.subtract(one.min_mm, other.max_mm), np.subtract(other.min_mm, one.max_mm)).max())


def equipment_violations(bay: Bay, arrangement: Arrangement, shell: Shell) -> list[Violation]:
    """Everything wrong with the equipment's places; [] where they hold.

    In the box: within the room, clear of modules by the greater gap, out of terminal zones, at its wall. On a face: off
    the box's pieces, over the wall it hangs on, in the bay's free space with the clearance, out of the mount points'
    columns. No two pieces overlap.
    """
    found: list[Violation] = []
    placed = arrangement.equipment
    for piece in placed:
        found += _outside(bay, arrangement, shell, piece) if piece.outside else _inside(arrangement, shell, piece)
    for i, one in enumerate(placed):
        for other in placed[i + 1 :]:
            if one.face and other.face and gap_mm(one.extent, other.extent) < -TOLERANCE_MM:
                found.append(_violation(one, other.kind.name, gap_mm(one.extent, other.extent), 0.0))
    return found


def _violation(piece: PlacedEquipment, what: str, got: float, want: float) -> Violation:
    return Violation(piece.kind.name, what, got, want, piece.pose.origin_mm)


def _inside(arrangement: Arrangement, shell: Shell, piece: PlacedEquipment) -> list[Violation]:
    room, body = shell.room(arrangement.inside), piece.extent
    found = []
    out = min(max(np.subtract(p.min_mm, body.min_mm).max(), np.subtract(body.max_mm, p.max_mm).max()) for p in parts_of(room))
    if out > TOLERANCE_MM:
        found.append(_violation(piece, "the room within walls and liner", -float(out), 0.0))
    for module in arrangement.modules:
        want = max(module.kind.gap_mm, piece.kind.clearance_mm)
        got = gap_mm(body, module.extent)
        if got < want - TOLERANCE_MM:
            found.append(_violation(piece, module.id, got, want))
        zone = _zone(module)
        if zone is not None and gap_mm(body, zone) < -TOLERANCE_MM:
            found.append(_violation(piece, f"terminal zone of {module.id}", gap_mm(body, zone), 0.0))
    if piece.kind.fixing is not None and _to_wall(room, body, piece.face) > TOLERANCE_MM:
        found.append(_violation(piece, f"the {piece.face} wall it is screwed to", _to_wall(room, body, piece.face), 0.0))
    sides = [d for d in piece.kind.service_from if d[1] != "z"]
    if sides:
        reach = min(_to_wall(room, body, d) for d in sides)
        if reach > WALL_REACH_MM + TOLERANCE_MM:
            found.append(_violation(piece, f"its cover: {' or '.join(sides)} wall", reach, WALL_REACH_MM))
    return found


def _to_wall(room: Extent, body: Extent, direction: str) -> float:
    axis = "xyz".index(direction[1])
    return room.max_mm[axis] - body.max_mm[axis] if direction[0] == "+" else body.min_mm[axis] - room.min_mm[axis]


def _zone(module: PlacedModule) -> Extent | None:
    own = zone_of(module)
    return None if own is None else own.seen_from(module.pose)


def _beyond_its_wall(piece: PlacedEquipment, inside: Extent) -> float:
    """How far a piece on a face reaches beyond the panel there, mm; negative within it.

    Of a stepped box the panels that count are those of its outermost faces (of the lid: one of the two boxes below it).
    """
    body, axis, plus = piece.extent, "xyz".index(piece.face[1]), piece.face[0] == "+"
    level = (inside.max_mm if plus else inside.min_mm)[axis]
    panels = [p for p in parts_of(inside) if abs((p.max_mm if plus else p.min_mm)[axis] - level) < TOLERANCE_MM]
    others = [a for a in range(3) if a != axis]
    return min(max(max(p.min_mm[a] - body.min_mm[a], body.max_mm[a] - p.max_mm[a]) for a in others) for p in panels)


def _outside(bay: Bay, arrangement: Arrangement, shell: Shell, piece: PlacedEquipment) -> list[Violation]:
    if not piece.face:
        return []
    body, frame = piece.extent, arrangement.frame
    own = Extent(vec3(np.array(piece.kind.size_mm) / -2.0), vec3(np.array(piece.kind.size_mm) / 2.0))
    found = []
    for name, box in shell.pieces(arrangement.inside):
        if gap_mm(body, box) < -TOLERANCE_MM:
            found.append(_violation(piece, name, gap_mm(body, box), 0.0))
    over = _beyond_its_wall(piece, arrangement.inside)
    if over > TOLERANCE_MM:
        found.append(_violation(piece, "the wall it hangs on", -over, 0.0))
    pose = frame.then(piece.pose)
    clear = max(bay.clearance_mm, piece.kind.clearance_mm)
    found += inside_free_space(bay, own, pose, clear, piece.kind.name)
    for column in bay.columns:
        found += column_clear(column, 0.0, own, pose, piece.kind.name)
    return found
