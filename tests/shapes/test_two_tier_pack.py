"""A box with its floor at two heights, as solids, the step on each of its four sides: overlaps, bolts in line, masses."""

from __future__ import annotations

from dataclasses import replace

import pytest

from layout.arrangement import Arrangement
from layout.box.shell import shell_of
from layout.box.soft import density_kg_m3
from layout.box.welded import design_box
from layout.design import Assembly
from layout.design.mass import body_mass
from layout.frames import DIRECTIONS, Extent, turned_about_z
from layout.stepped import Stepped, two_floors
from shapes.assembly import tree_of
from shapes.examine import examine

pytestmark = pytest.mark.cad


def quarters(arrangement: Arrangement, count: int) -> Arrangement:
    """The arrangement turned about the vertical by quarter turns."""
    turn = turned_about_z(90.0 * count)

    def clean(e: Extent) -> Extent:
        seen = e.seen_from(turn)
        low, high = ([round(v, 9) for v in ends] for ends in (seen.min_mm, seen.max_mm))
        return Extent((low[0], low[1], low[2]), (high[0], high[1], high[2]))

    inside = arrangement.inside
    assert isinstance(inside, Stepped)
    bounds = clean(Extent(inside.min_mm, inside.max_mm))
    modules = []
    for m in arrangement.modules:
        looks = turn.vector(DIRECTIONS[m.terminals]).round()
        to = next(name for name, way in DIRECTIONS.items() if tuple(looks) == way)
        modules.append(replace(m, pose=turn.then(m.pose), terminals=to))
    return replace(arrangement, modules=tuple(modules), inside=Stepped(bounds.min_mm, bounds.max_mm, clean(inside.left_out)))


@pytest.mark.parametrize("count", range(4))
def test_nothing_is_in_one_place_and_solids_weigh_what_is_listed(tier_job, tier_arrangement, count):
    """Only screws in their own tapped ends may share a place with a bar: these threads are not drawn. Bolts once: slow."""
    one = quarters(tier_arrangement, count)
    assert two_floors(one.inside)
    job = tier_job.model_copy(update={"box": tier_job.box.model_copy(update={"openings": ()})})
    box = design_box(job, one.inside, shell_of(job), (), one)
    assert box.carriers.unheld == ()
    hardware = [h for h in box.hardware if count == 1]
    lid = tuple(h for h in hardware if h.group == "lid")
    others = tuple(h for h in hardware if h.group != "lid")
    parts = [tuple(p for p in box.plates if (p.group in ("lid", "gasket")) is way) for way in (False, True)]
    pack = Assembly("TVH-05", (), (), (), (
        Assembly("TVH-05-BOX", parts[0], others, box.welds), Assembly("TVH-05-LID", parts[1], lid),
    ))  # fmt: skip
    tree = tree_of(pack)
    found = examine(pack, tree)
    tapped = {(h.number, name) for h in box.hardware for name in h.joins if h.group == "carrier"}
    assert found.invalid == ()
    assert [o for o in found.overlaps if not {(o.first, o.second), (o.second, o.first)} & tapped] == []
    assert found.out_of_line == ()
    leaves = {leaf.name: leaf for leaf, _ in tree.all_leaves()}
    for plate in box.plates:
        solid = leaves[plate.number].product.measured.volume_mm3
        assert solid == pytest.approx(body_mass(plate, lambda _: 1e9).volume_mm3, rel=1e-6)
        assert body_mass(plate, density_kg_m3).mass_kg == pytest.approx(solid * density_kg_m3(plate.material) * 1e-9, rel=1e-6)
