"""Scans: read, doubted where they deserve it, and cut out of the free space; meshes as keep-outs."""

import numpy as np
import pytest
import trimesh

from layout.errors import JobError
from layout.frames import Extent, Pose, turned_about_z
from layout.space.bay import bay_of
from layout.space.cells import Lines
from layout.space.grid import may_be_free, surely_free
from layout.space.judge import inside_free_space
from layout.space.parts import free_space_notes, parts_of
from layout.space.triangles import box_triangle_distance
from layout.space.voxels import any_in_cells, box_around, nearer_than, surely_nearer, touched

PRISM = [{"name": "roughly", "outline": [[-50, -50], [650, -50], [650, 550], [-50, 550]], "z": [-50, 400]}]


def room(size=(600.0, 500.0, 450.0), edge=20.0, noise=0.3, holes=0.05, seed=4):
    """A scanned room open at the top: five sides, noise, single triangles missing."""
    rng = np.random.default_rng(seed)
    mesh = trimesh.creation.box(bounds=[[0, 0, 0], size]).subdivide_to_size(edge)
    triangles = np.array(mesh.triangles)
    triangles = triangles[triangles[:, :, 2].min(axis=1) < size[2] - 1e-6]
    triangles += rng.normal(0.0, noise, triangles.shape)
    return triangles[rng.random(len(triangles)) > holes]


def write(folder, triangles, name="bay.stl"):
    mesh = trimesh.Trimesh(triangles.reshape(-1, 3), np.arange(3 * len(triangles)).reshape(-1, 3), process=False)
    mesh.export(folder / name)


def scanned(job_with, folder, triangles, name="bay.stl", unit="mm", margin=8, **more):
    write(folder, triangles, name)
    return bay_of(job_with(space=PRISM, scan={"file": name, "unit": unit, "margin": margin}, **more), folder)


KINDS = [("bay.stl", "mm", 1), ("bay.ply", "in", 1 / 25.4), ("bay.obj", "m", 0.001)]


@pytest.mark.parametrize(("name", "unit", "scale"), KINDS)
def test_kinds_and_units(job_with, tmp_path, name, unit, scale):
    bay = scanned(job_with, tmp_path, room() * scale, name, unit)
    assert bay.scan is not None
    np.testing.assert_allclose(bay.scan.high - bay.scan.low, [600, 500, 450], atol=25)


def test_the_judge_measures_to_true_triangles(job_with, tmp_path):
    triangles = room(holes=0.0)
    bay = scanned(job_with, tmp_path, triangles)
    body = Extent((25, 30, 30), (560, 460, 380))
    written = np.asarray(bay.scan.triangles, dtype=float)
    gap = box_triangle_distance(np.array(body.min_mm), np.array(body.max_mm), written).min()
    assert 20 < gap < 30
    assert inside_free_space(bay, body, Pose(), gap - 8.0) == []
    found = inside_free_space(bay, body, Pose(), gap - 8.0 + 0.001, "box")
    assert [v.with_what for v in found] == ["scan"]


def test_beyond_the_scanned_wall_is_not_free(job_with, tmp_path):
    bay = scanned(job_with, tmp_path, room(holes=0.0), margin=5)
    sliver = Extent((612, 60, 60), (642, 400, 300))
    found = inside_free_space(bay, sliver, Pose(), 2.0)
    assert [v.with_what for v in found] == ["the scanned surface, beyond which it lies"]
    assert inside_free_space(bay, Extent((60, 60, 60), (400, 400, 300)), Pose(), 2.0) == []
    assert any("parts" in n for n in free_space_notes(bay))


