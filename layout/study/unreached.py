"""Each mount point on its own: which kinds of bracket were tried for it from which walls, and by how much each misses.

Asked only where no way to reach all the mounts together could be made.
"""

from __future__ import annotations

from dataclasses import dataclass

from layout.arrangement import Arrangement
from layout.box.shell import Shell
from layout.brackets.angle import design_bracket
from layout.brackets.plan import FAR_REACH_MM, Way, missed, mounts_in_pack, no_way, plan_for, ways_to
from layout.brackets.planned import PackMount
from layout.errors import DesignError
from layout.job.model import Job
from layout.space.bay import Bay
from layout.study.clearance import bay_conflicts, crowding

RUNS_INTO = "runs into"


@dataclass(frozen=True)
class Alone:
    """blocked: the error for the first mount that nothing reaches; bare: mounts that of all angles a plain L alone reaches."""

    blocked: DesignError | None = None
    bare: frozenset[str] = frozenset()


@dataclass(frozen=True)
class _Room:
    job: Job
    bay: Bay
    arrangement: Arrangement
    shell: Shell
    sheet_mm: float

    def trouble(self, mount: PackMount, way: Way) -> str:
        """What stands in the way of one bracket; "" where it can be made."""
        one, inside = self.arrangement, self.arrangement.inside
        try:
            plan = plan_for(self.job, one.frame, mount, way, inside, self.shell)
            bracket = design_bracket(self.job, plan, inside, self.shell, self.sheet_mm)
        except DesignError as error:
            return f"{error.rule}: {error.figure}"
        found = [*bay_conflicts(self.bay, one, bracket), *crowding(one, self.shell, (bracket,))]
        worst = min(found, key=lambda fault: fault.got_mm, default=None)
        if worst is None:
            return ""
        return f"its {worst.what.split(' of ')[0]} {RUNS_INTO} {worst.with_what} by {-worst.got_mm:.1f} mm"


def reached_alone(job: Job, bay: Bay, arrangement: Arrangement, shell: Shell, sheet_mm: float) -> Alone:
    """Whether each mount could be reached if it were the only one, with brackets of one sheet, feet cut where they must be."""
    room = _Room(job, bay, arrangement, shell, sheet_mm)
    bare: set[str] = set()
    blocked: DesignError | None = None
    for mount in mounts_in_pack(job, arrangement.frame):
        usual, misses = ways_to(mount, arrangement.inside, shell, FAR_REACH_MM)
        said = _tried(room, mount, usual)
        if said is None:
            continue
        plain = ways_to(mount, arrangement.inside, shell, FAR_REACH_MM, bare=True)[0]
        plain = [way for way in plain if way.kind == "plain L" and way not in usual]
        more = _tried(room, mount, plain) if plain else said
        if more is None:
            bare.add(mount.name)
        elif blocked is None:
            tried = [*said, *(more if plain else [])]
            blocked = no_way(mount, "; ".join([*tried, missed(mount, misses, tried)]).removesuffix("; "))
    return Alone(blocked, frozenset(bare))


def _tried(room: _Room, mount: PackMount, ways: list[Way]) -> list[str] | None:
    """What is in the way of every way; None as soon as one can be made."""
    said = []
    for way in ways:
        trouble = room.trouble(mount, way)
        if not trouble:
            return None
        said.append(f"{way.kind}, {way.wall} wall: {trouble}")
    return said
