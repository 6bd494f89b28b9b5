"""Mass properties and the cut at the axle plane against handbook formulas, independent mesh libraries and the CAD kernel.

Sources: moments of inertia of solids as in machine design handbooks (from memory; the same code meets trimesh, an independent
library, below); the cube about its corner and its principal moments 1/6, 11/12, 11/12 of m b^2 from a classical mechanics
text (Marion and Thornton, Classical Dynamics, chapter 11, from memory). Volumes ahead of a plane: the manifold3d library.
"""

import math

import manifold3d
import numpy as np
import pytest
import trimesh
from scipy.spatial.transform import Rotation

from layout.balance.bodies import Body, Piece, ahead_moments, box_body, convex_body, cylinder_piece, mesh_body, prism_piece
from layout.balance.items import MassItem, ahead_of_axle, body_item, total
from layout.frames import Extent, Pose, pose_from_rotation


def diagonal(item: MassItem) -> list[float]:
    return [item.inertia_kgmm2[k][k] for k in range(3)]


def part_ahead(mesh: trimesh.Trimesh) -> trimesh.Trimesh:
    """The part of a mesh with x > 0, cut and closed by manifold3d."""
    whole = manifold3d.Manifold(manifold3d.Mesh64(np.asarray(mesh.vertices), np.asarray(mesh.faces, dtype=np.uint64)))
    cut = whole.trim_by_plane((1.0, 0.0, 0.0), 0.0).to_mesh64()
    return trimesh.Trimesh(cut.vert_properties[:, :3], cut.tri_verts)


def test_box_cylinder_tube_and_cone_of_handbooks():
    m = 7.0
    box = body_item("box", box_body(Extent((-30, -20, -10), (30, 20, 10))), weighed_kg=m)
    assert diagonal(box) == pytest.approx([m / 12 * (40**2 + 20**2), m / 12 * (60**2 + 20**2), m / 12 * (60**2 + 40**2)])
    r, h = 25.0, 80.0
    bar = Body((cylinder_piece((0, 0, 0), (0, 0, h), 2 * r, sides=720),))
    rod = body_item("rod", bar, weighed_kg=m)
    assert diagonal(rod) == pytest.approx([m / 12 * (3 * r**2 + h**2)] * 2 + [m / 2 * r**2], rel=1e-4)
    angles = np.linspace(0.0, 2.0 * np.pi, 720, endpoint=False)
    circle = np.column_stack([np.cos(angles), np.sin(angles)])
    tube = body_item("tube", Body((prism_piece([30.0 * circle, 20.0 * circle], 0.0, h, Pose()),)), weighed_kg=m)
    assert diagonal(tube)[2] == pytest.approx(m / 2 * (30**2 + 20**2), rel=1e-4)
    cone = body_item("cone", convex_body([*np.column_stack([r * circle, np.zeros(720)]), (0.0, 0.0, h)]), weighed_kg=m)
    assert cone.centroid_mm == pytest.approx((0.0, 0.0, h / 4), abs=1e-9)
    assert diagonal(cone) == pytest.approx([3 * m / 80 * (4 * r**2 + h**2)] * 2 + [0.3 * m * r**2], rel=1e-4)


def test_cube_about_its_corner():
    item = body_item("cube", box_body(Extent((0, 0, 0), (1, 1, 1))), weighed_kg=1.0)
    far = MassItem("anchor", 1e12, (0.0, 0.0, 0.0))  # moves the common centroid to the corner
    about_corner = np.array(
        total([body_item("cube", box_body(Extent((0, 0, 0), (1, 1, 1))), weighed_kg=1.0), far]).inertia_kgmm2
    )
    assert about_corner[0, 0] == pytest.approx(2 / 3)
    assert about_corner[0, 1] == pytest.approx(-1 / 4)
    assert np.linalg.eigvalsh(about_corner) == pytest.approx([1 / 6, 11 / 12, 11 / 12])
    assert total([item]).principal_kgmm2 == pytest.approx((1 / 6, 1 / 6, 1 / 6))


