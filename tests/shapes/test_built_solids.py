"""Solids from parts: valid, single, with the volume, place and holes that the numbers ask for."""

import math

import pytest

from layout.design.hardware import pieces
from layout.design.mass import volume_moments
from layout.design.parts import Block, Flange, FoldedPlate, Hardware, Plate
from layout.design.profile import Bend, Hole, Profile, rectangle
from layout.errors import DesignError
from layout.frames import Extent, Pose, raked_about_y, turned_about_z
from shapes.build import placed, solid_of
from shapes.hardware import piece_solid
from shapes.measure import distance_mm, extent, is_valid, shared_volume_mm3, solid_count, solidity, volume_mm3
from shapes.openings import round_holes

pytestmark = pytest.mark.cad

QUARTER = math.tan(math.pi / 8)
POSE = turned_about_z(35.0, (100.0, -40.0, 20.0)).then(raked_about_y(20.0))


def bracket(angle=90.0, radius=5.0, pose=POSE):
    holes = (Hole("BR-H1", (20.0, 25.0), 11.0), Hole("BR-H2", (60.0, 25.0), 11.0, slot_mm=8.0, slot_angle_deg=90.0))
    foot = (
        (0.0, 0.0, 0.0), (80.0, 0.0, 0.0), (80.0, 40.0, QUARTER), (70.0, 50.0, 0.0), (10.0, 50.0, QUARTER), (0.0, 40.0, 0.0),
    )  # fmt: skip
    wall = Flange(Profile(foot, (Hole("BR-H3", (40.0, 30.0), 9.0),)), 0, Bend(0, angle, radius, 0.4))
    return FoldedPlate("BR-1", "bracket", "S275", 4.0, Profile(rectangle(80.0, 50.0), holes), (wall,), pose, "bracket")


def test_plate_volume_extent_and_hole_where_the_pose_puts_it():
    plate = Plate("P", "p", "S235", 3.0, Profile(rectangle(100.0, 60.0, corner_mm=8.0), (Hole("h", (30.0, 20.0), 9.0),)), POSE)
    shape = placed(plate)
    assert is_valid(shape)
    assert solid_count(shape) == 1
    assert volume_mm3(shape) == pytest.approx(3.0 * (6000.0 - (4 - math.pi) * 64.0 - math.pi * 20.25), rel=1e-9)
    (hole,) = round_holes(shape)
    assert hole.diameter_mm == pytest.approx(9.0)
    assert hole.depth_mm == pytest.approx(3.0)
    assert hole.middle_mm == pytest.approx(tuple(POSE.point((30.0, 20.0, 1.5))))
    assert abs(sum(a * b for a, b in zip(hole.axis, POSE.axes[2], strict=True))) == pytest.approx(1.0)


@pytest.mark.parametrize("angle", [90.0, -90.0, 30.0, -120.0, 150.0])
@pytest.mark.parametrize("radius", [0.0, 2.0, 6.0])
def test_folded_plate_is_one_valid_solid(angle, radius):
    part = bracket(angle, radius)
    shape = placed(part)
    want = volume_moments(part)
    assert is_valid(shape)
    assert solid_count(shape) == 1
    got = solidity(shape)
    assert got.volume_mm3 == pytest.approx(want.volume_mm3, rel=1e-9)
    assert got.centroid_mm == pytest.approx(want.centroid_mm, abs=1e-6)


def test_holes_of_a_folded_part_lie_where_its_frames_say():
    found = sorted(h.diameter_mm for h in round_holes(solid_of(bracket())))
    assert found == pytest.approx([9.0, 11.0])  # the slot's half rounds are no round hole
    wall = next(h for h in round_holes(solid_of(bracket(pose=Pose()))) if h.diameter_mm < 10.0)
    # own (40, 30) of a flange at 90 degrees: y = 30 becomes height 4 + 5 + 30; metal from -9 to -5 across
    assert wall.middle_mm == pytest.approx((40.0, -7.0, 39.0))
    assert wall.axis == pytest.approx((0.0, 1.0, 0.0))


def test_folded_extents_are_the_outside_dimensions():
    box = extent(solid_of(bracket(pose=Pose())))
    assert box.min_mm == pytest.approx((0.0, -9.0, 0.0), abs=1e-6)
    assert box.max_mm == pytest.approx((80.0, 50.0, 59.0), abs=1e-6)


