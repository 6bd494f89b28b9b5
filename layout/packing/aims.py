"""What a draft aims at: an order of wishes, the stands allowed, layers or not; and greedy starts for it in a room."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from layout.frames import Array
from layout.job.model import Job
from layout.packing.bodies import Body
from layout.packing.build import Draft
from layout.packing.goal import PLAIN_WISHES, PlainWish, Question, Spot, place_costs, push_of
from layout.packing.greedy import Conflicts, greedy
from layout.packing.layers import layered
from layout.packing.places import Places, places_in
from layout.packing.sites import Site

GREEDY_ROUNDS = 15


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
    kept = tuple(b.standing("up", "+z") for b in bodies)
    return kept if all(b.stands for b in kept) else ()


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
        return started(site, aim, question, places, seed)
    found = [started(site, aim, question, p, seed) for p in layered(places, aim.bodies, site.room, count)]
    return min(found, key=lambda s: s.worth, default=None)


def started(site: Site, aim: Aim, question: Question, places: Places, seed: int) -> Start:
    """Greedy rounds over the given places for an aim."""
    weight = _weight(aim, question, places)
    taken = greedy(places, aim.bodies, Conflicts(places), weight, question.count, GREEDY_ROUNDS, seed)
    if len(taken) < question.count + sum(b.least for b in aim.bodies if not b.is_module):
        return Start(aim, question, places, site, None, np.inf)
    return Start(aim, question, places, site, taken, float(weight[taken].sum()))
