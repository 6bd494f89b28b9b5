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
from layout.checks import Check
from layout.frames import Pose
from layout.job import Job
from layout.job.bay import MountSheet
from layout.job.crash import Factors
from layout.space.bay import Bay
from layout.study.evaluate import evaluate
from layout.study.shares import Share
from layout.study.sizing import designed_pack
from layout.study.strength import Design, all_checks

LayOut = Callable[[Job], Arrangement]


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


@pytest.fixture(scope="module")
def sound(front_job: Job, front_bay: Bay, laid_out: LayOut) -> Sound:
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


def thinner_bars(one: Sound) -> Sound:
    """The bars and posts of 15 mm as if they were 7 mm thick."""
    return one.box(shell=replace(one.design.box.shell, bar_mm=7.0))


def wider_pitch(one: Sound, patch: pytest.MonkeyPatch) -> Sound:
    patch.setattr("layout.study.panels.LID_PITCH_MM", 150.0)
    return one


def weaker_fixing_points(one: Sound) -> Sound:
    def change(module: PlacedModule) -> PlacedModule:
        assert module.kind.fixing is not None
        fixing = module.kind.fixing.model_copy(update={"load_n": 60.0})
        return replace(module, kind=module.kind.model_copy(update={"fixing": fixing}))

    arrangement = one.design.arrangement
    return one.with_(arrangement=replace(arrangement, modules=tuple(change(m) for m in arrangement.modules)))


def sheet(thickness: str, **changed: Any) -> Callable[..., Sound]:
    return lambda one, _: entry(one, sheet=MountSheet(material="S235", thickness=thickness), **changed)


def soft_bolts(one: Sound) -> Sound:
    return one.job(bracket=one.design.job.bracket.model_copy(update={"bolt_class": "4.6"}))


def plain(one: Sound) -> Sound:
    return one.brackets(lambda b: replace(b, gusset_places_mm=(), gussets=(), thickness_mm=6.0))


def thin_bracket(one: Sound, thickness_mm: float) -> Sound:
    return one.brackets(lambda b: replace(b, thickness_mm=thickness_mm))


def loose(bar: Any) -> bool:
    return not bar.welded


def short_bolts(one: Sound) -> Sound:
    return leg_bolts(one, length_mm=one.design.brackets[0].hardware[-1].grip_mm + 2.0)


AT_MOUNT, LEG, BAR = r"LKM-01-R\d at rail", r"LKM-01-R\d-L\d+", r"bar of LKM-01-R\d"
THIN = f"{BAR}|post|thread|in bar|bar of"

WEAK: list[tuple[str, str, str, str, Callable[[Sound, pytest.MonkeyPatch], Sound]]] = [
    # what is changed, the check that fails, at which part, what else may fail with it (name or part), how
    ("mount bolts M5 of class 4.6", "bolt shear with tension", AT_MOUNT, "bolt|slip|joint", lambda s, p: thread(soft_bolts(s), "M5")),
    ("vehicle's metal tapped, 1 mm thick", "bolt reaches into the thread", AT_MOUNT, "thread|bearing", sheet("1 mm")),
    ("vehicle's metal 0.3 mm with a nut behind", "pull-through of thin sheet", AT_MOUNT, "bearing|pull|punch",
     sheet("0.3 mm", fixing="weld nut")),
    ("vehicle's metal not known", "vehicle's own sheet", AT_MOUNT, "^$", lambda s, p: entry(s, sheet=None)),
    ("vehicle's holes 9 mm from an edge", "edge distance", AT_MOUNT, "bearing", lambda s, p: entry(s, edge_distance_mm=9.0)),
    ("rivet nuts at the vehicle", "blind nut in a crash", AT_MOUNT, "^$", lambda s, p: entry(s, fixing="rivet nut")),
    ("6 mm bracket without gussets", "bracket leg", AT_MOUNT, "bracket|angle|flange", lambda s, p: plain(s)),
    ("gussets of 0.8 mm", "plate buckling", AT_MOUNT, "gusset|weld", lambda s, p: s.brackets(lambda b: replace(b, gusset_thickness_mm=0.8))),
    ("gusset fillets of 0.2 mm", "fillet weld, directional", AT_MOUNT, "weld", lambda s, p: welds(s, 0.2)),
    ("angle of 4 mm", "angle between mount and bar", AT_MOUNT, "flange|gusset", lambda s, p: thin_bracket(s, 4.0)),
    ("leg of 4 mm", "flange strip between gussets", LEG, "angle|flange|gusset", lambda s, p: thin_bracket(s, 4.0)),
    ("plates of 1 mm", "flange with prying (tee)", LEG, "angle|flange|gusset|weld|plate|bearing|punch|pull",
     lambda s, p: thin_bracket(s, 1.0)),
    ("leg bolts M5", "slip", LEG, "bolt|joint", lambda s, p: leg_bolts(s, size="M5")),
    ("leg bolts 2 mm into the bar", "stripping of the tapped thread", f"{LEG} in bar", "thread", lambda s, p: short_bolts(s)),
    ("mounting bars 7 mm thick", "bending with shear", BAR, THIN, lambda s, _: thinner_bars(s)),
    ("posts 7 mm thick", "bending with shear", r"post ", THIN, lambda s, _: thinner_bars(s)),
    ("floor on ribs 460 mm apart", "panel under pressure", "floor between ribs", "rib", lambda s, p: ribs(s, 40.0, 460.0)),
    ("ribs of 8 mm height", "bending with shear", "floor rib", "rib", lambda s, p: ribs(s, 8.0, 120.0)),
    ("lid bolts 150 mm apart", "pitch of lid bolts", "lid", "^$", lambda s, p: wider_pitch(s, p)),
    ("module bars 14 mm wide", "edge distance", r"bolt of M\d", "bar|bolt of M",
     lambda s, p: carrier_bars(s, loose, width_mm=14.0)),
    ("module bars 6 mm thick", "bar's deflection within the gap beneath it", "cross bar", "bar|end screw",
     lambda s, p: carrier_bars(s, loose, thickness_mm=6.0)),
    ("floor bars 4 mm thick", "bar bent both ways", "floor bar", "floor bar", lambda s, p: carrier_bars(s, lambda b: b.welded, thickness_mm=4.0)),
    ("module's fixing points hold 60 N", "module's own fixing point", "", "^$", lambda s, p: weaker_fixing_points(s)),
    ("a module that no bar holds", "module hold-down", "M1", "^$", lambda s, p: s.carriers(unheld=(("M1", "no room"),))),
]  # fmt: skip


