"""Which arrangements of the single boxes go together, held against one another, and in which order they are listed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import product

from layout.box.carriers import Carriers
from layout.job.model import Job
from layout.packing.clock import Clock
from layout.packing.equipment_fit import equipment_violations
from layout.packing.listed import WANTED, Listed, best_at
from layout.packing.scores import NOT_HELD, best_first, shared_places, undominated
from layout.several.apart import design_bay, other_boxes
from layout.several.jobs import prefix_of
from layout.several.model import PackArrangement
from layout.several.pieces import Share
from layout.several.scores import packed
from layout.space.bay import Bay
from layout.space.judge_arrangement import judge_arrangement
from layout.study.making import Making, making_of

MOST_PAIRED = 4
"""Arrangements of one box that are combined with those of the others."""
SHARED = 0.7
"""Arrangements that share more than this part of their modules' places are the same choice."""


@dataclass(frozen=True)
class Paired:
    """Arrangements in several boxes, best first, with what stands in the way of making each; and what was dropped for what."""

    arrangements: tuple[PackArrangement, ...]
    makings: tuple[Making, ...]
    dropped: tuple[str, ...]


def pairs(share: Share, listed: list[Listed]) -> list[PackArrangement]:
    """Every combination of the boxes' first arrangements."""
    pack = share.ask.job.pack
    first = [one.arrangements[:MOST_PAIRED] for one in listed]
    return [packed(parts, share.mounts, share.plan.words, pack.series, pack.parallel) for parts in product(*first)]


def paired(job: Job, bay: Bay, every: list[PackArrangement], clock: Clock) -> Paired:
    """Those listed: they hold before the judge, none is beaten in every wish, and no two are much the same."""
    kept: list[tuple[PackArrangement, Making]] = []
    dropped: list[str] = []
    ranked = best_first(job.pack.prefer, undominated(list(every)))
    for one in (a for a in ranked if isinstance(a, PackArrangement)):
        if len(kept) >= WANTED or (kept and clock.left() <= 0.0):
            break
        if any(shared_places(one, other) > SHARED for other, _ in kept):
            continue
        wrong = faults(job, bay, one)
        if wrong:
            dropped.append(wrong)
            continue
        makings = makings_of(job, bay, one)
        making = joined(makings)
        scores = {**one.scores, NOT_HELD: float(making.lost(len(one.modules)))}
        kept.append((replace(one, scores=scores, bars=tuple(m.carriers for m in makings)), making))
    order = best_first(job.pack.prefer, [one for one, _ in kept])
    known = {id(one): making for one, making in kept}
    final = [one for one in order if isinstance(one, PackArrangement)]
    said = tuple(replace(one, best_at=best_at(one, final, job.pack.prefer)) for one in final)
    return Paired(said, tuple(known[id(one)] for one in final), tuple(dropped))


def faults(job: Job, bay: Bay, pack: PackArrangement) -> str:
    """The first thing that the judge of fit finds wrong with any of the boxes, the others in their places; "" if nothing."""
    for number, (part, shell) in enumerate(zip(pack.parts, pack.shells(job), strict=True), start=1):
        around = other_boxes(job, bay, pack, number)
        wrong = [*judge_arrangement(pack.job_of(job, number), around, part, shell), *equipment_violations(around, part, shell)]
        if wrong:
            return f"box {prefix_of(number)}: {wrong[0]}"
    return ""


def makings_of(job: Job, bay: Bay, pack: PackArrangement) -> tuple[Making, ...]:
    """What stands in the way of making each box, the others in their places."""
    return tuple(
        making_of(pack.job_of(job, k), design_bay(job, bay, pack, k), part, shell)
        for k, (part, shell) in enumerate(zip(pack.parts, pack.shells(job), strict=True), start=1)
    )


def joined(makings: tuple[Making, ...]) -> Making:
    """The same for all boxes as one; modules with their box's prefix."""
    unheld: list[tuple[str, str]] = []
    stuck: list[str] = []
    trouble: list[str] = []
    for number, one in enumerate(makings, start=1):
        name = prefix_of(number)
        trouble += [f"box {name}: {one.trouble}"] if one.trouble else []
        unheld += [(f"{name}-{module}", why) for module, why in one.carriers.unheld]
        stuck += [f"{name}-{module}" for module in one.stuck]
    return Making("; ".join(trouble), Carriers(unheld=tuple(unheld)), tuple(stuck))
