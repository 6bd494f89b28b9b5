"""Can the box be brought in, the modules be lifted out, and covers and terminals be reached?"""

from __future__ import annotations

from layout.arrangement import Insertion, SearchResult
from layout.box.carriers import Carriers
from layout.box.shell import Shell
from layout.job.model import Job
from layout.space.access import service_access
from layout.space.bay import Bay
from layout.space.insertion import insertion_path
from layout.space.parts import free_space_notes
from layout.space.removal import Lift, lifts
from layout.study.study import Fit


def access_of(
    job: Job, bay: Bay, search: SearchResult, shell: Shell, own: dict[int, Carriers] | None = None
) -> tuple[tuple[Insertion, ...], tuple[tuple[Lift, ...], ...]]:
    """Path of the box into the bay and order of removal of the modules, one each per arrangement.

    own: by index, the bars of arrangements that were designed (those of the search else).
    """
    insertions, orders = [], []
    for k, arrangement in enumerate(search.arrangements):
        pieces = list(shell.pieces(arrangement.inside))
        pieces += [(e.kind.name, e.extent) for e in arrangement.equipment if e.outside]
        insertions.append(insertion_path(bay, tuple(pieces), arrangement.frame, job.bay.insert_from))
        planned = search.makings[k].carriers if k < len(search.makings) else Carriers()
        orders.append(lifts(arrangement, shell, (own or {}).get(k, planned)))
    return tuple(insertions), tuple(orders)


def fit_of(job: Job, bay: Bay, search: SearchResult, number: int, shell: Shell, carriers: Carriers | None = None) -> Fit:
    """Ways in and orders of removal of every arrangement listed; access in arrangement `number` (from 1) alone.

    carriers: the bars that were designed for that arrangement.
    """
    insertions, orders = access_of(job, bay, search, shell, {number - 1: carriers} if carriers else None)
    access = service_access(job, search.arrangements[number - 1], bay, shell)
    return Fit(search, number, insertions, orders, access, tuple(free_space_notes(bay)))
