"""A pack with a corner of its plan left out, as solids: nothing in one place, bolts in line, as heavy as listed."""

from __future__ import annotations

import pytest

from layout.design import Block
from layout.design.mass import body_mass
from layout.frames import Extent, Pose
from layout.space.judge_arrangement import judge_arrangement
from layout.stepped import parts_of
from layout.study.assembly import pack_assembly
from shapes.assembly import tree_of
from shapes.build import located, solid_of
from shapes.examine import examine
from shapes.measure import common_volume_mm3

pytestmark = pytest.mark.cad


@pytest.fixture(scope="module")
def pack(l_study):
    return pack_assembly(l_study)


@pytest.fixture(scope="module")
def tree(pack):
    return tree_of(pack)


def test_the_judge_passes_it(l_job, l_bay, l_study):
    assert judge_arrangement(l_job, l_bay, l_study.arrangement, l_study.box.shell) == []
    assert l_study.fit.insertions[0].possible
    assert not any(lift.blocked for lift in l_study.fit.lifts[0])


def test_nothing_is_in_one_place_and_every_bolt_has_its_holes(l_study, pack, tree):
    """Only screws in their own tapped ends and modules may share a place with them: these threads are not drawn."""
    found = examine(pack, tree)
    tapped = {(h.number, name) for h in l_study.box.hardware for name in h.joins if h.group == "carrier"}
    tapped |= {(number, f"WXC-07-{name}") for number, name in tapped}
    assert found.invalid == ()
    assert [o for o in found.overlaps if not {(o.first, o.second), (o.second, o.first)} & tapped] == []
    assert found.out_of_line == ()
    assert [n for n in found.without_hole if not n.startswith("WXC-07-CS")] == []  # theirs are tapped in the bars' ends


def test_every_part_of_the_box_lies_within_what_the_search_kept_clear(l_study, tree):
    shell, inside = l_study.box.shell, l_study.box.inside
    pieces = [piece for _, piece in shell.pieces(inside)]
    for plate in (*l_study.box.plates, *l_study.box.blocks):
        x, y, _ = zip(*plate.profile.outline, strict=True)
        corners = [(a, b, c) for a in (min(x), max(x)) for b in (min(y), max(y)) for c in (0.0, plate.thickness_mm)]
        if plate.name not in ("floor", "lid", "lid flange", "lid gasket", "liner, floor"):  # held by two pieces between them
            seen = plate.pose.point(corners)
            low, high = seen.min(axis=0) + 1e-6, seen.max(axis=0) - 1e-6
            assert any((low >= p.min_mm).all() and (high <= p.max_mm).all() for p in pieces), plate.number
    out, off = inside.left_out, shell.slab_out_mm + 0.01
    low = (out.min_mm[0] + off, out.min_mm[1] + off, out.min_mm[2] - 50.0)
    free = solid_of(Block("FREE", "free", Extent(low, (out.max_mm[0] + 99.0, out.max_mm[1] + 99.0, 700.0)), Pose()))
    for leaf, pose in tree.all_leaves():
        if leaf.name.startswith(("WXC-07-B", "WXC-07-G1")):
            assert common_volume_mm3(located(leaf.product.solid, pose), free) < 1e-6, leaf.name


def test_solids_weigh_what_the_list_says(l_study, pack, tree):
    from layout.box.soft import density_kg_m3

    leaves = {leaf.name: leaf for leaf, _ in tree.all_leaves()}
    listed = {item.name: item.mass_kg for item in l_study.pack_items}
    for plate in l_study.box.plates:
        solid = leaves[plate.number].product.measured.volume_mm3
        assert solid == pytest.approx(body_mass(plate, lambda _: 1e9).volume_mm3, rel=1e-6)
        assert listed[f"{plate.number} {plate.name}"] == pytest.approx(solid * density_kg_m3(plate.material) * 1e-9, rel=1e-6)


def test_panels_are_judged_as_the_rectangle_around_them(l_study):
    said = {c.part for c in l_study.checks if "corner left out" in c.part}
    assert any(part.startswith("floor") for part in said)
    assert any(part.startswith("lid") for part in said)
    assert len(parts_of(l_study.box.inside)) == 2
