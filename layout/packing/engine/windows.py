"""Window search for questions too large to solve at once: free some boxes, refill their space exactly, and go on."""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
from ortools.sat.python import cp_model

from layout.packing.engine.board import Board
from layout.packing.engine.candidates import Candidates, clashes, index_of, joined, of_placements
from layout.packing.engine.cpsat import cpsat_model, settings
from layout.packing.engine.model import Item
from layout.packing.engine.model_ip import SetPacking, set_packing
from layout.packing.engine.space import Bools, Ints

_LARGEST = 1500
_WORK = 1.0


class WindowRun:
    """Improves the board's packing window by window, in a thread of its own; `stop` ends it.

    first: run before the windows. values: what each candidate is worth, where that is not its item's value.
    """

    def __init__(
        self,
        candidates: Candidates,
        items: Sequence[Item],
        board: Board,
        seed: int,
        first: Callable[[], None] = lambda: None,
        values: Callable[[Candidates], Ints] | None = None,
    ) -> None:
        self._candidates, self._items, self._board = candidates, items, board
        self._first, self._values = first, values or self._plain_values
        self._rng = np.random.default_rng(seed)
        self._solver: cp_model.CpSolver | None = None
        self._stopped = False
        self.thread = threading.Thread(target=self._run)

    def stop(self) -> None:
        """End the search after the window at hand."""
        self._stopped = True
        if self._solver:
            self._solver.stop_search()

    def _run(self) -> None:
        self._first()
        freed = 8.0
        while not self._stopped and not self._board.over and self._board.placements:
            pool, chosen = self._with(self._candidates)
            taken = self._outside_window(pool, chosen, round(freed))
            keep = self._fits_beside(pool, taken)
            if int(keep.sum()) > _LARGEST and freed > 3:
                freed *= 0.85
                continue
            finished = self._refill(pool, taken, chosen, keep)
            freed = min(freed * 1.02, 24.0) if finished else max(freed * 0.95, 3.0)

    def _plain_values(self, candidates: Candidates) -> Ints:
        return np.array([item.value for item in self._items], np.int64)[candidates.item]

    def _with(self, candidates: Candidates) -> tuple[Candidates, Bools]:
        """The candidates, with the board's placements among them, and the mask of those."""
        placements = self._board.placements
        missing = [p for p, at in zip(placements, index_of(candidates, placements), strict=True) if at < 0]
        pool = joined([candidates, of_placements(self._items, missing)]) if missing else candidates
        chosen = np.zeros(len(pool), bool)
        chosen[index_of(pool, placements)] = True
        return pool, chosen

    def _outside_window(self, c: Candidates, chosen: Bools, freed: int) -> Bools:
        """All but the boxes nearest a random one, near as measured by randomly stretched axes."""
        where = np.flatnonzero(chosen)
        middle = (c.low[where] + c.high[where]) / 2
        focus = middle[self._rng.integers(len(where))]
        stretch = self._rng.choice((0.3, 1.0, 3.0), 3)
        distance = (np.abs(middle - focus) * stretch).max(axis=1)
        taken = chosen.copy()
        taken[where[np.argsort(distance, kind="stable")[:freed]]] = False
        return taken

    def _fits_beside(self, c: Candidates, taken: Bools) -> Bools:
        keep = ~taken
        for n in np.flatnonzero(taken):
            keep &= ~clashes(c, int(n))
        return keep

    def _refill(self, pool: Candidates, taken: Bools, chosen: Bools, keep: Bools) -> bool:
        """Solve the kept candidates beside the taken ones; True when solved to the end within the work allowed."""
        model = self._window_model(pool, taken, keep)
        cp, variables = cpsat_model(model, chosen[keep])
        weights = model.values * 10_000 + self._rng.integers(0, 50, len(model.values))
        cp.maximize(cp_model.LinearExpr.weighted_sum(variables, weights.tolist()))
        self._solver = settings(min(self._board.left, 4 * _WORK), int(self._rng.integers(2**30)))
        self._solver.parameters.max_deterministic_time = _WORK
        status = self._solver.solve(cp)
        if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            return False
        picked = taken.copy()
        picked[np.flatnonzero(keep)] = np.array([self._solver.boolean_value(v) for v in variables], bool)
        placements = pool.placements(picked)
        value = int(self._values(pool)[picked].sum())
        if value > self._board.value:
            self._board.offer(value, placements, "windows")
        else:
            self._board.move(value, placements)
        return bool(status == cp_model.OPTIMAL)

    def _window_model(self, pool: Candidates, taken: Bools, keep: Bools) -> SetPacking:
        """The kept candidates as a model of their own, with what the taken ones leave of each count."""
        fixed = np.bincount(pool.item[taken], minlength=len(self._items))
        left = [
            replace(item, least=max(item.least - int(n), 0), most=max(item.most - int(n), 0))
            for item, n in zip(self._items, fixed, strict=True)
        ]
        inside = pool.take(keep)
        model = set_packing(left, inside, int(np.prod(inside.high - inside.low, axis=1).sum()))
        return replace(model, values=self._values(inside))
