"""The cables from box to box: what each joins, through which openings, and how long it is at least."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise, product

import numpy as np

from layout.box.opening_room import opening_place
from layout.frames import Array, Extent
from layout.job.box import Opening
from layout.job.model import Job
from layout.packing.series import terminals_of
from layout.several.jobs import prefix_of
from layout.several.model import PackArrangement

FOR_CABLES = ("gland", "connector")
PANELS = {"fore": (0, 1), "aft": (0, 0), "left": (1, 1), "right": (1, 0), "top": (2, 1), "bottom": (2, 0)}
"""Axis square to a panel, and at which end of it the panel lies."""


@dataclass(frozen=True)
class Cable:
    """A cable from the negative terminal of one module to the positive one of another, in another box.

    straight_mm: from terminal to terminal. through: names of the openings it passes, the first box's first; () where one of
    the boxes has none for it. way_mm: straight from point to point by these openings, a lower bound for its length.
    """

    name: str
    start: str
    end: str
    boxes: tuple[int, int]
    straight_mm: float
    through: tuple[str, ...] = ()
    way_mm: float | None = None

    @property
    def words(self) -> str:
        """What it joins and its length."""
        lengths = f"{self.straight_mm:.0f} mm straight from terminal to terminal"
        if self.way_mm is not None:
            openings = " and ".join(f'"{name}"' for name in self.through)
            lengths += f", {self.way_mm:.0f} mm by the openings {openings}, without bends, slack and lugs"
        return f"from {self.start} (negative) to {self.end} (positive), {lengths}"


def cables_of(job: Job, pack: PackArrangement) -> tuple[Cable, ...]:
    """Every cable from box to box, in the order of the strings, through those openings of the two boxes that lie nearest to
    one another."""
    modules = {m.id: m for m in pack.modules}
    found = []
    for k, link in enumerate(pack.cables, start=1):
        boxes = (pack.box_of(link.start), pack.box_of(link.end))
        one, other = modules[link.start], modules[link.end]
        start = one.pose.point(terminals_of(one.kind)[1])
        end = other.pose.point(terminals_of(other.kind)[0])
        ways = [
            (_length(a, b), _length(start, a, b, end), (first.name, second.name))
            for (first, a), (second, b) in product(_openings(job, pack, boxes[0]), _openings(job, pack, boxes[1]))
        ]
        _, way, through = min(ways, default=(0.0, None, ()))
        found.append(Cable(f"cable {k}", link.start, link.end, boxes, link.length_mm, through, way))
    return tuple(found)


def cable_cautions(job: Job, pack: PackArrangement) -> Iterator[str]:
    """Boxes that a cable must leave and that have no opening for it."""
    lacking = {n for c in cables_of(job, pack) if c.way_mm is None for n in c.boxes if not list(_openings(job, pack, n))}
    for number in sorted(lacking):
        yield (
            f"Box {prefix_of(number)} has no opening for the cable to the other box: add one "
            f'(job file: box.opening, box = {number}, kind "gland" or "connector").'
        )


def _openings(job: Job, pack: PackArrangement, number: int) -> Iterator[tuple[Opening, Array]]:
    inside = pack.parts[number - 1].inside
    for opening in job.box.openings:
        if opening.box == number and opening.kind in FOR_CABLES:
            yield opening, _place(opening, inside)


def _place(opening: Opening, inside: Extent) -> Array:
    """Middle of an opening on the inner face of its panel, pack frame."""
    axis, end = PANELS[opening.panel]
    u, v = opening_place(opening, inside)
    point = np.insert(np.array([u, v]), axis, (inside.min_mm, inside.max_mm)[end][axis])
    return np.asarray(point, dtype=float)


def _length(*points: Array) -> float:
    return float(sum(np.linalg.norm(b - a) for a, b in pairwise(points)))
