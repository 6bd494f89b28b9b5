"""Overlaps, bolts in line and folds that run through themselves are found on the finished solids."""

from dataclasses import replace

import pytest

from layout.design.parts import Assembly, Block, Flange, FoldedPlate, Hardware, Plate
from layout.design.profile import Bend, Hole, Profile, rectangle
from layout.errors import DesignError
from layout.frames import Extent, Pose, raked_about_y, turned_about_z
from shapes.assembly import tree_of
from shapes.build import solid_of
from shapes.examine import bolt_holes, examine, folds_through_itself, overlaps, require_fold
from shapes.openings import holes_of

pytestmark = pytest.mark.cad

TILT = turned_about_z(33.0, (10.0, 20.0, 30.0)).then(raked_about_y(21.0))


def plate(number, z, holes, pose=Pose()):  # noqa: B008 - a frozen value
    return Plate(number, "p", "S235", 4.0, Profile(rectangle(100.0, 60.0), holes), pose.then(Pose((0.0, 0.0, z))))


def bolt(at, pose=Pose(), z=8.0, nuts=1):  # noqa: B008
    head = tuple(pose.point((*at, z + 1.6)))
    axis = tuple(pose.vector((0.0, 0.0, -1.0)))
    return Hardware("B1", "hex bolt", "M8", "8.8", 25.0, 8.0 + 1.6 * (1 + nuts), head, axis, 1 + nuts, nuts)


def stack(second=(50.0, 30.0), at=(50.0, 30.0), pose=Pose(), slot=0.0):  # noqa: B008
    low, high = (
        plate("LOW", 0.0, (Hole("a", (50.0, 30.0), 9.0),), pose),
        plate("HIGH", 4.0, (Hole("b", second, 9.0, "", slot, 0.0),), pose),
    )
    return Assembly("stack", (low, high), (bolt(at, pose),))


@pytest.mark.parametrize("pose", [Pose(), TILT])
def test_a_bolt_in_line_with_both_holes(pose):
    assembly = stack(pose=pose)
    tree = tree_of(assembly)
    passed = bolt_holes(assembly, tree)["B1"]
    assert sorted(h.part for h in passed) == ["HIGH", "LOW"]
    assert all(h.clear and h.offset_mm < 1e-6 and h.clearance_mm == pytest.approx(0.5) for h in passed)
    assert overlaps(assembly, tree) == ()


def test_a_hole_out_of_line_is_seen_twice():
    assembly = stack(second=(50.8, 30.0))
    tree = tree_of(assembly)
    high = next(h for h in bolt_holes(assembly, tree)["B1"] if h.part == "HIGH")
    assert not high.clear
    assert high.offset_mm == pytest.approx(0.8)
    assert {frozenset((o.first, o.second)) for o in overlaps(assembly, tree)} == {frozenset(("B1", "HIGH"))}


def test_a_missing_hole_leaves_the_bolt_with_one():
    low = plate("LOW", 0.0, ())
    high = plate("HIGH", 4.0, (Hole("b", (50.0, 30.0), 9.0),))
    assembly = Assembly("stack", (low, high), (bolt((50.0, 30.0)),))
    tree = tree_of(assembly)
    assert [h.part for h in bolt_holes(assembly, tree)["B1"]] == ["HIGH"]
    assert ("B1", "LOW") in {(o.second, o.first) for o in overlaps(assembly, tree)}


@pytest.mark.parametrize(("second", "clear"), [((50.0, 30.0), True), ((50.2, 30.0), False)])
def test_a_tapped_hole_takes_the_thread_but_must_run_true(second, clear):
    high = plate("HIGH", 4.0, (Hole("b", (50.0, 30.0), 9.0),))
    low = plate("LOW", 0.0, (Hole("a", second, 6.8),))
    assembly = Assembly("tapped", (low, high), (bolt((50.0, 30.0), nuts=0),))
    tree = tree_of(assembly)
    hole = next(h for h in bolt_holes(assembly, tree)["B1"] if h.part == "LOW")
    assert hole.threaded
    assert hole.clear is clear
    assert (overlaps(assembly, tree) == ()) is clear


