"""The bay as a value: everything that bounds the free space, ready for exact tests.

Free space is the union of the job's prisms, less the keep-outs, less what lies within the scan's margin of its surface.
Vehicle axes, mm.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import numpy as np

from layout.errors import JobError, Problem
from layout.frames import DIRECTIONS, Array, Extent, Vec3, vec3
from layout.job.bay import KeepOut, MountPoint, Space
from layout.job.model import Job
from layout.space.mesh_file import read_triangles
from layout.space.outline import outline_problems
from layout.space.round_bar import Bar
from layout.space.scan import scan_problems
from layout.space.solids import JOIN_MM, bar_triangles, box_triangles, prism_triangles, union_boundary

BAR_SIDES = 64
"""Sides of the many-sided bar that stands for a round one on grids (never in the judge)."""


@dataclass(frozen=True, eq=False)
class Obstacle:
    """A thing that bounds the free space.

    triangles: (n, 3, 3), its surface; for a round bar a many-sided one around it, used for grids only. solid: its inside
    is not free (keep-outs); otherwise only its surface counts (walls of the free space, a scan). bar: the exact bar.
    margin_mm: distance that belongs to it all round.
    """

    name: str
    triangles: Array
    margin_mm: float = 0.0
    solid: bool = False
    bar: Bar | None = None

    @cached_property
    def low(self) -> Array:
        """Least corner of each triangle's bounding box, (n, 3)."""
        return self.triangles.min(axis=1)

    @cached_property
    def high(self) -> Array:
        """Greatest corner of each triangle's bounding box, (n, 3)."""
        return self.triangles.max(axis=1)


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
    """

    walls: tuple[Obstacle, ...]
    keep_outs: tuple[Obstacle, ...]
    scan: Obstacle | None
    columns: tuple[Column, ...]
    extent: Extent
    clearance_mm: float
    insert_from: tuple[str, ...]
    spaces: tuple[Space, ...]

    @cached_property
    def obstacles(self) -> tuple[Obstacle, ...]:
        """Walls, keep-outs, scan."""
        return (*self.walls, *self.keep_outs, *((self.scan,) if self.scan else ()))

    @cached_property
    def wall_triangles(self) -> Array:
        """Closed boundary of the union of prisms, (n, 3, 3), outward."""
        return np.concatenate([w.triangles for w in self.walls])


def bay_of(job: Job, folder: Path) -> Bay:
    """The bay of a job; mesh files are looked for beside the job file, in `folder`.

    Raises JobError with every problem found: outlines that cross themselves, heights the wrong way up, a keep-out without
    or with two shapes, meshes that cannot be read or that do not fit the declared prisms.
    """
    problems = [p for k, s in enumerate(job.bay.spaces) for p in _space_problems(f"bay.space[{k}]", s)]
    keep_outs = []
    for k, entry in enumerate(job.bay.keep_outs):
        found, wrong = _keep_out(f"bay.keep_out[{k}]", entry, folder)
        problems += wrong
        keep_outs += [found] if found else []
    if problems:
        raise JobError(problems)
    walls = walls_of(job.bay.spaces)
    extent = bounds_of(walls)
    scan = None
    if job.bay.scan is not None:
        entry_scan = job.bay.scan
        triangles, problems = read_triangles("bay.scan", folder / entry_scan.file, entry_scan.unit)
        problems = problems or scan_problems(triangles, extent)
        if problems:
            raise JobError(problems)
        scan = Obstacle("scan", triangles, entry_scan.margin_mm)
    return Bay(
        walls=walls,
        keep_outs=tuple(keep_outs),
        scan=scan,
        columns=tuple(_column(m) for m in job.mount_points),
        extent=extent,
        clearance_mm=job.bay.clearance_mm,
        insert_from=job.bay.insert_from,
        spaces=job.bay.spaces,
    )


def space_name(space: Space, number: int) -> str:
    """What a prism is called in messages; number counts from 0."""
    return space.name or f"space {number + 1}"


def space_triangles(space: Space, grown_by: float = 0.0) -> Array:
    """Closed surface of one prism."""
    z = (min(space.z_mm), max(space.z_mm))
    return prism_triangles(space.outline_mm, space.outline_above_mm or space.outline_mm, z, grown_by)


def walls_of(spaces: tuple[Space, ...]) -> tuple[Obstacle, ...]:
    """Boundary of the union of prisms, by the prism it belongs to."""
    triangles, source = union_boundary([space_triangles(s, JOIN_MM) for s in spaces])
    return tuple(
        Obstacle(f"wall of {space_name(s, k)}", triangles[source == k]) for k, s in enumerate(spaces) if np.any(source == k)
    )


def bounds_of(obstacles: tuple[Obstacle, ...]) -> Extent:
    """Least box around the surfaces of some obstacles."""
    low = np.min([o.low.min(axis=0) for o in obstacles], axis=0)
    high = np.max([o.high.max(axis=0) for o in obstacles], axis=0)
    return Extent(vec3(low), vec3(high))


def _column(mount: MountPoint) -> Column:
    envelope = mount.envelope
    return Column(mount.name, mount.at_mm, DIRECTIONS[mount.normal], envelope.diameter_mm / 2.0, envelope.height_mm)


def _space_problems(path: str, space: Space) -> list[Problem]:
    problems = outline_problems(f"{path}.outline", space.outline_mm)
    if space.z_mm[0] >= space.z_mm[1]:
        problems.append(
            Problem(f"{path}.z", str(list(space.z_mm)), "the lower height first, then the higher", "Swap the two, or measure again")
        )
    above = space.outline_above_mm
    if above is None:
        return problems
    problems += outline_problems(f"{path}.outline_above", above)
    if len(above) != len(space.outline_mm):
        want = f"as many corners as outline ({len(space.outline_mm)}), in the same order"
        problems.append(Problem(f"{path}.outline_above", f"{len(above)} corners", want, "Add or remove corners"))
    elif not problems:
        low, high = np.array(space.outline_mm), np.array(above)
        between = [tuple(map(tuple, low + t * (high - low))) for t in np.linspace(0.05, 0.95, 19)]
        if any(outline_problems("", b) for b in between):
            want = "corners in the same order as outline, so that the outline in between does not cross itself"
            problems.append(Problem(f"{path}.outline_above", str(above), want, "Give the corners in the order of outline"))
    return problems


def _keep_out(path: str, entry: KeepOut, folder: Path) -> tuple[Obstacle | None, list[Problem]]:
    given = [n for n in ("box", "cylinder", "prism", "mesh") if getattr(entry, n) is not None]
    if len(given) != 1:
        got = ", ".join(given) or "no shape"
        return None, [Problem(path, got, "exactly one of box, cylinder, prism, mesh", "Give one shape per keep_out table")]
    triangles, bar, problems = _shape(path, entry, folder)
    if problems:
        return None, problems
    return Obstacle(entry.name, triangles, entry.margin_mm, solid=True, bar=bar), []


def _shape(path: str, entry: KeepOut, folder: Path) -> tuple[Array, Bar | None, list[Problem]]:
    nothing = np.zeros((0, 3, 3))
    if entry.box is not None:
        low, high = entry.box.min_mm, entry.box.max_mm
        if any(a >= b for a, b in zip(low, high, strict=True)):
            return nothing, None, [Problem(f"{path}.box", f"{low} to {high}", "min below max on every axis", "Swap or measure again")]
        return box_triangles(Extent(low, high)), None, []
    if entry.cylinder is not None:
        c = entry.cylinder
        if np.linalg.norm(np.subtract(c.from_mm, c.to_mm)) <= 0.0:
            return nothing, None, [Problem(f"{path}.cylinder", "from = to", "two different points of the axis", "Give both ends")]
        bar = Bar(c.from_mm, c.to_mm, c.diameter_mm / 2.0)
        return bar_triangles(bar, BAR_SIDES, around=True), bar, []
    if entry.prism is not None:
        problems = outline_problems(f"{path}.prism.outline", entry.prism.outline_mm)
        z = entry.prism.z_mm
        if z[0] >= z[1]:
            problems.append(Problem(f"{path}.prism.z", str(list(z)), "the lower height first, then the higher", "Swap the two"))
        if problems:
            return nothing, None, problems
        return prism_triangles(entry.prism.outline_mm, entry.prism.outline_mm, z), None, []
    assert entry.mesh is not None
    triangles, problems = read_triangles(f"{path}.mesh", folder / entry.mesh.file, entry.mesh.unit)
    return triangles, None, problems
