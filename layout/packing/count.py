"""How many modules the sites hold: found by greedy rounds and exact search (see ceiling.py for the bound above)."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from layout.packing.bodies import Body
from layout.packing.clock import Clock, solvers_in_time
from layout.packing.goal import Question, Spot, spots_of
from layout.packing.greedy import Conflicts, greedy
from layout.packing.places import places_in
from layout.packing.sites import Site
from layout.stepped import Stepped

Progress = Callable[[int, int | None], None]
GREEDY_ROUNDS = 30
VOLUME_SLACK_MM3 = 1.0
EXACT_PLACES = 6000
"""Most places for which an exact search of one room is begun."""


@dataclass(frozen=True)
class Filled:
    """A site and the most modules that were put into it (with all equipment)."""

    site: Site
    count: int
    spots: tuple[Spot, ...]


def volume_most(site: Site, bodies: tuple[Body, ...]) -> int:
    """Modules by volume alone, equipment and gaps taken off, those that find no room at all left out: an upper bound."""
    gap = min((b.gap_mm for b in bodies if b.is_module), default=0.0)
    widest = widest_gap_mm(bodies)
    edges = np.maximum(np.array(site.room.size_mm) + 1e-4, 0.0)
    room = float(np.prod(edges + widest))
    if isinstance(site.room, Stepped):  # moved by the gap on their high sides, the faces of a step keep their distances
        cut = [site.room.left_out.size_mm[a] for a in site.room.axes]
        room -= float(np.prod(cut)) * float(edges[site.room.run] + widest)
    volumes: list[float] = []
    for body in bodies:
        one = min(float(np.prod(np.array(s.size_mm) + gap)) for s in body.stands)
        if body.is_module:
            fits = any((np.array(s.size_mm) <= edges).all() for s in body.stands)
            volumes += [one] * body.most if fits else []
        else:
            room -= one
    count = 0
    for one in sorted(volumes):
        room -= one
        if room < -VOLUME_SLACK_MM3:
            break
        count += 1
    return count


def widest_gap_mm(bodies: tuple[Body, ...]) -> float:
    """The greatest gap that any body asks for."""
    return max(b.gap_mm for b in bodies)


def volume_of_mm3(bodies: tuple[Body, ...], count: int) -> float:
    """The least volume that so many modules with all equipment take, least gaps added (as `volume_most` counts)."""
    gap = min((b.gap_mm for b in bodies if b.is_module), default=0.0)
    least = {b.name: min(float(np.prod(np.array(s.size_mm) + gap)) for s in b.stands) for b in bodies}
    modules = sorted(v for b in bodies if b.is_module for v in [least[b.name]] * b.most)
    fixed = sum(least[b.name] for b in bodies if not b.is_module)
    return fixed + sum(modules[:count]) - VOLUME_SLACK_MM3


def fill(site: Site, bodies: tuple[Body, ...], most: int, seed: int) -> Filled:
    """Greedy rounds in one site."""
    places = places_in(site.room, bodies, ("middle", "middle", "middle"))
    nothing = Filled(site, 0, ())
    if not places.count:
        return nothing
    weight = places.low.sum(axis=1).astype(float)
    taken = greedy(places, bodies, Conflicts(places), weight, most, GREEDY_ROUNDS, seed)
    if any(b.least > sum(places.body[k] == i for k in taken) for i, b in enumerate(bodies)):
        return nothing
    count = sum(bodies[places.body[k]].is_module for k in taken)
    question = Question(site.room, site.pose, bodies, count, ())
    return Filled(site, count, spots_of(question, places, taken))


def fill_all(
    sites: list[Site],
    bodies: tuple[Body, ...],
    most: int,
    seed: int,
    clock: Clock,
    progress: Progress | None,
    reached: int = 0,
) -> list[Filled]:
    """Greedy rounds in every site that by volume may hold as many as the best so far, until time is up; fullest first."""
    out: list[Filled] = []
    best = reached
    for site in sites:
        if out and clock.left() <= 0.0:
            break
        if volume_most(site, bodies) < best:
            continue
        one = fill(site, bodies, most, seed)
        out.append(one)
        if one.count > best:
            best = one.count
            if progress is not None:
                progress(best, None)
    return sorted(out, key=lambda f: -f.count)


def fill_exactly(
    filled: list[Filled], bodies: tuple[Body, ...], most: int, seed: int, clock: Clock, progress: Progress | None
) -> list[Filled]:
    """As many modules as each site holds, by exact search, the roomiest first, as long as time lasts; fullest first."""
    from layout.packing.ceiling import quick_most  # imports this module

    best = max((f.count for f in filled), default=0)
    out = sorted(filled, key=lambda f: (-volume_most(f.site, bodies), -f.count))
    for at, one in enumerate(out):
        if best >= most or not solvers_in_time(clock):
            break
        if volume_most(one.site, bodies) <= best or quick_most(one.site, bodies) <= best:
            continue
        out[at] = _fullest(one, bodies, most, seed, clock.share(0.7))
        if out[at].count > best:
            best = out[at].count
            if progress is not None:
                progress(best, None)
    return sorted(out, key=lambda f: -f.count)


def _fullest(filled: Filled, bodies: tuple[Body, ...], most: int, seed: int, clock: Clock) -> Filled:
    """The site with as many modules as exact search finds for it; as it was where that is no more."""
    from layout.packing.exact import most_on  # slow to import

    site = filled.site
    places = places_in(site.room, bodies, ("middle", "middle", "middle"), chain_all=True)
    if places.count > EXACT_PLACES:
        places = places_in(site.room, bodies, ("middle", "middle", "middle"))
    if not places.count or places.count > EXACT_PLACES:
        return filled
    taken, _ = most_on(places, bodies, most, [], seed, clock)
    count = sum(bodies[places.body[k]].is_module for k in taken)
    if count <= filled.count:
        return filled
    question = Question(site.room, site.pose, bodies, count, ())
    return Filled(site, count, spots_of(question, places, taken))
