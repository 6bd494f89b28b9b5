"""In which order several boxes go into the bay, by which way, and how their modules come out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import permutations

from layout.arrangement import Insertion, SearchResult
from layout.frames import Extent
from layout.job.model import Job
from layout.several.apart import boxes_as_obstacles, other_boxes, others, with_obstacles
from layout.several.jobs import prefix_of
from layout.several.model import PackArrangement
from layout.space.access import Access, service_access
from layout.space.bay import Bay
from layout.space.insertion import insertion_path
from layout.space.obstacle import Obstacle
from layout.space.parts import free_space_notes
from layout.space.removal import Lift, lifts, meets


@dataclass(frozen=True)
class WaysIn:
    """order: numbers of the boxes as they go in; insertions: of each box, by number, the boxes before it in their places.

    under: of each box the numbers of those that lie over its lid and must come out before it is opened.
    """

    order: tuple[int, ...]
    insertions: tuple[Insertion, ...]
    under: tuple[tuple[int, ...], ...]

    @property
    def possible(self) -> bool:
        """Whether every box goes in."""
        return all(one.possible for one in self.insertions)

    @property
    def words(self) -> str:
        """The order, and each box's way."""
        steps = [f"{prefix_of(k)}: {self.insertions[k - 1].note or 'possible'}" for k in self.order]
        return f"{' before '.join(prefix_of(k) for k in self.order)}; {'; '.join(steps)}"


@dataclass(frozen=True)
class PackFit:
    """What the search and the judges of access say of arrangements in several boxes. number: the one taken, from 1.

    ways: of each arrangement; lifts: of each arrangement, of each box; access: in the one taken.
    """

    search: SearchResult
    number: int
    ways: tuple[WaysIn, ...]
    lifts: tuple[tuple[tuple[Lift, ...], ...], ...]
    access: tuple[Access, ...] = ()
    space_notes: tuple[str, ...] = ()


def ways_in(job: Job, bay: Bay, pack: PackArrangement, more: Mapping[int, tuple[Obstacle, ...]] | None = None) -> WaysIn:
    """The first order in which every box goes in past those before it; else the one in which the most do.

    more: what else stands in the bay once a box is in its place (its brackets), by number.
    """
    known: dict[tuple[int, frozenset[int]], Insertion] = {}

    def way(number: int, before: tuple[int, ...]) -> Insertion:
        key = (number, frozenset(before))
        if key not in known:
            standing = [*boxes_as_obstacles(job, pack, before), *(o for k in before for o in (more or {}).get(k, ()))]
            around = with_obstacles(bay, standing)
            known[key] = insertion_path(around, pack.pieces(job, number), pack.frame, job.bay.insert_from)
        return known[key]

    best: tuple[int, ...] = ()
    most = -1
    for order in permutations(range(1, len(pack.parts) + 1)):
        free = 0
        for at, number in enumerate(order):
            if not way(number, order[:at]).possible:
                break
            free += 1
        if free > most:
            best, most = order, free
        if free == len(order):
            break
    insertions = {number: way(number, best[:at]) for at, number in enumerate(best)}
    numbers = range(1, len(pack.parts) + 1)
    return WaysIn(best, tuple(insertions[k] for k in numbers), tuple(_over(job, pack, k) for k in numbers))


def _over(job: Job, pack: PackArrangement, number: int) -> tuple[int, ...]:
    """Numbers of the boxes that lie over the lid of a box (pack frame: the lid is lifted square to it)."""
    lid = pack.shells(job)[number - 1].slab(pack.parts[number - 1].inside)
    top = max(piece.max_mm[2] for k in others(pack, number) for _, piece in pack.pieces(job, k))
    shaft = Extent(lid.min_mm, (lid.max_mm[0], lid.max_mm[1], max(top, lid.max_mm[2])))
    return tuple(k for k in others(pack, number) if any(meets(shaft, piece) for _, piece in pack.pieces(job, k)))


def fit_of_several(job: Job, bay: Bay, search: SearchResult, number: int) -> PackFit:
    """Ways in and orders of removal of every arrangement listed; access in arrangement `number` (from 1) alone."""
    packs = [one for one in search.arrangements if isinstance(one, PackArrangement)]
    ways = tuple(ways_in(job, bay, pack) for pack in packs)
    orders = tuple(
        tuple(lifts(part, shell, bars) for part, shell, bars in zip(pack.parts, pack.shells(job), pack.bars, strict=True))
        for pack in packs
    )
    access = pack_access(job, bay, packs[number - 1])
    return PackFit(search, number, ways, orders, access, tuple(free_space_notes(bay)))


def pack_access(job: Job, bay: Bay, pack: PackArrangement) -> tuple[Access, ...]:
    """Access to covers and terminals of every box, the others in their places; names with the box's prefix."""
    found: list[Access] = []
    for number, (part, shell) in enumerate(zip(pack.parts, pack.shells(job), strict=True), start=1):
        prefix = prefix_of(number)
        names = {m.id for m in part.modules}
        for one in service_access(pack.job_of(job, number), part, other_boxes(job, bay, pack, number), shell):
            head, _, last = one.name.rpartition(" ")
            name = f"{head} {prefix}-{last}" if last in names and head else f"{prefix} {one.name}"
            under = tuple(f"{prefix}-{u}" if u in names else u for u in one.under)
            found.append(replace(one, name=name, under=under))
    return tuple(found)
