"""How much time is left, and whether somebody has asked to stop."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from dataclasses import dataclass

Stop = Callable[[], bool]

LOADING_S, LOADED_S = 1.5, 0.3
"""With less time left than this no exact search is begun: the first where the solvers' libraries are still to be loaded."""


@dataclass(frozen=True)
class Clock:
    """A point in time (of time.monotonic) and a question whether to stop before it."""

    end: float
    stop: Stop | None = None

    def left(self) -> float:
        """Seconds left; 0 once asked to stop."""
        if self.stop is not None and self.stop():
            return 0.0
        return max(self.end - time.monotonic(), 0.0)

    def share(self, part: float) -> Clock:
        """A clock that ends after a part of what is left."""
        return Clock(time.monotonic() + part * self.left(), self.stop)


def solvers_in_time(clock: Clock) -> bool:
    """Whether time is left for an exact search to be of use."""
    return clock.left() >= (LOADED_S if "ortools" in sys.modules else LOADING_S)


def clock_for(seconds: float, stop: Stop | None = None) -> Clock:
    """A clock that ends so many seconds from now."""
    return Clock(time.monotonic() + seconds, stop)
