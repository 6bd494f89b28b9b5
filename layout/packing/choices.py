"""Several good ways to place the same modules: drafts for each wish and each habit of standing, and the pick among them."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from itertools import product

import numpy as np

from layout.frames import Array
from layout.job.model import Job
from layout.packing.bodies import Body
from layout.packing.build import Draft
from layout.packing.clock import Clock
from layout.packing.count import Filled
from layout.packing.goal import PLAIN_WISHES, PlainWish, Question, Spot, place_costs, push_of, spots_of
from layout.packing.greedy import Conflicts, greedy
from layout.packing.layers import layered
from layout.packing.places import Places, places_in
from layout.packing.sites import Site

POLISHED_SITES = 3
GREEDY_ROUNDS = 15
EXACT_FROM_S = 0.5
"""With less time left than this the exact search is not begun."""

SOLVER_WORK = 1.0
"""Work of the exact search for each wish, in the solver's deterministic seconds."""


@dataclass(frozen=True)
class Aim:
    """An order of wishes, the first one strict or not, the stands allowed, and whether modules stand in layers only."""

    order: tuple[PlainWish, ...]
    strict: bool
    bodies: tuple[Body, ...]
    layers: bool = False


@dataclass(frozen=True)
class Start:
    """A site to be searched for an aim, with a greedy answer where there is one (worth: its figure, less is better)."""

    aim: Aim
    question: Question
    places: Places
    site: Site
    taken: list[int] | None
    worth: float

    def draft(self, spots: tuple[Spot, ...]) -> Draft:
        """Spots found here as a draft."""
        return Draft(self.site, self.aim.bodies, spots, self.aim.order, self.aim.strict, self.aim.layers)


def own_order(job: Job) -> tuple[PlainWish, ...]:
    """The job's wishes that add up over bodies, in its order; low and small where it names none of them."""
    wished = [w for w in PLAIN_WISHES if w in job.pack.prefer]
    return tuple(sorted(wished, key=job.pack.prefer.index)) or ("low", "small_box")


def aims(job: Job, bodies: tuple[Body, ...]) -> list[Aim]:
    """The job's own order, then each wish first in turn, nothing of it given up: each in upright layers first, then free."""
    own = own_order(job)
    out = [Aim(own, False, bodies)]
    out += [Aim((wish, *(w for w in own if w != wish)), True, bodies) for wish in PLAIN_WISHES]
    on_base = on_their_bases(bodies)
    return [a for aim in out for a in ([replace(aim, bodies=on_base, layers=True)] if on_base else []) + [aim]]


def on_their_bases(bodies: tuple[Body, ...]) -> tuple[Body, ...]:
    """The bodies with all modules on their bases; () where a type must not stand so."""
    kept = tuple(replace(b, stands=tuple(s for s in b.stands if not b.is_module or s.up == "+z")) for b in bodies)
    return kept if all(b.stands for b in kept) else ()


def habits(bodies: tuple[Body, ...]) -> Iterator[tuple[Body, ...]]:
    """The bodies with all modules' terminals to one side, or all on the same face, where every type can."""
    modules = [b for b in bodies if b.is_module]
    for name in ("terminals", "up"):
        for value in sorted({getattr(s, name) for b in modules for s in b.stands}):
            kept = tuple(
                replace(b, stands=tuple(s for s in b.stands if not b.is_module or getattr(s, name) == value)) for b in bodies
            )
            if all(b.stands for b in kept) and any(len(k.stands) < len(b.stands) for k, b in zip(kept, bodies, strict=True)):
                yield kept


def _weight(aim: Aim, question: Question, places: Places) -> Array:
    """What greedy rounds sort places by for the first wish."""
    costs = place_costs(question, places)
    first = aim.order[0]
    if first == "small_box":
        return np.abs(places.low + places.size / 2.0).sum(axis=1).astype(float)
    return np.abs(costs[first]) if first == "centred" else costs[first]