def test_grid_of_a_scan_is_safe_and_close(job_with, tmp_path):
    bay = scanned(job_with, tmp_path, room())
    frame = turned_about_z(5.0)
    lines = Lines(*(np.arange(a, b, 10.0) for a, b in ((60, 600), (-20, 430), (20, 400))))
    inner, outer = surely_free(bay, frame, lines, 15.0), may_be_free(bay, frame, lines, 15.0)
    assert not (inner & ~outer).any()
    assert inner.sum() > 0.75 * outer.sum()
    triangles = frame.inverse_point(bay.scan.triangles)
    rng = np.random.default_rng(1)
    for cell in rng.permutation(np.argwhere(inner))[:15]:
        low = np.array([line[c] for line, c in zip(lines.axes, cell, strict=True)])
        assert box_triangle_distance(low, low + 10.0, triangles).min() >= 23.0
    for cell in rng.permutation(np.argwhere(~outer))[:15]:
        middle = np.array([line[c] + 5.0 for line, c in zip(lines.axes, cell, strict=True)])
        point = Extent(tuple(middle - 1e-3), tuple(middle + 1e-3))
        assert inside_free_space(bay, point, frame, 15.0)


def test_touched_cells_hold_every_point_of_the_surface():
    rng = np.random.default_rng(7)
    triangles = rng.uniform(0, 100, (200, 1, 3)) + rng.uniform(-40, 40, (200, 3, 3))
    lines = Lines(*(np.arange(0.0, 101.0, 4.0) for _ in range(3)))
    box = box_around(lines, 10.0, 4.0)
    marks = touched(triangles, Pose(), box)
    weights = rng.dirichlet(np.ones(3), (200, 300))
    points = np.einsum("nkw,nwx->nkx", weights, triangles).reshape(-1, 3)
    cell = np.floor((points - np.array(box.origin_mm)) / box.step_mm).astype(int)
    cell = cell[np.all((cell >= 0) & (cell < box.shape), axis=1)]
    assert marks[cell[:, 0], cell[:, 1], cell[:, 2]].all()
    near, sure = nearer_than(marks, box.step_mm, 10.0), surely_nearer(triangles, Pose(), box, 10.0)
    assert not (sure & ~near).any()
    assert not (any_in_cells(sure, box, lines, every=True) & ~any_in_cells(near, box, lines)).any()


def test_distance_between_cells_is_exact():
    marks = np.zeros((20, 20, 20), dtype=bool)
    marks[10, 10, 10] = True
    offset = np.maximum(np.abs(np.indices(marks.shape) - 10) - 1, 0)
    expected = 3.0 * np.sqrt((offset**2).sum(axis=0)) < 9.5
    np.testing.assert_array_equal(nearer_than(marks, 3.0, 9.5), expected)


@pytest.mark.parametrize(
    ("spoil", "unit", "words"),
    [
        (lambda t: t * 25.4, "mm", "22.4 times the declared"),
        (lambda t: t / 25.4, "mm", "times the declared"),
        (lambda t: t + 5000.0, "mm", "reaches the declared free space"),
        (lambda t: np.where(np.arange(len(t))[:, None, None] == 3, np.nan, t), "mm", "not finite"),
        (lambda t: t * np.array([0.0, 0.0, 1.0]), "mm", "area"),
        (lambda t: t[:0], "mm", "no triangles"),
    ],
)
def test_bad_scans(job_with, tmp_path, spoil, unit, words):
    record = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
    triangles = spoil(room())
    data = np.zeros(len(triangles), dtype=record)
    data["corners"] = triangles
    head = b"x" * 80 + len(triangles).to_bytes(4, "little")
    (tmp_path / "bay.stl").write_bytes(head + data.tobytes())
    with pytest.raises(JobError, match=words) as caught:
        bay_of(job_with(space=PRISM, scan={"file": "bay.stl", "unit": unit}), tmp_path)
    assert caught.value.problems[0].path.startswith("bay.scan")


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("bay.stl", b"", "triangles"),
        ("bay.stl", b"solid nothing\nendsolid nothing\n", "triangles"),
        ("bay.ply", b"ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nend_header\n1\n", "bay.ply"),
        ("bay.step", b"ISO-10303-21;", "STL, PLY or OBJ"),
        (None, b"", "exists beside"),
    ],
)
def test_unreadable_files(job_with, tmp_path, name, content, words):
    if name:
        (tmp_path / name).write_bytes(content)
    with pytest.raises(JobError) as caught:
        bay_of(job_with(space=PRISM, scan={"file": name or "none.stl", "unit": "mm"}), tmp_path)
    assert words in str(caught.value)