def test_closed_pan_with_four_flanges_and_a_return():
    n, w, d = 4.0, 200.0, 120.0
    xy = [
        (n, 0),
        (w - n, 0),
        (w - n, n),
        (w, n),
        (w, d - n),
        (w - n, d - n),
        (w - n, d),
        (n, d),
        (n, d - n),
        (0, d - n),
        (0, n),
        (n, n),
    ]
    hung = []
    for e in (0, 3, 6, 9):
        length = math.dist(xy[e], xy[(e + 1) % 12])
        hung.append(Flange(Profile(rectangle(length, 40.0)), 0, Bend(e, 90.0, 2.0, 0.42)))
        hung.append(Flange(Profile(rectangle(length, 15.0)), len(hung), Bend(2, -90.0, 2.0, 0.42)))
    root = Profile(tuple((float(x), float(y), 0.0) for x, y in xy))
    part = FoldedPlate("PAN", "pan", "5754", 2.0, root, tuple(hung), Pose())
    shape = solid_of(part)
    assert is_valid(shape)
    assert solid_count(shape) == 1
    assert volume_mm3(shape) == pytest.approx(volume_moments(part).volume_mm3, rel=1e-9)


@pytest.mark.parametrize("bulges", [(-0.3, 0.2, -0.2, 0.4), (1.0, 0.0, 1.0, 0.0), (0.0, -0.41421356, 0.0, 1.7)])
def test_arcs_either_way_and_cutouts_either_way(bulges):
    corners = ((0.0, 0.0), (200.0, 0.0), (200.0, 120.0), (0.0, 120.0))
    outline = tuple((x, y, b) for (x, y), b in zip(corners, bulges, strict=True))
    inner = rectangle(30.0, 20.0, (80.0, 50.0), 5.0)
    backwards = tuple((x, y, -inner[i - 1][2]) for i, (x, y, _) in reversed(list(enumerate(inner))))
    for cutout in (inner, backwards):
        plate = Plate("P", "p", "S235", 3.0, Profile(outline, (), (cutout,)), Pose())
        assert is_valid(placed(plate))
        assert volume_mm3(placed(plate)) == pytest.approx(volume_moments(plate).volume_mm3, rel=1e-9)


def test_block():
    block = Block("M1", "m", Extent((-1.0, -2.0, -3.0), (4.0, 5.0, 6.0)), Pose((10.0, 0.0, 0.0)))
    assert extent(placed(block)).min_mm == pytest.approx((9.0, -2.0, -3.0), abs=1e-6)
    assert volume_mm3(placed(block)) == pytest.approx(5 * 7 * 9)


@pytest.mark.parametrize("kind", ["hex bolt", "hex screw", "cap screw"])
@pytest.mark.parametrize("size", ["M5", "M8", "M10", "M16"])
def test_fastener_bodies(kind, size):
    bolt = Hardware("B", kind, size, "8.8", 40.0, 12.0, (5.0, 6.0, 7.0), (0.0, 0.6, -0.8), 2, 1)
    shapes = [piece_solid(p) for p in pieces(bolt)]
    assert len(shapes) == 4
    assert all(is_valid(s) and solid_count(s) == 1 for s in shapes)
    assert sum(map(volume_mm3, shapes)) == pytest.approx(volume_moments(bolt).volume_mm3, rel=1e-9)


def test_profiles_that_cannot_be_cut_are_refused():
    with pytest.raises(DesignError, match="P-9"):
        solid_of(Plate("P-9", "p", "S235", 3.0, Profile(rectangle(10.0, 10.0), (Hole("h", (9.0, 5.0), 4.0),)), Pose()))


def test_bodies_without_size_are_refused():
    with pytest.raises(DesignError, match="B-1"):
        solid_of(Block("B-1", "b", Extent((0.0, 0.0, 0.0), (10.0, 0.0, 5.0)), Pose()))
    with pytest.raises(DesignError, match="P-1"):
        solid_of(Plate("P-1", "p", "S235", 0.0, Profile(rectangle(10.0, 10.0)), Pose()))


def test_interference_and_distance():
    a = placed(Block("a", "a", Extent((0.0, 0.0, 0.0), (10.0, 10.0, 10.0)), Pose()))
    b = placed(Block("b", "b", Extent((0.0, 0.0, 0.0), (10.0, 10.0, 10.0)), Pose((8.0, 0.0, 0.0))))
    c = placed(Block("c", "c", Extent((0.0, 0.0, 0.0), (10.0, 10.0, 10.0)), Pose((0.0, 14.0, 0.0))))
    assert shared_volume_mm3(a, b) == pytest.approx(200.0)
    assert shared_volume_mm3(a, c) == 0.0
    assert distance_mm(a, c) == pytest.approx(4.0)
    touching = placed(Block("d", "d", Extent((0.0, 0.0, 0.0), (10.0, 10.0, 10.0)), Pose((10.0, 0.0, 0.0))))
    assert shared_volume_mm3(a, touching) == pytest.approx(0.0, abs=1e-9)
