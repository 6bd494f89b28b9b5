"""The bay as a value: everything that bounds the free space, ready for exact tests. Vehicle axes, mm."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from layout.frames import Array, Extent, Vec3, vec3
from layout.job.bay import Space
from layout.space.obstacle import Obstacle
from layout.space.round_bar import Bar
from layout.space.solids import prism_triangles

BAR_SIDES = 32
"""Sides of the many-sided bar that stands for a round one on grids (never in the judge)."""


@dataclass(frozen=True)
class Column:
    """The room a mount point claims for bracket and tool: from the hole along its normal. radius_mm is half its width."""

    name: str
    at_mm: Vec3
    normal: Vec3
    radius_mm: float
    height_mm: float

    def bar(self, radius_mm: float) -> Bar:
        """The column as a round bar of the given radius, never thinner than its own."""
        end = vec3(np.array(self.at_mm) + self.height_mm * np.array(self.normal))
        return Bar(self.at_mm, end, max(radius_mm, self.radius_mm))


@dataclass(frozen=True, eq=False)
class Bay:
    """What bounds the free space.

    walls: boundary of the union of prisms, one obstacle per prism that contributes (an interface between two prisms is
    no wall). keep_outs and scan as given, each with its own margin. columns: the mount points' envelopes. extent: bounds
    of the prisms. clearance_mm: what the box must keep from all of it, margins not included.
    corridors: closed surfaces of room outside that belongs to the space as well (only where a way in is looked for).
    """

    walls: tuple[Obstacle, ...]
    keep_outs: tuple[Obstacle, ...]
    scan: Obstacle | None
    columns: tuple[Column, ...]
    extent: Extent
    clearance_mm: float
    insert_from: tuple[str, ...]
    spaces: tuple[Space, ...]
    corridors: tuple[Array, ...] = ()

    @cached_property
    def obstacles(self) -> tuple[Obstacle, ...]:
        """Walls, keep-outs, scan."""
        return (*self.walls, *self.keep_outs, *((self.scan,) if self.scan else ()))

    @cached_property
    def wall_triangles(self) -> Array:
        """Closed boundary of the union of prisms, (n, 3, 3), outward."""
        return np.concatenate([w.triangles for w in self.walls]).astype(float)


def space_name(space: Space, number: int) -> str:
    """What a prism is called in messages; number counts from 0."""
    return space.name or f"space {number + 1}"


def space_triangles(space: Space, grown_by: float = 0.0) -> Array:
    """Closed surface of one prism."""
    z = (min(space.z_mm), max(space.z_mm))
    return prism_triangles(space.outline_mm, space.outline_above_mm or space.outline_mm, z, grown_by)
