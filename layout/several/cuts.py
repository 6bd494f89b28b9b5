"""Where the bay is cut so that its pieces hold the most modules, one box in each piece.

Two boxes that keep a gap between what bounds them are parted by a plane square to one of the pack's axes, so a cut by such
a plane loses none of them; three are found by cutting one of the two pieces again. What a piece holds never falls as it
grows: the sum over a cut between two places is at most what the lower piece holds at the upper place and the upper piece at
the lower one. Intervals are halved where that bound is greatest (branch and bound), until none can give more.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from itertools import count

from layout.frames import Vec3
from layout.packing.clock import Clock
from layout.several.counting import Counting
from layout.several.regions import Region

LEAST_MM = 0.5
"""Intervals of a cut's place are not halved below this."""
Numbers = tuple[int, ...]
AXES = "xyz"


@dataclass(frozen=True)
class Piece:
    """A region with the number of the box in it, and how many modules that holds."""

    number: int
    region: Region
    count: int


@dataclass(frozen=True)
class Plan:
    """The bay in pieces. cuts: axis and place of each plane."""

    pieces: tuple[Piece, ...]
    cuts: tuple[tuple[int, float], ...] = ()

    @property
    def count(self) -> int:
        """Modules in all, however many there are."""
        return sum(p.count for p in self.pieces)

    def sorted(self) -> Plan:
        """The same with the pieces in the order of the boxes' numbers."""
        return replace(self, pieces=tuple(sorted(self.pieces, key=lambda p: p.number)))

    @property
    def words(self) -> str:
        """Where the bay is cut."""
        return " and ".join(f"{AXES[axis]} = {at:.0f} mm" for axis, at in self.cuts)


Value = Callable[[Numbers, Region], int]


@dataclass(frozen=True)
class Cut:
    """One way to part some boxes by a plane square to an axis: the first ones from the rest, at a place still open.

    The first boxes lie ahead (x), to the left (y) or below (z).
    """

    axis: int
    first: Numbers
    rest: Numbers

    @property
    def low(self) -> Numbers:
        """Boxes on the lower side."""
        return self.first if self.axis == 2 else self.rest

    @property
    def high(self) -> Numbers:
        """Boxes on the higher side."""
        return self.rest if self.axis == 2 else self.first


def cuts_of(numbers: Numbers) -> Iterator[Cut]:
    """Every way to part some boxes in two."""
    for axis in range(3):
        for k in range(1, len(numbers)):
            yield Cut(axis, numbers[:k], numbers[k:])


@dataclass(eq=False)
class Ceiling:
    """Upper bound for some boxes in a region over all cuts, by what single boxes hold at most."""

    counting: Counting
    span: tuple[Vec3, Vec3]
    clock: Clock
    enough: int
    known: dict[tuple[Numbers, Region], int] = field(default_factory=dict)

    def value(self, numbers: Numbers, region: Region) -> int:
        """The bound; found as far as time lasts, valid in any case."""
        if len(numbers) == 1:
            return self.counting.count(numbers[0], region)
        key = (numbers, region)
        if key not in self.known:
            self.known[key] = max(self._over(cut, region) for cut in cuts_of(numbers))
        return self.known[key]

    def _over(self, cut: Cut, region: Region) -> int:
        low, high = _range(self.span, cut.axis, region)
        most = self.counting.ask.most

        def at_most(a: float, b: float) -> int:
            return min(
                most,
                self.value(cut.low, region.below(cut.axis, b)) + self.value(cut.high, region.above(cut.axis, a)),
            )

        open_ = [(-at_most(low, high), low, high)]
        while True:
            bound, a, b = open_[0]
            if -bound <= self.enough or b - a <= LEAST_MM or self.clock.left() <= 0.0:
                return -bound
            heapq.heappop(open_)
            middle = (a + b) / 2.0
            for one, other in ((a, middle), (middle, b)):
                heapq.heappush(open_, (-at_most(one, other), one, other))


@dataclass(eq=False)
class Finder:
    """Good plans: boxes with what they hold by greedy rounds, each with mount points enough to be held."""

    counting: Counting
    span: tuple[Vec3, Vec3]
    clock: Clock
    wanted: int
    known: dict[tuple[Numbers, Region], list[Plan]] = field(default_factory=dict)

    def plans(self, numbers: Numbers, region: Region) -> list[Plan]:
        """Plans for some boxes in a region, the fullest first; [] where some box has too few mount points."""
        key = (numbers, region)
        if key not in self.known:
            if len(numbers) == 1:
                self.known[key] = self._single(numbers[0], region)
            else:
                found = [plan for cut in cuts_of(numbers) for plan in self._along(cut, region)]
                self.known[key] = sorted(found, key=lambda p: -p.count)
        return self.known[key]

    def _single(self, number: int, region: Region) -> list[Plan]:
        if not self.counting.ask.mounts.enough(number, region):
            return []
        held = self.counting.count(number, region)
        return [Plan((Piece(number, region, held),))] if held else []

    def _best(self, numbers: Numbers, region: Region) -> Plan | None:
        return next(iter(self.plans(numbers, region)), None)

    def _along(self, cut: Cut, region: Region) -> list[Plan]:
        """Plans with a plane square to one axis: midway between mount points first, then where more may be had."""
        found: dict[float, Plan] = {}

        def held(numbers: Numbers, side: Region) -> int:
            best = self._best(numbers, side)
            return best.count if best else 0

        def at(place: float) -> int:
            low, high = self._best(cut.low, region.below(cut.axis, place)), self._best(cut.high, region.above(cut.axis, place))
            if low is None or high is None:
                return 0
            first, rest = (low, high) if cut.axis == 2 else (high, low)
            found[place] = Plan((*first.pieces, *rest.pieces), ((cut.axis, place), *first.cuts, *rest.cuts))
            return found[place].count

        best = max((at(place) for place in self.counting.ask.mounts.between(cut.axis, region)), default=0)
        tie = count()
        low, high = _range(self.span, cut.axis, region)
        open_ = [(-self._potential(held, cut, region, low, high), next(tie), low, high)]
        while open_ and best < self.wanted and self.clock.left() > 0.0:
            bound, _, a, b = heapq.heappop(open_)
            if -bound <= best or b - a <= LEAST_MM:
                continue
            middle = (a + b) / 2.0
            best = max(best, at(middle))
            for one, other in ((a, middle), (middle, b)):
                heapq.heappush(open_, (-self._potential(held, cut, region, one, other), next(tie), one, other))
        return list(found.values())

    def _potential(
        self, held: Callable[[Numbers, Region], int], cut: Cut, region: Region, a: float, b: float
    ) -> int:
        low, high = held(cut.low, region.below(cut.axis, b)), held(cut.high, region.above(cut.axis, a))
        return low + high if low and high else 0


def _range(span: tuple[Vec3, Vec3], axis: int, region: Region) -> tuple[float, float]:
    """Where a plane square to an axis may cut a region."""
    return max(span[0][axis], region.low_mm[axis]), min(span[1][axis], region.high_mm[axis])
