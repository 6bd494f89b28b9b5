"""Distances of the judge of fit against two kernels that share no code with it.

References: Open CASCADE Technology, BRepExtrema_DistShapeShape (exact minimum distance between boundary
representations, here box and cylinder); manifold3d, Manifold.min_gap (minimum gap between two triangle solids).
"""

import manifold3d
import numpy as np
import pytest

from layout.frames import Extent, Pose, pose_from_rotation
from layout.space.judge import distance_to
from layout.space.obstacle import Obstacle
from layout.space.round_bar import Bar, box_bar_distance
from layout.space.solids import bar_triangles, box_triangles, prism_triangles, to_manifold


@pytest.mark.cad
def test_box_to_cylinder_against_occt():
    from OCP.BRepExtrema import BRepExtrema_DistShapeShape
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeCylinder
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt

    rng = np.random.default_rng(21)
    met = apart = 0
    for _ in range(80):
        start, end = rng.uniform(-80, 80, (2, 3))
        bar = Bar(tuple(start), tuple(end), float(rng.uniform(3, 30)))
        low = rng.uniform(-90, 60, 3)
        high = low + rng.uniform(5, 60, 3)
        axis = gp_Ax2(gp_Pnt(*start), gp_Dir(*bar.direction))
        cylinder = BRepPrimAPI_MakeCylinder(axis, bar.radius_mm, bar.length_mm).Solid()
        box = BRepPrimAPI_MakeBox(gp_Pnt(*low), gp_Pnt(*high)).Solid()
        reference = BRepExtrema_DistShapeShape(box, cylinder).Value()
        got = box_bar_distance(low, high, bar)
        if got == 0.0:
            met += 1
            assert reference < 1e-6
        else:
            apart += 1
            assert got == pytest.approx(reference, abs=1e-6)
    assert met > 8
    assert apart > 30


def random_pose(rng) -> Pose:
    q, r = np.linalg.qr(rng.normal(size=(3, 3)))
    q = q * np.sign(np.diag(r))
    if np.linalg.det(q) < 0:
        q[:, 0] *= -1
    return pose_from_rotation(rng.uniform(-110, 110, 3), q)


def shapes() -> dict[str, np.ndarray]:
    ell = [(0, 0), (120, 0), (120, 40), (50, 40), (50, 110), (0, 110)]
    taper_low, taper_high = [(0, 0), (100, 0), (80, 90), (0, 70)], [(20, 10), (70, 5), (60, 60), (15, 60)]
    return {
        "box": box_triangles(Extent((-40, -30, -20), (40, 30, 20))),
        "L prism": prism_triangles(ell, ell, (-30, 60)),
        "tapered prism": prism_triangles(taper_low, taper_high, (0, 80)),
        "twelve-sided bar": bar_triangles(Bar((-60, 0, 0), (60, 30, 20), 25.0), 12, around=True),
    }


@pytest.mark.parametrize("name", list(shapes()))
def test_turned_box_to_solids_against_manifold3d(name):
    triangles = shapes()[name]
    solid = to_manifold(triangles)
    assert solid.status() == manifold3d.Error.NoError
    obstacle = Obstacle(name, triangles, solid=True)
    rng = np.random.default_rng(len(name))
    met = apart = 0
    for _ in range(90):
        size = rng.uniform(5, 80, 3)
        body, pose = Extent(tuple(-size / 2), tuple(size / 2)), random_pose(rng)
        own = to_manifold(pose.point(box_triangles(body)))
        overlap = (own ^ solid).volume()
        got, _ = distance_to(obstacle, body, pose, 1000.0)
        if overlap > 1e-6:
            met += 1
            assert got == 0.0
        else:
            apart += 1
            assert got == pytest.approx(own.min_gap(solid, 1000.0), abs=1e-6)
    assert met > 3
    assert apart > 20