@pytest.mark.parametrize("seed", range(8))
def test_meshes_against_trimesh(seed):
    """Volume, centroid, inertia and the volume ahead of x = 0 of hulls, tubes and tori, turned anyhow."""
    rng = np.random.default_rng(seed)
    solids = [
        trimesh.convex.convex_hull(rng.normal(size=(40, 3)) * [300.0, 120.0, 60.0]),
        trimesh.creation.annulus(r_min=30.0, r_max=80.0, height=120.0),
        trimesh.creation.torus(major_radius=150.0, minor_radius=35.0),
    ]
    for mesh in solids:
        mesh.apply_transform(trimesh.transformations.random_rotation_matrix(rng.random(3)))
        mesh.apply_translation([rng.uniform(-60.0, 60.0), 400.0, -300.0])
        body = mesh_body(mesh.vertices, mesh.faces)
        item = body_item("solid", body, weighed_kg=12.0)
        mesh.density = 12.0 / mesh.volume
        assert item.centroid_mm == pytest.approx(mesh.center_mass, abs=1e-6)
        assert np.array(item.inertia_kgmm2) == pytest.approx(mesh.moment_inertia, rel=1e-7, abs=1e-3)
        volume, first = ahead_moments(body.pieces[0].triangles_mm)
        ahead = part_ahead(mesh)
        assert volume == pytest.approx(ahead.volume, rel=1e-7)
        assert first / volume == pytest.approx(ahead.center_mass, abs=1e-4)


def test_sphere_cap_ahead_of_the_plane():
    """Cap of height h of a sphere: pi h^2 (3 R - h) / 3 (solid geometry)."""
    sphere = trimesh.creation.icosphere(subdivisions=5, radius=100.0)
    body = mesh_body(sphere.vertices, sphere.faces).shifted((-40.0, 0.0, 0.0))
    item = body_item("ball", body, weighed_kg=1.0)
    expected = math.pi * 60.0**2 * (300.0 - 60.0) / 3.0 / (4.0 / 3.0 * math.pi * 100.0**3)
    assert ahead_of_axle([item]).share == pytest.approx(expected, rel=2e-3)


@pytest.mark.cad
@pytest.mark.slow
def test_turned_box_cut_by_the_cad_kernel():
    """Volume and centroid ahead of x = 0, and the tensor of inertia, of a turned box from the CAD kernel's boolean cut.

    The kernel's matrix of inertia has the products with a minus sign too, so it is compared as it stands.
    """
    cadquery = pytest.importorskip("cadquery")
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    rotation = Rotation.from_rotvec(np.radians(37.0) * np.array([1.0, -2.0, 0.5]) / np.linalg.norm([1.0, -2.0, 0.5]))
    pose = pose_from_rotation((35.0, 60.0, -20.0), rotation.as_matrix())
    axis = cadquery.Vector(1.0, -2.0, 0.5)
    solid = cadquery.Workplane().box(392, 151, 108).val().rotate(cadquery.Vector(), axis, 37.0).translate((35, 60, -20))
    ahead = solid.intersect(cadquery.Workplane().box(4000, 4000, 4000).translate((2000, 0, 0)).val())
    body = box_body(Extent((-196, -75.5, -54), (196, 75.5, 54)), pose)
    volume, first = ahead_moments(body.pieces[0].triangles_mm)
    assert volume == pytest.approx(ahead.Volume(), rel=1e-9)
    assert first / volume == pytest.approx(ahead.Center().toTuple(), abs=1e-6)
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(solid.wrapped, props)
    matrix = props.MatrixOfInertia()
    kernel = np.array([[matrix.Value(i + 1, j + 1) for j in range(3)] for i in range(3)]) / props.Mass()
    item = body_item("box", body, weighed_kg=1.0)
    assert np.array(item.inertia_kgmm2) == pytest.approx(kernel, rel=1e-7, abs=1e-4)


def test_signed_fans_agree_with_a_triangulated_plate():
    """A plate with a slot and a bight, by its rings alone, against the same plate triangulated and drawn out by trimesh."""
    from shapely.geometry import Polygon

    outline = [(0, 0), (260, 0), (260, 60), (180, 60), (180, 110), (260, 110), (260, 170), (0, 170)]
    slot = [(30, 30), (90, 30), (90, 120), (60, 140), (30, 120)]
    pose = pose_from_rotation((-110.0, 20.0, 300.0), Rotation.from_euler("zyx", [25.0, -10.0, 70.0], degrees=True).as_matrix())
    piece = prism_piece([outline, slot], 0.0, 4.0, pose)
    mesh = trimesh.creation.extrude_polygon(Polygon(outline, [slot]), 4.0)
    mesh.apply_transform(np.block([[pose.matrix, np.array(pose.origin_mm)[:, None]], [np.zeros((1, 3)), np.ones((1, 1))]]))
    assert ahead_moments(piece.triangles_mm)[0] == pytest.approx(part_ahead(mesh).volume, rel=1e-7)
    item = body_item("plate", Body((Piece(piece.triangles_mm),)), weighed_kg=1.0)
    mesh.density = 1.0 / mesh.volume
    assert np.array(item.inertia_kgmm2) == pytest.approx(mesh.moment_inertia, rel=1e-6, abs=1e-3)
