"""The other boxes as things in the bay: what a box, its brackets and its way in must keep clear of."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from layout.brackets.design import BracketDesign
from layout.frames import Extent, Pose
from layout.job.model import Job
from layout.several.jobs import prefix_of
from layout.several.model import PackArrangement
from layout.space.bay import Bay
from layout.space.judge_arrangement import body_obstacle
from layout.space.model import BAR_SIDES, Column
from layout.space.obstacle import Obstacle
from layout.space.solids import bar_triangles

APART_MM = 3.0
"""Least distance between brackets of different boxes: for hands and tolerances (our choice)."""


def with_obstacles(bay: Bay, more: Iterable[Obstacle]) -> Bay:
    """The bay with further things that are in the way."""
    found = tuple(more)
    return replace(bay, keep_outs=(*bay.keep_outs, *found)) if found else bay


def boxes_as_obstacles(job: Job, pack: PackArrangement, numbers: Iterable[int], margin_mm: float = 0.0) -> tuple[Obstacle, ...]:
    """Boxes of a pack with what hangs on them, in vehicle axes."""
    return tuple(
        replace(body_obstacle(f"{name} of box {prefix_of(k)}", piece, pack.frame), margin_mm=margin_mm)
        for k in numbers
        for name, piece in pack.pieces(job, k)
    )


def brackets_as_obstacles(frame: Pose, brackets: Iterable[BracketDesign], margin_mm: float = 0.0) -> tuple[Obstacle, ...]:
    """Brackets of other boxes by the bodies that hold all of them, in vehicle axes."""
    bodies: list[tuple[str, Extent, Pose]] = [body for bracket in brackets for body in bracket.bodies]
    return tuple(replace(body_obstacle(name, extent, frame.then(pose)), margin_mm=margin_mm) for name, extent, pose in bodies)


def column_as_obstacle(column: Column) -> Obstacle:
    """A mount point's envelope as something that brackets of other boxes keep out of."""
    bar = column.bar(0.0)
    return Obstacle(f"envelope of mount point {column.name}", bar_triangles(bar, BAR_SIDES, around=True), solid=True, bar=bar)


def others(pack: PackArrangement, number: int) -> list[int]:
    """Numbers of the other boxes."""
    return [k for k in range(1, len(pack.parts) + 1) if k != number]


def other_boxes(job: Job, bay: Bay, pack: PackArrangement, number: int) -> Bay:
    """The bay as one box finds it: the other boxes in their places."""
    return with_obstacles(bay, boxes_as_obstacles(job, pack, others(pack, number)))


def design_bay(job: Job, bay: Bay, pack: PackArrangement, number: int) -> Bay:
    """What the brackets of a box must keep clear of: the other boxes by the bay's clearance, their mount points' envelopes."""
    own = pack.mounts[number - 1]
    columns = tuple(column_as_obstacle(c) for c in bay.columns if c.name not in own)
    return with_obstacles(bay, (*boxes_as_obstacles(job, pack, others(pack, number), bay.clearance_mm), *columns))
