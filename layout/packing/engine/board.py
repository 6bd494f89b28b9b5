"""The board both solvers write to: the best choice so far, the least upper bound, and whether to stop."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from layout.packing.engine.model import Placement
from layout.packing.engine.space import Bools


@dataclass
class Board:
    """State of one search for the greatest value. Mutable on purpose: it is the one thing the solver threads share.

    deadline: on time.monotonic's clock. target: stop once reached. chosen: the best choice of candidates; placements: what
    reached the value instead, where that was not made of candidates. finder, prover: who gave the value and the bound.
    """

    deadline: float
    target: int | None = None
    asked_to_stop: Callable[[], bool] | None = None
    progress: Callable[[int, int], None] | None = None
    value: int = -1
    bound: int = 2**62
    chosen: Bools | None = None
    placements: tuple[Placement, ...] | None = None
    finder: str = "none"
    prover: str = "none"
    infeasible: bool = False
    _lock: threading.RLock = field(default_factory=threading.RLock)

    def offer(self, value: int, chosen: Bools, who: str) -> None:
        """A choice of candidates of that value was found."""
        with self._lock:
            if value > self.value:
                self.value, self.chosen, self.finder, self.placements = value, chosen.copy(), who, None
                self._tell()

    def offer_placements(self, value: int, placements: tuple[Placement, ...], who: str) -> None:
        """A packing was found that is not made of the candidates."""
        with self._lock:
            if value > self.value:
                self.value, self.placements, self.finder = value, placements, who
                self._tell()

    def move(self, value: int, chosen: Bools) -> None:
        """Another choice of the same value, to search on from."""
        with self._lock:
            if value == self.value:
                self.chosen = chosen.copy()

    def limit(self, bound: int, who: str) -> None:
        """No choice has a greater value than the bound."""
        with self._lock:
            if bound < self.bound:
                self.bound, self.prover = bound, who
                self._tell()

    def rule_out(self, who: str) -> None:
        """No choice meets the asked counts at all."""
        with self._lock:
            self.infeasible, self.prover = True, who

    @property
    def settled(self) -> bool:
        """Proved, ruled out, or good enough for the target."""
        enough = self.target is not None and self.value >= self.target
        return self.infeasible or enough or self.bound <= self.value

    @property
    def over(self) -> bool:
        """Nothing more to do: settled, out of time or asked to stop."""
        return self.settled or self.left <= 0 or bool(self.asked_to_stop and self.asked_to_stop())

    @property
    def left(self) -> float:
        """Seconds until the deadline."""
        return self.deadline - time.monotonic()

    def _tell(self) -> None:
        if self.progress:
            self.progress(max(self.value, 0), self.bound)


def value_of(values: np.ndarray, chosen: Bools) -> int:
    """Value of a choice; values (n,) integers."""
    return int(values[chosen].sum())
