"""Raised bars that would overlap are made one; what it costs the bolts; liner slots that bars are lowered through."""

from __future__ import annotations

from dataclasses import replace

import pytest

from layout.arrangement import Arrangement, PlacedModule
from layout.box.bar_joining import joined, prying
from layout.box.carriers import BarBolt, CarrierBar
from layout.box.design import BoxDesign
from layout.box.shell import shell_of
from layout.box.welded import design_box
from layout.design import Plate
from layout.design.geometry import loop_extent_mm
from layout.frames import Extent, Pose, module_axes
from layout.job import Job
from layout.loads.cases import cases_of
from layout.study.held_loads import OnBars
from layout.study.held_modules import Held, held_checks


def bar(at: float, module: str = "M1", **more: object) -> CarrierBar:
    bolt = BarBolt(module, "M6", (0.0, at, 100.0))
    plain = CarrierBar("", 0, 2, 1.0, 100.0, at, (-200.0, 200.0), 25.0, 15.0, "6082-T6", False, (bolt,), ("aft", "fore"))
    return replace(plain, **more)  # type: ignore[arg-type]


def test_bars_side_by_side_become_one_over_both_rows() -> None:
    at, one = joined(bar(20.0, "M2"), [bar(-90.0), bar(0.0)], 25.0)
    assert at == 1
    assert (one.at_mm, one.width_mm) == (10.0, 50.0)
    assert [b.module for b in one.bolts] == ["M1", "M2"]
    assert joined(bar(0.0, "M2"), [bar(0.0)], 25.0)[1].width_mm == 25.0
    assert joined(bar(60.0), [bar(0.0)], 25.0)[0] is None
    assert joined(bar(20.0), [bar(0.0, face_mm=140.0)], 25.0)[0] is None
    assert joined(bar(20.0), [bar(0.0), bar(45.0)], 25.0)[0] is None


def test_a_bolt_off_the_middle_is_pulled_more() -> None:
    """Balance of the bar: bolt, edge beyond it, ends in its middle."""
    wide = bar(10.0, width_mm=50.0)
    factor = prying(wide, 20.0)
    pull, edge = factor, factor - 1.0
    assert pull * 10.0 == pytest.approx(edge * 25.0)
    assert prying(wide, 10.0) == 1.0
    assert prying(replace(wide, welded=True), 20.0) == 1.0


@pytest.fixture(scope="module")
def close(front_job: Job) -> tuple[Job, Arrangement, BoxDesign]:
    """Two modules side by side, high up, whose rows of holes lie ten millimetres from their sides."""
    assert front_job.modules[0].fixing is not None
    holes = tuple((x, y) for x in (-170.0, 170.0) for y in (-65.0, 65.0))
    fixing = front_job.modules[0].fixing.model_copy(update={"pattern_mm": holes})
    job = front_job.model_copy(update={"modules": (front_job.modules[0].model_copy(update={"fixing": fixing}),)})
    inside = Extent((0.0, 0.0, 0.0), (460.0, 480.0, 330.0))
    axes = module_axes("+z", "+x", "-x")
    assert axes is not None
    poses = [Pose((244.0, 160.0 + 155.0 * i, 200.0), axes) for i in (0, 1)]
    modules = tuple(PlacedModule(f"M{i + 1}", job.modules[0], pose, "+z", "-x") for i, pose in enumerate(poses))
    arrangement = Arrangement(Pose(), modules, inside)
    return job, arrangement, design_box(job, inside, shell_of(job), (), arrangement)


def test_neighbours_share_a_wide_bar(close: tuple[Job, Arrangement, BoxDesign]) -> None:
    job, arrangement, box = close
    assert box.carriers.unheld == ()
    assert [b.run for b in box.carriers.bars] == [0, 0, 0]
    assert sorted(b.width_mm for b in box.carriers.bars) == [25.0, 25.0, 50.0]
    held = Held(box, arrangement, cases_of(job))
    assert all(c.utilisation is not None for c in held_checks(held) if "own fixing" not in c.name)
    one: OnBars = held.models[0][0]
    wide = [k for k, b in enumerate(one.bar_of_bolts) if b.width_mm > 25.0]
    plain = OnBars(one.held, one.module, tuple(replace(b, welded=True) for b in one.bars)).bolt_forces(held.specific)
    turned = one.bolt_forces(held.specific)
    for k in range(len(one.held.bolts)):
        factor = prying(one.bar_of_bolts[k], one.held.bolts[k].at_mm[one.bar_of_bolts[k].across])
        assert (factor > 1.0) == (k in wide)
        assert turned[0, :, k] == pytest.approx(factor * plain[0, :, k])


def test_liner_slots_are_open_where_bars_are_lowered_in(close: tuple[Job, Arrangement, BoxDesign]) -> None:
    _, _, box = close
    walls = {w for b in box.carriers.bars for w in b.walls}
    for plate in (p for p in box.plates if p.group == "liner" and p.name.split(", ")[-1] in walls):
        assert isinstance(plate, Plate)
        assert plate.profile.cutouts == ()
        _, _, _, top = loop_extent_mm(plate.profile.outline)
        slots = [(x, y) for x, y, _ in plate.profile.outline if y < top - 1.0 and y > 50.0]
        assert len(slots) >= 4  # two slots, each open at the top
