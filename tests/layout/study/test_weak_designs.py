"""One sound design, weakened in one place at a time: the check of that place fails, and what else fails belongs to it.

    pytest -s tests/layout/study/test_weak_designs.py -k table      prints what was changed, and which check then fails
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import pytest

from layout.arrangement import Arrangement, PlacedEquipment, PlacedModule, SearchResult
from layout.box.carrier_room import carrier_mm
from layout.checks import Check
from layout.frames import Extent, Pose, module_axes
from layout.job import Job
from layout.job.bay import MountSheet
from layout.job.crash import Factors
from layout.space.bay import Bay
from layout.study.evaluate import evaluate
from layout.study.shares import Share
from layout.study.sizing import designed_pack
from layout.study.strength import Design, all_checks


@dataclass(frozen=True)
class Sound:
    """A design and what the pack does to its mounts."""

    design: Design
    shares: tuple[Share, ...]

    def with_(self, **changed: Any) -> Sound:
        return replace(self, design=replace(self.design, **changed))

    def job(self, **changed: Any) -> Sound:
        return self.with_(job=self.design.job.model_copy(update=changed))

    def brackets(self, change: Callable[[Any], Any]) -> Sound:
        return self.with_(brackets=tuple(change(b) for b in self.design.brackets))

    def box(self, **changed: Any) -> Sound:
        return self.with_(box=replace(self.design.box, **changed))

    def carriers(self, **changed: Any) -> Sound:
        return self.box(carriers=replace(self.design.box.carriers, **changed))


def sound_job(job: Job) -> Job:
    """The shared job with every mount's metal known and thick, lower factors, no pulse, no equipment, all of the modules known."""
    sheet = MountSheet(material="S355", thickness="6 mm")
    mounts = tuple(m.model_copy(update={"sheet": sheet, "edge_distance_mm": 30.0}) for m in job.mount_points)
    factors = Factors(forward=6, rearward=5, left=5, right=5, up=4, down=4)
    crash = job.crash.model_copy(update={"factors": factors, "pulse": None, "pulses": ()})
    (kind,) = job.modules
    assert kind.fixing is not None
    known = {"fixing": kind.fixing.model_copy(update={"load_n": 9000.0}), "terminals_mm": ((196.0, -40.0, 20.0), (196.0, 40.0, 20.0))}
    bracket = job.bracket.model_copy(update={"sheet_mm": 10.0})
    changed = {"mount_points": mounts, "crash": crash, "modules": (kind.model_copy(update=known),), "equipment": (), "bracket": bracket}
    return job.model_copy(update=changed)


def laid_out(job: Job) -> Arrangement:
    """Three modules on the floor, three above them, two across on top; the room for bars left under each."""
    inside, kind = Extent((-75.0, -238.0, 349.0), (361.0, 227.0, 796.0)), job.modules[0]
    step = 112.0 + carrier_mm(job, kind)
    base = inside.min_mm[2] + job.box.liner_mm + carrier_mm(job, kind) + 54.0
    places = [((163.0, -160.5 + 155.0 * column, base + layer * step), "-x") for layer in range(2) for column in range(3)]
    places += [((283.5 - 155.0 * i, 29.0, base + 2 * step), "-y") for i in range(2)]
    modules = []
    for i, (middle, terminals) in enumerate(places):
        axes = module_axes("+z", kind.terminal_face, terminals)
        assert axes is not None
        modules.append(PlacedModule(f"M{i + 1}", kind, Pose(middle, axes), "+z", terminals))
    return Arrangement(Pose(), tuple(modules), inside)


@pytest.fixture(scope="module")
def sound(front_job: Job, front_bay: Bay) -> Sound:
    job = sound_job(front_job)
    arrangement = laid_out(job)
    made = designed_pack(job, front_bay, arrangement)
    return Sound(Design(job, arrangement, made.box, made.brackets, made.items), made.loading.shares)


def checks(one: Sound) -> tuple[Check, ...]:
    return all_checks(one.design, one.shares)


def thread(one: Sound, size: str) -> Sound:
    """The vehicle's own holes of another size."""

    def change(bracket: Any) -> Any:
        mounts = tuple(replace(m, entry=m.entry.model_copy(update={"thread": size})) for m in bracket.plan.mounts)
        return replace(bracket, plan=replace(bracket.plan, mounts=mounts))

    return one.brackets(change)


def entry(one: Sound, **changed: Any) -> Sound:
    def change(bracket: Any) -> Any:
        mounts = tuple(replace(m, entry=m.entry.model_copy(update=changed)) for m in bracket.plan.mounts)
        return replace(bracket, plan=replace(bracket.plan, mounts=mounts))

    return one.brackets(change)


def leg_bolts(one: Sound, **changed: Any) -> Sound:
    return one.brackets(lambda b: replace(b, hardware=(*b.hardware[:-1], replace(b.hardware[-1], **changed))))


def welds(one: Sound, throat_mm: float) -> Sound:
    return one.brackets(lambda b: replace(b, welds=tuple(replace(w, throat_mm=throat_mm) for w in b.welds)))


def narrow_bars(one: Sound, width_mm: float) -> Sound:
    return one.brackets(lambda b: replace(b, plan=replace(b.plan, bar_width_mm=width_mm)))


def ribs(one: Sound, height_mm: float, spacing_mm: float) -> Sound:
    return one.box(rib_axis=0, rib_height_mm=height_mm, rib_thickness_mm=6.0, rib_spacing_mm=spacing_mm)


def carrier_bars(one: Sound, which: Callable[[Any], bool], **changed: Any) -> Sound:
    return one.carriers(bars=tuple(replace(b, **changed) if which(b) else b for b in one.design.box.carriers.bars))


def hold_down_bolts(one: Sound, size: str) -> Sound:
    def smaller(bolts: Any) -> Any:
        return tuple(replace(b, size=size) for b in bolts)

    held = tuple(replace(h, bolts=smaller(h.bolts)) for h in one.design.box.carriers.held)
    return one.carriers(held=held)


def equipped(one: Sound, job: Job) -> Sound:
    placed = PlacedEquipment(job.equipment[0], Pose((100.0, 170.0, 665.0)), "+y", outside=False)
    return one.with_(arrangement=replace(one.design.arrangement, equipment=(placed,)))
