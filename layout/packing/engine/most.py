"""As many as fit: the search for the packing of greatest value, with its proof."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace

import numpy as np

from layout.packing.engine.blocks import BlocksRun
from layout.packing.engine.board import Board
from layout.packing.engine.bounds import reachable_volume, volume_bound
from layout.packing.engine.candidates import Candidates, candidates_at, mask_of
from layout.packing.engine.cpsat import CpSatRun
from layout.packing.engine.dual_feasible import dual_feasible_bound
from layout.packing.engine.flat import SkylineRun, barnes_limit, layer_axis, one_layer, stacked
from layout.packing.engine.greedy import first_layouts
from layout.packing.engine.highs import HighsRun
from layout.packing.engine.large import LargeRun
from layout.packing.engine.model import Item, Packing, Region, check_question
from layout.packing.engine.model_ip import set_packing
from layout.packing.engine.needless import not_needless
from layout.packing.engine.race import Run, race
from layout.packing.engine.recursion import RecursionRun
from layout.packing.engine.resting import that_rest
from layout.packing.engine.space import Space, space_of
from layout.packing.engine.starts import places_of, start_sets, thinned
from layout.packing.engine.windows import WindowRun

_LARGE = 2500
_FILLINGS = 60
_FIRST_SECONDS = 0.4
_BRIEFLY = 0.05
_MANY_PLACES = 50_000


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
    """The packing of greatest value (the greatest count, when every value is 1) within the time given.

    seconds: wall time; at the limit the best so far is returned with its bound. target: return as soon as a packing of
    that value is found. progress: called with (value, bound) whenever either improves, from whichever thread found it.
    stop: asked often; True ends the search with the best so far. seed: of every random choice.
    The value is the same on every run that ends by proof. The layout that comes with it is the same too, except where two
    searches running side by side find one of that value at nearly the same moment: there wall time decides.
    Raises ValueError for a question without meaning (see model.check_question).
    """
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
    board.limit(dual_feasible_bound(items, region.size), "dual feasible functions")
    starts = start_sets(space, items, ("both", "both", "both"))
    complete = thinned(starts) is starts
    blocks = BlocksRun(region, space, items, board, seed) if BlocksRun.suits(items) else None
    if blocks is not None:  # the more places, the longer before anything else can begin
        blocks.run_briefly(min(board.left / 5, _FIRST_SECONDS if places_of(starts) > _MANY_PLACES else _BRIEFLY))
    if board.over:
        return answer(board, began, 0)
    candidates = candidates_at(space, items, thinned(starts))
    candidates = that_rest(space, items, candidates) if complete else candidates
    if not len(candidates) and complete:
        met = all(item.least == 0 for item in items)
        return Packing((), 0, 0, True, time.monotonic() - began, "nothing fits anywhere", met)
    if complete:
        board.limit(volume_bound(items, reachable_volume(candidates)), "volume")
    barnes = barnes_limit(region, items)
    if barnes is not None:
        board.limit(barnes, "Barnes")
    recursion = RecursionRun(region, items, board) if RecursionRun.suits(region, items) else None
    if recursion is not None:
        recursion.run_briefly()
    first_layouts(board, candidates, items, seed, _FILLINGS, _FIRST_SECONDS)
    if board.over:
        pass
    elif len(candidates) > _LARGE:
        _search_large(region, space, items, candidates, complete, board, seed, blocks, recursion)
    else:
        _search_small(region, space, items, candidates, board, seed, recursion)
    return answer(board, began, len(candidates))


def _search_small(
    region: Region,
    space: Space,
    items: Sequence[Item],
    candidates: Candidates,
    board: Board,
    seed: int,
    recursion: RecursionRun | None,
) -> None:
    """Both solvers on the whole model; for plain rectangles the skyline search first, then it and the recursion beside them."""
    skyline = SkylineRun(region, items, board) if SkylineRun.suits(region, items) else None
    if skyline is not None:
        skyline.run_briefly(board.left / 4)
    if board.over:
        return
    known = mask_of(candidates, board.placements)
    protected = np.zeros(len(candidates), bool) if known is None else known
    model = set_packing(items, candidates.take(not_needless(items, candidates, protected, board.deadline)), space.volume)
    runs: list[Run] = [HighsRun(model, board, seed), CpSatRun(model, board, seed)]
    race([*runs, *(run for run in (skyline, recursion) if run is not None)], board)


def _search_large(
    region: Region,
    space: Space,
    items: Sequence[Item],
    candidates: Candidates,
    complete: bool,
    board: Board,
    seed: int,
    blocks: BlocksRun | None,
    recursion: RecursionRun | None,
) -> None:
    """Orientation subsets, then windows; beside them the relaxation and what follows from it, or layouts from blocks.

    The latter where not all places were listed: elsewhere the windows do better from the first few of them.
    """
    runs: list[Run] = [WindowRun(candidates, items, board, seed, lambda: _by_subsets(region, items, board, seed))]
    if blocks is not None and not complete:
        runs.append(blocks)
    if complete:
        runs.append(LargeRun(space, items, candidates, board, seed))
    if SkylineRun.suits(region, items):
        runs.append(SkylineRun(region, items, board))
    if recursion is not None:
        runs.append(recursion)
    race(runs, board)


def _by_subsets(region: Region, items: Sequence[Item], board: Board, seed: int) -> None:
    """Solve with one extent of each item upright, on start positions of its own: few candidates, a good start."""
    for names, fewer in _subsets(items):
        if board.over:
            return
        inner = Board(min(board.deadline, time.monotonic() + board.left / 8), board.target, lambda: board.over)
        found = _search(region, fewer, inner, seed, time.monotonic())
        if found.feasible and found.value > board.value:
            placed = tuple(replace(p, option=names[p.item][p.option]) for p in found.placements)
            board.offer(found.value, placed, "a subset of the orientations")


def _subsets(items: Sequence[Item]) -> Iterator[tuple[list[list[int]], list[Item]]]:
    """Questions in which each item keeps one of its extents upright, with the kept options' own numbers."""
    heights = [sorted({option.size[2] for option in item.options}) for item in items]
    levels = max((len(h) for h in heights), default=0)
    for level in range(levels if levels > 1 else 0):
        names, fewer = [], []
        for item, choice in zip(items, heights, strict=True):
            height = choice[min(level, len(choice) - 1)] if choice else 0
            kept = [n for n, option in enumerate(item.options) if option.size[2] == height]
            names.append(kept)
            fewer.append(replace(item, options=tuple(item.options[n] for n in kept)))
        yield names, fewer


def answer(board: Board, began: float, candidates: int) -> Packing:
    """The board's state as a packing."""
    seconds = time.monotonic() - began
    if board.infeasible or board.value < 0:
        return Packing((), 0, max(board.bound, 0), board.infeasible, seconds, f"counts not met ({board.prover})", False)
    how = f"found by {board.finder}, bound by {board.prover}, {candidates} candidates"
    return Packing(board.placements, board.value, board.bound, board.value >= board.bound, seconds, how)
