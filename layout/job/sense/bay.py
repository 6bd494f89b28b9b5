"""Physical sense of the bay: its prisms, its keep-outs, its files."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Final

from layout.errors import Problem
from layout.job.bay import Bay, KeepOut, MeshShape
from layout.job.sense.outlines import height_problems, outline_problems, taper_problems
from layout.job.sense.rule import Rule, mm, repeated

_SHAPES: Final = ("box", "cylinder", "prism", "mesh")
_MESHES: Final = (".stl", ".ply", ".obj")


def space_problems(bay: Bay) -> Iterator[Problem]:
    """Outlines, tapers and heights of the free space."""
    for index, space in enumerate(bay.spaces, start=1):
        path = f"bay.space[{index}]"
        yield from outline_problems(space.outline_mm, f"{path}.outline")
        if space.outline_above_mm is not None:
            wrong = list(outline_problems(space.outline_above_mm, f"{path}.outline_above"))
            yield from wrong or taper_problems(space, f"{path}.outline_above")
        yield from height_problems(space.z_mm, f"{path}.z")


def keep_out_problems(bay: Bay) -> Iterator[Problem]:
    """One shape each, with a volume; names that differ."""
    yield from repeated(bay.keep_outs, "bay.keep_out")
    for index, keep_out in enumerate(bay.keep_outs, start=1):
        path = f"bay.keep_out[{index}]"
        given = [name for name in _SHAPES if getattr(keep_out, name) is not None]
        if len(given) != 1:
            got = " and ".join(given) or "no shape"
            remedy = "Make one keep-out for each shape." if given else "Add box, cylinder, prism or mesh."
            yield Problem(path, got, f"needs exactly one of {', '.join(_SHAPES)}", remedy)
        yield from _shape_problems(keep_out, path)


def _shape_problems(keep_out: KeepOut, path: str) -> Iterator[Problem]:
    if keep_out.box is not None:
        low, high = keep_out.box.min_mm, keep_out.box.max_mm
        wrong = [axis for axis, a, b in zip("xyz", low, high, strict=True) if a >= b]
        if wrong:
            got = f"min {list(low)}, max {list(high)}"
            want = f"min must be below max along {' and '.join(wrong)}"
            yield Problem(f"{path}.box", got, want, "Write the two opposite corners: least values, then greatest.")
    if keep_out.cylinder is not None and keep_out.cylinder.from_mm == keep_out.cylinder.to_mm:
        got = str(list(keep_out.cylinder.from_mm))
        yield Problem(f"{path}.cylinder.to", got, "must differ from `from`", "Give both ends of the axis.")
    if keep_out.prism is not None:
        yield from outline_problems(keep_out.prism.outline_mm, f"{path}.prism.outline")
        yield from height_problems(keep_out.prism.z_mm, f"{path}.prism.z")


def file_problems(bay: Bay, folder: Path | None) -> Iterator[Problem]:
    """Meshes and scans that are not there, or of a kind that is not read."""
    named: list[tuple[str, str]] = []
    for index, keep_out in enumerate(bay.keep_outs, start=1):
        if isinstance(keep_out.mesh, MeshShape):
            named.append((f"bay.keep_out[{index}].mesh.file", keep_out.mesh.file))
    if bay.scan is not None:
        named.append(("bay.scan.file", bay.scan.file))
    for path, name in named:
        if Path(name).suffix.lower() not in _MESHES:
            want = f"must be a triangle mesh: {', '.join(_MESHES)}"
            yield Problem(path, f'"{name}"', want, "Export the scan in one of these forms.")
        elif folder is not None and not _is_file(folder, name):
            yield Problem(path, f'"{name}"', "no such file beside the job file", "Put it there, or correct the name.")


def _is_file(folder: Path, name: str) -> bool:
    try:
        return (folder / name).is_file()
    except (OSError, ValueError):
        return False


def size_problems(bay: Bay) -> Iterator[Problem]:
    """A bay of less than 50 mm or more than 10 m along an axis is a slip of the unit (common practice, no source)."""
    points = [point for space in bay.spaces for point in (*space.outline_mm, *(space.outline_above_mm or ()))]
    heights = [z for space in bay.spaces for z in space.z_mm]
    ranges = (("x", [p[0] for p in points]), ("y", [p[1] for p in points]), ("z", heights))
    for axis, values in ranges:
        size = max(values) - min(values)
        if not 50.0 <= size <= 10_000.0:
            want = f"the free space must measure 50 mm to 10 m along {axis}"
            yield Problem("bay.space", mm(size), want, "Check the unit: a bare number is in mm.")


RULES: Final = (
    Rule(("bay",), space_problems),
    Rule(("bay",), keep_out_problems),
    Rule(("bay",), size_problems),
    Rule(("bay", "folder"), file_problems),
)
