"""Developed flat patterns: arcs stay arcs, holes move along, and nothing impossible gets through."""

import math

import numpy as np
import pytest

from layout.design.flat import bend_allowance_mm, bend_frames, develop, flat_poses, without_collinear
from layout.design.geometry import loop_extent_mm
from layout.design.moments import profile_moments
from layout.design.parts import Flange, FoldedPlate
from layout.design.profile import Bend, Hole, Profile, rectangle
from layout.errors import DesignError
from layout.frames import Pose

QUARTER = math.tan(math.pi / 8)


def folded(root, flanges, t=2.0):
    return FoldedPlate("F-1", "fold", "S235", t, root, tuple(flanges), Pose())


def round_flange(length, depth, r, bend, parent=0, holes=()):
    outline = (
        (0.0, 0.0, 0.0),
        (length, 0.0, 0.0),
        (length, depth - r, QUARTER),
        (length - r, depth, 0.0),
        (r, depth, QUARTER),
        (0.0, depth - r, 0.0),
    )
    return Flange(Profile(outline, holes), parent, bend)


def test_single_bend_adds_depth_and_allowance():
    part = folded(Profile(rectangle(120.0, 80.0)), [Flange(Profile(rectangle(120.0, 30.0)), 0, Bend(0, 90.0, 2.0, 0.4))])
    flat = develop(part)
    ba = bend_allowance_mm(90.0, 2.0, 2.0, 0.4)
    assert loop_extent_mm(flat.profile.outline) == pytest.approx((0.0, -30.0 - ba, 120.0, 80.0))
    assert len(flat.profile.outline) == 4
    (line,) = flat.bend_lines
    assert (line.direction, line.length_mm, line.allowance_mm) == ("up", pytest.approx(120.0), pytest.approx(ba))
    assert line.start_mm == pytest.approx((120.0, -ba / 2.0))


def test_arcs_survive_as_bulges_and_areas_add_up():
    bend = Bend(2, -60.0, 3.0, 0.44)
    part = folded(Profile(rectangle(120.0, 80.0)), [round_flange(120.0, 40.0, 8.0, bend)])
    flat = develop(part)
    assert sorted(b for _, _, b in flat.profile.outline if b) == pytest.approx([QUARTER, QUARTER])
    want = 120 * 80 + profile_moments(part.flanges[0].profile).area_mm2 + 120 * bend_allowance_mm(60.0, 3.0, 2.0, 0.44)
    assert profile_moments(flat.profile).area_mm2 == pytest.approx(want, rel=1e-12)
    assert flat.bend_lines[0].direction == "down"


def test_flange_on_a_flange_and_holes_with_slots_turn_along():
    hole = Hole("h", (30.0, 10.0), 6.0, slot_mm=8.0, slot_angle_deg=90.0)
    part = folded(
        Profile(rectangle(120.0, 80.0)),
        [
            Flange(Profile(rectangle(80.0, 30.0)), 0, Bend(1, 90.0, 2.0, 0.4)),
            Flange(Profile(rectangle(80.0, 20.0), (hole,)), 1, Bend(2, 90.0, 2.0, 0.4)),
        ],
    )
    flat = develop(part)
    ba = bend_allowance_mm(90.0, 2.0, 2.0, 0.4)
    assert loop_extent_mm(flat.profile.outline) == pytest.approx((0.0, 0.0, 120.0 + 50.0 + 2 * ba, 80.0))
    (moved,) = flat.profile.holes
    # edge 1 runs up, so the flange's x runs down; the second flange's x runs from the end of that flange's far edge
    assert moved.centre_mm == pytest.approx((120.0 + 30.0 + 2 * ba + 10.0, 80.0 - 30.0))
    assert math.isclose(math.cos(2 * math.radians(moved.slot_angle_deg)), 1.0, abs_tol=1e-12)  # along x now


def test_folded_frames_follow_the_stated_turn():
    part = folded(Profile(rectangle(100.0, 50.0)), [Flange(Profile(rectangle(100.0, 20.0)), 0, Bend(0, 90.0, 3.0, 0.4))])
    pose = flat_poses(part)[1]
    assert pose.point((0.0, 0.0, 0.0)) == pytest.approx((100.0, -5.0, 5.0))  # outside face 5 = Ri + t below the tangent line
    assert pose.vector((0.0, 1.0, 0.0)) == pytest.approx((0.0, 0.0, 1.0))
    down = folded(Profile(rectangle(100.0, 50.0)), [Flange(Profile(rectangle(100.0, 20.0)), 0, Bend(0, -90.0, 3.0, 0.4))])
    pose = flat_poses(down)[1]
    assert pose.point((0.0, 0.0, 0.0)) == pytest.approx((100.0, -3.0, -3.0))
    assert pose.vector((0.0, 1.0, 0.0)) == pytest.approx((0.0, 0.0, -1.0))
    for frame in bend_frames(down):
        assert np.linalg.det(frame.pose.matrix) == pytest.approx(1.0)


