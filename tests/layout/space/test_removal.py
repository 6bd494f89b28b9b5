"""In which lifts modules come out: one by one, with the bars they share, after what lies above; or not at all."""

from __future__ import annotations

import numpy as np

from layout.arrangement import Arrangement, PlacedEquipment, PlacedModule
from layout.box.carriers import BarBolt, CarrierBar, Carriers
from layout.box.shell import shell_of
from layout.frames import Extent, Pose, module_axes
from layout.job.box import Equipment
from layout.space.removal import in_the_way, lifts, removal_order, removal_words

INSIDE = Extent((-5.0, -5.0, -5.0), (300.0, 300.0, 300.0))


def place(job, number, low, up="+z"):
    kind = job.modules[0]
    axes = module_axes(up, "+x", "+x")
    size = np.abs(np.array(axes).T @ np.array(kind.size_mm))
    return PlacedModule(f"m{number}", kind, Pose(tuple(np.array(low) + size / 2), axes), up, "+x")


def bar(number, at, bolts, welded=False):
    """A bar along y under modules whose base lies at the height given; 25 wide, 15 thick."""
    x, z = at
    found = tuple(BarBolt(m, "M6", (x, 50.0, z)) for m in bolts)
    return CarrierBar(number, 1, 2, 1.0, z, x, (-5.0, 300.0), 25.0, 15.0, "6082-T6", welded, found, ("right", "left"))


def ids(order):
    return [lift.modules for lift in order]


def test_upper_layer_comes_out_first(job_with):
    job = job_with()
    modules = (place(job, 1, (0, 0, 0)), place(job, 2, (0, 0, 90)), place(job, 3, (0, 110, 0)))
    arrangement = Arrangement(Pose(), modules, INSIDE)
    assert removal_order(lifts(arrangement, shell_of(job))) == ["m2", "m3", "m1"]
    assert in_the_way(arrangement, shell_of(job)) == {"m1": ["m2"], "m2": [], "m3": []}


def test_module_under_the_flange_is_named_as_blocked(job_with):
    job = job_with()
    modules = (place(job, 1, (-20, 0, 0)), place(job, 2, (0, 110, 0)))
    order = lifts(Arrangement(Pose(), modules, INSIDE), shell_of(job))
    assert removal_order(order) == ["m2", "blocked: m1"]
    assert removal_words(order) == "m2; blocked: m1"


def test_modules_that_share_a_cross_bar_come_out_together(job_with):
    job = job_with()
    low = [place(job, k + 1, (0, 105.0 * k, 0)) for k in range(2)]
    high = [place(job, k + 3, (0, 105.0 * k, 120)) for k in range(2)]
    raised = ("m3", "m4")
    carriers = Carriers((
        bar("C1", (30.0, 0.0), ("m1", "m2"), welded=True),
        bar("C2", (30.0, 120.0), raised),
        bar("C3", (170.0, 120.0), raised),
    ))  # fmt: skip
    order = lifts(Arrangement(Pose(), (*low, *high), INSIDE), shell_of(job), carriers)
    assert ids(order) == [("m3", "m4"), ("m2",), ("m1",)]
    assert order[0].bars == ("C2", "C3")
    assert "right and left" in order[0].undo or "left and right" in order[0].undo
    assert "from below" in order[1].undo
    assert removal_words(order).startswith("m3 + m4 with C2 and C3 (end screws")
    assert removal_order(order) == ["m3", "m4", "m2", "m1"]


def test_a_bar_cannot_pass_what_lies_above_its_far_end(job_with):
    """m1 alone is free; on a bar that reaches under m2 it must wait for it, and m2's own bar may lie under m1's."""
    job = job_with()
    modules = (place(job, 1, (0, 0, 60)), place(job, 2, (0, 150, 200)))
    arrangement = Arrangement(Pose(), modules, INSIDE)
    assert ids(lifts(arrangement, shell_of(job)))[-1] == ("m1",)
    assert in_the_way(arrangement, shell_of(job))["m1"] == []
    carriers = Carriers((bar("C1", (30.0, 60.0), ("m1",)), bar("C2", (60.0, 200.0), ("m2",))))
    order = lifts(arrangement, shell_of(job), carriers)
    assert ids(order) == [("m2",), ("m1",)]


def test_bars_under_one_anothers_modules_come_out_in_one_lift(job_with):
    """Neither can go first; both together can."""
    job = job_with()
    modules = (place(job, 1, (0, 0, 60)), place(job, 2, (0, 150, 60)))
    under, over = bar("C2", (40.0, 60.0), ("m1",)), bar("C1", (40.0, 40.0), ("m2",))
    order = lifts(Arrangement(Pose(), modules, INSIDE), shell_of(job), Carriers((under, over)))
    assert ids(order) == [("m1", "m2")]
    assert set(order[0].bars) == {"C1", "C2"}
    assert not order[0].blocked


def test_equipment_is_named_where_it_lies_over_a_module(job_with):
    job = job_with()
    kind = Equipment.model_validate({"name": "monitor", "size": [60, 60, 40], "mass": 1, "where": "in box"})
    modules = (place(job, 1, (0, 0, 0)),)
    over = PlacedEquipment(kind, Pose((50.0, 50.0, 150.0)), "+x", False)
    beside = PlacedEquipment(kind, Pose((50.0, 250.0, 20.0)), "+x", False)
    above = lifts(Arrangement(Pose(), modules, INSIDE, (over,)), shell_of(job))
    assert [lift.what for lift in above] == ["monitor", "m1"]
    clear = lifts(Arrangement(Pose(), modules, INSIDE, (beside,)), shell_of(job))
    assert [lift.what for lift in clear] == ["m1"]
