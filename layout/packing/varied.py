"""More drafts than the job's wishes ask for: other rooms, habits of standing, stacks of layers and first wishes.

What a converter may choose among differs in something that matters only where the modules stand otherwise: with terminals to
another side, in other layers, on another face. Every mixture of these is filled greedily, in an order shuffled by a seed, so
that the first few that time allows are already unlike.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import numpy as np

from layout.packing.aims import Aim, on_their_bases, started
from layout.packing.bodies import Body
from layout.packing.build import Draft
from layout.packing.clock import Clock
from layout.packing.goal import PlainWish, Question, push_of, spots_of
from layout.packing.layers import layered
from layout.packing.places import places_in
from layout.packing.sites import Site

MOST_ROOMS = 6
"""Rooms that are filled in all these ways, the fullest first."""


def habits(bodies: tuple[Body, ...]) -> Iterator[tuple[Body, ...]]:
    """The bodies with all modules' terminals to one side, or all on the same face, where every type can."""
    modules = [b for b in bodies if b.is_module]
    for name in ("terminals", "up"):
        for value in sorted({getattr(s, name) for b in modules for s in b.stands}):
            kept = tuple(b.standing(name, value) for b in bodies)
            if all(b.stands for b in kept) and any(len(k.stands) < len(b.stands) for k, b in zip(kept, bodies, strict=True)):
                yield kept


def varied_drafts(
    sites: list[Site], bodies: tuple[Body, ...], orders: list[tuple[PlainWish, ...]], count: int, seed: int, clock: Clock
) -> Iterator[Draft]:
    """Drafts of every room, habit and order of wishes, in every stack of layers that holds the count, until time is up.

    orders: of wishes, the job's own first.
    """
    on_base = on_their_bases(bodies)
    kinds = [k for k in (on_base, *habits(on_base or bodies), *(habits(bodies) if on_base else ()), bodies) if k]
    mixtures = list(product(sites[:MOST_ROOMS], kinds, orders))
    seen: set[object] = set()
    for at in np.random.default_rng(seed).permutation(len(mixtures)).tolist():
        if clock.left() <= 0.0:
            return
        site, kind, order = mixtures[at]
        aim = Aim(order, order != orders[0], kind, True)
        for draft in _stacked(site, aim, count, seed):
            key = (site.pose, site.limit, draft.spots)
            if key not in seen:
                seen.add(key)
                yield draft


def _stacked(site: Site, aim: Aim, count: int, seed: int) -> Iterator[Draft]:
    """One draft for each stack of layers in which greedy rounds reach the count."""
    question = Question(site.room, site.pose, aim.bodies, count, aim.order, aim.strict)
    along, across, _ = push_of(site.pose, aim.order)
    places = places_in(site.room, aim.bodies, (along, across, "low"))
    if not places.count:
        return
    for narrowed in layered(places, aim.bodies, site.room, count):
        start = started(site, aim, question, narrowed, seed)
        if start.taken is not None:
            yield start.draft(spots_of(question, narrowed, start.taken))
