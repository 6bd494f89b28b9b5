"""Window search for models too large to solve at once: free some boxes, refill their space exactly, and go on."""

from __future__ import annotations

import threading
from collections.abc import Iterator, Sequence

import numpy as np
from ortools.sat.python import cp_model

from layout.packing.engine.board import Board, value_of
from layout.packing.engine.candidates import Candidates, clashes
from layout.packing.engine.cpsat import cpsat_model, settings
from layout.packing.engine.model import Item
from layout.packing.engine.model_ip import SetPacking, narrowed
from layout.packing.engine.space import Bools

_LARGEST = 1500


class WindowRun:
    """Improves the board's choice window by window, in a thread of its own; `stop` ends it."""

    def __init__(self, model: SetPacking, candidates: Candidates, items: Sequence[Item], board: Board, seed: int) -> None:
        self._model, self._candidates, self._items, self._board = model, candidates, items, board
        self._rng = np.random.default_rng(seed)
        self._solver: cp_model.CpSolver | None = None
        self._stopped = False
        self.thread = threading.Thread(target=self._run, daemon=True)

    def stop(self) -> None:
        """End the search after the window at hand."""
        self._stopped = True
        if self._solver:
            self._solver.stop_search()

    def _run(self) -> None:
        for keep in _one_way_up(self._candidates, self._items):
            if self._done():
                return
            self._refill(np.zeros_like(keep), keep, 3.0, plateau=False)
        freed = 8.0
        while not self._done():
            chosen = self._board.chosen
            if chosen is None or not chosen.any():
                return
            taken = self._outside_window(chosen, round(freed))
            keep = self._fits_beside(taken)
            if int(keep.sum()) > _LARGEST:
                freed = max(freed * 0.85, 3.0)
                continue
            finished = self._refill(taken, keep, 1.0, plateau=True)
            freed = min(freed * 1.02, 24.0) if finished else max(freed * 0.95, 3.0)

    def _done(self) -> bool:
        return self._stopped or self._board.over

    def _outside_window(self, chosen: Bools, freed: int) -> Bools:
        """All but the boxes nearest a random point, near as measured by randomly stretched axes."""
        c = self._candidates
        where = np.flatnonzero(chosen)
        middle = (c.low[where] + c.high[where]) / 2
        focus = middle[self._rng.integers(len(where))]
        stretch = self._rng.choice((0.3, 1.0, 3.0), 3)
        distance = (np.abs(middle - focus) * stretch).max(axis=1)
        taken = chosen.copy()
        taken[where[np.argsort(distance, kind="stable")[:freed]]] = False
        return taken

    def _fits_beside(self, taken: Bools) -> Bools:
        keep = ~taken
        for n in np.flatnonzero(taken):
            keep &= ~clashes(self._candidates, int(n))
        return keep

    def _refill(self, taken: Bools, keep: Bools, work: float, plateau: bool) -> bool:
        """Solve the kept candidates beside the taken ones; True when solved to the end within the work allowed."""
        sub = narrowed(self._model, keep, taken)
        before = self._board.chosen
        hint = before[keep] if plateau and before is not None else None
        cp, variables = cpsat_model(sub, hint)
        steps = 1000 if plateau else 1
        weights = sub.values * steps * 10
        if plateau:
            weights = weights + self._rng.integers(0, steps // 40, len(weights))
        cp.maximize(cp_model.LinearExpr.weighted_sum(variables, weights.tolist()))
        self._solver = settings(min(self._board.left, 4 * work), int(self._rng.integers(2**30)))
        self._solver.parameters.max_deterministic_time = work
        status = self._solver.solve(cp)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return False
        chosen = taken.copy()
        chosen[np.flatnonzero(keep)] = np.array([self._solver.boolean_value(v) for v in variables], bool)
        value = value_of(self._model.values, chosen)
        if plateau and value == self._board.value:
            self._board.move(value, chosen)
        elif value > self._board.value:
            self._board.offer(value, chosen, "windows")
        return status == cp_model.OPTIMAL


def _one_way_up(candidates: Candidates, items: Sequence[Item]) -> Iterator[Bools]:
    """Subsets of the candidates in which each item has one extent upright; none when there is no choice."""
    extents = candidates.high[:, 2] - candidates.low[:, 2]
    ranks = np.zeros(len(candidates), np.int64)
    for n in range(len(items)):
        mine = candidates.item == n
        ranks[mine] = np.searchsorted(np.unique(extents[mine]), extents[mine])
    levels = int(ranks.max(initial=0)) + 1
    if levels > 1:
        yield from (ranks == level for level in range(levels))
