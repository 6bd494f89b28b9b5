"""The cheapest packing with given counts: what `prefer` asks for, once it is known how many fit."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from layout.packing.engine.board import Board
from layout.packing.engine.candidates import Candidates, candidates_at, clashes, index_of, joined, mask_of, of_placements
from layout.packing.engine.cpsat import CpSatRun
from layout.packing.engine.highs import HighsRun
from layout.packing.engine.model import Item, Packing, Placement, Region, check_question, worth
from layout.packing.engine.model_ip import CountRow, SetPacking, offer, set_packing
from layout.packing.engine.race import race
from layout.packing.engine.resting import that_rest
from layout.packing.engine.space import Bools, Ints, Space, space_of
from layout.packing.engine.starts import start_sets, thinned
from layout.packing.engine.windows import WindowRun

Cost = Callable[[Ints, Ints, Ints, Ints, Ints], np.ndarray]
_STEPS = 200_000
_LARGE = 2500
_RELAX_FROM = 400


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
    to differ from. start: placements to begin from, where known; they become candidates too
    (a large question is then searched window by window from there, with a weak bound; without them it is solved whole).
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
    question = _Question(asked, candidates, costs, complete, space.volume, tuple(forbid), tuple(start))
    return _solve(question, cost, board, seed, seconds)


@dataclass(frozen=True)
class _Question:
    """Items with exact counts, their candidates and the cost of each; complete: no start position was left out."""

    items: tuple[Item, ...]
    candidates: Candidates
    costs: np.ndarray
    complete: bool
    volume: int
    forbid: tuple[Unlike, ...]
    start: tuple[Placement, ...]


def _solve(q: _Question, cost: Cost, board: Board, seed: int, seconds: float) -> Packing:
    candidates, costs = q.candidates, q.costs
    scale = _Scale(cost, float(costs.max()), float(np.ptp(costs)) / _STEPS or 1.0)
    board.limit(_dearest(q, scale.values(candidates)), "the best places of each item")
    known = mask_of(candidates, q.start)
    if len(candidates) > _LARGE and not q.forbid and known is not None and _stands(q, known):
        board.offer(int(scale.values(candidates)[known].sum()), candidates.placements(known), "start")
        race([WindowRun(candidates, q.items, board, seed + n, values=scale.values) for n in range(2)], board)
    else:
        model = _model(q.items, candidates, scale, q.volume, q.forbid)
        if known is not None:
            offer(board, model, known, "start")
        race([CpSatRun(model, board, seed), HighsRun(model, board, seed, relax_from=_RELAX_FROM)], board)
    return _answer(q, scale.unit, board, seconds)


def _dearest(q: _Question, values: Ints) -> int:
    """The value if every box could have the best place for its item: no packing has more."""
    ranked = [np.sort(values[q.candidates.item == n])[::-1][: item.most] for n, item in enumerate(q.items)]
    return int(sum(best.sum() for best in ranked))


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


def _model(items: Sequence[Item], candidates: Candidates, scale: _Scale, volume: int, forbid: Sequence[Unlike]) -> SetPacking:
    plain = set_packing(items, candidates, volume)
    limits = list(plain.counts)
    for earlier in forbid:
        known = index_of(candidates, earlier.placements)
        most = math.floor(earlier.share * len(earlier.placements))
        limits.append(CountRow(known[known >= 0], 0, most))
    return replace(plain, values=scale.values(candidates), counts=tuple(limits))


def _stands(q: _Question, chosen: Bools) -> bool:
    """Whether the chosen candidates can stand together and have the asked counts."""
    together = q.candidates.take(chosen)
    placed = np.bincount(together.item, minlength=len(q.items))
    counted = all(int(n) == item.least for n, item in zip(placed, q.items, strict=True))
    return counted and all(int(clashes(together, n).sum()) == 1 for n in range(len(together)))


def _answer(q: _Question, unit: float, board: Board, limit: float) -> Packing:
    seconds = limit - board.left
    chosen = mask_of(q.candidates, board.placements)
    if board.infeasible or chosen is None:
        return Packing((), 0, 0, board.infeasible and q.complete, seconds, f"counts not met ({board.prover})", False)
    total = float(q.costs[chosen].sum())
    lost = (max(board.bound - board.value, 0) + int(chosen.sum())) * unit
    value = worth(q.items, board.placements)
    how = f"found by {board.finder}, bound by {board.prover}, {len(q.candidates)} candidates"
    proven = board.value >= board.bound and q.complete
    return Packing(board.placements, value, value, proven, seconds, how, True, total, total - lost)
