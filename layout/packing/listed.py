"""Which of the arrangements found are listed, in which order, and what each is best at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from layout.arrangement import Arrangement
from layout.box.shell import Shell
from layout.job.model import Job
from layout.packing.bodies import Body
from layout.packing.build import Draft, built_ways
from layout.packing.choices import drafts
from layout.packing.clock import Clock
from layout.packing.count import Filled
from layout.packing.equipment_fit import equipment_violations
from layout.packing.scores import (
    FIGURES,
    NOT_HELD,
    as_good,
    best_first,
    no_worse,
    shared_places,
    undominated,
    words,
    worth_listing,
)
from layout.space.bay import Bay
from layout.space.judge_arrangement import judge_arrangement
from layout.study.making import Making, making_of

MOST_LISTED, WANTED = 8, 5
"""Arrangements listed at most; and when time is up, or where they cannot be made as they are."""
SHARED = 0.7
"""Arrangements that share more than this part of their modules' places are the same choice."""


@dataclass(frozen=True)
class Listed:
    """Arrangements, best first, with what stands in the way of making each; and what the judge had against others."""

    arrangements: tuple[Arrangement, ...]
    makings: tuple[Making, ...]
    dropped: tuple[str, ...]

    def few(self) -> str:
        """That fewer than WANTED choices that can be made were found, where that is so; else nothing."""
        number = sum(one.scores[NOT_HELD] == 0.0 for one in self.arrangements)
        if not 0 < number < WANTED:
            return ""
        which = "one arrangement was" if number == 1 else f"{number} arrangements were"
        return f"{which} found that can be built and differ in something that matters, and no more in the time there was"


def choose(
    job: Job, bay: Bay, shell: Shell, bodies: tuple[Body, ...], filled: list[Filled], count: int, seed: int, clock: Clock
) -> Listed:
    """Arrangements of `count` modules: those that can be made first, then by the job's wishes."""
    pool = _Pool(job, bay, shell, count)
    for draft in drafts(job, bodies, filled, count, seed, clock):
        pool.add(draft, clock)
        if pool.found and clock.left() <= 0.0:
            break
    kept: list[Arrangement] = []
    dropped: list[str] = []
    for one in best_first(job.pack.prefer, worth_listing(undominated([a for a, _ in pool.found.values()]))):
        enough = MOST_LISTED if clock.left() > 0.0 and one.scores[NOT_HELD] == 0.0 else WANTED
        alike = any(shared_places(one, other) > SHARED or as_good(other.scores, one.scores) for other in kept)
        if len(kept) >= enough or alike:
            continue
        wrong = [*judge_arrangement(job, bay, one, shell), *equipment_violations(bay, one, shell)]
        if wrong:
            dropped.append(str(wrong[0]))
        else:
            kept.append(one)
    makings = tuple(pool.found[places_of(one)][1] for one in kept)
    said = tuple(replace(one, best_at=best_at(one, kept, job.pack.prefer)) for one in kept)
    return Listed(said, makings, tuple(dropped))


def best_at(one: Arrangement, listed: Sequence[Arrangement], prefer: tuple[str, ...]) -> tuple[str, ...]:
    """What an arrangement is best at among those listed, in words; where it is best at nothing, what it comes nearest in."""
    return _best_at(one, listed) or _nearly_best_at(one, listed, prefer)


@dataclass
class _Pool:
    """Arrangements built from drafts, each with its making; mutable while drafts come in."""

    job: Job
    bay: Bay
    shell: Shell
    count: int
    found: dict[tuple[object, ...], tuple[Arrangement, Making]] = field(default_factory=dict)
    seen: set[tuple[object, ...]] = field(default_factory=set)

    def add(self, draft: Draft, clock: Clock) -> None:
        """Build a draft and look at its making, unless it was there before or one that can be made is better in every wish.

        Where brackets do not reach it, the same with its walls where they reach the mounts in other ways, while time lasts.
        """
        for one in built_ways(self.job, self.shell, draft):
            if self._settled(one) or clock.left() <= 0.0:
                return

    def _settled(self, one: Arrangement) -> bool:
        """Look at an arrangement. True where no other way of making it is asked for."""
        if (key := places_of(one)) in self.seen:
            return True
        self.seen.add(key)
        makable = (a for a, making in self.found.values() if making.lost(self.count) == 0)
        if any(no_worse({**other.scores, NOT_HELD: 0.0}, one.scores) for other in makable):
            return True
        making = making_of(self.job, self.bay, one, self.shell)
        self.found[key] = (replace(one, scores={**one.scores, NOT_HELD: float(making.lost(self.count))}), making)
        return not making.trouble


def places_of(one: Arrangement) -> tuple[object, ...]:
    """What tells arrangements apart: where everything is, to a tenth of a millimetre."""
    stands = [(m.kind.name, m.up, m.terminals, *(round(v, 1) for v in m.pose.origin_mm)) for m in one.modules]
    pieces = [(e.kind.name, e.face, *(round(v, 1) for v in e.pose.origin_mm)) for e in one.equipment]
    limits = [round(v, 1) for v in (*one.inside.min_mm, *one.inside.max_mm)]
    return (one.frame, *sorted(stands), *sorted(pieces), *limits)


def _nearly_best_at(one: Arrangement, listed: Sequence[Arrangement], prefer: tuple[str, ...]) -> tuple[str, ...]:
    """For one that is best at nothing: the wish in which the fewest others are better, where any is worse."""
    better: dict[str, int] = {}
    for wish in (*prefer, *(w for w in FIGURES if w not in prefer)):
        name, sign, same = FIGURES[wish]
        gains = [sign * (one.scores[name] - other.scores[name]) for other in listed]
        if any(g > same for g in gains) or len(listed) == 1:
            better[wish] = sum(g < -1e-6 for g in gains)
    if not better:
        return ()
    wish = min(better, key=lambda w: better[w])
    return (f"number {better[wish] + 1} of {len(listed)} in {words(wish, one.scores)}",)


def _best_at(one: Arrangement, listed: Sequence[Arrangement]) -> tuple[str, ...]:
    """The wishes in which none listed is better and, where several are listed, one is worse by what counts as a difference."""
    best = [
        wish
        for wish, (name, sign, same) in FIGURES.items()
        if all(sign * one.scores[name] >= sign * other.scores[name] - 1e-6 for other in listed)
        and (len(listed) == 1 or any(sign * (one.scores[name] - other.scores[name]) > same for other in listed))
    ]
    return tuple(words(wish, one.scores) for wish in best)
