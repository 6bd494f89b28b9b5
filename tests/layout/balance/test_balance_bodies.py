import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial import ConvexHull
from scipy.spatial.transform import Rotation

from layout.balance.bodies import (
    ahead_moments,
    body,
    box_body,
    box_piece,
    convex_body,
    convex_piece,
    cylinder_piece,
    mesh_body,
    moments,
    prism_piece,
    uniform_body,
)
from layout.frames import Extent, Pose, pose_from_rotation

sizes = st.floats(1.0, 2000.0)
places = st.floats(-3000.0, 3000.0)
seeds = st.integers(0, 10_000)


def turned(seed: int, at: tuple[float, float, float]) -> Pose:
    return pose_from_rotation(at, Rotation.random(random_state=seed).as_matrix())


def clipped_hull_volume(points: np.ndarray) -> float:
    """Volume with x > 0 of a convex point set, by another way: keep the points ahead, add where every pair of points crosses
    the plane, take the hull of those."""
    ahead = points[points[:, 0] > 0.0]
    behind = points[points[:, 0] <= 0.0]
    crossings = [a + (b - a) * a[0] / (a[0] - b[0]) for a in ahead for b in behind]
    kept = np.array([*ahead, *crossings])
    if len(kept) < 4 or np.linalg.matrix_rank(kept - kept.mean(axis=0), tol=1e-6) < 3:
        return 0.0
    return float(ConvexHull(kept).volume)


@settings(max_examples=60, deadline=None)
@given(sizes, sizes, sizes, seeds, places)
def test_cut_box_agrees_with_hull_of_clipped_points(a, b, c, seed, x):
    extent = Extent((-a / 2, -b / 2, -c / 2), (a / 2, b / 2, c / 2))
    pose = turned(seed, (x / 4.0, 30.0, -70.0))
    volume, _ = ahead_moments(box_body(extent, pose).pieces[0].triangles_mm)
    assert volume == pytest.approx(clipped_hull_volume(pose.point(extent.corners())), rel=1e-7, abs=1e-6 * a * b * c)


@settings(max_examples=40, deadline=None)
@given(seeds, st.floats(-400.0, 400.0))
def test_two_sides_of_a_cut_make_the_whole(seed, cut):
    piece = box_piece(Extent((-300.0, -40.0, -90.0), (250.0, 60.0, 15.0)), turned(seed, (10.0, -400.0, 333.0)))
    mirrored = piece.triangles_mm[:, ::-1] * np.array([-1.0, 1.0, 1.0])
    whole = moments(piece.triangles_mm)
    ahead, first = ahead_moments(piece.triangles_mm, cut)
    behind, first_behind = ahead_moments(mirrored, -cut)
    assert ahead + behind == pytest.approx(whole.volume_mm3, rel=1e-12)
    assert first + first_behind * np.array([-1.0, 1.0, 1.0]) == pytest.approx(whole.first_mm4, rel=1e-9, abs=1e-3)


def test_plane_through_vertices_and_faces():
    box = box_body(Extent((0.0, 0.0, 0.0), (100.0, 20.0, 30.0)))
    assert ahead_moments(box.pieces[0].triangles_mm)[0] == pytest.approx(60_000.0)
    assert ahead_moments(box.shifted((-100.0, 0.0, 0.0)).pieces[0].triangles_mm)[0] == pytest.approx(0.0, abs=1e-9)
    volume, first = ahead_moments(box.shifted((-75.0, 0.0, 0.0)).pieces[0].triangles_mm)
    assert volume == pytest.approx(15_000.0)
    assert first / volume == pytest.approx([12.5, 10.0, 15.0])


def test_plate_with_hole_and_notch_is_cut_where_its_metal_lies():
    outline = [(0, 0), (200, 0), (200, 100), (120, 100), (120, 40), (80, 40), (80, 100), (0, 100)]
    hole = [(140, 20), (160, 20), (160, 30), (140, 30)]
    piece = prism_piece([outline, hole], 0.0, 3.0, Pose((-100.0, 0.0, 0.0)))
    area = 200 * 100 - 40 * 60 - 20 * 10
    assert moments(piece.triangles_mm).volume_mm3 == pytest.approx(3.0 * area)
    assert ahead_moments(piece.triangles_mm)[0] == pytest.approx(3.0 * (100 * 100 - 20 * 60 - 200))
    reversed_rings = prism_piece([outline[::-1], hole[::-1]], 0.0, 3.0, Pose((-100.0, 0.0, 0.0)))
    assert moments(reversed_rings.triangles_mm).volume_mm3 == pytest.approx(3.0 * area)


def test_round_bar_keeps_the_area_of_its_circle():
    piece = cylinder_piece((-50.0, 10.0, 5.0), (150.0, 10.0, 5.0), 20.0)
    found = moments(piece.triangles_mm)
    assert found.volume_mm3 == pytest.approx(np.pi * 100.0 * 200.0)
    assert found.centroid_mm == pytest.approx([50.0, 10.0, 5.0])
    assert ahead_moments(piece.triangles_mm)[0] / found.volume_mm3 == pytest.approx(0.75)


def test_shares_by_mass_and_by_volume():
    small, large = box_piece(Extent((1.0, 0.0, 0.0), (2.0, 1.0, 1.0))), box_piece(Extent((-4.0, 0.0, 0.0), (-1.0, 1.0, 1.0)))
    assert [p.share for p in uniform_body([small, large]).pieces] == pytest.approx([0.25, 0.75])
    assert [p.share for p in body([small, large]).pieces] == pytest.approx([0.5, 0.5])
    with pytest.raises(ValueError, match="at least one piece"):
        body([])


def test_hull_of_flat_points_is_refused():
    with pytest.raises(ValueError, match="do not lie in one plane"):
        convex_piece([(0, 0, 0), (1, 0, 0), (0, 1, 0), (1, 1, 0)])
    tetrahedron = convex_body([(0, 0, 0), (6, 0, 0), (0, 6, 0), (0, 0, 6)])
    assert moments(tetrahedron.pieces[0].triangles_mm).volume_mm3 == pytest.approx(36.0)


def test_open_and_inverted_meshes_are_refused():
    vertices = np.array([(0, 0, 0), (6, 0, 0), (0, 6, 0), (0, 0, 6)], dtype=float)
    faces = np.array([(0, 2, 1), (0, 1, 3), (0, 3, 2), (1, 2, 3)])
    assert moments(mesh_body(vertices, faces).pieces[0].triangles_mm).volume_mm3 == pytest.approx(36.0)
    with pytest.raises(ValueError, match="open"):
        mesh_body(vertices, faces[:3])
    with pytest.raises(ValueError, match="inward"):
        mesh_body(vertices, faces[:, ::-1])
