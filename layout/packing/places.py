"""All places worth trying for every stand of every body in an empty room, and which of them exclude one another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor

import numpy as np
from numpy.typing import NDArray

from layout.frames import Extent
from layout.packing.bodies import Body, Stand
from layout.packing.starts import Edge, Push, starts_of_all
from layout.stepped import Stepped

Ints = NDArray[np.int64]
SLACK = 1e-6
"""Lengths that differ by less than this part of a unit are the same (rounding of decimal input)."""


@dataclass(frozen=True)
class Places:
    """n places: body and stand numbers, low corner and size in units, shape (n,) and (n, 3); low counts from the room's.

    gap: units kept between any two bodies. zone_low, zone_high: the clear zone in front of the terminals, shape (n, 3);
    empty (low = high) where there is none. unit_mm: length of a unit.
    """

    body: Ints
    stand: Ints
    low: Ints
    size: Ints
    zone_low: Ints
    zone_high: Ints
    gap: int
    unit_mm: float

    @property
    def count(self) -> int:
        """How many places there are."""
        return len(self.body)


def unit_for(lengths: list[float]) -> float:
    """The coarsest of 1, 0.5 and 0.1 mm in which all lengths are whole; 0.1 mm (rounded to the safe side) if none is."""
    for unit in (1.0, 0.5, 0.1):
        if all(abs(v / unit - round(v / unit)) < SLACK for v in lengths):
            return unit
    return 0.1


def up_to(length: float, unit: float) -> int:
    """Least whole number of units that is not shorter."""
    return ceil(length / unit - SLACK)


def down_to(length: float, unit: float) -> int:
    """Greatest whole number of units that is not longer."""
    return floor(length / unit + SLACK)


def zone_axis(stand: Stand) -> tuple[int, int]:
    """Axis of the clear zone and its end (+1, -1); (0, 0) where there is none."""
    if stand.zone_mm <= 0.0 or not stand.terminals:
        return (0, 0)
    return ("xyz".index(stand.terminals[1]), 1 if stand.terminals[0] == "+" else -1)


def lengths_of(bodies: tuple[Body, ...]) -> list[float]:
    """All sizes, zones and gaps of the bodies."""
    out = [b.gap_mm for b in bodies]
    for body in bodies:
        for stand in body.stands:
            out += [*stand.size_mm, stand.zone_mm]
    return out


def _edge(stand: Stand, axis: int, unit: float) -> Edge:
    at, end = zone_axis(stand)
    zoned = end if at == axis else 0
    return Edge(up_to(stand.size_mm[axis], unit), up_to(stand.zone_mm, unit) if zoned else 0, zoned)


def shapes_of(body: Body) -> list[int]:
    """Numbers of the body's stands that differ in size, clear zone or wall (centre of mass left aside)."""
    first: dict[object, int] = {}
    for j, s in enumerate(body.stands):
        first.setdefault((s.size_mm, zone_axis(s), s.zone_mm, s.wall), j)
    return list(first.values())


def places_in(room: Extent, bodies: tuple[Body, ...], push: tuple[Push, Push, Push], chain_all: bool = False) -> Places:
    """Places worth trying in an empty room. Sizes are rounded up and the room down to whole units.

    Stands that differ only in where the centre of mass lies have one place. chain_all: also try modules pushed against
    equipment; otherwise equipment is tried at the ends of each axis only and modules against walls and one another, which
    is less to search and can miss a tight fit. In a room with a step all are pushed away from its two faces, which
    loses nothing, and the places that reach into what is left out are dropped.
    """
    unit = unit_for(lengths_of(bodies))
    gap = max(up_to(b.gap_mm, unit) for b in bodies)
    push = away_from_step(room, push)
    extent = [down_to(v, unit) for v in room.size_mm]
    stands = [(i, j, b.stands[j]) for i, b in enumerate(bodies) for j in shapes_of(b)]
    along: list[list[list[int]]] = []
    for axis in range(3):
        edges = [_edge(s, axis, unit) for _, _, s in stands]
        links = {
            e
            for e, (i, _, _) in zip(edges, stands, strict=True)
            if (chain_all or bodies[i].is_module) and e.length + e.zone <= extent[axis]
        }
        if not links:
            along.append([[] for _ in stands])
            continue
        found = starts_of_all(edges, links, gap, extent[axis], push[axis])
        if not chain_all:
            ends = [sorted({0, extent[axis] - e.length, *_at_step(room, axis, e.length, unit)}) for e in edges]
            found = [
                f if bodies[i].is_module else [v for v in ends[k] if v >= 0]
                for k, (f, (i, _, _)) in enumerate(zip(found, stands, strict=True))
            ]
        along.append(found)
    return _out_of_step(_all_places(stands, along, extent, gap, unit), room)


