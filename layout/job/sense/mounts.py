"""Physical sense of the mount points: where they lie, where they look, and whether they can hold a body at all."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Final

import numpy as np

from layout.errors import Problem
from layout.frames import DIRECTIONS, Array, Vec3, vec3
from layout.job.bay import Bay, MountPoint, Space
from layout.job.sense.keep_outs import deep_inside
from layout.job.sense.outlines import distance_mm, sound
from layout.job.sense.rule import Rule, mm, repeated

REACH_MM: Final = 5.0
"""How far outside of the measured free space a mount point may seem to lie: what a tape measure is good for."""
_LOOK_MM: Final = 15.0
_ON_ONE_LINE_MM: Final = 20.0

Mounts = tuple[MountPoint, ...]


def place_problems(mounts: Mounts, bay: Bay) -> Iterator[Problem]:
    """A mount point lies inside or at the edge of the free space, and its normal looks into it."""
    if not all(sound(space) for space in bay.spaces):
        return
    for index, mount in enumerate(mounts, start=1):
        path = f"mount_point[{index}]"
        gap = _gap(mount.at_mm, bay.spaces)
        if gap > REACH_MM:
            want = f"must lie inside or at the edge of the free space; it is {mm(gap)} outside of it"
            remedy = "Measure the point again, or extend a bay.space to where the bracket must stand."
            yield Problem(f"{path}.at", str(list(mount.at_mm)), want, remedy)
        elif _looks_out(mount, bay.spaces):
            want = "must point from the vehicle's metal into the free space; it points out of it"
            yield Problem(f"{path}.normal", f'"{mount.normal}"', want, "Write the direction in which a bolt is pulled out.")


def kept_out_problems(mounts: Mounts, bay: Bay) -> Iterator[Problem]:
    """No mount point inside of what nothing of ours may touch."""
    for index, mount in enumerate(mounts, start=1):
        for number, keep_out in enumerate(bay.keep_outs, start=1):
            if deep_inside(mount.at_mm, keep_out):
                want = f'lies inside bay.keep_out[{number}] ("{keep_out.name}"), where no bracket can stand'
                remedy = "Measure both again, or leave this mount point out."
                yield Problem(f"mount_point[{index}].at", str(list(mount.at_mm)), want, remedy)


def _gap(point: Vec3, spaces: tuple[Space, ...]) -> float:
    return min(distance_mm(point, space) for space in spaces)


def _looks_out(mount: MountPoint, spaces: tuple[Space, ...]) -> bool:
    step = np.array(DIRECTIONS[mount.normal]) * _LOOK_MM
    ahead, behind = vec3(np.array(mount.at_mm) + step), vec3(np.array(mount.at_mm) - step)
    return _gap(ahead, spaces) > REACH_MM and _gap(behind, spaces) < _gap(ahead, spaces)


def apart_problems(mounts: Mounts) -> Iterator[Problem]:
    """Names that differ, and holes that do not overlap."""
    yield from repeated(mounts, "mount_point")
    for index, mount in enumerate(mounts):
        for other in range(index):
            gap = math.dist(mount.at_mm, mounts[other].at_mm)
            if gap < float(mount.thread[1:]) * 2.0:
                want = f'lies {mm(gap)} from mount_point[{other + 1}] ("{mounts[other].name}"): two holes cannot'
                yield Problem(f"mount_point[{index + 1}].at", str(list(mount.at_mm)), want, "Measure again, or remove one.")


def freedom_problems(mounts: Mounts) -> Iterator[Problem]:
    """Enough mount points, spread enough, that the pack cannot turn on them.

    One point leaves all turns free; points on one line leave the turn about that line to the stiffness of single brackets,
    which is not relied on here. Rigid body on point supports: statics.
    """
    points = np.array([mount.at_mm for mount in mounts], dtype=float)
    remedy = "Add a mount point that lies well to the side of that line."
    if len(mounts) == 1:
        want = "a pack on one mount point can turn about every axis"
        yield Problem("mount_point", "1 mount point", want, "Add mount points: at least three that are not on one line.")
        return
    axis, spread = _line(points)
    if len(mounts) == 2:
        want = f"a pack on two mount points can turn about the line through them, {_named(axis)}"
        yield Problem("mount_point", "2 mount points", want, remedy)
    elif spread < _ON_ONE_LINE_MM:
        want = f"all mount points lie within {mm(spread)} of one line, {_named(axis)}: the pack can turn about it"
        yield Problem("mount_point", f"{len(mounts)} mount points", want, remedy)


def _line(points: Array) -> tuple[Array, float]:
    """Direction of the line that fits the points best, and the greatest distance from it."""
    middle = points - points.mean(axis=0)
    _, _, rows = np.linalg.svd(middle)
    axis = rows[0]
    off = middle - np.outer(middle @ axis, axis)
    return axis, float(np.linalg.norm(off, axis=1).max())


def _named(axis: Array) -> str:
    """A direction in words."""
    names = (("along x (fore and aft)", 0), ("along y (across)", 1), ("along z (upright)", 2))
    for name, index in names:
        if abs(axis[index]) > math.cos(math.radians(10.0)):
            return name
    return "along " + ", ".join(f"{value:+.2f}" for value in axis)


def bracket_problems(mounts: Mounts) -> Iterator[Problem]:
    """A saddle sits on a rail, and a rail lies under an upright bolt."""
    for index, mount in enumerate(mounts, start=1):
        if mount.bracket == "saddle" and mount.rail is None:
            want = "a saddle reaches down both sides of a rail whose width must be known"
            remedy = 'Add rail = { width = "60 mm", along = "x" }, or choose another kind.'
            yield Problem(f"mount_point[{index}].bracket", '"saddle"', want, remedy)
        if mount.rail is not None and mount.normal not in ("+z", "-z"):
            want = "a rail lies under a mount point whose normal is +z or -z"
            yield Problem(f"mount_point[{index}].rail", f'normal "{mount.normal}"', want, "Remove rail, or mend the normal.")


RULES: Final = (
    Rule(("mount_points",), apart_problems),
    Rule(("mount_points",), freedom_problems),
    Rule(("mount_points",), bracket_problems),
    Rule(("mount_points", "bay"), place_problems),
    Rule(("mount_points", "bay"), kept_out_problems),
)
