"""The contract job's pack as solids: valid, as heavy as its mass list, nothing in one place, every bolt through its holes."""

import pytest

from layout.design.mass import body_mass
from layout.design.parts import Assembly, Block, FoldedPlate, Plate
from layout.design.sheet_rules import check_sheet
from layout.study.assembly import pack_assembly
from shapes.assembly import tree_of
from shapes.examine import bolt_holes, overlaps, require_fold
from shapes.measure import is_valid, solid_count

pytestmark = pytest.mark.cad


def every_part(assembly: Assembly):
    yield from assembly.parts
    for child in assembly.children:
        yield from every_part(child)


def every_bolt(assembly: Assembly):
    yield from assembly.hardware
    for child in assembly.children:
        yield from every_bolt(child)


@pytest.fixture(scope="module")
def pack(front_study):
    return pack_assembly(front_study)


@pytest.fixture(scope="module")
def tree(pack):
    return tree_of(pack)


def test_every_product_is_one_valid_solid(tree):
    bad = [p.number for p in tree.products() if not is_valid(p.solid) or solid_count(p.solid) != 1]
    assert bad == []


def test_every_number_stands_once_in_the_tree(pack, tree):
    names = [leaf.name for leaf, _ in tree.all_leaves()]
    assert len(set(names)) == len(names)
    assert {p.number for p in every_part(pack)} <= set(names)


def test_solids_weigh_what_the_profiles_say(pack, tree):
    leaves = {(leaf.name, leaf.product.group): (leaf, pose) for leaf, pose in tree.all_leaves()}
    for part in every_part(pack):
        leaf, pose = leaves[part.number, part.group]
        want = body_mass(part, lambda _: 1e9)
        assert leaf.product.measured.volume_mm3 == pytest.approx(want.volume_mm3, rel=1e-6), part.number
        if not isinstance(part, Block):
            assert tuple(pose.point(leaf.product.measured.centroid_mm)) == pytest.approx(want.centroid_mm, abs=1e-4), (
                part.number
            )


def test_the_mass_list_is_the_mass_of_the_solids(front_study, pack, tree):
    """Cut parts and fasteners: kernel volume times the density that the list used, against the list, within 1e-6."""
    from layout.box.soft import density_kg_m3

    leaves = {(leaf.name, leaf.product.group): leaf for leaf, _ in tree.all_leaves()}
    listed = {item.name: item.mass_kg for item in front_study.pack_items}
    for part in every_part(pack):
        if isinstance(part, Plate | FoldedPlate):
            solid = leaves[part.number, part.group].product.measured.volume_mm3 * density_kg_m3(part.material) * 1e-9
            assert listed[f"{part.number} {part.name}"] == pytest.approx(solid, rel=1e-6), part.number


def test_folded_parts_do_not_run_through_themselves(pack):
    for part in every_part(pack):
        if isinstance(part, FoldedPlate):
            require_fold(part)


def test_every_bolt_passes_its_holes_in_line(pack, tree):
    """Two holes for a bolt between parts of the pack; one for a bolt into the vehicle, whose own hole is no part."""
    passed = bolt_holes(pack, tree)
    for bolt in every_bolt(pack):
        holes = passed[bolt.number]
        own = {p.number for p in every_part(pack)}
        wanted = max(1, len([j for j in bolt.joins if j in own]))
        assert len({h.part for h in holes}) >= wanted, (bolt.number, holes)
        assert all(h.clear for h in holes), (bolt.number, holes)


@pytest.mark.slow
def test_no_two_bodies_share_a_place(pack, tree):
    assert overlaps(pack, tree) == ()


def test_sheet_rules_can_be_applied_to_every_cut_part(pack):
    checked = 0
    for part in every_part(pack):
        if isinstance(part, Plate | FoldedPlate):
            findings = check_sheet(part)
            checked += len(findings)
            assert all(f.figure >= 0.0 and f.limit >= 0.0 for f in findings)
    assert checked > 50
