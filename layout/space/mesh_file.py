"""Triangles from STL, PLY and OBJ files, in mm. The unit comes from the job file, never from the file or a guess."""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from layout.errors import Problem

MM_PER: Final[dict[str, float]] = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}
PIECE: Final = 200_000
MANY: Final = 1_000_000
"""Meshes of more triangles are kept in single precision: to some 0.0001 mm at the size of a vehicle."""
_KINDS: Final = (".stl", ".ply", ".obj")


def read_triangles(path: str, file: Path, unit: str) -> tuple[NDArray[Any], list[Problem]]:
    """Triangles (n, 3, 3) in mm of a mesh file and the problems met; path is the table's place in the job file.

    Problems: no such file, a kind that is not read, a file that is not of its kind, no triangles, corners that are not
    numbers. Triangles without area are dropped.
    """
    nothing = np.zeros((0, 3, 3))
    where, got = f"{path}.file", file.name
    if file.suffix.lower() not in _KINDS:
        return nothing, [Problem(where, got, "an STL, PLY or OBJ file", "Export the mesh as one of these")]
    if not file.is_file():
        return nothing, [Problem(where, got, "a file that exists beside the job file", "Check the name and the folder")]
    try:
        triangles = _binary_stl(file) if _is_binary_stl(file) else _by_library(file)
    except Exception as trouble:  # noqa: BLE001 - the readers raise whatever a broken file leads them to
        said = f"{got}: {type(trouble).__name__}: {str(trouble)[:120]}"
        return nothing, [Problem(where, said, "a readable mesh file", "Export the mesh again")]
    return _usable(where, got, triangles, MM_PER[unit])


def _is_binary_stl(file: Path) -> bool:
    """By the length that the count in the header leads to: 84 bytes and 50 per triangle (format known from memory)."""
    size = file.stat().st_size
    if file.suffix.lower() != ".stl" or size < 84:
        return False
    with file.open("rb") as stream:
        stream.seek(80)
        return size == 84 + 50 * int.from_bytes(stream.read(4), "little")


def _binary_stl(file: Path) -> NDArray[np.float32]:
    """Corners of a binary STL, read in pieces so that millions of triangles need little more than their own room."""
    record = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
    count = (file.stat().st_size - 84) // 50
    corners = np.zeros((count, 3, 3), dtype=np.float32)
    with file.open("rb") as stream:
        stream.seek(84)
        for first in range(0, count, PIECE):
            part = np.frombuffer(stream.read(50 * min(PIECE, count - first)), dtype=record)
            corners[first : first + PIECE] = part["corners"]
    return corners


def _by_library(file: Path) -> NDArray[Any]:
    import trimesh  # slow to import, and most jobs have no mesh

    loaded = trimesh.load(file, process=False, force="mesh", skip_materials=True)
    corners, faces = np.asarray(loaded.vertices, dtype=float), np.asarray(loaded.faces)
    return corners[faces].astype(np.float32 if len(faces) > MANY else float) if len(faces) else np.zeros((0, 3, 3))


def _usable(where: str, got: str, triangles: NDArray[Any], scale: float) -> tuple[NDArray[Any], list[Problem]]:
    """Triangles in mm, those without area dropped; problems where there are none or corners are not numbers."""
    nothing = np.zeros((0, 3, 3))
    if len(triangles) == 0:
        want = "a mesh with triangles (a point cloud has none)"
        return nothing, [Problem(where, f"{got}: no triangles", want, "Mesh the scan before exporting it")]
    thick = np.zeros(len(triangles), dtype=bool)
    bad = 0
    for first in range(0, len(triangles), PIECE):
        part = triangles[first : first + PIECE].astype(float)
        bad += int((~np.isfinite(part)).any(axis=2).sum())
        with np.errstate(invalid="ignore", over="ignore"):  # counted as bad above
            across = np.cross(part[:, 1] - part[:, 0], part[:, 2] - part[:, 0])
            thick[first : first + PIECE] = (across != 0.0).any(axis=1)
    if bad:
        said = f"{got}: {bad} corners of triangles are not finite numbers"
        return nothing, [Problem(where, said, "finite coordinates", "Clean the scan and export it again")]
    if not thick.any():
        return nothing, [Problem(where, f"{got}: no triangle has an area", "a mesh of surfaces", "Export the mesh again")]
    kept = _compacted(triangles, thick)
    if len(kept) <= MANY:
        kept = kept.astype(float)
    if scale != 1.0:
        kept *= scale
    return kept, []


def _compacted(triangles: NDArray[Any], keep: NDArray[np.bool_]) -> NDArray[Any]:
    """The kept triangles, moved together within the same array."""
    at = 0
    for first in range(0, len(triangles), PIECE):
        part = triangles[first : first + PIECE][keep[first : first + PIECE]]
        triangles[at : at + len(part)] = part
        at += len(part)
    return triangles[:at]