def test_the_sound_design_holds_in_every_check(sound: Sound) -> None:
    assert [(c.name, c.part, c.utilisation) for c in checks(sound) if not c.holds] == []


def test_ribs_as_such_hold(sound: Sound) -> None:
    found = checks(ribs(sound, 40.0, 120.0))
    assert any(c.part == "floor rib" for c in found)
    assert all(c.holds for c in found)


@pytest.fixture(scope="module")
def failing(sound: Sound) -> dict[str, list[Check]]:
    """What does not hold in each weak design."""
    found = {}
    for what, _, _, _, change in WEAK:
        with pytest.MonkeyPatch.context() as patch:
            found[what] = [c for c in checks(change(sound, patch)) if not c.holds]
    return found


@pytest.mark.parametrize(("what", "name", "part", "also"), [w[:4] for w in WEAK], ids=[w[0] for w in WEAK])
def test_weak_in_one_place_fails_there(
    failing: dict[str, list[Check]], what: str, name: str, part: str, also: str
) -> None:  # fmt: skip
    assert any(c.name == name and re.match(part, c.part) for c in failing[what])
    for c in failing[what]:
        assert c.name == name or re.search(also, c.name) or re.search(also, c.part), (c.name, c.part)


def test_equipment_whose_fixing_is_not_designed_never_passes(sound: Sound, front_job: Job) -> None:
    found = [c for c in checks(equipped(sound, front_job)) if not c.holds]
    assert {c.name for c in found} == {"equipment fixing"}


def test_table_of_weak_designs(failing: dict[str, list[Check]]) -> None:
    """Prints, for each change, the named check with its highest utilisation."""
    lines = [f"{'changed':<44} {'check that fails':<48} {'part':<48} {'used':>7}"]
    for what, name, part, _, _ in WEAK:
        mine = [c for c in failing[what] if c.name == name and re.match(part, c.part)]
        worst = max(mine, key=lambda c: float("inf") if c.utilisation is None else c.utilisation)
        used = "unknown" if worst.utilisation is None else f"{worst.utilisation:.2f}"
        lines.append(f"{what:<44} {worst.name:<48} {worst.part:<48} {used:>7}")
    print("\n" + "\n".join(lines))
    assert len(lines) == len(WEAK) + 1


def test_a_study_of_the_sound_job_holds_and_of_a_weak_one_does_not(front_job: Job, front_bay: Bay, laid_out: LayOut) -> None:
    job = sound_job(front_job)
    held = evaluate(job, front_bay, SearchResult(8, (laid_out(job),), 8, True, 0.0, "laid out by hand"), 1)
    assert held.all_hold
    weak = job.model_copy(update={"mount_points": tuple(m.model_copy(update={"sheet": None}) for m in job.mount_points)})
    not_held = evaluate(weak, front_bay, SearchResult(8, (laid_out(weak),), 8, True, 0.0, "laid out by hand"), 1)
    assert {c.name for c in not_held.checks if not c.holds} == {"vehicle's own sheet"}


def test_road_loads_ask_every_metal_joint_for_preload(sound: Sound) -> None:
    """Proof load, separation and slip in every road case: mounts, leg bolts, the modules' bolts, the bars' end screws."""
    checks = all_checks(sound.design, sound.shares)
    cases = {share.name for share in sound.shares if share.case.group == "road"}
    wanted = [f"{b.number} at " for b in sound.design.brackets] + [f"{b.number}-L" for b in sound.design.brackets]
    wanted.append("bolts of the modules in their bars")
    wanted += ["end screws of the bars"] if any(not bar.welded for bar in sound.design.box.carriers.bars) else []
    for name in ("slip", "joint separation", "bolt proof load"):
        for start in wanted:
            found = {c.case for c in checks if c.name == name and c.part.startswith(start)}
            assert cases <= found, (name, start)
    crash = {share.name for share in sound.shares if share.case.group == "crash"}
    assert not any(c.case in crash and c.part == "bolts of the modules in their bars" for c in checks)
