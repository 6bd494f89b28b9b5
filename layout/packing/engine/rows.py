"""The clash rows of the set-packing model: at most one candidate of each row may be chosen.

Bodies. Two boxes overlap exactly when, on each axis, the greater of their two starts lies in both; so it is enough that at
most one body covers each point whose coordinates are starts. A point is dropped when a neighbour on the grid of such
points is covered by every candidate that covers it.

Zones. Let the zone, cut into parts no longer than the body on any axis, belong to candidates of one "family": those whose
parts cover a point then overlap each other's bodies pairwise (two starts differ by less than the part's extent, hence by
less than the body's). So at a point all bodies that cover it and all members of one family whose zone part covers it may
share one at-most-one row: zones need no variable of their own, and the rows stay cliques. Different options share a
family when the same holds between them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import sparse

from layout.packing.engine.candidates import Candidates
from layout.packing.engine.model import Item, Option
from layout.packing.engine.space import Bools, Ints

_CHUNK = 40_000_000
_Part = tuple[int, int, Ints, Ints]


@dataclass(frozen=True)
class Rows:
    """At-most-one rows over n candidates: row r holds members[offsets[r]:offsets[r+1]], sorted."""

    offsets: Ints
    members: Ints
    columns: int

    @property
    def matrix(self) -> sparse.csr_matrix:
        """The same as a 0/1 matrix (rows, candidates)."""
        ones = np.ones(len(self.members), np.float64)
        return sparse.csr_matrix((ones, self.members, self.offsets), shape=(len(self.offsets) - 1, self.columns))


def clash_rows(items: Sequence[Item], candidates: Candidates) -> Rows:
    """Rows that forbid exactly the pairs that cannot stand together."""
    if not len(candidates):
        return Rows(np.zeros(1, np.int64), np.zeros(0, np.int64), 0)
    families = [[_zone_boxes(candidates, part) for part in family] for family in _families(items)]
    everyone = _Boxes(np.arange(len(candidates)), candidates.low, candidates.high)
    points = [_points(candidates, families, axis) for axis in range(3)]
    cover = _coverage(points, [everyone])
    zoned = np.zeros(cover[0].shape, bool)
    parts = []
    for family in families:
        keep, touched = _undominated(cover, _coverage(points, family))
        zoned |= touched
        parts.append(_rows_at(points, keep & touched, [[everyone], *([box] for box in family)], len(candidates)))
    keep, _ = _undominated(cover, None)
    parts.append(_rows_at(points, keep & ~zoned, [[everyone]], len(candidates)))
    lengths = np.concatenate([p[0] for p in parts])
    members = np.concatenate([p[1] for p in parts])
    several = lengths > 1
    offsets = np.concatenate(([0], np.cumsum(lengths[several])))
    return Rows(offsets, members[np.repeat(several, lengths)], len(candidates))


@dataclass(frozen=True)
class _Boxes:
    """Boxes that belong to candidates: who (m,), low and high (m, 3)."""

    who: Ints
    low: Ints
    high: Ints


def _points(candidates: Candidates, families: Sequence[Sequence[_Boxes]], axis: int) -> Ints:
    return np.unique(np.concatenate([candidates.low[:, axis], *(box.low[:, axis] for f in families for box in f)]))


def _zone_boxes(candidates: Candidates, part: _Part) -> _Boxes:
    item, option, low, high = part
    mine = np.flatnonzero((candidates.item == item) & (candidates.option == option))
    return _Boxes(mine, candidates.low[mine] + low, candidates.low[mine] + high)


def _coverage(points: list[Ints], boxes: Sequence[_Boxes]) -> list[Ints]:
    """How many boxes cover each point; and, per axis, how many cover it and its next neighbour up that axis."""
    shape = tuple(len(p) for p in points)
    low, high = np.concatenate([b.low for b in boxes]), np.concatenate([b.high for b in boxes])
    first = np.stack([np.searchsorted(points[a], low[:, a]) for a in range(3)], axis=1)
    last = np.stack([np.searchsorted(points[a], high[:, a]) for a in range(3)], axis=1)
    counts = [_count(shape, first, last)]
    for axis in range(3):
        shorter = last.copy()
        shorter[:, axis] -= 1
        some = shorter[:, axis] > first[:, axis]
        counts.append(_count(shape, first[some], shorter[some]))
    return counts


def _count(shape: tuple[int, ...], first: Ints, last: Ints) -> Ints:
    marks = np.zeros([n + 1 for n in shape], np.int32)
    for corner in range(8):
        pick = [np.where(corner >> a & 1, last[:, a], first[:, a]) for a in range(3)]
        sign = -1 if bin(corner).count("1") % 2 else 1
        np.add.at(marks, tuple(pick), sign)
    for axis in range(3):
        np.cumsum(marks, axis=axis, out=marks)
    return marks[:-1, :-1, :-1].astype(np.int64)


def _undominated(cover: list[Ints], extra: list[Ints] | None) -> tuple[Bools, Bools]:
    """Points to keep: those no neighbour makes needless; and where the extra blocks lie."""
    total = [c + e for c, e in zip(cover, extra, strict=True)] if extra else cover
    keep = total[0] > 0
    for axis in range(3):
        here, both = np.moveaxis(total[0], axis, 0), np.moveaxis(total[axis + 1], axis, 0)
        left = np.moveaxis(keep, axis, 0)
        up = here[:-1] == both[:-1]
        down = (here[1:] == both[:-1]) & ~up
        left[:-1] &= ~up
        left[1:] &= ~down
    return keep, (extra[0] > 0 if extra else np.zeros_like(keep))


def _rows_at(points: list[Ints], keep: Bools, groups: Sequence[Sequence[_Boxes]], width: int) -> tuple[Ints, Ints]:
    """(length of each row, members of all rows in turn): per kept point, the candidates with a box of any group there.

    Per axis and coordinate, the candidates that span it are one string of bits; a row is the intersection of three.
    """
    where = np.argwhere(keep)
    spans = [[_spans(points[a], boxes, a, width) for a in range(3)] for boxes in groups]
    lengths, members = [np.zeros(0, np.int64)], [np.zeros(0, np.int64)]
    step = max(_CHUNK // max(width, 1), 1)
    for begin in range(0, len(where), step):
        x, y, z = where[begin : begin + step].T
        bits = np.zeros((len(x), spans[0][0].shape[1]), np.uint8)
        for along in spans:
            bits |= along[0][x] & along[1][y] & along[2][z]
        row, member = np.nonzero(np.unpackbits(bits, axis=1, count=width))
        lengths.append(np.bincount(row, minlength=len(x)))
        members.append(member.astype(np.int64))
    return np.concatenate(lengths), np.concatenate(members)


def _spans(points: Ints, boxes: Sequence[_Boxes], axis: int, width: int) -> NDArray[np.uint8]:
    """For each coordinate, a packed string of bits: which candidates' boxes span it. Each candidate at most once."""
    inside = np.zeros((len(points), width), bool)
    for box in boxes:
        inside[:, box.who] = (box.low[:, axis] <= points[:, None]) & (points[:, None] < box.high[:, axis])
    return np.packbits(inside, axis=1)


