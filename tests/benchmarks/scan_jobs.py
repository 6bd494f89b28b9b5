"""Writes two job files to try: a scanned bay (noise, holes, a tunnel, a leaning wall), and a bay whose neck is too narrow.

Run: python tests/benchmarks/scan_jobs.py FOLDER, then `boxwright fit FOLDER/scanned.toml` and
`boxwright fit FOLDER/narrow-neck.toml`. Vehicle, modules and bays are invented.
"""

from __future__ import annotations

import sys
from itertools import pairwise
from pathlib import Path

import numpy as np
import trimesh

HEAD = """
[job]
title = "{title}"
drawing_number = "{number}"

[vehicle]
reference_axle = "front"
wheelbase = "2510 mm"
track = "1340 mm"
front_axle_load = "512 kg"
rear_axle_load = "455 kg"
front_axle_rating = "720 kg"
rear_axle_rating = "820 kg"
cg_height = "560 mm"

[[removed]]
name = "engine and gearbox"
mass = "141 kg"
at = [40, 0, 520]
"""

TAIL = """
[[module]]
name = "brick-4s"
size = [260, 180, 112]
mass = "9.6 kg"
up = ["+z", "+y", "-y"]
terminal_face = "+x"
terminal_clearance = "35 mm"
gap = "4 mm"
available = 12
nominal_voltage = "14.8 V"
max_voltage = "16.8 V"
min_voltage = "12.0 V"
energy = "1.5 kWh"

[pack]
count = "max"
series = {series}
voltage_window = ["{low} V", "{high} V"]

[box]
construction = "welded"
material = "5083-H111"
sheet = "3 mm"
liner = "2 mm"

[bracket]
material = "S275"
bolt_class = "8.8"

[crash]
factors = {{ forward = 20, rearward = 10, left = 15, right = 15, up = 10, down = 10 }}
"""

MOUNT = """
[[mount_point]]
name = "rail {name}"
at = [{x}, {y}, {z}]
normal = "+z"
thread = "M10"
sheet = {{ material = "S235", thickness = "2.5 mm" }}
"""


def patch(origin, u, v, edge=8.0) -> np.ndarray:
    """A flat four-sided patch as small triangles (n, 3, 3)."""
    n, m = (max(1, int(np.linalg.norm(w) / edge)) for w in (u, v))
    i, j = np.meshgrid(np.arange(n + 1) / n, np.arange(m + 1) / m, indexing="ij")
    grid = np.array(origin, float) + i[..., None] * np.array(u, float) + j[..., None] * np.array(v, float)
    a, b, c, d = grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]
    return np.concatenate([np.stack(t, axis=2).reshape(-1, 3, 3) for t in ((a, b, c), (a, c, d))])


def scanned_surfaces() -> np.ndarray:
    """A bay 900 x 720 x 480, front wall leaning back, a round tunnel along its floor, a ledge on the left; open on top."""
    x0, x1, y, z0, z1 = -380.0, 520.0, 360.0, 330.0, 810.0
    sides = [
        patch((x0, -y, z0), (x1 - x0, 0, 0), (0, 2 * y, 0)),
        patch((x0, -y, z0), (0, 2 * y, 0), (0, 0, z1 - z0)),
        patch((x1, -y, z0), (0, 2 * y, 0), (-60, 0, z1 - z0)),
        patch((x0, -y, z0), (x1 - x0, 0, 0), (0, 0, z1 - z0)),
        patch((x0, y, z0), (x1 - x0, 0, 0), (0, 0, z1 - z0)),
        patch((x0, 250.0, 640.0), (330, 0, 0), (0, 110, 0)),
        patch((x0, 250.0, 640.0), (330, 0, 0), (0, 0, 170)),
        patch((x0 + 330, 250.0, 640.0), (0, 110, 0), (0, 0, 170)),
    ]
    turn = np.linspace(0.0, np.pi, 25)
    for a, b in pairwise(turn):
        low = np.array([x0, 90 * np.cos(a), z0 + 60 * np.sin(a)])
        high = np.array([x0, 90 * np.cos(b), z0 + 60 * np.sin(b)])
        sides.append(patch(low, (420, 0, 0), high - low))
    return np.concatenate(sides)


def write_scan(file: Path) -> int:
    rng = np.random.default_rng(17)
    triangles = scanned_surfaces()
    shared, index = np.unique(np.round(triangles.reshape(-1, 3), 6), axis=0, return_inverse=True)
    shared = shared + rng.normal(0.0, 0.4, shared.shape)
    triangles = shared[index.reshape(-1, 3)]
    middles = triangles.mean(axis=1)
    keep = rng.random(len(triangles)) > 0.02
    for _ in range(12):  # patches the scanner did not see
        keep &= np.linalg.norm(middles - middles[int(rng.integers(len(middles)))], axis=1) > rng.uniform(10, 22)
    kept = triangles[keep]
    faces = np.arange(3 * len(kept)).reshape(-1, 3)
    trimesh.Trimesh(kept.reshape(-1, 3), faces, process=False).export(file)
    return len(kept)


def mounts(points: list[tuple[str, float, float, float]]) -> str:
    return "".join(MOUNT.format(name=n, x=x, y=y, z=z) for n, x, y, z in points)


def main(folder: Path) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    count = write_scan(folder / "bay.stl")
    bay = """
[bay]
clearance = "8 mm"
insert_from = ["+z"]
[[bay.space]]
name = "about the bay"
outline = [[-420, -400], [560, -400], [560, 400], [-420, 400]]
z = [300, 800]
[bay.scan]
file = "bay.stl"
unit = "mm"
margin = "6 mm"
"""
    corners = [("LH front", 440.0, 320.0, 336.0), ("RH front", 440.0, -320.0, 336.0)]
    corners += [("LH rear", -330.0, 320.0, 336.0), ("RH rear", -330.0, -320.0, 336.0)]
    tail = TAIL.format(series=8, low=90, high=140)
    text = HEAD.format(title="Scanned front bay", number="SCN-01") + bay + mounts(corners) + tail
    (folder / "scanned.toml").write_text(text)
    neck = """
[bay]
clearance = "10 mm"
insert_from = ["+z"]
[[bay.space]]
name = "room"
outline = [[-350, -340], [400, -340], [400, 340], [-350, 340]]
z = [330, 700]
[[bay.space]]
name = "neck under the cowl"
outline = [[-350, -150], [60, -150], [60, 150], [-350, 150]]
z = [700, 830]
"""
    corners = [(n, x * 0.85, y * 0.9, 330.0) for n, x, y, _ in corners]
    text = HEAD.format(title="Front bay under a narrow cowl", number="NCK-01") + neck + mounts(corners) + tail
    (folder / "narrow-neck.toml").write_text(text)
    print(f"{folder}: bay.stl ({count} triangles), scanned.toml, narrow-neck.toml")


if __name__ == "__main__":
    main(Path(sys.argv[1]))