def test_a_mesh_as_keep_out_is_solid(job_with, tmp_path):
    ball = trimesh.creation.icosphere(subdivisions=4, radius=100.0)
    ball.apply_translation([300, 250, 200])
    ball.invert()
    ball.export(tmp_path / "ball.stl")
    entry = {"name": "ball", "mesh": {"file": "ball.stl", "unit": "mm"}, "margin": 5}
    bay = bay_of(job_with(keep_out=[entry]), tmp_path)
    assert inside_free_space(bay, Extent((280, 230, 180), (320, 270, 220)), Pose(), 0.0)[0].with_what == "ball"
    assert inside_free_space(bay, Extent((20, 20, 20), (184, 480, 380)), Pose(), 10.0) == []
    assert inside_free_space(bay, Extent((20, 20, 20), (186, 480, 380)), Pose(), 10.0)
    lines = Lines(np.arange(0, 601, 10.0), np.arange(0, 501, 10.0), np.arange(0, 401, 10.0))
    inner, outer = surely_free(bay, Pose(), lines, 10.0), may_be_free(bay, Pose(), lines, 10.0)
    assert not inner[30, 25, 20]
    assert not outer[30, 25, 20]
    assert not (inner & ~outer).any()
    middle = (np.indices(lines.shape) + 0.5).reshape(3, -1).T * 10.0 - [300, 250, 200]
    walls = np.abs(middle) < np.array([290, 240, 190])
    gap = np.linalg.norm(middle, axis=1) - 115
    assert inner.ravel()[(gap > 25) & walls.all(axis=1)].all()
    assert not outer.ravel()[gap < -10].any()


def test_no_free_space_left(job_with, tmp_path):
    block = {"name": "all of it", "box": {"min": [-1, -1, -1], "max": [601, 501, 401]}}
    with pytest.raises(JobError, match="cover all of the prisms"):
        bay_of(job_with(keep_out=[block]), tmp_path)


def test_free_space_in_two_parts_is_told(job_with, tmp_path):
    wall = {"name": "bulkhead", "box": {"min": [200, -1, -1], "max": [210, 501, 401]}}
    bay = bay_of(job_with(keep_out=[wall]), tmp_path)
    assert len(parts_of(bay).volumes_mm3) == 2
    assert parts_of(bay).volumes_mm3[0] == pytest.approx(390 * 500 * 400, rel=1e-6)
    assert "2 parts" in free_space_notes(bay)[1]
    assert len(free_space_notes(bay_of(job_with(), tmp_path))) == 1


@pytest.mark.parametrize(
    ("bay", "place"),
    [
        ({"space": [{"outline": [[0, 0], [600, 500], [600, 0], [0, 500]], "z": [0, 400]}]}, "bay.space[0].outline"),
        ({"space": [{"outline": [[0, 0], [600, 0], [600, 500]], "z": [400, 0]}]}, "bay.space[0].z"),
        ({"space": [{"outline": [[0, 0], [600, 0], [600, 5]], "outline_above": [[0, 0], [9, 0], [9, 9], [0, 9]], "z": [0, 4]}]},
         "bay.space[0].outline_above"),
        ({"keep_out": [{"name": "none"}]}, "bay.keep_out[0]"),
        ({"keep_out": [{"name": "flat", "box": {"min": [0, 0, 0], "max": [1, 1, 0]}}]}, "bay.keep_out[0].box"),
        ({"keep_out": [{"name": "dot", "cylinder": {"from": [0, 0, 0], "to": [0, 0, 0], "diameter": 4}}]},
         "bay.keep_out[0].cylinder"),
        ({"keep_out": [{"name": "p", "prism": {"outline": [[0, 0], [1, 0], [2, 0]], "z": [0, 4]}}]},
         "bay.keep_out[0].prism.outline"),
    ],
)  # fmt: skip
def test_bad_bays(job_with, tmp_path, bay, place):
    with pytest.raises(JobError) as caught:
        bay_of(job_with(**bay), tmp_path)
    assert place in [p.path for p in caught.value.problems]
