"""Every check of a design, for every load case and every way in which the mounts may share it."""

from __future__ import annotations

from dataclasses import dataclass

from layout.arrangement import Arrangement
from layout.balance.items import MassItem, total
from layout.box.design import BoxDesign
from layout.brackets.design import BracketDesign
from layout.checks import Check
from layout.checks.many import settled, worst
from layout.checks.road import with_road_margin
from layout.job.model import Job
from layout.study.bracket_plates import Foot, bracket_feet, bracket_plate_checks
from layout.study.cover_checks import cover_checks
from layout.study.fixture_checks import fixture_checks
from layout.study.folded_corners import corner_checks
from layout.study.held_modules import Held, held_checks
from layout.study.held_posts import lid_tie_checks, mounting_bar_sums, post_checks
from layout.study.held_terminals import terminal_checks
from layout.study.leg_bolts import LegJoint, leg_bolt_checks, leg_joint
from layout.study.lid_fixture_checks import lid_fixture_checks
from layout.study.lifting_checks import lifting_checks
from layout.study.mount_bolts import MountJoint, mount_bolt_checks, mount_joints
from layout.study.mounting_bars import LoadedBar, bar_checks, loaded_bars
from layout.study.openings import opening_checks_of
from layout.study.panels import panel_checks_of, undesigned
from layout.study.shares import SLOTS_SLIDE, Loads, Share, bracket_loads, share_table, worst_of
from layout.study.tiers import tier_checks


@dataclass(frozen=True)
class Design:
    """What is checked."""

    job: Job
    arrangement: Arrangement
    box: BoxDesign
    brackets: tuple[BracketDesign, ...]
    items: tuple[MassItem, ...]


@dataclass(frozen=True, eq=False)
class Prepared:
    """A bracket with all that its checks need, worked out once, and its loads."""

    joints: tuple[MountJoint, ...]
    feet: tuple[Foot, ...]
    leg: LegJoint
    bars: tuple[LoadedBar, ...]
    loads: tuple[Loads, ...]


def prepared(job: Job, box: BoxDesign, brackets: tuple[BracketDesign, ...], shares: tuple[Share, ...]) -> tuple[Prepared, ...]:
    """Joints, feet, leg and bars of each bracket with every case and way of sharing."""
    slide, table = any(share.way == SLOTS_SLIDE for share in shares), share_table(shares)
    return tuple(
        Prepared(
            mount_joints(job, bracket, slots_slide=slide), bracket_feet(bracket), leg_joint(job, box, bracket),
            loaded_bars(box, bracket), bracket_loads(bracket, table),
        )
        for bracket in brackets
    )  # fmt: skip


def weakest_of_brackets(
    job: Job, box: BoxDesign, brackets: tuple[BracketDesign, ...], shares: tuple[Share, ...], *, sheet_alone: bool = False
) -> Check | None:
    """Of what bracket sheet, gussets, welds and leg bolts decide the check that is used most in any case.

    sheet_alone: without what the bolts decide, whatever the sheet: slip, and their threads in the bars.
    """
    found: list[Check | None] = []
    for one in prepared(job, box, brackets, shares):
        for load in one.loads:
            bolts = leg_bolt_checks(one.leg, load.kind, load.forces_n)
            if sheet_alone:
                bolts = [c for c in bolts if " in bar" not in c.part and c.name != "slip"]
            found.append(worst(_plates(one, load) + bolts, load.cases))
    return max((c for c in found if c is not None), key=lambda c: c.utilisation or 0.0, default=None)


def bars_checks(
    job: Job, arrangement: Arrangement, box: BoxDesign, brackets: tuple[BracketDesign, ...], shares: tuple[Share, ...]
) -> list[Check]:
    """What the mounting bars' width decides: under the brackets' bolts, and together with the ends of the modules' bars."""
    ready = prepared(job, box, brackets, shares)
    found = [c for one in ready for load in one.loads for c in settled(_bars(one, load), load.cases)]
    cases = {share.name: share.case for share in shares}
    return found + mounting_bar_sums(Held(box, arrangement, tuple(cases.values())), brackets, found)


def all_checks(design: Design, shares: tuple[Share, ...]) -> tuple[Check, ...]:
    """Mount bolts and the vehicle's metal, brackets, leg bolts, bars; floor, ribs and lid; what could not be checked.

    Of the ways of sharing a case the worst is kept for each check. In service (road loads, standing) stresses keep a margin.
    """
    job, box = design.job, design.box
    found: list[Check] = []
    for one in prepared(job, box, design.brackets, shares):
        for load in one.loads:
            mine = _mount_bolts(one, load) + _plates(one, load)
            mine += leg_bolt_checks(one.leg, load.kind, load.forces_n) + _bars(one, load)
            found += settled(mine, load.cases)
    cases = {share.name: share.case for share in shares}
    held = Held(box, design.arrangement, tuple(cases.values()))
    sums = mounting_bar_sums(held, design.brackets, found)
    others = [c for case in cases.values() for c in panel_checks_of(box, design.arrangement, case)]
    others += [*held_checks(held), *corner_checks(held), *post_checks(held), *lid_tie_checks(held)]
    others += [*fixture_checks(box, held.cases, held.specific), *cover_checks(box, held.cases, held.specific)]
    others += tier_checks(held)
    others += lid_fixture_checks(box, held.cases, held.specific)
    others += opening_checks_of(job, box, design.arrangement, held.cases, held.specific)
    in_service = {name for name, case in cases.items() if case.no_slip}
    road = with_road_margin(c for c in others if c.case in in_service)
    rest = [c for c in others if c.case not in in_service]
    apart = [*undesigned(box, design.arrangement), *terminal_checks(job, box, design.arrangement)]
    apart += lifting_checks(job, box, design.arrangement, total(design.items))
    return (*worst_of([*found, *sums, *rest, *road]), *apart)


def _mount_bolts(one: Prepared, load: Loads) -> list[Check]:
    return [
        c for i, joint in enumerate(one.joints) for c in mount_bolt_checks(joint, load.kind, load.forces_n[..., i, :])
    ]  # fmt: skip


def _plates(one: Prepared, load: Loads) -> list[Check]:
    return [c for i, foot in enumerate(one.feet) for c in bracket_plate_checks(foot, load.kind, load.forces_n[..., i, :])]


def _bars(one: Prepared, load: Loads) -> list[Check]:
    return [c for bar in one.bars for c in bar_checks(one.leg, bar, load.kind, load.forces_n)]
