"""A piece of the bay between planes square to the pack's axes, and what of the job lies in it. Pack frame, mm."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import inf

import numpy as np

from layout.frames import Array, Extent, Pose, Vec3, vec3
from layout.job.model import Job
from layout.job.sense.boxes import LEAST_MOUNTS

FAR_MM = 1e6
"""Stands for a side on which only the bay bounds a region."""
OFF_LINE_MM = 20.0
"""Mount points nearer to one line than this leave the turn about it free (as the job's own rule has it)."""


@dataclass(frozen=True)
class Region:
    """Between low_mm and high_mm on each axis; infinite where no plane bounds it."""

    low_mm: Vec3 = (-inf, -inf, -inf)
    high_mm: Vec3 = (inf, inf, inf)

    def below(self, axis: int, at_mm: float) -> Region:
        """What of it lies below a plane square to an axis."""
        high = list(self.high_mm)
        high[axis] = min(high[axis], at_mm)
        return Region(self.low_mm, (high[0], high[1], high[2]))

    def above(self, axis: int, at_mm: float) -> Region:
        """What of it lies above such a plane."""
        low = list(self.low_mm)
        low[axis] = max(low[axis], at_mm)
        return Region((low[0], low[1], low[2]), self.high_mm)

    def within(self, gap_mm: float) -> Extent:
        """Where a box may lie so that boxes on both sides of every plane have the gap between them."""
        low = [max(v + gap_mm / 2.0, -FAR_MM) for v in self.low_mm]
        high = [min(v - gap_mm / 2.0, FAR_MM) for v in self.high_mm]
        return Extent((low[0], low[1], low[2]), (high[0], high[1], high[2]))

    def holds(self, point_mm: Vec3) -> bool:
        """Whether a point lies in it (on a lower plane: yes)."""
        return all(a <= v < b for a, v, b in zip(self.low_mm, point_mm, self.high_mm, strict=True))


@dataclass(frozen=True)
class MountSides:
    """The job's mount points in the pack's frame: which a box has in a region."""

    names: tuple[str, ...]
    boxes: tuple[int | None, ...]
    at_mm: tuple[Vec3, ...]

    def of(self, number: int, region: Region) -> frozenset[str]:
        """Those that name the box, and those in the region that name none."""
        return frozenset(self.names[k] for k in self._of(number, region))

    def enough(self, number: int, region: Region) -> bool:
        """Whether these hold a box: three, and not on one line."""
        points = np.array([self.at_mm[k] for k in self._of(number, region)])
        return len(points) >= LEAST_MOUNTS and _off_line_mm(points) >= OFF_LINE_MM

    def in_place(self, number: int, region: Region) -> int:
        """How many of those that name the box lie in its region."""
        return sum(box == number and region.holds(at) for box, at in zip(self.boxes, self.at_mm, strict=True))

    def between(self, axis: int, region: Region) -> list[float]:
        """Places along an axis midway between neighbouring mount points of a region."""
        levels = sorted({round(at[axis], 3) for at in self.at_mm if region.holds(at)})
        return [(a + b) / 2.0 for a, b in pairwise(levels)]

    def _of(self, number: int, region: Region) -> list[int]:
        return [
            k for k, (box, at) in enumerate(zip(self.boxes, self.at_mm, strict=True))
            if box == number or (box is None and region.holds(at))
        ]  # fmt: skip


def mount_sides(job: Job, frame: Pose) -> MountSides:
    """The mount points of a job seen from a pack's frame."""
    mounts = job.mount_points
    places = tuple(vec3(frame.inverse_point(m.at_mm)) for m in mounts)
    return MountSides(tuple(m.name for m in mounts), tuple(m.box for m in mounts), places)


def _off_line_mm(points: Array) -> float:
    """Greatest distance of some points from the line that fits them best."""
    middle = points - points.mean(axis=0)
    axis = np.linalg.svd(middle)[2][0]
    off = middle - np.outer(middle @ axis, axis)
    return float(np.linalg.norm(off, axis=1).max())
