import numpy as np
import pytest

from layout.balance.bodies import box_body
from layout.balance.items import MassItem, solid_item, total
from layout.balance.on_the_bench import with_weighed
from layout.errors import JobError
from layout.frames import Extent
from layout.job.vehicle import WeighedPart

FLOOR = solid_item("P-B1 floor", box_body(Extent((0, 0, 0), (400, 300, 3))), 2660.0)
WALL = solid_item("P-B2 wall", box_body(Extent((0, 0, 3), (400, 3, 300))), 2660.0)
MODULES = tuple(MassItem(f"M{k} (slab)", 12.4, (100.0 * k, 150.0, 100.0)) for k in (1, 2))
MOTOR = MassItem("motor", 58.0, (-300.0, 0.0, 400.0), source="catalogue", group="added")
LISTED = (*MODULES, FLOOR, WALL, MOTOR)


def test_one_part_weighed_keeps_the_computed_figure():
    found = with_weighed(LISTED, [WeighedPart(name="P-B1", mass="1.02 kg", tolerance="20 g")])
    floor = found[2]
    assert (floor.mass_kg, floor.source, floor.tolerance_kg) == (1.02, "weighed", 0.02)
    assert floor.computed_kg == pytest.approx(400 * 300 * 3 * 2660e-9)
    assert np.array(floor.inertia_kgmm2) == pytest.approx(np.array(FLOOR.inertia_kgmm2) * 1.02 / floor.computed_kg)
    assert found[3] is WALL


def test_the_pack_weighed_as_one_scales_what_was_computed():
    found = with_weighed(LISTED, [WeighedPart(name="pack", mass=27.0, tolerance=0.3)])
    assert total(found[:4]).mass_kg == pytest.approx(27.0)
    assert found[:2] == MODULES
    assert found[4] is MOTOR
    assert found[2].mass_kg / found[3].mass_kg == pytest.approx(FLOOR.mass_kg / WALL.mass_kg)
    assert found[2].tolerance_kg + found[3].tolerance_kg == pytest.approx(0.3)


def test_things_all_weighed_before_share_a_new_sum():
    found = with_weighed(LISTED[:2], [WeighedPart(name="pack", mass=25.8)])
    assert [i.mass_kg for i in found] == pytest.approx([12.9, 12.9])
    assert found[0].computed_kg is None


def test_sums_names_and_unknowns_that_cannot_be():
    with pytest.raises(JobError, match=r"weighed\[1\].mass = 20.0 kg.*24.8 kg"):
        with_weighed(LISTED, [WeighedPart(name="pack", mass=20.0)])
    with pytest.raises(JobError, match=r"weighed\[2\].name = moter.*motor"):
        with_weighed(LISTED, [WeighedPart(name="motor", mass=60), WeighedPart(name="moter", mass=60)])
    loom = MassItem("loom", None, (0.0, 0.0, 0.0), source="unknown")
    with pytest.raises(JobError, match="'loom' by itself"):
        with_weighed((*LISTED, loom), [WeighedPart(name="pack", mass=30.0)])
    first = with_weighed((*LISTED, loom), [WeighedPart(name="loom", mass=2.0), WeighedPart(name="pack", mass=30.0)])
    assert sum(i.mass_kg for i in first if i.group == "pack") == pytest.approx(30.0)
    assert first[-1].source == "weighed"
