"""Can the box be brought in, and the modules be lifted out? For every arrangement that the search lists."""

from __future__ import annotations

from layout.arrangement import Insertion, SearchResult
from layout.box.shell import Shell
from layout.job.model import Job
from layout.space.bay import Bay
from layout.space.insertion import insertion_path, removal_order


def access_of(
    job: Job, bay: Bay, search: SearchResult, shell: Shell
) -> tuple[tuple[Insertion, ...], tuple[tuple[str, ...], ...]]:
    """Path of the box into the bay and order of removal of the modules, one each per arrangement."""
    insertions, orders = [], []
    for arrangement in search.arrangements:
        pieces = list(shell.pieces(arrangement.inside))
        pieces += [(e.kind.name, e.extent) for e in arrangement.equipment if e.outside]
        insertions.append(insertion_path(bay, tuple(pieces), arrangement.frame, job.bay.insert_from))
        orders.append(tuple(removal_order(arrangement, shell)))
    return tuple(insertions), tuple(orders)
