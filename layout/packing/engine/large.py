"""The exact side of a large question: bounds by relaxation, first with zones left out, then of the whole model."""

from __future__ import annotations

import math
import threading
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from layout.packing.engine.board import Board
from layout.packing.engine.candidates import Candidates, candidates_at, mask_of
from layout.packing.engine.ceiling import SLACK
from layout.packing.engine.firstorder import quick_bound
from layout.packing.engine.highs import HighsRun
from layout.packing.engine.model import Item, Option
from layout.packing.engine.model_ip import set_packing
from layout.packing.engine.needless import not_needless
from layout.packing.engine.resting import that_rest
from layout.packing.engine.space import Space
from layout.packing.engine.starts import start_sets, thinned

_BARE_FIRST = 4000
_TOO_MANY = 25_000


class LargeRun:
    """Builds and solves the whole model in a thread of its own; `stop` ends it."""

    def __init__(self, space: Space, items: Sequence[Item], candidates: Candidates, board: Board, seed: int) -> None:
        self._space, self._items, self._candidates, self._board, self._seed = space, items, candidates, board, seed
        self._inner: HighsRun | None = None
        self._stopped = False
        self.thread = threading.Thread(target=self._run)

    def stop(self) -> None:
        """End the search; what was found stays on the board."""
        self._stopped = True
        if self._inner:
            self._inner.stop()

    def _over(self) -> bool:
        return self._stopped or self._board.over

    def _run(self) -> None:
        if len(self._candidates) > _BARE_FIRST and any(o.zone for item in self._items for o in item.options):
            self._bound_without_zones()
        if self._over() or len(self._candidates) > _TOO_MANY:
            return
        model = set_packing(self._items, self._candidates, self._space.volume)
        quick_bound(model, self._board.left / 3, self._over, lambda bound: self._tell(bound, "first-order relaxation"))
        if self._over():
            return
        known = mask_of(self._candidates, self._board.placements)
        protected = np.zeros(len(self._candidates), bool) if known is None else known
        left = not_needless(self._items, self._candidates, protected, self._board.deadline)
        if self._over():
            return
        model = set_packing(self._items, self._candidates.take(left), self._space.volume)
        self._inner = HighsRun(model, self._board, self._seed)
        if not self._over():
            self._inner.run()

    def _bound_without_zones(self) -> None:
        """Zones only forbid: the relaxation without them bounds the question with them, and is far smaller."""
        items = [replace(item, options=_bare(item.options)) for item in self._items]
        starts = start_sets(self._space, items, ("both", "both", "both"))
        if thinned(starts) is not starts:
            return
        candidates = that_rest(self._space, items, candidates_at(self._space, items, starts))
        if len(candidates) > _BARE_FIRST or self._over():
            return
        model = set_packing(items, candidates, self._space.volume)
        quick_bound(model, self._board.left / 4, self._over, lambda bound: self._tell(bound, "relaxation without zones"))

    def _tell(self, bound: float, who: str) -> None:
        self._board.limit(math.floor(bound + SLACK), who)


def _bare(options: Sequence[Option]) -> tuple[Option, ...]:
    return tuple(Option(size) for size in sorted({option.size for option in options}))