def start_in(site: Site, aim: Aim, count: int, seed: int) -> Start | None:
    """The places of a site for an aim, with a greedy answer if it reaches the count; None where nothing can stand."""
    question = Question(site.room, site.pose, aim.bodies, count, aim.order, aim.strict)
    along, across, up = push_of(site.pose, aim.order)
    places = places_in(site.room, aim.bodies, (along, across, "low" if aim.layers else up))
    if not places.count:
        return None
    if not aim.layers:
        return _started(site, aim, question, places, seed)
    found = [_started(site, aim, question, p, seed) for p in layered(places, aim.bodies, site.room, count)]
    return min(found, key=lambda s: s.worth, default=None)


def _started(site: Site, aim: Aim, question: Question, places: Places, seed: int) -> Start:
    weight = _weight(aim, question, places)
    taken = greedy(places, aim.bodies, Conflicts(places), weight, question.count, GREEDY_ROUNDS, seed)
    if len(taken) < question.count + sum(b.least for b in aim.bodies if not b.is_module):
        return Start(aim, question, places, site, None, np.inf)
    return Start(aim, question, places, site, taken, float(weight[taken].sum()))


def drafts(job: Job, bodies: tuple[Body, ...], filled: list[Filled], count: int, seed: int, clock: Clock) -> Iterator[Draft]:
    """Drafts as long as time lasts, one in any case: greedy ones for every aim and habit, then exact ones for every aim."""
    own = own_order(job)
    yield Draft(filled[0].site, bodies, filled[0].spots, own)
    sites = [f.site for f in filled]
    best: list[Start] = []
    for aim in aims(job, bodies):
        starts = _starts(sites, aim, count, seed, clock.share(0.3))
        best += starts
        yield from (s.draft(spots_of(s.question, s.places, s.taken)) for s in starts if s.taken is not None)
    used = list({(s.site.pose, s.site.limit): s.site for s in best}.values())
    early, on_base = clock.share(0.3), on_their_bases(bodies)
    for kept in habits(on_base or bodies):
        for start in _starts(used, Aim(own, False, kept, bool(on_base)), count, seed, early):
            if start.taken is not None:
                yield start.draft(spots_of(start.question, start.places, start.taken))
    yield from _exact(best, seed, clock)


def _exact(starts: list[Start], seed: int, clock: Clock) -> Iterator[Draft]:
    """Exact answers for every aim, two at a time, in the same order on every run, layers first; none once time is up."""
    if clock.left() < EXACT_FROM_S:
        return
    from layout.packing.solve import best_places  # slow to import

    pool = ThreadPoolExecutor(2)
    try:
        for rank, layers in product(range(POLISHED_SITES), (True, False)):
            if clock.left() <= 0.0:
                return
            asked = [
                (s, pool.submit(best_places, s.question, s.places, SOLVER_WORK, seed, s.taken, clock.left))
                for s in _ranked(starts, rank)
                if s.aim.layers == layers
            ]
            for start, answer in asked:
                spots = answer.result().spots
                if spots is not None:
                    yield start.draft(spots)
    finally:
        pool.shutdown(cancel_futures=True)


def _starts(sites: list[Site], aim: Aim, count: int, seed: int, clock: Clock) -> list[Start]:
    """The most promising starts for an aim over the sites, best first."""
    found: list[Start] = []
    for site in sites:
        if found and clock.left() <= 0.0:
            break
        start = start_in(site, aim, count, seed)
        found += [start] if start else []
    return sorted(found, key=lambda s: round(s.worth, 3))[:POLISHED_SITES]


def _ranked(starts: list[Start], rank: int) -> list[Start]:
    """The start at a rank within each aim."""
    seen: dict[tuple[object, ...], int] = {}
    out = []
    for start in starts:
        key = (start.aim.order, start.aim.strict, start.aim.layers)
        at = seen.get(key, 0)
        seen[key] = at + 1
        out += [start] if at == rank else []
    return out
