"""Free space against outside references: volumes by manifold3d, points by shapely and by trimesh's ray test.

manifold3d: boolean of solids; shapely: point in polygon on the plan outlines as given; trimesh: parity of rays.
"""


import manifold3d
import numpy as np
import pytest
import shapely
import trimesh

from layout.frames import Extent, turned_about_z
from layout.job.bay import Space
from layout.space.bay import walls_of
from layout.space.cells import Lines
from layout.space.grid import may_be_free, surely_free
from layout.space.judge import inside_free_space, is_in_space
from layout.space.model import Bay
from layout.space.obstacle import Obstacle
from layout.space.parts import labelled
from layout.space.round_bar import Bar
from layout.space.solids import bar_triangles, box_triangles, to_manifold

LOWER = [[-330, -345], [395, -345], [395, 345], [-330, 345]]
UPPER = [[-430, -360], [395, -360], [470, -220], [470, 220], [395, 360], [-430, 360]]
ABOVE = [[-430, -300], [350, -300], [400, -620 / 3], [400, 620 / 3], [350, 300], [-430, 300]]  # every edge parallel to UPPER's
BLOCK = Extent((-430, -170, 330), (-250, 170, 600))
SHAFT = Bar((-430, 285, 610), (120, 330, 400), 19.0)


def stepped_bay(tapered: bool = False) -> Bay:
    lower = Space(outline=LOWER, z=(330, 560))
    upper = Space(outline=UPPER, outline_above=ABOVE if tapered else None, z=(560, 830))
    spaces = (lower, upper)
    keep_outs = (
        Obstacle("block", box_triangles(BLOCK), solid=True),
        Obstacle("shaft", bar_triangles(SHAFT, 32, around=True), solid=True, bar=SHAFT),
    )
    extent = Extent((-430, -360, 330), (470, 360, 830))
    return Bay(walls_of(spaces), keep_outs, None, (), extent, 0.0, ("+z",), spaces)


def hull(low, high, z0, z1):
    points = [(*p, z0) for p in low] + [(*p, z1) for p in high]
    return manifold3d.Manifold.hull_points(np.array(points, dtype=float))


def reference_solid(tapered: bool) -> manifold3d.Manifold:
    """The same bay from convex hulls (all its prisms are convex) and the reference library's own cylinder."""
    lower, upper = hull(LOWER, LOWER, 330, 560), hull(UPPER, ABOVE if tapered else UPPER, 560, 830)
    overlap = hull(LOWER, LOWER, 559, 561)  # a weld over the interface, inside of both
    block = manifold3d.Manifold.cube((180, 340, 270)).translate((-430, -170, 330))
    bar = to_manifold(bar_triangles(SHAFT, 720, around=True))
    return lower + upper + overlap - block - bar


@pytest.mark.parametrize("tapered", [False, True])
def test_cell_volumes_bracket_the_true_volume(tapered):
    bay, true = stepped_bay(tapered), reference_solid(tapered).volume()
    frame = turned_about_z(0.0)
    lines = Lines(np.linspace(-430, 470, 61), np.linspace(-360, 360, 49), np.linspace(330, 830, 38))
    inner = sum(labelled(surely_free(bay, frame, lines, 0.0), lines).volumes_mm3)
    outer = sum(labelled(may_be_free(bay, frame, lines, 0.0), lines).volumes_mm3)
    assert inner <= true <= outer
    assert outer - inner < 0.22 * true


def test_judge_without_clearance_against_boolean_volume():
    """A body lies in the free space just when the boolean of body less free space leaves nothing."""
    bay, solid = stepped_bay(tapered=True), reference_solid(tapered=True)
    rng = np.random.default_rng(12)
    seen = {True: 0, False: 0}
    for _ in range(120):
        size = rng.uniform(20, 220, 3)
        pose = turned_about_z(float(rng.uniform(-30, 30)), rng.uniform((-350, -300, 380), (400, 300, 780)))
        body = Extent(tuple(-size / 2), tuple(size / 2))
        left_over = (to_manifold(pose.point(box_triangles(body))) - solid).volume()
        if 0.0 < left_over < 1.0:
            continue
        fits = not inside_free_space(bay, body, pose, 0.0)
        assert fits == (left_over == 0.0)
        seen[fits] += 1
    assert min(seen.values()) > 15


def test_clearance_against_a_rounded_body():
    """Clearance c holds just when the body rounded by c (hull of balls at its corners) lies in the free space."""
    bay, solid = stepped_bay(), reference_solid(False)
    ball = manifold3d.Manifold.sphere(15.0, 96)
    rng = np.random.default_rng(14)
    seen = {True: 0, False: 0}
    for _ in range(60):
        size = rng.uniform(20, 200, 3)
        pose = turned_about_z(float(rng.uniform(-30, 30)), rng.uniform((-300, -250, 400), (350, 250, 740)))
        body = Extent(tuple(-size / 2), tuple(size / 2))
        rounded = manifold3d.Manifold.batch_hull([ball.translate(tuple(p)) for p in pose.point(body.corners())])
        sticks_out = (rounded - solid).volume() > 0.0
        surely = not inside_free_space(bay, body, pose, 15.0)
        nearly = not inside_free_space(bay, body, pose, 14.9)  # the many-sided ball lies within the round one
        assert not (surely and sticks_out)
        assert not (not nearly and not sticks_out)
        seen[surely] += 1
    assert min(seen.values()) > 5


def test_points_in_the_space_against_shapely():
    bay = stepped_bay()
    lower, upper = shapely.Polygon(LOWER), shapely.Polygon(UPPER)
    rng = np.random.default_rng(2)
    for x, y, z in rng.uniform((-500, -400, 300), (520, 400, 860), (400, 3)):
        plan = lower if z < 560 else upper
        assert is_in_space(bay, (x, y, z)) == (330 < z < 830 and plan.contains(shapely.Point(x, y)))


def test_union_boundary_is_a_closed_surface_for_trimesh():
    bay = stepped_bay(tapered=True)
    corners, index = np.unique(bay.wall_triangles.reshape(-1, 3), axis=0, return_inverse=True)
    mesh = trimesh.Trimesh(corners, index.reshape(-1, 3), process=False)
    assert mesh.is_watertight
    expected = (hull(LOWER, LOWER, 330, 560).volume() + hull(UPPER, ABOVE, 560, 830).volume())
    assert mesh.volume == pytest.approx(expected, rel=1e-8)
    rng = np.random.default_rng(3)
    points = rng.uniform((-500, -400, 300), (520, 400, 860), (300, 3))
    np.testing.assert_array_equal(mesh.contains(points), [is_in_space(bay, tuple(p)) for p in points])


def test_twisted_prism_lies_within_the_ruled_one():
    """Volume of the ruled solid by the prismoid of its sections (outline at each height joined straight), from above."""
    low, shift = np.array(LOWER, float), np.array([[40, 10], [-60, 30], [0, -80], [30, 0]], float)
    high = low + shift
    walls = walls_of((Space(outline=low.tolist(), outline_above=high.tolist(), z=(0, 300)),))
    volume = to_manifold(np.concatenate([w.triangles for w in walls])).volume()
    t = np.linspace(0.0, 1.0, 401)
    areas = [shapely.Polygon(low + s * (high - low)).area for s in t]
    ruled = float(np.trapezoid(areas, 300 * t))
    assert 0.97 * ruled < volume < ruled
