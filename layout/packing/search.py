"""From job and bay to ranked arrangements: how many modules fit, proved or not, and the ways to place them."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from layout.arrangement import Arrangement, PlacedEquipment, PlacedModule, SearchResult
from layout.box.shell import Shell, shell_of
from layout.errors import JobError, NothingFits, Problem
from layout.frames import Extent, Pose, vec3
from layout.job.model import Job
from layout.job.module import ModuleType
from layout.packing.bodies import Body, bodies_of
from layout.packing.goal import PLAIN_WISHES, PlainWish, Question, Spot, best_places, place_costs, push_of
from layout.packing.greedy import conflicts, greedy
from layout.packing.places import Places, places_in
from layout.packing.scores import FIGURES, best_first, scores_of, shared_places, undominated, words
from layout.packing.series import wire
from layout.packing.sites import Site, poses_to_try, sites_in
from layout.packing.slide import Frame, Layout, slide
from layout.space.bay import Bay
from layout.space.judge_arrangement import judge_arrangement

Progress = Callable[[int, int | None], None]
Stop = Callable[[], bool]


@dataclass(frozen=True)
class Clock:
    """Time that is left."""

    end: float
    stop: Stop | None

    def left(self) -> float:
        """Seconds left; 0 once asked to stop."""
        return 0.0 if self.stop is not None and self.stop() else max(self.end - time.monotonic(), 0.0)


def refuse_what_is_not_done(job: Job) -> None:
    """Raise JobError for keys the search cannot honour, rather than pass over them."""
    problems = []
    if job.pack.boxes > 1:
        problems.append(Problem("pack.boxes", str(job.pack.boxes), "1 (one box is searched for)", "Write boxes = 1"))
    if job.box.lid != "+z":
        problems.append(Problem("box.lid", job.box.lid, '"+z" (modules go in from above)', 'Write lid = "+z"'))
    if problems:
        raise JobError(problems)


def arrange(
    job: Job, bay: Bay, *, seconds: float, seed: int, progress: Progress | None = None, stop: Stop | None = None
) -> SearchResult:
    """Ranked arrangements of the job's modules in one box in the bay.

    seconds: limit of the search; seed: of its random choices (the same job, seed and limit give the same answer unless
    time ran out). progress(count, bound) is called as the count grows; stop() is asked now and then whether to end with
    the best so far. Raises JobError for keys that are not honoured, NothingFits where the count cannot be placed.
    """
    refuse_what_is_not_done(job)
    began = time.monotonic()
    clock = Clock(began + seconds, stop)
    shell, bodies = shell_of(job), bodies_of(job)
    sites = _sites(job, bay, shell, bodies)
    required = None if job.pack.count == "max" else job.pack.count
    most = sum(b.most for b in bodies if b.is_module)
    count, ranked = _count(sites, bodies, most, seed, clock, progress)
    if count < (required or 1):
        raise _nothing(job, count, None)
    found = _choices(job, bay, shell, bodies, ranked, count, seed, clock)
    if not found:
        raise _nothing(job, 0, None)
    return SearchResult(required, tuple(found), count if required else most, required is not None, time.monotonic() - began,
                        "true geometry")


def _sites(job: Job, bay: Bay, shell: Shell, bodies: tuple[Body, ...]) -> list[Site]:
    least = min((min(s.size_mm[a] for s in b.stands) for b in bodies if b.is_module) for a in range(1))
    edges = vec3([min(s.size_mm[a] for b in bodies if b.is_module for s in b.stands) for a in range(3)])
    del least
    return [s for pose in poses_to_try(job.pack, bay) for s in sites_in(job, bay, shell, pose, edges)]


def _nothing(job: Job, count: int, bound: int | None) -> NothingFits:
    asked = "one module" if job.pack.count == "max" else f"{job.pack.count} modules"
    text = f"{asked} cannot be placed in one box in this bay: {count} fit"
    return NothingFits(text, count, bound)


def _count(
    sites: list[Site], bodies: tuple[Body, ...], most: int, seed: int, clock: Clock, progress: Progress | None
) -> tuple[int, list[Site]]:
    """How many modules the sites hold by greedy rounds, and the sites that hold that many."""
    counts = []
    best = 0
    for site in sites:
        places = places_in(site.room, bodies, ("middle", "middle", "middle"))
        n = _greedy_count(places, bodies, most, seed)
        counts.append(n)
        if n > best:
            best = n
            if progress is not None:
                progress(best, None)
    return best, [s for s, n in zip(sites, counts, strict=True) if n == best]


def _greedy_count(places: Places, bodies: tuple[Body, ...], most: int, seed: int) -> int:
    if not places.count:
        return 0
    taken = greedy(places, bodies, conflicts(places), places.low.sum(axis=1).astype(float), most, 30, seed)
    if any(b.least > sum(places.body[k] == i for k in taken) for i, b in enumerate(bodies)):
        return 0
    return sum(bodies[places.body[k]].is_module for k in taken)


def _orders(job: Job) -> list[tuple[PlainWish, ...]]:
    """The job's own order first, then each plain wish first in turn."""
    own: tuple[PlainWish, ...] = tuple(w for w in PLAIN_WISHES if w in job.pack.prefer)
    own = tuple(sorted(own, key=job.pack.prefer.index))
    out = [own or ("low", "small_box")]
    for wish in PLAIN_WISHES:
        order = (wish, *(w for w in own if w != wish))
        if order not in out:
            out.append(order)
    return out


