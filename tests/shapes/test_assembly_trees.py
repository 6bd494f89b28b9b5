"""Assemblies as trees: equal bodies shared, names and places kept, groups coloured."""

import pytest

from layout.design.parts import Assembly, Block, Hardware, Plate
from layout.design.profile import Hole, Profile, rectangle
from layout.frames import Extent, Pose, turned_about_z
from shapes.assembly import tree_of
from shapes.colours import OTHER, PALETTE, colour_of

pytestmark = pytest.mark.cad


def plate(number, hole_name="h", width=50.0, material="S235", pose=None):
    profile = Profile(rectangle(width, 30.0), (Hole(hole_name, (20.0, 15.0), 9.0),))
    return Plate(number, "gusset", material, 4.0, profile, pose or Pose(), "bracket")


def test_equal_bodies_are_one_solid_whatever_their_holes_are_called():
    tree = tree_of(Assembly("a", (plate("G-1", "BR1-H1"), plate("G-2", "BR2-H1", pose=Pose((100.0, 0.0, 0.0))))))
    first, second = tree.leaves
    assert first.product is second.product
    assert first.product.numbers == ("G-1", "G-2")
    assert (first.name, second.name) == ("G-1", "G-2")
    assert first.product.number == "G-1, G-2"


@pytest.mark.parametrize("other", [plate("G-2", width=51.0), plate("G-2", material="S355")])
def test_other_form_or_material_is_another_product(other):
    assert len(tree_of(Assembly("a", (plate("G-1"), other))).products()) == 2


def test_many_equal_modules_are_called_by_their_type():
    blocks = tuple(
        Block(f"M{i}", "slab", Extent((0.0, 0.0, 0.0), (9.0, 8.0, 7.0)), Pose((10.0 * i, 0.0, 0.0))) for i in range(12)
    )
    tree = tree_of(Assembly("modules", blocks))
    (product,) = tree.products()
    assert product.number == "slab"
    assert len(product.numbers) == 12


def test_many_equal_cut_parts_keep_their_numbers():
    tree = tree_of(Assembly("a", tuple(plate(f"G-{i}") for i in range(1, 6))))
    (product,) = tree.products()
    assert product.number == "G-1, G-2 and 3 more"


def test_fasteners_are_taken_apart_and_shared():
    bolts = tuple(
        Hardware(f"B{i}", "hex bolt", "M8", "8.8", 25.0, 8.0, (20.0 * i, 0.0, 0.0), (0.0, 0.0, -1.0), 2, 1) for i in range(5)
    )
    tree = tree_of(Assembly("a", (), bolts))
    assert len(tree.leaves) == 20
    assert {p.number for p in tree.products()} == {"hex bolt M8x25 8.8", "washer M8", "nut M8"}
    assert [leaf.name for leaf in tree.leaves[:4]] == ["B0", "B0 washer 1", "B0 washer 2", "B0 nut 1"]
    heights = [leaf.pose.origin_mm[2] for leaf in tree.leaves[:4]]
    assert heights == pytest.approx([0.0, 0.0, -6.4, -8.0])  # grip 8 with both washers of 1.6 in it, then the nut


def test_children_nest_and_their_leaves_are_placed():
    pose = turned_about_z(90.0, (5.0, 0.0, 0.0))
    tree = tree_of(
        Assembly("top", (), (), (), (Assembly("left", (plate("G-1", pose=pose),)), Assembly("right", (plate("G-2"),))))
    )
    assert [c.name for c in tree.children] == ["left", "right"]
    leaves = list(tree.all_leaves())
    assert [leaf.name for leaf, _ in leaves] == ["G-1", "G-2"]
    assert tuple(leaves[0][1].point((1.0, 0.0, 0.0))) == pytest.approx((5.0, 1.0, 0.0))
    assert len(tree.products()) == 1


def test_every_group_has_a_colour_of_its_own_or_grey():
    assert colour_of("nothing like it") == OTHER
    assert len(set(PALETTE.values())) == len(PALETTE)
    assert all(0.0 <= c <= 1.0 for colour in PALETTE.values() for c in colour)