@pytest.mark.parametrize(
    ("at", "clear"), [((50.0, 30.0), True), ((54.0, 30.0), True), ((46.0, 30.0), True), ((54.0, 31.0), False)]
)
def test_a_slot_lets_the_bolt_move_along(at, clear):
    high = plate("HIGH", 4.0, (Hole("b", (50.0, 30.0), 9.0, "", 8.0, 0.0),))
    assembly = Assembly("stack", (high,), (bolt(at),))
    (hole,) = bolt_holes(assembly, tree_of(assembly))["B1"]
    assert hole.clear is clear


def test_slots_and_round_holes_are_told_apart_from_corners():
    outline = rectangle(100.0, 60.0, corner_mm=6.0)
    inner = rectangle(20.0, 10.0, (60.0, 20.0), 4.0)  # a cut-out with rounded corners is no hole
    holes = (Hole("a", (20.0, 20.0), 9.0), Hole("b", (30.0, 45.0), 7.0, "", 12.0, 30.0))
    found = holes_of(solid_of(Plate("P", "p", "S235", 4.0, Profile(outline, holes, (inner,)), Pose())))
    spans = {round(h.diameter_mm, 6): round(sum(v * v for v in h.to_other_mm) ** 0.5, 6) for h in found}
    assert spans == {7.0: 12.0, 9.0: 0.0}


def test_touching_plates_do_not_overlap_and_sunk_ones_do():
    def block(number, z):
        return Block(number, number, Extent((0.0, 0.0, 0.0), (50.0, 40.0, 30.0)), TILT.then(Pose((0.0, 0.0, z))))

    touching = Assembly("a", (block("A", 0.0), block("B", 30.0)))
    assert overlaps(touching, tree_of(touching)) == ()
    sunk = Assembly("a", (block("A", 0.0), block("B", 29.0)))
    (found,) = overlaps(sunk, tree_of(sunk))
    assert found.volume_mm3 == pytest.approx(50 * 40 * 1.0)


def test_everything_at_once():
    good = stack()
    assert examine(good, tree_of(good)).nothing_found
    bad = Assembly("bad", (plate("LOW", 0.0, ()), plate("HIGH", 4.0, (Hole("b", (50.8, 30.0), 9.0),))), (bolt((50.0, 30.0)),))
    joined = Assembly("bad", bad.parts, tuple(replace(b, joins=("LOW", "HIGH", "vehicle")) for b in bad.hardware))
    found = examine(joined, tree_of(joined))
    assert not found.nothing_found
    assert found.invalid == ()
    assert found.without_hole == ("B1",)
    assert [(n, h.part) for n, h in found.out_of_line] == [("B1", "HIGH")]
    assert {o.first for o in found.overlaps} | {o.second for o in found.overlaps} == {"LOW", "HIGH", "B1"}


def channel(depth, lip):
    web = Profile(rectangle(100.0, 30.0))
    sides = [Flange(Profile(rectangle(100.0, depth)), 0, Bend(e, 90.0, 2.0, 0.4)) for e in (0, 2)]
    lips = [Flange(Profile(rectangle(100.0, lip)), i, Bend(2, 90.0, 2.0, 0.4)) for i in (1, 2)]
    return FoldedPlate("C", "c", "S235", 2.0, web, (*sides, *lips), Pose())


def test_lips_that_meet_in_the_middle_are_refused():
    require_fold(channel(40.0, 14.0))
    found = folds_through_itself(channel(40.0, 20.0))
    assert {(o.first, o.second) for o in found} == {("flat 3", "flat 4")}
    with pytest.raises(DesignError, match="runs through itself"):
        require_fold(channel(40.0, 20.0))