def _choices(
    job: Job, bay: Bay, shell: Shell, bodies: tuple[Body, ...], sites: list[Site], count: int, seed: int, clock: Clock
) -> list[Arrangement]:
    found: list[Arrangement] = []
    for order in _orders(job):
        tried = []
        for site in sites:
            question = Question(site.room, site.pose, bodies, count, order)
            places = places_in(site.room, bodies, push_of(site.pose, order))
            if not places.count:
                continue
            costs = place_costs(question, places)
            weight = costs.get(order[0], places.low.sum(axis=1).astype(float))
            if order[0] == "centred":
                weight = np.abs(weight)
            taken = greedy(places, bodies, conflicts(places), weight, count, 40, seed)
            if len(taken) < count + sum(b.least for b in bodies):
                continue
            tried.append((float(weight[taken].sum()), len(tried), question, places, site, taken))
        tried.sort(key=lambda t: (round(t[0], 3), t[1]))
        for _, _, question, places, site, taken in tried[:3]:
            answer = best_places(question, places, 2.0, seed, taken, clock.stop)
            if answer.spots is None:
                continue
            one = _arrangement(job, bay, shell, bodies, site, answer.spots, order)
            if one is not None:
                found.append(one)
    return _ranked(job, found)


def _arrangement(
    job: Job, bay: Bay, shell: Shell, bodies: tuple[Body, ...], site: Site, spots: tuple[Spot, ...],
    order: tuple[str, ...],
) -> Arrangement | None:
    frame = Frame(site.pose, site.limit, shell.liner_mm, site.pockets)
    layout = slide(Layout(spots, site.limit), bodies, frame, order)
    if layout is None:
        return None
    one = _built(job, bodies, site, layout)
    wrong = judge_arrangement(job, bay, one, shell)
    if wrong:
        print([str(w) for w in wrong][:3])
        return None
    return one


def _built(job: Job, bodies: tuple[Body, ...], site: Site, layout: Layout) -> Arrangement:
    modules, equipment = [], []
    for spot in sorted(layout.spots, key=lambda s: (round(s.low_mm[2], 1), -round(s.low_mm[0], 1), s.low_mm[1])):
        body = bodies[spot.body]
        stand = body.stands[spot.stand]
        pose = Pose(vec3(np.array(spot.low_mm) + np.array(stand.size_mm) / 2.0), stand.axes)
        if isinstance(body.kind, ModuleType):
            modules.append(PlacedModule(f"M{len(modules) + 1}", body.kind, pose, stand.up, stand.terminals))
        else:
            equipment.append(PlacedEquipment(body.kind, pose, stand.wall, False))
    for low, pocket in zip(layout.hung_mm, site.pockets, strict=True):
        middle = vec3(np.array(low) + np.array(pocket.size_mm) / 2.0)
        equipment.append(PlacedEquipment(pocket.kind, Pose(middle, pocket.axes), pocket.face, True, 4.0))
    wiring = wire(tuple(modules), job.pack.series, job.pack.parallel)
    one = Arrangement(site.pose, tuple(modules), layout.inside, tuple(equipment), wiring)
    return replace(one, scores=scores_of(one))


def _ranked(job: Job, found: list[Arrangement]) -> list[Arrangement]:
    ordered = best_first(job.pack.prefer, undominated(found))
    kept: list[Arrangement] = []
    for one in ordered:
        if all(shared_places(one, other) <= 0.7 for other in kept):
            kept.append(one)
    out = []
    for one in kept:
        best = [w for w, (name, sign, _) in FIGURES.items() if all(sign * one.scores[name] >= sign * o.scores[name] for o in kept)]
        out.append(replace(one, best_at=tuple(words(w, one.scores) for w in best)))
    return out
