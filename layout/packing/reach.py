"""Where the walls of the box must stand so that a bracket from one of them reaches every mount point. Pack frame, mm."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from layout.box.shell import Shell
from layout.brackets.plan import REACH_MM, STANDOFF_MM, mounts_in_pack
from layout.frames import Extent, Pose, vec3
from layout.job.model import Job
from layout.packing.sites import Site

MOST_WAYS = 4096


@dataclass(frozen=True)
class Span:
    """Limits of one face of the inside: face 0 to 2 at the lesser end of x, y, z, 3 to 5 at the greater."""

    face: int
    low_mm: float
    high_mm: float

    def off_mm(self, inside: Extent) -> float:
        """How far the face of an inside lies out of the limits."""
        at = (*inside.min_mm, *inside.max_mm)[self.face]
        return max(self.low_mm - at, at - self.high_mm, 0.0)


Way = tuple[Span, ...]


def ways_to_reach(job: Job, frame: Pose, shell: Shell, limit: Extent) -> list[Way]:
    """Sets of limits, each enough for every mount to be reached from some wall of a box whose inside lies within a limit.

    Nothing where some mount cannot be reached, or there are too many sets to list.
    """
    choices: list[list[Span]] = []
    for mount in mounts_in_pack(job, frame):
        angle, faces = (shell.mount_room_mm, REACH_MM), [(axis, end) for axis in (0, 1) for end in (0, 1)]
        beside = [(axis, end) for axis, end in faces if abs(mount.normal[axis]) < 0.5]
        faced = [(axis, end) for axis, end in faces if mount.normal[axis] * (2 * end - 1) < -1.0 + 1e-9]
        spans = [_span(mount.at_mm, axis, end, shell, angle) for axis, end in beside]
        before = [(axis, end) for axis, end in faced if _before(mount.at_mm, axis, shell, limit)]
        spans += [_span(mount.at_mm, axis, end, shell, STANDOFF_MM) for axis, end in before]
        choices.append([s for s in spans if _within(s, limit)])
    number = int(np.prod([len(c) for c in choices]))
    if not 0 < number <= MOST_WAYS:
        return []
    found = dict.fromkeys(way for chosen in product(*choices) if (way := _common(chosen)) is not None)
    return list(found)


def _span(at_mm: tuple[float, float, float], axis: int, end: int, shell: Shell, reach_mm: tuple[float, float]) -> Span:
    """A wall from which a bracket reaches a mount stands between the least room and the greatest reach from it."""
    near, far = (shell.sheet_mm + shell.bar_mm + d for d in reach_mm)
    return Span(axis + 3, at_mm[axis] - far, at_mm[axis] - near) if end else Span(axis, at_mm[axis] + near, at_mm[axis] + far)


def _before(at_mm: tuple[float, float, float], axis: int, shell: Shell, limit: Extent) -> bool:
    """Whether a wall across an axis can stand before a mount: a standoff's column runs straight from one to the other."""
    others = [a for a in range(3) if a != axis]
    return all(limit.min_mm[a] - shell.sheet_mm <= at_mm[a] <= limit.max_mm[a] + shell.sheet_mm for a in others)


def _within(span: Span, limit: Extent) -> bool:
    axis = span.face % 3
    return span.low_mm <= limit.max_mm[axis] and span.high_mm >= limit.min_mm[axis]


def _common(chosen: tuple[Span, ...]) -> Way | None:
    """One span per face, narrowed to what all mounts ask of it; None where nothing is left."""
    faces: dict[int, Span] = {}
    for span in chosen:
        known = faces.get(span.face, span)
        faces[span.face] = Span(span.face, max(known.low_mm, span.low_mm), min(known.high_mm, span.high_mm))
    if any(s.low_mm > s.high_mm for s in faces.values()):
        return None
    return tuple(faces[k] for k in sorted(faces))


def nearest_ways(ways: list[Way], inside: Extent) -> list[Way]:
    """The ways, those first for which the faces of an inside must be moved least."""
    off = sorted(((sum(s.off_mm(inside) for s in way), len(way)), k) for k, way in enumerate(ways))
    return [ways[k] for _, k in off]


def is_reached(ways: list[Way], inside: Extent) -> bool:
    """Whether an inside stands so that some way is kept."""
    return any(all(s.off_mm(inside) <= 1e-6 for s in way) for way in ways)


def within_reach(job: Job, shell: Shell, sites: list[Site]) -> list[Site]:
    """The sites with their limits drawn in so that brackets can reach every mount from the box's walls; [] if they cannot."""
    found: dict[tuple[object, ...], Site] = {}
    for site in sites:
        for way in ways_to_reach(job, site.pose, shell, site.limit):
            low, high = list(site.limit.min_mm), list(site.limit.max_mm)
            for span in way:
                if span.face < 3:
                    low[span.face] = max(low[span.face], span.low_mm)
                else:
                    high[span.face - 3] = min(high[span.face - 3], span.high_mm)
            limit = Extent(vec3(low), vec3(high))
            if min(limit.size_mm) > 0.0:
                found.setdefault((limit, site.pockets), replace(site, limit=limit))
    return list(found.values())