def away_from_step(room: Extent, push: tuple[Push, Push, Push]) -> tuple[Push, Push, Push]:
    """The ends that bodies are pushed to; in a room with a step those that lie away from it."""
    if not isinstance(room, Stepped):
        return push
    ends: list[Push] = list(push)
    for axis in room.axes:
        ends[axis] = "low" if room.at_high(axis) else "high"
    return (ends[0], ends[1], ends[2])


def blocked_by_step(room: Stepped, size: Sequence[int], over_mm: float, unit: float) -> tuple[list[int], list[int]]:
    """What a step leaves out of a room of `size` units, as least and greatest corner in units: never less than it is.

    over_mm: by how much the room was made longer at its high sides before it was cut to whole units.
    """
    low, high = [0, 0, 0], list(size)
    for axis in room.axes:
        if room.at_high(axis):
            low[axis] = down_to(room.left_out.min_mm[axis] - room.min_mm[axis] + over_mm, unit)
        else:
            high[axis] = size[axis] - down_to(room.max_mm[axis] - room.left_out.max_mm[axis] + over_mm, unit)
    return low, high


def _out_of_step(places: Places, room: Extent) -> Places:
    """The places whose bodies and clear zones keep out of what a step leaves out."""
    if not isinstance(room, Stepped):
        return places
    size = [down_to(v, places.unit_mm) for v in room.size_mm]
    low, high = (np.array(v) for v in blocked_by_step(room, size, 0.0, places.unit_mm))
    zone = (places.zone_high > places.zone_low).all(axis=1)
    body = ((places.low < high) & (places.low + places.size > low)).all(axis=1)
    clear = ~body & ~(zone & ((places.zone_low < high) & (places.zone_high > low)).all(axis=1))
    p = places
    return Places(
        p.body[clear], p.stand[clear], p.low[clear], p.size[clear], p.zone_low[clear], p.zone_high[clear], p.gap, p.unit_mm
    )


def _at_step(room: Extent, axis: int, length: int, unit: float) -> list[int]:
    """Where something stands that is pushed against the face of a step."""
    if not isinstance(room, Stepped) or axis not in room.axes:
        return []
    size = [down_to(v, unit) for v in room.size_mm]
    low, high = blocked_by_step(room, size, 0.0, unit)
    at = low[axis] - length if room.at_high(axis) else high[axis]
    return [at] if 0 <= at <= size[axis] - length else []


def _all_places(
    stands: list[tuple[int, int, Stand]], along: list[list[list[int]]], extent: list[int], gap: int, unit: float
) -> Places:
    rows = []
    for k, (i, j, stand) in enumerate(stands):
        size = np.array([up_to(v, unit) for v in stand.size_mm])
        per_axis = [_at_wall(stand.wall, a, along[a][k], int(size[a]), extent[a]) for a in range(3)]
        grid = np.array(np.meshgrid(*per_axis, indexing="ij"), dtype=np.int64).reshape(3, -1).T
        n = len(grid)
        zone_low, zone_high = _zones(stand, grid, size, unit)
        rows.append((np.full(n, i), np.full(n, j), grid, np.tile(size, (n, 1)), zone_low, zone_high))
    body, stand_no, low, size, zl, zh = (np.concatenate(c).astype(np.int64) for c in zip(*rows, strict=True))
    return Places(body, stand_no, low, size, zl, zh, gap, unit)


def _at_wall(wall: str, axis: int, values: list[int], size: int, extent: int) -> list[int]:
    if not wall or "xyz".index(wall[1]) != axis:
        return values
    at = extent - size if wall[0] == "+" else 0
    return [at] if at >= 0 else []


def _zones(stand: Stand, low: Ints, size: Ints, unit: float) -> tuple[Ints, Ints]:
    axis, end = zone_axis(stand)
    zone_low, zone_high = low.copy(), low + size
    if end == 0:
        return zone_low, zone_low.copy()
    depth = up_to(stand.zone_mm, unit)
    if end > 0:
        zone_low[:, axis] = low[:, axis] + size[axis]
        zone_high[:, axis] = zone_low[:, axis] + depth
    else:
        zone_high[:, axis] = low[:, axis]
        zone_low[:, axis] = low[:, axis] - depth
    return zone_low, zone_high


