"""From job and bay to ranked arrangements in several boxes: where the bay is cut, what the pieces hold, and at most."""

from __future__ import annotations

import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from itertools import permutations, product

from layout.arrangement import SearchResult
from layout.errors import JobError, NothingFits, Problem
from layout.frames import Vec3, vec3
from layout.job.model import Job
from layout.job.sense.boxes import LEAST_MOUNTS
from layout.packing.bodies import Body
from layout.packing.clock import Clock, Stop, clock_for
from layout.packing.count import Progress
from layout.packing.search import (
    COARSE_MM,
    HURRIED_MM,
    HURRIED_S,
    MORE_S,
    refuse_what_is_not_done,
    usable,
    with_stated_equipment,
)
from layout.packing.sites import Site, poses_to_try
from layout.several.counting import Ask, Counting, ask_of
from layout.several.cuts import Ceiling, Finder, Plan
from layout.several.jobs import job_of_box
from layout.several.model import PackArrangement
from layout.several.pairing import Paired, paired, pairs
from layout.several.pieces import Arranger, Share, fullest_in
from layout.several.regions import Region
from layout.several.splits import splits
from layout.space.bay import Bay

MOST_SHARES = 4
"""Cuts, and ways to share the modules among the boxes, whose pieces are arranged."""
CUTS_SHARE, EXACT_SHARE, PIECES_SHARE = 0.3, 0.3, 0.8
"""Shares of the time left: for the cuts, for what pieces hold exactly, for arranging them."""
EXACT_S = 4.0
"""Seconds at most for the exact bound of one piece."""

Found = list[tuple[Ask, Plan]]


def arrange_several(
    job: Job, bay: Bay, *, seconds: float, seed: int, progress: Progress | None = None, stop: Stop | None = None
) -> SearchResult:
    """Ranked arrangements of the job's modules in pack.boxes boxes; each is a PackArrangement. As `arrange` for one box.

    Raises JobError where no cut leaves every box mount points enough, NothingFits where the count cannot be placed.
    """
    began = time.monotonic()
    clock = clock_for(seconds, stop)
    refuse_what_is_not_done(job.model_copy(update={"pack": job.pack.model_copy(update={"boxes": 1})}))
    bay = with_stated_equipment(job, bay)
    required = None if job.pack.count == "max" else job.pack.count
    step = HURRIED_MM if seconds <= HURRIED_S else COARSE_MM
    asks = [ask_of(job, bay, pose, seed, step) for pose in poses_to_try(job.pack, bay)]
    found = _found(asks, required or asks[0].most, clock)
    count = min(found[0][1].count, required or asks[0].most)
    if progress is not None:
        progress(count, None)
    if count < (required or job.pack.boxes):
        raise _nothing(job, found, _ceiling(asks, count, clock))
    with ThreadPoolExecutor(1) as beside:
        soon = Clock(min(clock.end, time.monotonic() + MORE_S), stop) if required else clock.share(PIECES_SHARE)
        bound = beside.submit(_ceiling, asks, count, soon)
        listed = _listed(job, bay, found, count, clock)
        most = max(bound.result(), count)
    if not listed.arrangements:
        raise _nothing(job, found, most, listed.dropped)
    if progress is not None:
        progress(count, most)
    placed = len(listed.arrangements[0].modules)
    said = "; ".join(_notes(job, listed, placed))
    proven = placed >= min(most, required or most)
    took = time.monotonic() - began
    return SearchResult(required, listed.arrangements, most, proven, took, "true geometry", said, None, listed.makings)


def _span(ask: Ask) -> tuple[Vec3, Vec3]:
    """Bounds of the bay in the pack's frame."""
    corners = ask.frame.inverse_point(ask.bay.extent.corners())
    return vec3(corners.min(axis=0)), vec3(corners.max(axis=0))


def _found(asks: list[Ask], wanted: int, clock: Clock) -> Found:
    """Cuts with what their pieces hold, the fullest first; pieces filled exactly where greedy rounds fall short."""
    found: Found = []
    for k, ask in enumerate(asks):
        early = clock.share(CUTS_SHARE / (len(asks) - k))
        finder = Finder(Counting(ask, clock=early), _span(ask), early, wanted)
        found += [(ask, plan.sorted()) for numbers in _orders(ask.job) for plan in finder.plans(numbers, Region())]
    if not found:
        raise JobError([_no_cut(asks[0])])
    found.sort(key=_rank)
    if found[0][1].count < wanted:
        exact = clock.share(EXACT_SHARE)
        tried = [(ask, _filled(ask, plan, exact)) for ask, plan in found[:MOST_SHARES] if exact.left() > 0.0]
        found = sorted([*tried, *found[len(tried) :]], key=_rank)
    return found


def _orders(job: Job) -> list[tuple[int, ...]]:
    """In which order the boxes may lie: as they are counted, or any order where mount points name their boxes."""
    numbers = tuple(range(1, job.pack.boxes + 1))
    named = any(m.box is not None for m in job.mount_points)
    return list(permutations(numbers)) if named else [numbers]


