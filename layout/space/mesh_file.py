"""Triangles from STL, PLY and OBJ files, in mm. The unit comes from the job file, never from the file or a guess."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import numpy as np
import trimesh

from layout.errors import Problem
from layout.frames import Array

MM_PER: Final[dict[str, float]] = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8}
_KINDS: Final = (".stl", ".ply", ".obj")


def read_triangles(path: str, file: Path, unit: str) -> tuple[Array, list[Problem]]:
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
        loaded = trimesh.load(file, process=False, force="mesh", skip_materials=True)
        corners, faces = np.asarray(loaded.vertices, dtype=float), np.asarray(loaded.faces, dtype=np.int64)
    except Exception as trouble:  # noqa: BLE001 - the readers raise whatever a broken file leads them to
        said = f"{got}: {type(trouble).__name__}: {str(trouble)[:120]}"
        return nothing, [Problem(where, said, "a readable mesh file", "Export the mesh again")]
    if len(faces) == 0:
        want = "a mesh with triangles (a point cloud has none)"
        return nothing, [Problem(where, f"{got}: no triangles", want, "Mesh the scan before exporting it")]
    if not np.isfinite(corners).all():
        bad = int((~np.isfinite(corners).all(axis=1)).sum())
        said = f"{got}: {bad} of {len(corners)} corners are not finite numbers"
        return nothing, [Problem(where, said, "finite coordinates", "Clean the scan and export it again")]
    triangles = corners[faces] * MM_PER[unit]
    edges = triangles[:, 1:] - triangles[:, :1]
    thick = np.linalg.norm(np.cross(edges[:, 0], edges[:, 1]), axis=1) > 0.0
    if not thick.any():
        return nothing, [Problem(where, f"{got}: no triangle has an area", "a mesh of surfaces", "Export the mesh again")]
    return triangles[thick], []
