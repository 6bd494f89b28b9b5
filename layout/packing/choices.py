"""Several good ways to place the same modules: drafts for each wish and each habit of standing, and the pick among them."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from itertools import product

from layout.job.model import Job
from layout.packing.aims import Aim, Start, aims, on_their_bases, own_order, start_in
from layout.packing.bodies import Body
from layout.packing.build import Draft
from layout.packing.clock import Clock, solvers_in_time
from layout.packing.count import Filled
from layout.packing.goal import spots_of
from layout.packing.sites import Site
from layout.packing.varied import varied_drafts

POLISHED_SITES = 3

SOLVER_WORK = 1.0
"""Work of the exact search for each wish, in the solver's deterministic seconds."""

VARIED_SHARE = 0.5
"""Share of the time, after the aims' greedy drafts, for more ways to stand; the rest is for exact search."""

FIRST_SITES = 3
"""Sites in which the very first draft, all modules on their bases in layers, is looked for."""


def drafts(job: Job, bodies: tuple[Body, ...], filled: list[Filled], count: int, seed: int, clock: Clock) -> Iterator[Draft]:
    """Drafts as long as time lasts, one in any case.

    First the job's own wishes with all modules on their bases in layers, which bars hold most easily, and the fullest site as
    it was filled; then greedy ones for every aim, in ever other ways to stand (see varied.py), and exact ones for every aim.
    """
    own, sites = own_order(job), [f.site for f in filled]
    yield from _in_layers(sites, Aim(own, False, on_their_bases(bodies), True), count, seed)
    yield Draft(filled[0].site, bodies, filled[0].spots, own)
    best: list[Start] = []
    for aim in aims(job, bodies):
        starts = _starts(sites, aim, count, seed, clock.share(0.3))
        best += starts
        yield from (s.draft(spots_of(s.question, s.places, s.taken)) for s in starts if s.taken is not None)
    used = list({(s.site.pose, s.site.limit): s.site for s in best}.values())
    orders = list(dict.fromkeys(aim.order for aim in aims(job, bodies)))
    yield from varied_drafts(used, bodies, orders, count, seed, clock.share(VARIED_SHARE))
    yield from _exact(best, seed, clock)


def _in_layers(sites: list[Site], aim: Aim, count: int, seed: int) -> Iterator[Draft]:
    """The first layered draft that the first few sites hold."""
    for site in sites[:FIRST_SITES] if aim.bodies else []:
        start = start_in(site, aim, count, seed)
        if start is not None and start.taken is not None:
            yield start.draft(spots_of(start.question, start.places, start.taken))
            return


def _exact(starts: list[Start], seed: int, clock: Clock) -> Iterator[Draft]:
    """Exact answers for every aim, two at a time, in the same order on every run, layers first; none once time is up."""
    if not solvers_in_time(clock):
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