def _rank(found: tuple[Ask, Plan]) -> tuple[int, int]:
    """The fullest first; of these, those in which the most mount points lie on the side of the box that they name."""
    ask, plan = found
    return -plan.count, -sum(ask.mounts.in_place(p.number, p.region) for p in plan.pieces)


def _filled(ask: Ask, plan: Plan, clock: Clock) -> Plan:
    """The plan with its pieces filled exactly, as far as time lasts."""
    pieces = []
    for k, piece in enumerate(plan.pieces):
        job = job_of_box(ask.job, piece.number, ask.mounts.of(piece.number, piece.region))
        filled = fullest_in(ask, job, piece, clock.share(1.0 / (len(plan.pieces) - k)))
        pieces.append(replace(piece, count=max(filled[0].count if filled else 0, piece.count)))
    return replace(plan, pieces=tuple(pieces))


def _no_cut(ask: Ask) -> Problem:
    boxes = ask.job.pack.boxes
    want = (
        f"no plane square to the pack's axes cuts the bay so that each of {boxes} boxes has room for a module and "
        f"{LEAST_MOUNTS} mount points, not on one line, on its own side"
    )
    remedy = "Add mount points, name the box at each (mount_point.box), or ask for fewer boxes."
    return Problem("pack.boxes", str(boxes), want, remedy)


def _shares(found: Found, count: int) -> list[Share]:
    """What is arranged: first the ways to share the modules over the best cut, then other cuts, those unlike first."""
    fit = [(ask, plan) for ask, plan in found if plan.count >= count]
    every: dict[object, list[Share]] = {}
    for ask, plan in fit:
        for counts in splits(tuple(p.count for p in plan.pieces), count):
            share = Share(ask, plan, counts)
            axes = tuple(axis for axis, _ in plan.cuts)
            every.setdefault((ask.frame, axes, counts, share.mounts), []).append(share)
    middles = [alike[len(alike) // 2] for alike in every.values()]
    rest = [share for alike in every.values() for share in alike if share not in middles]
    return [*middles, *rest][:MOST_SHARES]


def _listed(job: Job, bay: Bay, found: Found, count: int, clock: Clock) -> Paired:
    """The boxes of the best cuts arranged and put together."""
    shares = _shares(found, count)
    arranger = Arranger(clock.share(PIECES_SHARE), left=sum(len(s.counts) for s in shares))
    every: list[PackArrangement] = []
    for share in shares:
        if every and clock.left() <= 0.0:
            break
        listed = arranger.listed(share)
        if listed is not None:
            every += pairs(share, listed)
    return paired(job, bay, every, clock)


def _ceiling(asks: list[Ask], placed: int, clock: Clock) -> int:
    """Upper bound on the modules in all boxes over every frame: by volume, then by the engine's bounds as time allows."""
    from layout.packing.ceiling import most_at_all  # slow to import

    highest = placed
    for ask, numbers in product(asks, _orders(asks[0].job)):
        early = clock.share(0.3)
        by_volume = Ceiling(Counting(ask, outer=True), _span(ask), early, highest).value(numbers, Region())
        if by_volume <= highest:
            continue

        def exactly(sites: list[Site], bodies: tuple[Body, ...], ask: Ask = ask) -> int:
            soon = Clock(min(clock.end, time.monotonic() + EXACT_S), clock.stop)
            return most_at_all(sites, bodies, 0, ask.most, ask.seed, soon)

        exact = Ceiling(Counting(ask, outer=True, most=exactly), _span(ask), clock, highest).value(numbers, Region())
        highest = max(highest, min(by_volume, exact))
    return highest


def _notes(job: Job, listed: Paired, placed: int) -> list[str]:
    boxes = job.pack.boxes
    kind = "a plane" if boxes == 2 else "planes, one after the other,"
    dropped = listed.dropped
    notes = [
        f"{boxes} boxes parted by {kind} square to the pack's axes, the bay's clearance between them; the bound holds for all "
        "boxes that can be parted so",
        usable(job, placed),
        f"{len(dropped)} dropped by the judge of fit, the first because of {dropped[0]}" if dropped else "",
    ]
    return [n for n in notes if n]


def _nothing(job: Job, found: Found, bound: int, dropped: tuple[str, ...] = ()) -> NothingFits:
    count = 0 if dropped else found[0][1].count
    boxes = job.pack.boxes
    wanted = f"{boxes} boxes with a module each" if job.pack.count == "max" else f"the {job.pack.count} modules asked for"
    text = f"{wanted} cannot be placed in {boxes} boxes in this bay: {count} were placed, {bound} is an upper bound"
    if job.pack.count != "max" and bound < int(job.pack.count):
        text += ", so the number asked for is impossible"
    if dropped:
        text += f"; the judge of fit refused what was found: {dropped[0]}"
    return NothingFits(f"{text}. The best cut found is at {found[0][1].words}.", count, bound)
