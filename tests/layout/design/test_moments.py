"""Area integrals: closed forms, and invariance under moving and turning."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.design.geometry import cut_length_mm, loop_extent_mm, loop_length_mm, polygon, slot_loop, turned
from layout.design.moments import hole_moments, loop_moments, profile_moments
from layout.design.profile import Hole, Profile, rectangle

lengths = st.floats(1.0, 2000.0)
angles = st.floats(0.0, 2.0 * math.pi)
shifts = st.tuples(st.floats(-3000.0, 3000.0), st.floats(-3000.0, 3000.0))


@settings(deadline=None)
@given(lengths, lengths, shifts)
def test_rectangle(w, h, at):
    m = loop_moments(rectangle(w, h, at))
    assert m.area_mm2 == pytest.approx(w * h, rel=1e-12)
    assert m.centroid_mm == pytest.approx((at[0] + w / 2, at[1] + h / 2), rel=1e-9, abs=1e-9)
    own = loop_moments(rectangle(w, h)).about_centroid
    assert own.xx_mm4 == pytest.approx(h * w**3 / 12, rel=1e-9)
    assert own.yy_mm4 == pytest.approx(w * h**3 / 12, rel=1e-9)
    assert own.xy_mm4 == pytest.approx(0.0, abs=1e-9 * w * w * h * h)


@settings(deadline=None)
@given(st.floats(0.5, 500.0))
def test_circle_as_two_half_arcs(r):
    m = loop_moments(((r, 0.0, 1.0), (-r, 0.0, 1.0)))
    assert m.area_mm2 == pytest.approx(math.pi * r * r, rel=1e-12)
    assert m.xx_mm4 == pytest.approx(math.pi * r**4 / 4, rel=1e-12)
    assert m.yy_mm4 == pytest.approx(math.pi * r**4 / 4, rel=1e-12)


@settings(deadline=None)
@given(st.floats(1e-7, 20.0), st.floats(1.0, 500.0))
def test_circular_segment_between_arc_and_chord(bulge, chord):
    """Area R^2/2 (theta - sin theta); by series where the arc is so shallow that the closed form loses its digits."""
    m = loop_moments(((chord / 2, 0.0, bulge), (-chord / 2, 0.0, 0.0)))
    theta = 4.0 * math.atan(bulge)
    radius = chord * (1 + bulge * bulge) / (4 * bulge)
    area = (
        radius**2 / 2 * (theta - math.sin(theta))
        if bulge > 0.01
        else radius**2 / 2 * (theta**3 / 6 - theta**5 / 120 + theta**7 / 5040)
    )
    assert m.area_mm2 == pytest.approx(area, rel=1e-9)
    assert m.x_mm3 == pytest.approx(0.0, abs=1e-9 * area * chord)


@settings(deadline=None)
@given(st.floats(2.0, 40.0), st.floats(0.5, 80.0), st.floats(-180.0, 180.0), shifts)
def test_slot_closed_form_agrees_with_its_outline(d, s, angle, at):
    hole = Hole("s", at, d, slot_mm=s, slot_angle_deg=angle)
    closed, outline = hole_moments(hole), loop_moments(slot_loop(hole))
    size = closed.area_mm2 * (max(map(abs, at)) + d + s) ** 2
    assert closed.area_mm2 == pytest.approx(outline.area_mm2, rel=1e-10)
    for name in ("xx_mm4", "yy_mm4", "xy_mm4"):
        assert getattr(closed, name) == pytest.approx(getattr(outline, name), abs=1e-10 * size)


@settings(max_examples=60, deadline=None)
@given(st.floats(30.0, 300.0), st.floats(30.0, 300.0), st.floats(0.0, 14.0), angles, shifts)
def test_turning_keeps_area_length_and_the_sum_of_second_moments(w, h, corner, angle, at):
    loop = rectangle(w, h, (0.0, 0.0), corner)
    moved = turned(loop, (math.cos(angle), math.sin(angle)), at)
    a, b = loop_moments(loop).about_centroid, loop_moments(moved).about_centroid
    assert b.area_mm2 == pytest.approx(a.area_mm2, rel=1e-9)
    assert loop_length_mm(moved) == pytest.approx(loop_length_mm(loop), rel=1e-9)
    assert b.xx_mm4 + b.yy_mm4 == pytest.approx(a.xx_mm4 + a.yy_mm4, rel=1e-6)


def test_profile_takes_off_holes_slots_and_cutouts_whichever_way_they_run():
    cutout = rectangle(10.0, 20.0, (60.0, 10.0))
    holes = (Hole("a", (20.0, 20.0), 8.0), Hole("b", (40.0, 30.0), 6.0, slot_mm=10.0, slot_angle_deg=90.0))
    want = 5000.0 - 16.0 * math.pi - (9.0 * math.pi + 60.0) - 200.0
    backwards = tuple((x, y, 0.0) for x, y, _ in reversed(cutout))
    for loop in (cutout, backwards):
        assert profile_moments(Profile(rectangle(100.0, 50.0), holes, (loop,))).area_mm2 == pytest.approx(want, rel=1e-12)
    length = cut_length_mm(Profile(rectangle(100.0, 50.0), holes, (cutout,)))
    assert length == pytest.approx(300.0 + 8.0 * math.pi + 6.0 * math.pi + 20.0 + 60.0, rel=1e-12)


def test_extent_reaches_the_outermost_point_of_arcs():
    loop = ((10.0, 0.0, 1.0), (-10.0, 0.0, 1.0))
    assert loop_extent_mm(loop) == pytest.approx((-10.0, -10.0, 10.0, 10.0), abs=1e-12)
    quarter = ((0.0, 0.0, 0.0), (10.0, 0.0, math.tan(math.pi / 8)), (0.0, 10.0, 0.0))
    assert loop_extent_mm(quarter) == pytest.approx((0.0, 0.0, 10.0, 10.0), abs=1e-12)


@settings(max_examples=40, deadline=None)
@given(st.lists(st.floats(-1.5, 1.5), min_size=4, max_size=4), angles)
def test_extent_agrees_with_a_fine_polygon(bulges, angle):
    corners = turned(rectangle(100.0, 80.0), (math.cos(angle), math.sin(angle)), (0.0, 0.0))
    loop = tuple((x, y, b) for (x, y, _), b in zip(corners, bulges, strict=True))
    fine = polygon(Profile(loop), 1e-4).bounds
    assert np.allclose(loop_extent_mm(loop), fine, atol=2e-4)
