"""Mass properties from profiles: closed forms, superposition, frames."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.design.mass import STEEL_KG_M3, body_mass, volume_moments
from layout.design.parts import Block, Flange, FoldedPlate, Hardware, Plate
from layout.design.profile import Bend, Hole, Profile, rectangle
from layout.errors import DesignError
from layout.frames import Extent, Pose, pose_from_rotation, raked_about_y, turned_about_z


def density(_name):
    return 7850.0


def rotation(yaw, rake):
    return turned_about_z(yaw).then(raked_about_y(rake)).matrix


def test_block_against_closed_form():
    block = Block("M1", "module", Extent((0.0, 0.0, 0.0), (392.0, 151.0, 108.0)), Pose((10.0, 20.0, 30.0)), mass_kg=12.4)
    body = body_mass(block)
    assert body.centroid_mm == pytest.approx((206.0, 95.5, 84.0))
    want = [12.4 / 12 * (151**2 + 108**2), 12.4 / 12 * (392**2 + 108**2), 12.4 / 12 * (392**2 + 151**2)]
    assert np.diag(body.inertia_kgmm2) == pytest.approx(want)


def test_stated_centroid_of_a_block_moves_with_its_pose():
    block = Block(
        "M1",
        "m",
        Extent((0.0, 0.0, 0.0), (2.0, 2.0, 2.0)),
        turned_about_z(90.0, (5.0, 0.0, 0.0)),
        mass_kg=1.0,
        centroid_mm=(1.5, 1.0, 1.0),
    )
    assert body_mass(block).centroid_mm == pytest.approx((4.0, 1.5, 1.0))


def test_plate_with_hole_is_plate_less_disc():
    plate = Plate("P", "p", "S235", 4.0, Profile(rectangle(100.0, 60.0), (Hole("h", (30.0, 20.0), 12.0),)), Pose())
    body = body_mass(plate, density)
    full, disc = 100 * 60 * 4.0, math.pi * 36 * 4.0
    assert body.volume_mm3 == pytest.approx(full - disc)
    assert body.mass_kg == pytest.approx((full - disc) * 7850e-9)
    assert body.centroid_mm[0] == pytest.approx((full * 50 - disc * 30) / (full - disc))


def test_mass_without_material_is_refused():
    block = Block("L1", "liner", Extent((0.0, 0.0, 0.0), (1.0, 1.0, 1.0)), Pose())
    with pytest.raises(DesignError, match="not known"):
        body_mass(block)


def test_density_comes_from_the_tables_when_none_is_given():
    plate = Plate("P", "p", "S235", 2.0, Profile(rectangle(100.0, 100.0)), Pose())
    assert body_mass(plate).mass_kg == pytest.approx(0.157)


@settings(deadline=None)
@given(st.floats(-180, 180), st.floats(-180, 180), st.tuples(*[st.floats(-2000, 2000)] * 3))
def test_moving_a_part_turns_its_inertia_and_keeps_its_mass(yaw, rake, at):
    hung = Flange(Profile(rectangle(80.0, 30.0)), 0, Bend(0, 70.0, 4.0, 0.4))
    part = FoldedPlate("F", "f", "S235", 3.0, Profile(rectangle(80.0, 50.0)), (hung,), Pose())
    r = rotation(yaw, rake)
    pose = pose_from_rotation(at, r)
    still = body_mass(part, density)
    moved = body_mass(FoldedPlate(**{**part.__dict__, "pose": pose}), density)
    assert moved.mass_kg == pytest.approx(still.mass_kg, rel=1e-12)
    assert moved.centroid_mm == pytest.approx(tuple(pose.point(still.centroid_mm)), abs=1e-8)
    assert np.allclose(moved.inertia_kgmm2, r @ np.array(still.inertia_kgmm2) @ r.T, atol=1e-5)


def test_bodies_add_like_one_body():
    left = Block("a", "a", Extent((0.0, 0.0, 0.0), (40.0, 30.0, 20.0)), Pose(), mass_kg=2.0)
    right = Block("b", "b", Extent((40.0, 0.0, 0.0), (100.0, 30.0, 20.0)), Pose(), mass_kg=3.0)
    whole = body_mass(Block("c", "c", Extent((0.0, 0.0, 0.0), (100.0, 30.0, 20.0)), Pose(), mass_kg=5.0))
    both = body_mass(left) + body_mass(right)
    assert both.centroid_mm == pytest.approx(whole.centroid_mm)
    assert np.allclose(both.inertia_kgmm2, whole.inertia_kgmm2)


def test_bolt_with_washers_and_nut():
    """M10 x 30: hexagon 16 across flats 6.4 high, shank 10, washers 20/10.5 x 2, nut 16 x 8.4 bored 10."""
    bolt = Hardware("B", "hex bolt", "M10", "8.8", 30.0, 10.0, (0.0, 0.0, 0.0), (0.0, 0.0, -1.0), 2, 1)
    hexagon = math.sqrt(3) / 2 * 16**2
    want = hexagon * 6.4 + math.pi * 25 * 30 + 2 * math.pi * (100 - 5.25**2) * 2 + (hexagon - math.pi * 25) * 8.4
    body = body_mass(bolt)
    assert body.volume_mm3 == pytest.approx(want)
    assert body.mass_kg == pytest.approx(want * STEEL_KG_M3 * 1e-9)
    assert body.centroid_mm[2] < 0.0


def test_unknown_size_is_refused():
    bolt = Hardware("B", "hex bolt", "M11", "8.8", 30.0, 10.0, (0.0, 0.0, 0.0), (0.0, 0.0, -1.0))
    with pytest.raises(DesignError, match="M11"):
        volume_moments(bolt)
