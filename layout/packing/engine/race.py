"""Searches side by side, each in a thread of its own (the solvers release Python's lock while they work)."""

from __future__ import annotations

import threading
import time
from collections.abc import Sequence
from typing import Protocol

from layout.packing.engine.board import Board

_GRACE_SECONDS = 0.3


class Run(Protocol):
    """A search in a thread of its own."""

    thread: threading.Thread

    def stop(self) -> None:
        """Ask it to end."""


def race(runs: Sequence[Run], board: Board) -> None:
    """Run them until the board is over or all have ended.

    A search that does not heed the stop at once (a solver inside its presolve) is left to end by itself.
    """
    if board.over:
        return
    for run in runs:
        run.thread.start()
    try:
        while any(run.thread.is_alive() for run in runs) and not board.over:
            for run in runs:
                run.thread.join(0.005)
    finally:
        for run in runs:
            run.stop()
    until = time.monotonic() + _GRACE_SECONDS
    for run in runs:
        run.thread.join(max(until - time.monotonic(), 0.0))