def _families(items: Sequence[Item]) -> list[list[_Part]]:
    """Zone parts grouped so that within a group, members whose parts share a point have overlapping bodies."""
    families: list[list[_Part]] = []
    for n, item in enumerate(items):
        for m, option in enumerate(item.options):
            for low, high in _parts(option):
                part = (n, m, low, high)
                for family in families:
                    if all(_bodies_meet(items, part, other) for other in family):
                        family.append(part)
                        break
                else:
                    families.append([part])
    return families


def _parts(option: Option) -> list[tuple[Ints, Ints]]:
    """The zone cut into parts no longer than the body on any axis, without those inside the body."""
    if option.zone is None:
        return []
    spans: list[list[tuple[int, int]]] = []
    for axis in range(3):
        low, high, extent = option.zone[axis], option.zone[axis + 3], option.size[axis]
        pieces = -(-(high - low) // extent)
        edges = [low + (high - low) * n // pieces for n in range(pieces + 1)]
        spans.append([(edges[n], edges[n + 1]) for n in range(pieces)])
    found = []
    for a in spans[0]:
        for b in spans[1]:
            for c in spans[2]:
                box = (a, b, c)
                if not all(s[0] >= 0 and s[1] <= option.size[k] for k, s in enumerate(box)):
                    found.append((np.array([s[0] for s in box], np.int64), np.array([s[1] for s in box], np.int64)))
    return found


def _bodies_meet(items: Sequence[Item], one: _Part, two: _Part) -> bool:
    """Whether the bodies always overlap when the two parts share a point.

    A part covers point c when start = c - part_high + 1 .. c - part_low on each axis; the bodies overlap when neither
    starts at or after the other's end, for the extreme starts.
    """
    size_one, size_two = (np.array(items[p[0]].options[p[1]].size, np.int64) for p in (one, two))
    return bool(
        np.all((-one[3] + 1 + size_one > -two[2]) & (-two[3] + 1 + size_two > -one[2])),
    )


def members_of(rows: Rows) -> list[list[int]]:
    """The rows as plain lists."""
    members, offsets = rows.members.tolist(), rows.offsets.tolist()
    return [members[offsets[r] : offsets[r + 1]] for r in range(len(offsets) - 1)]