@pytest.mark.parametrize("sign", [1.0, -1.0])
def test_a_bend_of_hardly_any_angle_leaves_everything_where_the_flat_has_it(sign):
    """Folded frames and flat pattern are worked out separately; as the angle goes to nothing they must meet."""
    bend = [Bend(e, sign * 1e-6, 2.0, 0.4) for e in (1, 2, 2)]
    hole = [Hole(f"h{i}", (20.0 + 5.0 * i, 9.0), 4.0) for i in range(3)]
    hung = [
        Flange(Profile(rectangle(80.0, 30.0), (hole[0],)), 0, bend[0]),
        Flange(Profile(rectangle(80.0, 20.0), (hole[1],)), 1, bend[1]),
        Flange(Profile(rectangle(120.0, 25.0), (hole[2],)), 0, bend[2]),
    ]
    part = folded(Profile(rectangle(120.0, 80.0)), hung)
    poses = flat_poses(part)
    placed = [tuple(poses[i + 1].point((*h.centre_mm, 0.0))[:2]) for i, h in enumerate(hole)]
    assert [h.centre_mm for h in develop(part).profile.holes] == [pytest.approx(p, abs=1e-5) for p in placed]


GOOD = Bend(0, 90.0, 2.0, 0.4)


@pytest.mark.parametrize(
    ("flanges", "words"),
    [
        ([Flange(Profile(rectangle(100.0, 30.0)), 0, GOOD)], "no straight edge from"),
        ([Flange(Profile(rectangle(120.0, 30.0)), 0, Bend(9, 90.0, 2.0, 0.4))], "edge that does not exist"),
        ([Flange(Profile(rectangle(120.0, 30.0)), 1, GOOD)], "comes later"),
        ([Flange(Profile(rectangle(120.0, 30.0)), 0, Bend(0, 180.0, 2.0, 0.4))], "between 0 and 180"),
        ([Flange(Profile(rectangle(120.0, 30.0)), 0, Bend(0, 0.0, 2.0, 0.4))], "between 0 and 180"),
        ([Flange(Profile(rectangle(120.0, 30.0)), 0, Bend(0, 90.0, 2.0, 0.6))], "K-factor"),
        ([Flange(Profile(rectangle(120.0, 30.0)), 0, Bend(0, 90.0, -1.0, 0.4))], "must be positive"),
        ([Flange(Profile(rectangle(120.0, 30.0)), 0, GOOD)] * 2, "two flanges hang on one edge"),
        (
            [
                Flange(Profile(rectangle(120.0, 30.0)), 0, GOOD),
                Flange(Profile(rectangle(120.0, 30.0)), 1, Bend(0, 90.0, 2.0, 0.4)),
            ],
            "bend of its parent",
        ),
    ],
)
def test_impossible_folds_are_refused(flanges, words):
    with pytest.raises(DesignError, match=words):
        develop(folded(Profile(rectangle(120.0, 80.0)), flanges))


def test_a_flange_cannot_hang_on_an_arc():
    root = Profile(rectangle(120.0, 80.0, corner_mm=10.0))
    with pytest.raises(DesignError, match="must be straight"):
        develop(folded(root, [Flange(Profile(rectangle(14.142, 30.0)), 0, Bend(1, 90.0, 2.0, 0.4))]))


def test_a_pattern_that_overlaps_itself_is_refused():
    notch = (
        (0.0, 0.0, 0.0),
        (120.0, 0.0, 0.0),
        (120.0, 80.0, 0.0),
        (80.0, 80.0, 0.0),
        (80.0, 40.0, 0.0),
        (40.0, 40.0, 0.0),
        (40.0, 80.0, 0.0),
        (0.0, 80.0, 0.0),
    )
    part = folded(Profile(notch), [Flange(Profile(rectangle(40.0, 60.0)), 0, Bend(3, 90.0, 2.0, 0.4))])
    with pytest.raises(DesignError, match="crosses or touches itself"):
        develop(part)


@pytest.mark.parametrize("y", [3.0, -1.0])
def test_a_hole_in_a_bend_is_refused(y):
    """On the flat there is metal all round it, but it would be pulled out of shape in the press."""
    hung = Flange(Profile(rectangle(120.0, 30.0), (Hole("H7", (60.0, y), 9.0),)), 0, Bend(0, 90.0, 6.0, 0.4))
    with pytest.raises(DesignError, match=r"F-1 flat 1.*bend.*'H7'"):
        develop(folded(Profile(rectangle(120.0, 80.0)), [hung]))


def test_collinear_corners_go_but_turning_back_stays():
    loop = ((0.0, 0.0, 0.0), (5.0, 0.0, 0.0), (10.0, 0.0, 0.0), (10.0, 10.0, 0.5), (0.0, 10.0, 0.0))
    assert without_collinear(loop) == (loop[0], *loop[2:])
