"""One hole followed from the design through solid, STEP file and flat pattern: the same hole at the same place everywhere."""

import math

import pytest
from OCP.STEPControl import STEPControl_Reader

from layout.design.flat import bend_allowance_mm, flat_poses
from layout.design.parts import Assembly, Flange, FoldedPlate
from layout.design.profile import Bend, Hole, Profile, rectangle
from layout.frames import Pose, raked_about_y, turned_about_z
from outputs.dxf import write_flat
from outputs.dxf_reading import read_flat
from outputs.step import Header, write_step
from shapes.assembly import tree_of
from shapes.build import located, solid_of
from shapes.openings import holes_of

pytestmark = pytest.mark.cad

POSE = turned_about_z(-50.0, (340.0, 315.0, 330.0)).then(raked_about_y(8.0))
T, RI, K = 5.0, 6.0, 0.4
FOOT = (Hole("BR1-H1", (20.0, 60.0), 11.0), Hole("BR1-H2", (70.0, 60.0), 11.0))
WALL = (Hole("BR1-H3", (25.0, 45.0), 9.0), Hole("BR1-H4", (65.0, 45.0), 9.0, "M8", 12.0, 90.0))


def bracket():
    wall = Flange(Profile(rectangle(90.0, 80.0), WALL), 0, Bend(0, 90.0, RI, K))
    return FoldedPlate("BR-1", "bracket", "S275", T, Profile(rectangle(90.0, 90.0), FOOT), (wall,), POSE, "bracket")


def where(holes, pose):
    """Middle of each design hole's axis in the pack, with its diameter; a slot by the middle between its ends."""
    return sorted((h.diameter_mm, tuple(pose.point((*h.centre_mm, T / 2.0)))) for h in holes)


def middles(found):
    return sorted((h.diameter_mm, tuple(m + v / 2.0 for m, v in zip(h.middle_mm, h.to_other_mm, strict=True))) for h in found)


def same(want, got):
    """Every wanted hole has one found hole of its size within a hundredth of a millimetre, and none is left over."""
    left = list(got)
    for diameter, place in want:
        mate = next((g for g in left if abs(g[0] - diameter) < 1e-6 and math.dist(g[1], place) < 0.01), None)
        if mate is None:
            return False
        left.remove(mate)
    return not left


@pytest.fixture
def wanted():
    root, wall = flat_poses(bracket())
    return where(FOOT, POSE.then(root)) + where(WALL, POSE.then(wall))


def test_solid(wanted):
    assert same(wanted, middles(holes_of(located(solid_of(bracket()), POSE))))


def test_step_file_as_read_back_flat(wanted, tmp_path):
    path = write_step(tmp_path / "a.step", tree_of(Assembly("a", (bracket(),))), Header("", "", "", "2031-02-03T00:00:00")).path
    reader = STEPControl_Reader()
    reader.ReadFile(str(path))
    reader.TransferRoots()
    assert same(wanted, middles(holes_of(reader.OneShape())))


def test_flat_pattern(tmp_path):
    flat = read_flat(write_flat(tmp_path / "a.dxf", bracket()).path)
    ((_, start, end),) = flat.bends
    got = sorted((d, x, y) for x, y, d in flat.circles)
    allowance = bend_allowance_mm(90.0, RI, T, K)
    for (diameter, x, y), want in zip(
        got, [(9.0, 65.0, -allowance - 45.0), (11.0, 20.0, 60.0), (11.0, 70.0, 60.0)], strict=True
    ):
        assert (diameter, x, y) == pytest.approx(want, abs=1e-9)
    assert start[1] == end[1] == pytest.approx(-allowance / 2.0)
    slot = next(loop for loop in flat.loops if any(b for _, _, b in loop))
    centre = [sum(v[i] for v in slot) / len(slot) for i in (0, 1)]
    assert centre == pytest.approx([25.0, -allowance - 45.0])


def test_from_hole_to_bend_flat_and_folded_tell_the_same_story():
    """Measured on the solid: 45 above the end of the bend, which lies Ri + t above the outer face."""
    holes = holes_of(solid_of(bracket()))
    wall = next(h for h in holes if h.diameter_mm < 10.0 and h.to_other_mm == (0.0, 0.0, 0.0))
    assert wall.middle_mm[2] == pytest.approx(T + RI + 45.0)
    assert wall.middle_mm[1] == pytest.approx(-(RI + T / 2.0))


def test_a_hole_moved_by_a_tenth_is_noticed(wanted):
    moved = FoldedPlate(
        **{**bracket().__dict__, "root": Profile(rectangle(90.0, 90.0), (Hole("BR1-H1", (20.1, 60.0), 11.0), FOOT[1]))}
    )
    assert not same(wanted, middles(holes_of(located(solid_of(moved), POSE))))
    assert not same(wanted, middles(holes_of(located(solid_of(bracket()), Pose()))))