def body_rows(places: Places) -> list[Ints]:
    """Sets of places of which at most one can be taken, enough to keep all bodies apart by the gap.

    Two boxes overlap exactly if the point made of the greater of their low corners, axis by axis, lies in both: only
    points made of low coordinates need be looked at. Rows that are part of another row are left out.
    """
    marks = [np.unique(places.low[:, a]) for a in range(3)]
    first = [np.searchsorted(marks[a], places.low[:, a]) for a in range(3)]
    last = [np.searchsorted(marks[a], places.low[:, a] + places.size[:, a] + places.gap) for a in range(3)]
    counts = [last[a] - first[a] for a in range(3)]
    per = counts[0] * counts[1] * counts[2]
    owner = np.repeat(np.arange(places.count), per)
    inner = np.arange(per.sum()) - np.repeat(np.cumsum(per) - per, per)
    cy, cz = counts[1][owner], counts[2][owner]
    ix, iy, iz = inner // (cy * cz), inner // cz % cy, inner % cz
    n_y, n_z = len(marks[1]), len(marks[2])
    point = ((first[0][owner] + ix) * n_y + first[1][owner] + iy) * n_z + first[2][owner] + iz
    return undominated(point, owner)


def undominated(point: Ints, owner: Ints) -> list[Ints]:
    """Groups of owners by point, without those that are equal to or part of a group found at a later point nearby."""
    order = np.argsort(point, kind="stable")
    groups = np.split(owner[order], np.flatnonzero(np.diff(point[order])) + 1)
    unique = {g.tobytes(): g for g in groups if len(g) > 1}
    ordered = sorted(unique.values(), key=lambda g: -len(g))
    holding: dict[int, list[set[int]]] = {}
    kept: list[Ints] = []
    for group in ordered:
        members = set(group.tolist())
        if any(members <= other for other in holding.get(int(group[0]), ())):
            continue
        kept.append(group)
        for member in members:
            holding.setdefault(member, []).append(members)
    return kept


@dataclass(frozen=True)
class Clearing:
    """who: places whose clear zone holds a point; inside: places whose body holds it. One excludes the other."""

    who: Ints
    inside: Ints


def clearings(places: Places) -> list[Clearing]:
    """Points enough to keep every body out of every clear zone.

    A body that reaches into a zone without overlapping the zone's owner holds a cell of the zone's far plane if it is no
    shorter than the zone is deep (else of one of a few planes); across the zone the cell may be taken at a low corner of
    one of the two bodies. Gaps do not count against zones.
    """
    found: dict[tuple[bytes, bytes], Clearing] = {}
    for axis in range(3):
        across = [a for a in range(3) if a != axis]
        zoned = np.flatnonzero(_looks_along(places, axis))
        if not len(zoned):
            continue
        low, high = places.zone_low[zoned], places.zone_high[zoned]
        lines = [np.unique(places.low[:, a]) for a in across]
        inside = [(m >= low[:, a, None]) & (m < high[:, a, None]) for m, a in zip(lines, across, strict=True)]
        for plane, owners in _planes(places, zoned, axis).items():
            at = np.isin(zoned, owners)
            holds = (places.low[:, axis] <= plane) & (plane < places.low[:, axis] + places.size[:, axis])
            for i, u in enumerate(lines[0]):
                for j, v in enumerate(lines[1]):
                    who = zoned[at & inside[0][:, i] & inside[1][:, j]]
                    if not len(who):
                        continue
                    body = np.flatnonzero(holds & _holds(places, across[0], u) & _holds(places, across[1], v))
                    if len(body):
                        found.setdefault((who.tobytes(), body.tobytes()), Clearing(who, body))
    return list(found.values())


def _holds(places: Places, axis: int, at: int) -> NDArray[np.bool_]:
    return (places.low[:, axis] <= at) & (at < places.low[:, axis] + places.size[:, axis])


def _looks_along(places: Places, axis: int) -> NDArray[np.bool_]:
    """Places whose clear zone lies before or behind the body along an axis."""
    present = (places.zone_high > places.zone_low).all(axis=1)
    beside = (places.zone_low[:, axis] >= places.low[:, axis] + places.size[:, axis]) | (
        places.zone_high[:, axis] <= places.low[:, axis]
    )
    return present & beside


def _planes(places: Places, zoned: Ints, axis: int) -> dict[int, Ints]:
    """Cells along the axis, from a zone's far end towards its owner, no further apart than the shortest body."""
    least = int(places.size[:, axis].min())
    found: dict[int, list[int]] = {}
    for k in zoned:
        low, high = int(places.zone_low[k, axis]), int(places.zone_high[k, axis])
        ahead = low >= places.low[k, axis] + places.size[k, axis]
        cells = range(high - 1, low - 1, -least) if ahead else range(low, high, least)
        for cell in cells:
            found.setdefault(cell, []).append(int(k))
    return {plane: np.array(who, dtype=np.int64) for plane, who in found.items()}
