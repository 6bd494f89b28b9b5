"""As many as fit: the search for the packing of greatest value, with its proof."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Sequence
from typing import Protocol

from layout.packing.engine.board import Board
from layout.packing.engine.bounds import reachable_volume, volume_bound
from layout.packing.engine.candidates import Candidates, candidates_at
from layout.packing.engine.cpsat import CpSatRun
from layout.packing.engine.flat import SkylineRun, barnes_limit, layer_axis, one_layer, stacked
from layout.packing.engine.greedy import first_layouts
from layout.packing.engine.highs import HighsRun
from layout.packing.engine.model import Item, Packing, Region, check_question
from layout.packing.engine.model_ip import set_packing
from layout.packing.engine.needless import not_needless
from layout.packing.engine.resting import that_rest
from layout.packing.engine.space import space_of
from layout.packing.engine.starts import start_sets
from layout.packing.engine.windows import WindowRun

_LARGE = 1500
_FILLINGS = 60


def pack_most(
    region: Region,
    items: Sequence[Item],
    *,
    seconds: float,
    seed: int = 0,
    target: int | None = None,
    progress: Callable[[int, int], None] | None = None,
    stop: Callable[[], bool] | None = None,
) -> Packing:
    """The packing of greatest value within the time given."""
    began = time.monotonic()
    check_question(region, items)
    axis = layer_axis(region, items)
    if axis is None:
        return _search(region, items, Board(began + seconds, target, stop, progress), seed, began)
    flat, item, layers = one_layer(region, items[0], axis)
    if layers:
        target = None if target is None else -(-target // layers)
        progress = _times(progress, layers, item.most * item.value)
    found = _search(flat, (item,), Board(began + seconds, target, stop, progress), seed, began)
    return stacked(found, items[0], axis, layers)


def _times(progress: Callable[[int, int], None] | None, layers: int, most: int) -> Callable[[int, int], None] | None:
    """Progress of one layer told as that of all."""
    if progress is None:
        return None
    return lambda value, bound: progress(min(value * layers, most), min(bound * layers, most))


def _search(region: Region, items: Sequence[Item], board: Board, seed: int, began: float) -> Packing:
    space = space_of(region)
    board.limit(volume_bound(items, space.volume), "volume")
    candidates = that_rest(space, items, candidates_at(space, items, start_sets(space, items, ("both", "both", "both"))))
    if not len(candidates):
        met = all(item.least == 0 for item in items)
        return Packing((), 0, 0, True, time.monotonic() - began, "nothing fits anywhere", met)
    board.limit(volume_bound(items, reachable_volume(candidates)), "volume")
    barnes = barnes_limit(region, items)
    if barnes is not None:
        board.limit(barnes, "Barnes")
    chosen, value = first_layouts(candidates, items, seed, _FILLINGS, min(board.deadline, began + 0.4), board.bound)
    if value >= 0:
        board.offer(value, chosen, "greedy")
    if not board.over:
        left = not_needless(items, candidates, chosen)
        candidates = candidates.take(left)
        board.chosen = chosen[left] if board.chosen is not None else None
        model = set_packing(items, candidates, space.volume)
        runs: list[Run] = [HighsRun(model, board, seed)]
        if len(candidates) > _LARGE:
            runs.append(WindowRun(model, candidates, items, board, seed))
        else:
            runs.append(CpSatRun(model, board, seed))
        if SkylineRun.suits(region, items):
            runs.append(SkylineRun(region, items, board))
        race(runs, board)
    return answer(candidates, board, began)


class Run(Protocol):
    """A search in a thread of its own."""

    thread: threading.Thread

    def stop(self) -> None:
        """Ask it to end."""


def race(runs: Sequence[Run], board: Board) -> None:
    """Searches side by side, until the board is over or all have ended."""
    for run in runs:
        run.thread.start()
    while any(run.thread.is_alive() for run in runs) and not board.over:
        for run in runs:
            run.thread.join(0.005)
    for run in runs:
        run.stop()
    for run in runs:
        run.thread.join(max(board.left, 0) + 0.3)


def answer(candidates: Candidates, board: Board, began: float) -> Packing:
    """The board's state as a packing."""
    seconds = time.monotonic() - began
    if board.infeasible or board.value < 0 or (board.chosen is None and board.placements is None):
        return Packing((), 0, max(board.bound, 0), board.infeasible, seconds, f"counts not met ({board.prover})", False)
    how = f"found by {board.finder}, bound by {board.prover}, {len(candidates)} candidates"
    placements = candidates.placements(board.chosen) if board.placements is None else board.placements
    return Packing(placements, board.value, board.bound, board.value >= board.bound, seconds, how)
