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
from scipy import sparse

from layout.packing.engine.candidates import Candidates
from layout.packing.engine.model import Item, Option
from layout.packing.engine.space import Bools, Ints

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
    families = _families(items)
    boxes = [_zone_boxes(candidates, family) for family in families]
    points = [_points(candidates, boxes, axis) for axis in range(3)]
    bodies = _on_points(points, np.arange(len(candidates)), candidates.low, candidates.high)
    cover = _coverage(points, bodies)
    entries: list[tuple[Ints, Ints]] = []
    count = 0
    zoned = np.zeros(cover[0].shape, bool)
    for box in boxes:
        part = _on_points(points, *box)
        keep, touched = _undominated(cover, _coverage(points, part))
        zoned |= touched
        count = _collect(entries, keep & touched, (bodies, part), count)
    keep, _ = _undominated(cover, None)
    count = _collect(entries, keep & ~zoned, (bodies,), count)
    row = np.concatenate([e[0] for e in entries])
    member = np.concatenate([e[1] for e in entries])
    matrix = sparse.csr_matrix((np.ones(len(row), np.int8), (row, member)), shape=(count, len(candidates)))
    matrix.sum_duplicates()
    matrix = matrix[np.diff(matrix.indptr) > 1]
    return Rows(matrix.indptr.astype(np.int64), matrix.indices.astype(np.int64), len(candidates))


def _points(candidates: Candidates, boxes: Sequence[tuple[Ints, Ints, Ints]], axis: int) -> Ints:
    return np.unique(np.concatenate([candidates.low[:, axis], *(box[1][:, axis] for box in boxes)]))


def _zone_boxes(candidates: Candidates, family: Sequence[_Part]) -> tuple[Ints, Ints, Ints]:
    who, low, high = [np.zeros(0, np.int64)], [np.zeros((0, 3), np.int64)], [np.zeros((0, 3), np.int64)]
    for item, option, part_low, part_high in family:
        mine = np.flatnonzero((candidates.item == item) & (candidates.option == option))
        who.append(mine)
        low.append(candidates.low[mine] + part_low)
        high.append(candidates.low[mine] + part_high)
    return np.concatenate(who), np.concatenate(low), np.concatenate(high)


@dataclass(frozen=True)
class _Blocks:
    """Boxes as index ranges on the grid of points: who (m,), first and last (m, 3), last exclusive."""

    who: Ints
    first: Ints
    last: Ints


def _on_points(points: list[Ints], who: Ints, low: Ints, high: Ints) -> _Blocks:
    first = np.stack([np.searchsorted(points[a], low[:, a]) for a in range(3)], axis=1)
    last = np.stack([np.searchsorted(points[a], high[:, a]) for a in range(3)], axis=1)
    return _Blocks(who, first, last)


def _coverage(points: list[Ints], blocks: _Blocks) -> list[Ints]:
    """How many blocks cover each point; and, per axis, how many cover it and its next neighbour up that axis."""
    shape = tuple(len(p) for p in points)
    counts = [_count(shape, blocks.first, blocks.last)]
    for axis in range(3):
        shorter = blocks.last.copy()
        shorter[:, axis] -= 1
        some = shorter[:, axis] > blocks.first[:, axis]
        counts.append(_count(shape, blocks.first[some], shorter[some]))
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


def _collect(entries: list[tuple[Ints, Ints]], keep: Bools, blocks: Sequence[_Blocks], count: int) -> int:
    """Append (row, member) pairs for the kept points; rows are numbered from count. Returns the next free number."""
    number = np.full(keep.shape, -1, np.int64)
    number[keep] = count + np.arange(int(keep.sum()))
    for block in blocks:
        rows, members = [np.zeros(0, np.int64)], [np.zeros(0, np.int64)]
        for who, a, b in zip(block.who.tolist(), block.first.tolist(), block.last.tolist(), strict=True):
            inside = number[a[0] : b[0], a[1] : b[1], a[2] : b[2]]
            inside = inside[inside >= 0]
            rows.append(inside)
            members.append(np.full(len(inside), who, np.int64))
        entries.append((np.concatenate(rows), np.concatenate(members)))
    return count + int(keep.sum())


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
