"""Insides with a step: what they are made of, against shapely and closed forms."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from layout.frames import Extent
from layout.stepped import (
    Stepped,
    corner_out,
    drawn_in,
    floor_under,
    floors_of,
    holds,
    outline_words,
    parts_of,
    plan_area_mm2,
    plan_of,
    surface_mm2,
    two_floors,
    wall_distance_mm,
    within,
    without,
)

BOX = Extent((0.0, 0.0, 0.0), (600.0, 400.0, 250.0))


def corner(at_x: bool, at_y: bool, x: float = 200.0, y: float = 150.0) -> Stepped:
    low = (600.0 - x if at_x else 0.0, 400.0 - y if at_y else 0.0, 0.0)
    high = (600.0 if at_x else x, 400.0 if at_y else y, 250.0)
    return Stepped(BOX.min_mm, BOX.max_mm, Extent(low, high))


CORNERS = [corner(x, y) for x in (True, False) for y in (True, False)]


def edge(run: int, high: bool, over: float = 200.0, up: float = 90.0) -> Stepped:
    """A floor that lies `up` higher over a length at one end across run."""
    low, top = [0.0, 0.0, 0.0], [*BOX.max_mm[:2], up]
    if high:
        low[1 - run] = BOX.max_mm[1 - run] - over
    else:
        top[1 - run] = over
    return Stepped(BOX.min_mm, BOX.max_mm, Extent((low[0], low[1], low[2]), (top[0], top[1], top[2])))


EDGES = [edge(run, high) for run in (0, 1) for high in (True, False)]
ALL = [*CORNERS, *EDGES]


@pytest.mark.parametrize("inside", CORNERS)
def test_plan_is_the_rectangle_less_the_corner(inside):
    plan = shapely.Polygon(plan_of(inside))
    out = inside.left_out
    want = shapely.box(0, 0, 600, 400) - shapely.box(out.min_mm[0], out.min_mm[1], out.max_mm[0], out.max_mm[1])
    assert plan.is_valid
    assert plan.exterior.is_ccw
    assert plan.equals(want)
    assert plan_area_mm2(inside) == pytest.approx(want.area, abs=1e-9)
    assert surface_mm2(inside) == pytest.approx(2.0 * want.area + want.length * 250.0, abs=1e-6)


@pytest.mark.parametrize("inside", ALL)
def test_parts_are_all_of_it_and_no_more(inside):
    rng = np.random.default_rng(1)
    points = rng.uniform((-20, -20, -20), (620, 420, 270), (4000, 3))

    def in_box(e):
        return ((points > e.min_mm) & (points < e.max_mm)).all(axis=1)

    whole = in_box(inside) & ~in_box(inside.left_out)
    assert (np.any([in_box(p) for p in parts_of(inside)], axis=0) == whole).all()
    assert inside.volume_mm3 == pytest.approx(600 * 400 * 250 - inside.left_out.volume_mm3)
    assert all(p.max_mm[2] == 250.0 for p in parts_of(inside))


@pytest.mark.parametrize("inside", ALL)
def test_moved_faces_leave_the_step_parallel(inside):
    assert len(inside.axes) == 2
    assert inside.run not in inside.axes
    moved = drawn_in(inside, (5.0, 6.0, 7.0), (8.0, 9.0, 0.0))
    parts = sorted((drawn_in(p, (5.0, 6.0, 7.0), (8.0, 9.0, 0.0)) for p in parts_of(inside)), key=lambda e: e.volume_mm3)
    assert sorted(parts_of(moved), key=lambda e: e.volume_mm3) == parts
    assert drawn_in(moved, (-5.0, -6.0, -7.0), (-8.0, -9.0, 0.0)) == inside


@given(
    low=st.tuples(*[st.floats(0, 500), st.floats(0, 350), st.floats(0, 200)]),
    size=st.tuples(*[st.floats(1, 600), st.floats(1, 400), st.floats(1, 250)]),
    which=st.integers(0, len(ALL) - 1),
)
def test_what_lies_within_a_box_is_their_intersection(low, size, which):
    inside = ALL[which]
    limit = Extent(low, tuple(min(a + s, m) for a, s, m in zip(low, size, BOX.max_mm, strict=True)))
    left = within(inside, limit)
    common = np.minimum(limit.max_mm, inside.left_out.max_mm) - np.maximum(limit.min_mm, inside.left_out.min_mm)
    taken = float(np.prod(np.maximum(common, 0.0)))
    if (common > 1e-6).all() and limit.volume_mm3 - taken < 1e-3:
        assert left is None
    else:
        assert left is not None
        assert left.volume_mm3 == pytest.approx(limit.volume_mm3 - taken, abs=1.0)
        assert holds(inside, left)


def test_what_is_no_step_is_refused():
    for low, high in (
        ((100, 100, 0), (200, 200, 250)),  # a hole
        ((0, 100, 0), (200, 200, 250)),  # a notch in a side
        ((400, 250, 0), (600, 400, 100)),  # a corner that does not go up
        ((0, 0, 0), (600, 400, 100)),  # all of the floor
    ):
        with pytest.raises(ValueError, match="is not an edge"):
            Stepped(BOX.min_mm, BOX.max_mm, Extent(low, high))
    with pytest.raises(ValueError, match="a lid at two heights is not designed"):
        Stepped(BOX.min_mm, BOX.max_mm, Extent((400.0, 0.0, 100.0), (600.0, 400.0, 250.0)))
    assert without(BOX, Extent((600.0, 0.0, 0.0), (700.0, 400.0, 250.0))) == BOX


@pytest.mark.parametrize("inside", CORNERS)
def test_distance_from_walls_is_never_too_great(inside):
    rng = np.random.default_rng(2)
    solid = shapely.Polygon(plan_of(inside))
    for x, y in rng.uniform((0, 0), (600, 400), (300, 2)):
        if solid.contains(shapely.Point(x, y)):
            true = min(solid.exterior.distance(shapely.Point(x, y)), 125.0)
            assert wall_distance_mm(inside, [(x, y, 125.0)]) <= true + 1e-9


@pytest.mark.parametrize("inside", EDGES)
def test_distance_from_floors_and_riser_is_never_too_great(inside):
    """Against the least way to any face of either floor, the riser, walls and lid, by sampling what lies outside."""
    rng = np.random.default_rng(3)
    points = rng.uniform((0, 0, 0), BOX.max_mm, (300, 3))
    out = inside.left_out
    within = points[~((points > out.min_mm) & (points < out.max_mm)).all(axis=1)]
    for point in within:
        to_out = np.linalg.norm(np.maximum(np.maximum(np.array(out.min_mm) - point, point - np.array(out.max_mm)), 0.0))
        true = min(float(to_out), float(np.minimum(point, np.array(BOX.max_mm) - point).min()))
        assert wall_distance_mm(inside, [point]) <= true + 1e-9


@pytest.mark.parametrize("inside", EDGES)
def test_floors_share_the_plan_between_them(inside):
    deep, upper = floors_of(inside)
    assert deep.volume_mm3 + upper.volume_mm3 == pytest.approx(inside.volume_mm3)
    assert (deep.min_mm[2], upper.min_mm[2]) == (0.0, 90.0)
    assert [floor_under(inside, floor) for floor in (deep, upper, BOX)] == [0, 1, None]
    assert floors_of(BOX) == (BOX,)
    assert floor_under(BOX, BOX) == 0


@pytest.mark.parametrize("inside", EDGES)
def test_a_floor_at_two_heights_leaves_the_plan_whole(inside):
    """Areas in closed form: floors, lid and walls of the box around it, less both ends of what is left out."""
    assert plan_of(inside) == plan_of(BOX)
    assert plan_area_mm2(inside) == 600.0 * 400.0
    assert two_floors(inside) is inside
    assert corner_out(inside) is None
    out = inside.left_out.size_mm
    ends = out[1 - inside.run] * out[2]
    assert surface_mm2(inside) == pytest.approx(2.0 * (600 * 400 + 400 * 250 + 250 * 600) - 2.0 * ends)
    side = ("aft", "fore")[inside.at_high(0)] if inside.run else ("right", "left")[inside.at_high(1)]
    assert f"its floor lies 90 mm higher on the {side} side, over 200 mm" in outline_words(inside)
