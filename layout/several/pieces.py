"""The arrangements of each box in its piece of the bay, once a cut and the boxes' shares of the modules are settled."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field, replace

from layout.arrangement import Arrangement
from layout.box.shell import shell_of
from layout.job.model import Job
from layout.packing.bodies import bodies_of
from layout.packing.clock import Clock
from layout.packing.count import Filled, fill_exactly
from layout.packing.listed import Listed, choose
from layout.several.counting import Ask, filled_in
from layout.several.cuts import Piece, Plan
from layout.several.jobs import job_of_box

Shelf = dict[str, int]


@dataclass(frozen=True)
class Share:
    """A plan with the modules that each of its pieces takes."""

    ask: Ask
    plan: Plan
    counts: tuple[int, ...]

    @property
    def mounts(self) -> tuple[frozenset[str], ...]:
        """Names of each box's mount points."""
        return tuple(self.ask.mounts.of(p.number, p.region) for p in self.plan.pieces)


@dataclass(eq=False)
class Arranger:
    """Arrangements of single boxes, each question asked once."""

    clock: Clock
    known: dict[object, tuple[Listed, Shelf] | None] = field(default_factory=dict)
    left: int = 1

    def listed(self, share: Share) -> list[Listed] | None:
        """The arrangements of every piece; None where one of them does not hold its share.

        With several types of module a box takes its mix first and leaves the rest to those after it.
        """
        shelf = {m.name: m.available for m in share.ask.job.modules}
        found: list[Listed] = []
        for piece, mounts, count in zip(share.plan.pieces, share.mounts, share.counts, strict=True):
            key = (share.ask.frame, piece.number, piece.region, mounts, count, *sorted(shelf.items()))
            if key not in self.known:
                self.known[key] = self._arranged(share.ask, piece, mounts, count, shelf)
            answer = self.known[key]
            if answer is None or not answer[0].arrangements:
                return None
            found.append(answer[0])
            if len(share.ask.job.modules) > 1:
                shelf = {name: n - answer[1].get(name, 0) for name, n in shelf.items()}
        return found

    def _arranged(
        self, ask: Ask, piece: Piece, mounts: frozenset[str], count: int, shelf: Shelf
    ) -> tuple[Listed, Shelf] | None:
        clock = self.clock.share(1.0 / max(self.left, 1))
        self.left -= 1
        if sum(shelf.values()) < count:
            return None
        job = job_of_box(ask.job, piece.number, mounts, count, shelf)
        filled = fullest_in(ask, job, piece, clock.share(0.4))
        if not filled or filled[0].count < count:
            return None
        used = _used(job, filled[0])
        if len(job.modules) > 1:  # the mix that was found, no other
            job = job_of_box(ask.job, piece.number, mounts, count, used)
            filled = fullest_in(ask, job, piece, clock.share(0.4))
        best = [f for f in filled if f.count == count]
        if not best:
            return None
        listed = choose(job, ask.bay, shell_of(job), bodies_of(job), best, count, ask.seed, clock)
        return replace(listed, arrangements=tuple(_of_types(ask.job, one) for one in listed.arrangements)), used


def _of_types(job: Job, one: Arrangement) -> Arrangement:
    """An arrangement with the job's own types of module, of which there are as many as the job says."""
    kinds = {m.name: m for m in job.modules}
    return replace(one, modules=tuple(replace(m, kind=kinds[m.kind.name]) for m in one.modules))


def fullest_in(ask: Ask, job: Job, piece: Piece, clock: Clock) -> list[Filled]:
    """A piece filled with its box's share, by greedy rounds and, where these fall short, exactly."""
    filled = filled_in(ask, job, piece.region, clock)
    wanted = ask.most if job.pack.count == "max" else job.pack.count
    if filled and filled[0].count < wanted:
        filled = fill_exactly(filled, bodies_of(job), wanted, ask.seed, clock, None)
    return filled


def _used(job: Job, filled: Filled) -> Shelf:
    bodies = bodies_of(job)
    return dict(Counter(bodies[s.body].name for s in filled.spots if bodies[s.body].is_module))
