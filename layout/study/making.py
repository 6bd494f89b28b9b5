"""Whether an arrangement can be made: brackets that reach the mounts, bars under every module, modules that come out.

Asked of every arrangement that the search considers, so that the list shows first what can be built. It designs no more
than that needs: the narrowest bars and posts and the thinnest bracket sheet of which the sizing starts.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from layout.arrangement import Arrangement
from layout.box.bar_joining import WIDTHS_MM
from layout.box.carriers import Carriers
from layout.box.held import carriers_for
from layout.box.opening_room import check_openings
from layout.box.posts import POST_WIDTHS_MM
from layout.box.shell import Shell
from layout.brackets.design import Sizes
from layout.brackets.plan import BAR_WIDTHS_MM, BracketPlan, plan_options, with_bars
from layout.errors import DesignError
from layout.job.model import Job
from layout.space.bay import Bay
from layout.space.removal import lifts
from layout.study.clearance import clear_bracket, crowding, met_in_bay
from layout.study.unreached import unreached

SHEETS_MM = (5.0, 6.0, 8.0, 10.0, 12.0)
"""Thicknesses of bracket sheet that are tried."""


@dataclass(frozen=True)
class Making:
    """What stands in the way of making an arrangement.

    trouble: why no box with brackets can be made ("" where one can); carriers: its bars, with the modules they cannot hold;
    stuck: ids of modules that can be neither put in nor taken out, whatever else is out.
    """

    trouble: str = ""
    carriers: Carriers = field(default_factory=Carriers)
    stuck: tuple[str, ...] = ()

    def lost(self, modules: int) -> int:
        """How many of the modules are not held or cannot go in (all where no box can be made), and equipment not fixed."""
        if self.trouble:
            return modules
        return len({name for name, _ in self.carriers.unheld} | set(self.stuck)) + len(self.carriers.unfixed)


def making_of(job: Job, bay: Bay, arrangement: Arrangement, shell: Shell) -> Making:
    """Of the ways to reach the mount points the first that works, as the designer goes about it: near feet, then far ones."""
    clear, begun = _Clear(job, bay, arrangement, shell), _Begun()
    for far in (False, True):
        found = begun.first(clear, far)
        if found is not None:
            return found
    if begun.beyond:
        return Making(begun.beyond[0])
    alone = unreached(job, bay, arrangement, shell, job.bracket.sheet_mm or SHEETS_MM[0])
    return Making(str(alone) if alone else begun.reasons[0])


@dataclass(frozen=True)
class _Begun:
    """Why ways failed: reasons: their brackets could not be made; beyond: they could, and something else of the box not."""

    reasons: list[str] = field(default_factory=list)
    beyond: list[str] = field(default_factory=list)

    def first(self, clear: _Clear, far: bool) -> Making | None:
        """The first way that works; None where none does."""
        one = clear.arrangement
        try:
            for plans in plan_options(clear.job, one.frame, one.inside, clear.shell, far=far):
                carriers = self._held(clear, plans)
                if carriers is not None:
                    stuck = tuple(m for lift in lifts(one, clear.shell, carriers) if lift.blocked for m in lift.modules)
                    return Making("", carriers, stuck)
        except DesignError as error:
            self.reasons.append(str(error))
        return None

    def _held(self, clear: _Clear, plans: tuple[BracketPlan, ...]) -> Carriers | None:
        """Bars that hold the modules beside the brackets of a way; None where it fails."""
        kept = self.reasons
        try:
            clear.check(plans)
            kept = self.beyond
            return _carriers(clear.job, clear.arrangement, clear.shell, plans)
        except DesignError as error:
            kept.append(str(error))
            return None


def _carriers(job: Job, arrangement: Arrangement, shell: Shell, plans: tuple[BracketPlan, ...]) -> Carriers:
    with_bars(plans, BAR_WIDTHS_MM[0], arrangement.inside, shell)
    carriers = carriers_for(job, arrangement, shell, plans, (WIDTHS_MM[0], POST_WIDTHS_MM[0]))
    check_openings(job, arrangement.inside, shell, plans, arrangement, carriers)
    return carriers


class _Clear:
    """Whether brackets run into anything. A bracket that several ways to reach the mounts share is looked at once."""

    def __init__(self, job: Job, bay: Bay, arrangement: Arrangement, shell: Shell) -> None:
        self.job, self.bay, self.arrangement, self.shell = job, bay, arrangement, shell
        self.known: dict[tuple[object, ...], str] = {}

    def check(self, plans: tuple[BracketPlan, ...]) -> None:
        """Raise DesignError for the first thing that a bracket runs into, or one that cannot be made."""
        sheet = self.job.bracket.sheet_mm or SHEETS_MM[0]
        brackets = tuple(clear_bracket(self.job, self.bay, self.arrangement, self.shell, plan, Sizes(sheet)) for plan in plans)
        for one in brackets:
            key = (one.plan.wall, tuple(m.name for m in one.plan.mounts), one.plan.bars_u_mm, one.plan.bolts_u_mm,
                   one.plan.cut, one.plan.kind)  # fmt: skip
            if key not in self.known:
                self.known[key] = met_in_bay(self.bay, self.arrangement, one)
            if self.known[key]:
                raise _runs_into(one.number, self.known[key])
        for fault in crowding(self.arrangement, self.shell, brackets)[:1]:
            raise _runs_into(fault.what, fault.with_what)


def _runs_into(what: str, with_what: str) -> DesignError:
    return DesignError(
        f"bracket {what.split()[-1]}",
        "brackets keep clear of what is in the bay",
        f"it meets {with_what}",
        "Choose another arrangement, or another kind of bracket at this mount.",
    )
