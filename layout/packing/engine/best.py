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
from layout.packing.engine.race import Run, race
from layout.packing.engine.resting import that_rest
from layout.packing.engine.space import Ints, Space, space_of
from layout.packing.engine.starts import start_sets, thinned
from layout.packing.engine.windows import WindowRun

Cost = Callable[[Ints, Ints, Ints, Ints, Ints], np.ndarray]
_STEPS = 200_000
_LARGE = 2500


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
    board = Board(time.monotonic() + seconds, None, stop, progress)
    asked = tuple(replace(item, least=n, most=n) for item, n in zip(items, counts, strict=True))
    check_question(region, asked)
    sides = (start_positions,) * 3 if isinstance(start_positions, str) else start_positions
    space = space_of(region)
    candidates, complete = _candidates(space, asked, sides, start)
    if not len(candidates):
        empty = sum(counts) == 0
        return Packing((), 0, 0, complete or empty, seconds - board.left, "nothing fits anywhere", empty, 0.0, 0.0)
    costs = np.asarray(cost(candidates.item, candidates.option, *candidates.low.T), float)
    if costs.shape != (len(candidates),) or not np.isfinite(costs).all():
        raise ValueError("cost must return one finite number for each placement it is given")
    scale = _Scale(cost, float(costs.max()), float(np.ptp(costs)) / _STEPS or 1.0)
    model = _model(asked, candidates, scale, space.volume, forbid)
    _offer_start(board, model, start)
    runs: list[Run] = [CpSatRun(model, board, seed)]
    if len(candidates) > _LARGE and board.placements and not forbid:
        runs.append(WindowRun(candidates, asked, board, seed, values=scale.values))
    else:
        runs.append(HighsRun(model, board, seed))
    race(runs, board)
    return _answer(asked, candidates, costs, scale.unit, board, seconds, complete)


def _candidates(
    space: Space, items: Sequence[Item], sides: tuple[str, str, str], start: Sequence[Placement]
) -> tuple[Candidates, bool]:
    """The candidates with those of `start`; and whether all start positions are among them (not when too many)."""
    starts = start_sets(space, items, sides)
    fewer = thinned(starts)
    found = candidates_at(space, items, fewer)
    if fewer is starts:
        found = that_rest(space, items, found)
    new = [p for p, at in zip(start, index_of(found, start), strict=True) if at < 0]
    return joined([found, of_placements(items, new)]), fewer is starts


@dataclass(frozen=True)
class _Scale:
    """Costs as whole values, greatest for the cheapest; the counts being fixed, the greatest total is the least cost."""

    cost: Cost
    most: float
    unit: float

    def values(self, candidates: Candidates) -> Ints:
        costs = np.asarray(self.cost(candidates.item, candidates.option, *candidates.low.T), float)
        return np.maximum(np.rint((self.most - costs) / self.unit), 0).astype(np.int64)


def _model(
    items: Sequence[Item], candidates: Candidates, scale: _Scale, volume: int, forbid: Sequence[Unlike]
) -> SetPacking:
    plain = set_packing(items, candidates, volume)
    limits = list(plain.counts)
    for earlier in forbid:
        known = index_of(candidates, earlier.placements)
        most = math.floor(earlier.share * len(earlier.placements))
        limits.append(CountRow(known[known >= 0], 0, most))
    return replace(plain, values=scale.values(candidates), counts=tuple(limits))


def _offer_start(board: Board, model: SetPacking, start: Sequence[Placement]) -> None:
    chosen = mask_of(model.candidates, start)
    if chosen is not None:
        offer(board, model, chosen, "start")


def _answer(
    items: Sequence[Item],
    candidates: Candidates,
    costs: np.ndarray,
    unit: float,
    board: Board,
    limit: float,
    complete: bool,
) -> Packing:
    seconds = limit - board.left
    chosen = mask_of(candidates, board.placements)
    if board.infeasible or chosen is None:
        return Packing((), 0, 0, board.infeasible and complete, seconds, f"counts not met ({board.prover})", False)
    total = float(costs[chosen].sum())
    lost = (max(board.bound - board.value, 0) + int(chosen.sum())) * unit if board.bound < 2**61 else math.inf
    value = worth(items, board.placements)
    how = f"found by {board.finder}, bound by {board.prover}, {len(candidates)} candidates"
    proven = board.value >= board.bound and complete
    return Packing(board.placements, value, value, proven, seconds, how, True, total, total - lost)
