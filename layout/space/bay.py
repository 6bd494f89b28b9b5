"""From the job's tables to the bay as a value.

Free space is the union of the job's prisms, less the keep-outs, less what lies within the scan's margin of its surface.
Vehicle axes, mm.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from layout.errors import JobError, Problem
from layout.frames import DIRECTIONS, Array, Extent, vec3
from layout.job.bay import KeepOut, MountPoint, Scan, Space
from layout.job.model import Job
from layout.space.mesh_file import read_triangles
from layout.space.model import BAR_SIDES, Bay, Column, space_name, space_triangles
from layout.space.obstacle import Obstacle
from layout.space.outline import outline_problems
from layout.space.parts import any_free
from layout.space.round_bar import Bar
from layout.space.scan import scan_problems
from layout.space.solids import JOIN_MM, bar_triangles, box_triangles, outward, prism_triangles, union_boundary

__all__ = ["Bay", "Column", "Obstacle", "bay_of", "walls_of"]

_HEIGHTS = "the lower height first, then the higher"
_SWAP = "Swap the two, or measure again"


def bay_of(job: Job, folder: Path) -> Bay:
    """The bay of a job; mesh files are looked for beside the job file, in `folder`.

    Raises JobError with every problem found: outlines that cross themselves, heights the wrong way up, a keep-out without
    or with two shapes, meshes that cannot be read or that do not fit the declared prisms, no free space left.
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
    bay = Bay(
        walls=walls,
        keep_outs=tuple(keep_outs),
        scan=_scan(job.bay.scan, folder, extent) if job.bay.scan else None,
        columns=tuple(_column(m) for m in job.mount_points),
        extent=extent,
        clearance_mm=job.bay.clearance_mm,
        insert_from=job.bay.insert_from,
        spaces=job.bay.spaces,
    )
    _require_free_space(bay)
    return bay


def _scan(entry: Scan, folder: Path, extent: Extent) -> Obstacle:
    triangles, problems = read_triangles("bay.scan", folder / entry.file, entry.unit)
    problems = problems or scan_problems(triangles, extent)
    if problems:
        raise JobError(problems)
    return Obstacle("scan", triangles, entry.margin_mm)


def _require_free_space(bay: Bay) -> None:
    if any_free(bay):
        return
    what = " and ".join(["keep-outs", *(["scan"] if bay.scan else [])])
    want = "free space left between the keep-outs, their margins and the scan's margin"
    remedy = "Check positions, units and margins of keep-outs and scan against the prisms"
    raise JobError([Problem("bay", f"no free space: {what} cover all of the prisms", want, remedy)])


def walls_of(spaces: tuple[Space, ...]) -> tuple[Obstacle, ...]:
    """Boundary of the union of prisms, by the prism it belongs to."""
    triangles, source = union_boundary([space_triangles(s, JOIN_MM) for s in spaces])
    return tuple(
        Obstacle(f"wall of {space_name(s, k)}", triangles[source == k]) for k, s in enumerate(spaces) if np.any(source == k)
    )


def bounds_of(obstacles: tuple[Obstacle, ...]) -> Extent:
    """Least box around the surfaces of some obstacles."""
    low = np.min([o.low for o in obstacles], axis=0)
    high = np.max([o.high for o in obstacles], axis=0)
    return Extent(vec3(low), vec3(high))


def _column(mount: MountPoint) -> Column:
    envelope = mount.envelope
    return Column(mount.name, mount.at_mm, DIRECTIONS[mount.normal], envelope.diameter_mm / 2.0, envelope.height_mm)


def _space_problems(path: str, space: Space) -> list[Problem]:
    problems = outline_problems(f"{path}.outline", space.outline_mm)
    if space.z_mm[0] >= space.z_mm[1]:
        problems.append(Problem(f"{path}.z", str(list(space.z_mm)), _HEIGHTS, _SWAP))
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
            return nothing, None, [Problem(f"{path}.box", f"{low} to {high}", "min below max on every axis", _SWAP)]
        return box_triangles(Extent(low, high)), None, []
    if entry.cylinder is not None:
        c = entry.cylinder
        if np.linalg.norm(np.subtract(c.from_mm, c.to_mm)) <= 0.0:
            return nothing, None, [Problem(f"{path}.cylinder", "from = to", "two points of the axis", "Give both ends")]
        bar = Bar(c.from_mm, c.to_mm, c.diameter_mm / 2.0)
        return bar_triangles(bar, BAR_SIDES, around=True), bar, []
    if entry.prism is not None:
        problems = outline_problems(f"{path}.prism.outline", entry.prism.outline_mm)
        z = entry.prism.z_mm
        if z[0] >= z[1]:
            problems.append(Problem(f"{path}.prism.z", str(list(z)), _HEIGHTS, _SWAP))
        if problems:
            return nothing, None, problems
        return prism_triangles(entry.prism.outline_mm, entry.prism.outline_mm, z), None, []
    assert entry.mesh is not None
    triangles, problems = read_triangles(f"{path}.mesh", folder / entry.mesh.file, entry.mesh.unit)
    return outward(triangles), None, problems
