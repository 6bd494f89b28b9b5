"""Folded parts against mechanics and against a CAD kernel that integrates the finished solid.

Reference 1, geometry: a bend of angle a, width w and inside radius Ri holds w a t (Ri + t/2) of metal (Pappus: section times
the path of its centroid), its flat w a t (Ri + K t); so the folded volume exceeds flat area times thickness by the sum of
a t^2 (0.5 - K) w over the bends.
Reference 2, Open CASCADE (BRepGProp) on the sewn solid: volume, centroid and inertia, within 1e-6 of those taken from the
profiles alone.
"""

import math

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from layout.design.flat import develop
from layout.design.mass import body_mass, volume_moments
from layout.design.moments import profile_moments
from layout.design.parts import Assembly, Flange, FoldedPlate, Hardware, Plate
from layout.design.profile import Bend, Hole, Profile, rectangle
from layout.frames import raked_about_y, turned_about_z
from shapes.assembly import tree_of
from shapes.build import located, placed
from shapes.measure import is_valid, solid_count, solidity

QUARTER = math.tan(math.pi / 8)


@st.composite
def bends(draw, edge):
    angle = draw(st.sampled_from([90.0, 90.0, 45.0, 30.0, 120.0, 77.3])) * draw(st.sampled_from([1.0, -1.0]))
    return Bend(edge, angle, draw(st.floats(0.5, 8.0)), draw(st.floats(0.25, 0.5)))


@st.composite
def folded_parts(draw):
    """A plate with notched corners, flanges on some edges, returns on some of those, holes, slots, rounded corners."""
    t = draw(st.floats(1.0, 6.0))
    w, d, n = draw(st.floats(120.0, 400.0)), draw(st.floats(120.0, 300.0)), draw(st.floats(8.0, 20.0))
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
    holes = (
        Hole("a", (w / 2, d / 2), draw(st.floats(5.0, 30.0)), "", draw(st.sampled_from([0.0, 12.0])), draw(st.floats(0, 180))),
    )
    hung: list[Flange] = []
    for edge in draw(st.lists(st.sampled_from([0, 3, 6, 9]), min_size=1, max_size=4, unique=True)):
        length = math.dist(xy[edge], xy[(edge + 1) % 12])
        depth = draw(st.floats(20.0, 90.0))
        hole = (Hole(f"f{edge}", (length / 3, depth / 2), 8.0),)
        if draw(st.booleans()):
            hung.append(Flange(Profile(rectangle(length, depth), hole), 0, draw(bends(edge))))
            parent = len(hung)
            if draw(st.booleans()):
                hung.append(Flange(Profile(rectangle(length, draw(st.floats(12.0, 40.0)))), parent, draw(bends(2))))
        else:
            r = 10.0
            outline = (
                (0.0, 0.0, 0.0),
                (length, 0.0, 0.0),
                (length, depth - r, QUARTER),
                (length - r, depth, 0.0),
                (r, depth, QUARTER),
                (0.0, depth - r, 0.0),
            )
            hung.append(Flange(Profile(outline, hole), 0, draw(bends(edge))))
    pose = turned_about_z(draw(st.floats(-180, 180)), (300.0, -200.0, 500.0)).then(raked_about_y(draw(st.floats(-90, 90))))
    root = Profile(tuple((float(x), float(y), 0.0) for x, y in xy), holes)
    return FoldedPlate("F-1", "folded", "S235", t, root, tuple(hung), pose)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(folded_parts())
def test_folded_volume_less_flat_volume_is_what_the_neutral_line_says(part):
    flat = develop(part)
    t = part.thickness_mm
    excess = volume_moments(part).volume_mm3 - profile_moments(flat.profile).area_mm2 * t
    want = sum(math.radians(b.angle_deg) * t * t * (0.5 - b.k_factor) * b.length_mm for b in flat.bend_lines)
    assert excess == pytest.approx(want, rel=1e-9, abs=1e-6)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(folded_parts())
def test_solid_agrees_with_profiles(part):
    shape = placed(part)
    assert is_valid(shape)
    assert solid_count(shape) == 1
    got, want = solidity(shape), body_mass(part, lambda _: 1e9)
    assert got.volume_mm3 == pytest.approx(want.volume_mm3, rel=1e-6)
    assert got.centroid_mm == pytest.approx(want.centroid_mm, abs=1e-4)
    assert np.allclose(got.inertia_mm5, want.inertia_kgmm2, rtol=0.0, atol=1e-6 * np.trace(want.inertia_kgmm2))
    flat, t = develop(part), part.thickness_mm
    excess = got.volume_mm3 - profile_moments(flat.profile).area_mm2 * t
    bend = sum(math.radians(b.angle_deg) * t * t * (0.5 - b.k_factor) * b.length_mm for b in flat.bend_lines)
    assert excess == pytest.approx(bend, abs=1e-6 * got.volume_mm3)


@settings(max_examples=25, deadline=None)
@given(
    st.floats(60.0, 500.0),
    st.floats(60.0, 500.0),
    st.sampled_from([0.0, 0.3, 6.0, 25.0]),
    st.floats(1.0, 12.0),
    st.floats(3.0, 20.0),
    st.sampled_from([0.0, 0.2, 10.0]),
    st.floats(0.0, 360.0),
)
def test_plates_agree_with_profiles(w, h, corner, t, hole, slot, angle):
    holes = (Hole("a", (w / 2, h / 2), hole, "", slot, angle),)
    plate = Plate(
        "P", "p", "S235", t, Profile(rectangle(w, h, (3.0, -8.0), corner), holes), turned_about_z(angle, (5.0, 6.0, 7.0))
    )
    got, want = solidity(placed(plate)), body_mass(plate, lambda _: 1e9)
    assert got.volume_mm3 == pytest.approx(want.volume_mm3, rel=1e-6)
    assert got.centroid_mm == pytest.approx(want.centroid_mm, abs=1e-5)
    assert np.allclose(got.inertia_mm5, want.inertia_kgmm2, rtol=0.0, atol=1e-6 * np.trace(want.inertia_kgmm2))


@pytest.mark.parametrize("kind", ["hex bolt", "cap screw"])
@pytest.mark.parametrize("axis", [(0.0, 0.0, -1.0), (1.0, 0.0, 0.0), (0.48, -0.6, 0.64)])
def test_fasteners_agree_with_their_sections(kind, axis):
    bolt = Hardware("B", kind, "M10", "8.8", 35.0, 12.0, (10.0, 20.0, 30.0), axis, 2, 1)
    leaves = list(tree_of(Assembly("a", (), (bolt,))).all_leaves())
    bodies = [solidity(located(leaf.product.solid, pose)) for leaf, pose in leaves]
    volume = sum(b.volume_mm3 for b in bodies)
    centroid = sum(np.array(b.centroid_mm) * b.volume_mm3 for b in bodies) / volume
    want = body_mass(bolt)
    assert volume == pytest.approx(want.volume_mm3, rel=1e-6)
    assert tuple(centroid) == pytest.approx(want.centroid_mm, abs=1e-6)
