"""A scan onto a 5 mm grid: ours against trimesh's voxelizer, side by side; then five million triangles.

Run: python tests/benchmarks/scan_speed.py [trimesh|ours|large]. Every case runs in a process of its own, so that its
peak memory is its own (resident set of the whole process, imports included).
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import trimesh

SIZE = (1000.0, 800.0, 600.0)


def write_scan(path: Path, count: int) -> int:
    """Five noisy sides of a room as binary STL of about `count` triangles; written in pieces."""
    record = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
    rng = np.random.default_rng(1)
    x, y, z = SIZE
    sides = [
        ((0, 0, 0), (x, 0, 0), (0, y, 0)),
        ((0, 0, 0), (0, y, 0), (0, 0, z)),
        ((x, 0, 0), (0, y, 0), (0, 0, z)),
        ((0, 0, 0), (x, 0, 0), (0, 0, z)),
        ((0, y, 0), (x, 0, 0), (0, 0, z)),
    ]
    area = sum(np.linalg.norm(np.cross(u, v)) for _, u, v in sides)
    edge = np.sqrt(2.0 * area / count)
    total = 0
    with path.open("wb") as stream:
        stream.write(b"scan".ljust(84, b"\0"))
        for origin, u, v in sides:
            n, m = (max(1, int(np.linalg.norm(w) / edge)) for w in (u, v))
            for row in range(n):
                i, j = np.meshgrid([row, row + 1], np.arange(m + 1), indexing="ij")
                grid = np.array(origin) + i[..., None] / n * np.array(u) + j[..., None] / m * np.array(v)
                grid = grid + rng.normal(0.0, 0.2, grid.shape)
                a, b, c, d = grid[0, :-1], grid[1, :-1], grid[1, 1:], grid[0, 1:]
                triangles = np.concatenate([np.stack([a, b, c], axis=1), np.stack([a, c, d], axis=1)])
                data = np.zeros(len(triangles), dtype=record)
                data["corners"] = triangles
                stream.write(data.tobytes())
                total += len(triangles)
        stream.seek(80)
        stream.write(total.to_bytes(4, "little"))
    return total


def ours(path: Path) -> tuple[float, float, int]:
    from layout.frames import Pose
    from layout.space.cells import Lines
    from layout.space.mesh_file import read_triangles
    from layout.space.mesh_grid import mesh_free
    from layout.space.obstacle import Obstacle

    start = time.perf_counter()
    triangles, problems = read_triangles("bay.scan", path, "mm")
    assert not problems
    scan = Obstacle("scan", triangles, 12.0)
    assert any(len(t) for t in scan.near(np.zeros(3), np.full(3, 50.0)))
    read = time.perf_counter() - start
    lines = Lines(*(np.arange(0.0, s + 1.0, 5.0) for s in SIZE))
    start = time.perf_counter()
    free = mesh_free(scan, Pose(), lines, 10.0, 5.0)
    return read, time.perf_counter() - start, int(free.sum())


def by_trimesh(path: Path) -> tuple[float, float, int]:
    start = time.perf_counter()
    mesh = trimesh.load(path)
    read = time.perf_counter() - start
    start = time.perf_counter()
    filled = int(mesh.voxelized(5.0).filled_count)
    return read, time.perf_counter() - start, filled


def alone(which: str, path: Path) -> tuple[float, float, float]:
    said = subprocess.run([sys.executable, __file__, which, str(path)], check=True, capture_output=True, text=True).stdout
    read, marked, memory = (float(v) for v in said.split())
    return read, marked, memory


def main() -> None:
    if len(sys.argv) == 3:
        read, marked, _ = (ours if sys.argv[1] == "ours" else by_trimesh)(Path(sys.argv[2]))
        print(read, marked, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0)
        return
    with tempfile.TemporaryDirectory() as folder:
        print(f"{'case':<28}{'triangles':>10}{'read s':>9}{'grid s':>9}{'peak MB':>9}")
        path = Path(folder) / "scan.stl"
        for count in (20_000, 300_000, 5_000_000):
            total = write_scan(path, count)
            runs = sorted(alone("ours", path) for _ in range(3 if count < 1_000_000 else 1))
            mine = runs[len(runs) // 2]
            print(f"{'free grid, margin included':<28}{total:>10}{mine[0]:>9.2f}{mine[1]:>9.2f}{mine[2]:>9.0f}")
            if count > 1_000_000:
                continue
            peer = alone("trimesh", path)
            print(f"{'trimesh voxelized':<28}{total:>10}{peer[0]:>9.2f}{peer[1]:>9.2f}{peer[2]:>9.0f}")
            print(f"{'ratio':<28}{'':>10}{'':>9}{peer[1] / mine[1]:>9.1f}{peer[2] / mine[2]:>9.1f}")


if __name__ == "__main__":
    main()
