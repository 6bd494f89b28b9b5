"""The board that searches running side by side write to: the best packing so far, the least upper bound, when to stop."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field

from layout.packing.engine.model import Placement


@dataclass
class Board:
    """State of one search for the greatest value. Mutable on purpose: it is the one thing the searching threads share.

    deadline: on time.monotonic's clock. target: stop once reached. value: -1 until something was found. finder, prover: who
    gave the value and the bound. infeasible: nothing meets the asked counts.
    """

    deadline: float
    target: int | None = None
    asked_to_stop: Callable[[], bool] | None = None
    progress: Callable[[int, int], None] | None = None
    value: int = -1
    bound: int = 2**62
    placements: tuple[Placement, ...] = ()
    finder: str = "none"
    prover: str = "none"
    infeasible: bool = False
    _lock: threading.RLock = field(default_factory=threading.RLock)

    def offer(self, value: int, placements: tuple[Placement, ...], who: str) -> None:
        """A packing of that value was found."""
        with self._lock:
            if value > self.value:
                self.value, self.placements, self.finder = value, placements, who
                self._tell()

    def move(self, value: int, placements: tuple[Placement, ...]) -> None:
        """Another packing of the same value, to search on from."""
        with self._lock:
            if value == self.value and not self.settled:
                self.placements = placements

    def limit(self, bound: int, who: str) -> None:
        """No packing has a greater value than the bound."""
        with self._lock:
            if bound < self.bound:
                self.bound, self.prover = bound, who
                self._tell()

    def rule_out(self, who: str) -> None:
        """No packing meets the asked counts at all."""
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
