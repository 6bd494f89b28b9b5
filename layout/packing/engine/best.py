"""The cheapest packing with given counts: what `prefer` asks for, once it is known how many fit."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from layout.packing.engine.board import Board
from layout.packing.engine.candidates import Candidates, candidates_at, index_of, joined, mask_of, of_placements
from layout.packing.engine.cpsat import CpSatRun
from layout.packing.engine.highs import HighsRun
from layout.packing.engine.model import Item, Packing, Placement, Region, check_question, worth
from layout.packing.engine.model_ip import CountRow, SetPacking, offer, set_packing
from layout.packing.engine.race import race
from layout.packing.engine.resting import that_rest
from layout.packing.engine.space import Ints, space_of
from layout.packing.engine.starts import start_sets

Cost = Callable[[Ints, Ints, Ints, Ints, Ints], np.ndarray]
_STEPS = 200_000


@dataclass(frozen=True)
class Unlike:
    """An earlier packing to differ from: at most `share` of its placements may come again (same item, option, place)."""

    placements: tuple[Placement, ...]
    share: float = 0.7


def pack_best(
    region: Region,
    items: Sequence[Item],
    *,
    counts: Sequence[int],
    cost: Cost,
    seconds: float,
    seed: int = 0,
    start_positions: str | tuple[str, str, str] = "both",
    forbid: Sequence[Unlike] = (),
    start: Sequence[Placement] = (),
    progress: Callable[[int, int], None] | None = None,
    stop: Callable[[], bool] | None = None,
) -> Packing:
    """The packing of exactly `counts[n]` of each item n with the least total cost.

    cost(item, option, x, y, z): called once with five integer arrays of one length; returns the cost of each such
    placement (any finite floats). start_positions, one word or one per axis: "low", "high" or "both" (least corners pushed
    down, up, or whichever is nearer; see starts.py). For a cost that never grows when a box is pushed up an axis, "high" on
    that axis loses nothing, likewise "low"; "both" keeps the counts possible but may miss the least cost. forbid: packings
    to differ from. start: placements to begin from, where known; they become candidates too.
    Returns cost, cost_bound and proven: no packing on these start positions costs less than cost_bound. Costs are rounded to
    1/200000 of their range for the solvers and the bound allows for it. feasible is False where nothing was found (proven:
    nothing exists on these positions). progress gets (cost reached, bound) in those rounded units.
    Raises ValueError for counts that do not match the items, or costs that are not finite.
    """
    began = time.monotonic()
    asked = tuple(replace(item, least=n, most=n) for item, n in zip(items, counts, strict=True))
    check_question(region, asked)
    sides = (start_positions,) * 3 if isinstance(start_positions, str) else start_positions
    space = space_of(region)
    candidates = that_rest(space, asked, candidates_at(space, asked, start_sets(space, asked, sides)))
    new = [p for p, at in zip(start, index_of(candidates, start), strict=True) if at < 0]
    candidates = joined([candidates, of_placements(asked, new)])
    if not len(candidates):
        empty = sum(counts) == 0
        return Packing((), 0, 0, True, time.monotonic() - began, "nothing fits anywhere", empty, 0.0, 0.0)
    costs = np.asarray(cost(candidates.item, candidates.option, *candidates.low.T), float)
    if costs.shape != (len(candidates),) or not np.isfinite(costs).all():
        raise ValueError("cost must return one finite number for each placement it is given")
    model, unit = _model(asked, candidates, costs, space.volume, forbid)
    board = Board(began + seconds, None, stop, progress)
    _offer_start(board, model, start)
    race([HighsRun(model, board, seed), CpSatRun(model, board, seed)], board)
    return _answer(asked, candidates, costs, unit, board, began)


def _model(
    items: Sequence[Item], candidates: Candidates, costs: np.ndarray, volume: int, forbid: Sequence[Unlike]
) -> tuple[SetPacking, float]:
    """Costs turned into whole values (greatest for the cheapest), which is the same since the counts are fixed."""
    unit = float(np.ptp(costs)) / _STEPS or 1.0
    values = np.rint((costs.max() - costs) / unit).astype(np.int64)
    plain = set_packing(items, candidates, volume)
    limits = list(plain.counts)
    for earlier in forbid:
        known = index_of(candidates, earlier.placements)
        most = math.floor(earlier.share * len(earlier.placements))
        limits.append(CountRow(known[known >= 0], 0, most))
    return replace(plain, values=values, counts=tuple(limits)), unit


def _offer_start(board: Board, model: SetPacking, start: Sequence[Placement]) -> None:
    chosen = mask_of(model.candidates, start)
    if chosen is not None:
        offer(board, model, chosen, "start")


def _answer(
    items: Sequence[Item], candidates: Candidates, costs: np.ndarray, unit: float, board: Board, began: float
) -> Packing:
    seconds = time.monotonic() - began
    chosen = mask_of(candidates, board.placements)
    if board.infeasible or chosen is None:
        return Packing((), 0, 0, board.infeasible, seconds, f"counts not met ({board.prover})", False)
    total = float(costs[chosen].sum())
    lost = (max(board.bound - board.value, 0) + int(chosen.sum())) * unit if board.bound < 2**61 else math.inf
    value = worth(items, board.placements)
    how = f"found by {board.finder}, bound by {board.prover}, {len(candidates)} candidates"
    proven = board.value >= board.bound
    return Packing(board.placements, value, value, proven, seconds, how, True, total, total - lost)
