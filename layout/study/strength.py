"""Every check of a design, for every load case and every way in which the mounts may share it."""

from __future__ import annotations

from dataclasses import dataclass

from layout.arrangement import Arrangement
from layout.balance.items import MassItem
from layout.box.design import BoxDesign
from layout.brackets.design import BracketDesign
from layout.checks import Check
from layout.job.model import Job
from layout.study.bracket_plates import bracket_plate_checks
from layout.study.held_modules import Held, held_checks
from layout.study.held_posts import lid_tie_checks, mounting_bar_sums, post_checks
from layout.study.leg_bolts import leg_bolt_checks
from layout.study.mount_bolts import mount_bolt_checks
from layout.study.mounting_bars import bar_checks
from layout.study.panels import panel_checks_of, undesigned
from layout.study.shares import Share, worst_of


@dataclass(frozen=True)
class Design:
    """What is checked."""

    job: Job
    arrangement: Arrangement
    box: BoxDesign
    brackets: tuple[BracketDesign, ...]
    items: tuple[MassItem, ...]


def bracket_checks(job: Job, box: BoxDesign, brackets: tuple[BracketDesign, ...], shares: tuple[Share, ...]) -> list[Check]:
    """What the bracket's sheet decides: its plates and welds, the plies under its bolts."""
    found: list[Check] = []
    for share in shares:
        for bracket in brackets:
            found += bracket_plate_checks(bracket, share)
            found += [c for c in leg_bolt_checks(job, box, bracket, share) if " in bar" not in c.part]
    return found


def bars_checks(box: BoxDesign, brackets: tuple[BracketDesign, ...], shares: tuple[Share, ...]) -> list[Check]:
    """What the mounting bars' width decides."""
    return [check for share in shares for bracket in brackets for check in bar_checks(box, bracket, share)]


def all_checks(design: Design, shares: tuple[Share, ...]) -> tuple[Check, ...]:
    """Mount bolts and the vehicle's metal, brackets, leg bolts, bars; floor, ribs and lid; what could not be checked.

    Of the ways of sharing a case the worst is kept for each check.
    """
    job, box = design.job, design.box
    found: list[Check] = []
    for share in shares:
        for bracket in design.brackets:
            found += mount_bolt_checks(job, bracket, share)
            found += bracket_plate_checks(bracket, share)
            found += leg_bolt_checks(job, box, bracket, share)
            found += bar_checks(box, bracket, share)
    cases = {share.name: share.case for share in shares}
    for case in cases.values():
        found += panel_checks_of(box, design.arrangement, case)
    held = Held(box, design.arrangement, tuple(cases.values()))
    found += mounting_bar_sums(held, design.brackets, found)
    found += [*held_checks(held), *post_checks(held), *lid_tie_checks(held)]
    return (*worst_of(found), *undesigned(design.arrangement))
