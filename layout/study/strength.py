"""Every check of a design, for every load case."""

from __future__ import annotations

from layout.arrangement import Arrangement
from layout.balance.items import MassItem
from layout.box.design import BoxDesign
from layout.brackets.design import BracketDesign
from layout.checks import Check
from layout.job.model import Job
from layout.study.leg_bolts import leg_bolt_checks
from layout.study.mount_bolts import mount_bolt_checks
from layout.study.study import CaseForces


def all_checks(
    job: Job,
    arrangement: Arrangement,
    box: BoxDesign,
    brackets: tuple[BracketDesign, ...],
    cases: tuple[CaseForces, ...],
    items: tuple[MassItem, ...],
) -> tuple[Check, ...]:
    """Checks of mount bolts, the vehicle's metal, leg bolts and their threads, in the order of cases."""
    del items
    found: list[Check] = []
    for case in cases:
        for bracket in brackets:
            found += mount_bolt_checks(job, bracket, case, arrangement.frame)
            found += leg_bolt_checks(job, box, bracket, case, arrangement.frame)
    return tuple(found)
