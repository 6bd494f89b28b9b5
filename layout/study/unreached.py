"""Each mount point on its own: which kinds of bracket were tried for it from which walls, and by how much each misses.

Asked only where no way to reach all the mounts together could be made.
"""

from __future__ import annotations

from dataclasses import dataclass

from layout.arrangement import Arrangement
from layout.box.shell import Shell
from layout.brackets.design import Sizes
from layout.brackets.plan import FAR_REACH_MM, Way, missed, mounts_in_pack, no_way, plan_for, ways_to
from layout.brackets.planned import PackMount
from layout.errors import DesignError
from layout.job.model import Job
from layout.space.bay import Bay
from layout.study.clearance import bay_conflicts, clear_bracket, crowding

RUNS_INTO = "runs into"


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
            bracket = clear_bracket(self.job, self.bay, one, self.shell, plan, Sizes(self.sheet_mm))
        except DesignError as error:
            return f"{error.rule}: {error.figure}"
        found = [*bay_conflicts(self.bay, one, bracket), *crowding(one, self.shell, (bracket,))]
        worst = min(found, key=lambda fault: fault.got_mm, default=None)
        if worst is None:
            return ""
        return f"its {worst.what.split(' of ')[0]} {RUNS_INTO} {worst.with_what} by {-worst.got_mm:.1f} mm"


def unreached(job: Job, bay: Bay, arrangement: Arrangement, shell: Shell, sheet_mm: float) -> DesignError | None:
    """The error for the first mount that nothing would reach even if it were the only one; None where there is none.

    With brackets of one sheet, their feet cut back where they must be.
    """
    room = _Room(job, bay, arrangement, shell, sheet_mm)
    for mount in mounts_in_pack(job, arrangement.frame):
        ways, misses = ways_to(mount, arrangement.inside, shell, FAR_REACH_MM)
        said = _tried(room, mount, ways)
        if said is not None:
            return no_way(mount, "; ".join(text for text in (*said, missed(mount, misses, said)) if text))
    return None


def _tried(room: _Room, mount: PackMount, ways: list[Way]) -> list[str] | None:
    """What is in the way of every way; None as soon as one can be made."""
    said = []
    for way in ways:
        trouble = room.trouble(mount, way)
        if not trouble:
            return None
        said.append(f"{way.kind}, {way.wall} wall: {trouble}")
    return said
