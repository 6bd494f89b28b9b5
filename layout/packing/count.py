"""How many modules the sites hold: found by greedy rounds and exact search, bounded from above on the outer space."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import floor

import numpy as np

from layout.packing.bodies import Body
from layout.packing.clock import Clock
from layout.packing.engine import Item, Option, Region, pack_most
from layout.packing.goal import Question, Spot, best_places, spots_of
from layout.packing.greedy import conflicts, greedy
from layout.packing.places import SLACK, down_to, lengths_of, places_in, shapes_of, unit_for, up_to, zone_axis
from layout.packing.sites import Site

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
    widest = max(b.gap_mm for b in bodies)
    edges = np.maximum(np.array(site.room.size_mm) + 1e-4, 0.0)
    room = float(np.prod(edges + widest))
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


def fill(site: Site, bodies: tuple[Body, ...], most: int, seed: int) -> Filled:
    """Greedy rounds in one site."""
    places = places_in(site.room, bodies, ("middle", "middle", "middle"))
    nothing = Filled(site, 0, ())
    if not places.count:
        return nothing
    weight = places.low.sum(axis=1).astype(float)
    taken = greedy(places, bodies, conflicts(places), weight, most, GREEDY_ROUNDS, seed)
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
    """Tries to put one more module into each site, the fullest first, by exact search, as long as time lasts."""
    best = max((f.count for f in filled), default=0)
    out = list(filled)
    at = 0
    while at < len(out) and best < most and clock.left() > 0.0:
        one = _one_more(out[at], bodies, best + 1, seed, clock)
        if one is None:
            at += 1
            continue
        out[at], best = one, one.count
        if progress is not None:
            progress(best, None)
    return sorted(out, key=lambda f: -f.count)


def _one_more(filled: Filled, bodies: tuple[Body, ...], count: int, seed: int, clock: Clock) -> Filled | None:
    site = filled.site
    if volume_most(site, bodies) < count:
        return None
    places = places_in(site.room, bodies, ("middle", "middle", "middle"), chain_all=True)
    if places.count > EXACT_PLACES:
        places = places_in(site.room, bodies, ("middle", "middle", "middle"))
    if not places.count or places.count > EXACT_PLACES:
        return None
    question = Question(site.room, site.pose, bodies, count, ())
    answer = best_places(question, places, 6.0, seed, None, clock.share(0.5).left)
    return None if answer.spots is None else Filled(site, count, answer.spots)


def most_at_all(outer: list[Site], bodies: tuple[Body, ...], reached: int, most: int, seed: int, clock: Clock) -> int:
    """Upper bound on the modules that any box in the bay can hold, `reached` or more, at most `most`.

    outer: sites between them holding every inside that would fit. In each the bodies are packed with what the rounding to
    whole units, differing gaps, clear zones beyond the gap and equipment's walls ask left out where it cannot be kept
    exactly, so that nothing that fits is lost.
    """
    bounds = sorted(((min(volume_most(s, bodies), most), k) for k, s in enumerate(outer)), reverse=True)
    highest = reached
    for by_volume, k in bounds:
        if by_volume <= highest:
            break
        left = clock.left()
        if left <= 0.05:
            return by_volume
        bound = _bound_in(outer[k], bodies, highest, most, seed, min(left, max(left / 4.0, 1.0)), clock)
        highest = max(highest, min(bound, by_volume))
        if highest >= most:
            break
    return highest


def _bound_in(site: Site, bodies: tuple[Body, ...], reached: int, most: int, seed: int, seconds: float, clock: Clock) -> int:
    unit = unit_for(lengths_of(bodies))
    region, items = relaxed(site, bodies, unit)
    if any(v < 1 for v in region.size):
        return 0
    packing = pack_most(region, items, seconds=seconds, seed=seed, stop=lambda: clock.left() <= 0.0)
    equipment = sum(b.least for b in bodies if not b.is_module)
    if not packing.feasible and packing.proven:
        return reached
    return min(packing.bound - equipment, most)


def relaxed(site: Site, bodies: tuple[Body, ...], unit: float) -> tuple[Region, list[Item]]:
    """The room and the bodies for a bound: the bodies' lengths rounded down to whole units, each with its own gap.

    The room may then be rounded down as well: bodies of whole lengths can be pushed to whole positions.

    The gap lies on the high side of a body, in a room as much longer as the greatest gap; between two bodies the first
    one's own gap is kept, which is never more than what is asked. A clear zone is shortened by the gap (its far end may
    leave the room by as much) and drawn in across by it.
    """
    widest = max(b.gap_mm for b in bodies)
    size = [down_to(v + widest, unit) for v in site.room.size_mm]
    items = []
    for body in bodies:
        options = tuple(_option(body, j, widest, unit) for j in shapes_of(body))
        unique = tuple({(o.size, o.zone): o for o in options}.values())
        items.append(Item(body.name, unique, body.most, body.least))
    return Region((size[0], size[1], size[2])), items


def _option(body: Body, number: int, widest: float, unit: float) -> Option:
    stand = body.stands[number]
    size = tuple(max(floor((v + body.gap_mm) / unit + SLACK), 1) for v in stand.size_mm)
    axis, end = zone_axis(stand)
    depth = down_to(stand.zone_mm - widest, unit) if end else 0
    if depth <= 0:
        return Option((size[0], size[1], size[2]))
    low = [up_to(widest, unit)] * 3
    high = [down_to(v, unit) for v in stand.size_mm]
    low[axis], high[axis] = (size[axis], size[axis] + depth) if end > 0 else (-depth, 0)
    if any(b <= a for a, b in zip(low, high, strict=True)):
        return Option((size[0], size[1], size[2]))
    return Option((size[0], size[1], size[2]), (low[0], low[1], low[2], high[0], high[1], high[2]))
