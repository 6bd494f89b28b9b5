"""The set-packing model in HiGHS (highspy), one thread: the linear relaxation, then branch and cut."""

from __future__ import annotations

import math
import threading
from collections.abc import Callable
from typing import Any

import highspy
import numpy as np
from scipy import sparse

from layout.packing.engine.board import Board
from layout.packing.engine.candidates import mask_of
from layout.packing.engine.ceiling import SLACK, CeilingSearch, Relaxation
from layout.packing.engine.model_ip import SetPacking, narrowed, offer
from layout.packing.engine.space import Bools

_RELAX_FIRST = 300


def constraints(model: SetPacking) -> tuple[sparse.csr_matrix, np.ndarray, np.ndarray]:
    """All rows as a matrix with lower and upper limits: the clash rows, then the count rows."""
    width = len(model.values)
    matrices = [model.rows.matrix]
    lower, upper = [np.full(matrices[0].shape[0], -np.inf)], [np.ones(matrices[0].shape[0])]
    for count in model.counts:
        ones = np.ones(len(count.members))
        matrices.append(sparse.csr_matrix((ones, (np.zeros(len(ones), int), count.members)), shape=(1, width)))
        lower.append(np.array([float(count.least)]))
        upper.append(np.array([float(count.most)]))
    return sparse.vstack(matrices).tocsr(), np.concatenate(lower), np.concatenate(upper)


def highs_model(model: SetPacking, whole: bool) -> highspy.HighsLp:
    """Maximise the value over the rows; whole: each variable is 0 or 1, else between."""
    matrix, lower, upper = constraints(model)
    width = len(model.values)
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = width, matrix.shape[0]
    lp.col_cost_ = model.values.astype(float)
    lp.col_lower_, lp.col_upper_ = np.zeros(width), np.ones(width)
    lp.row_lower_, lp.row_upper_ = lower, upper
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_, lp.a_matrix_.index_, lp.a_matrix_.value_ = matrix.indptr, matrix.indices, matrix.data
    lp.sense_ = highspy.ObjSense.kMaximize
    if whole:
        lp.integrality_ = [highspy.HighsVarType.kInteger] * width
    return lp


class _Quiet(highspy.Highs):  # type: ignore[misc]
    """Switches output off before the base class sets its callbacks, which would print a banner."""

    def enableCallbacks(self) -> None:
        """Called by the base class's constructor."""
        self.setOptionValue("output_flag", False)
        super().enableCallbacks()


def quiet_highs(seed: int, **options: object) -> Any:
    """A HiGHS instance that prints nothing and keeps to one thread."""
    highs = _Quiet()
    for name, value in {"threads": 1, "random_seed": seed, **options}.items():
        highs.setOptionValue(name, value)
    return highs


def relaxed(model: SetPacking, seconds: float, seed: int, stopped: Callable[[], bool]) -> Relaxation | None:
    """The linear relaxation's bound with the duals that prove it; None when cut short.

    The interior-point duals are only nearly feasible, so the bound is recomputed from them in a way that holds for any
    duals of the right sign: sum of limit times dual, plus every candidate's positive remainder (each is at most 1).
    """
    highs = quiet_highs(seed, solver="ipm", run_crossover="off", time_limit=max(seconds, 0.01))
    highs.passModel(highs_model(model, whole=False))

    def check(event: Any) -> None:
        if stopped():
            event.interrupt()

    highs.cbIpmInterrupt += check
    highs.cbSimplexInterrupt += check
    highs.run()
    duals = np.array(highs.getSolution().row_dual)
    matrix, lower, upper = constraints(model)
    if len(duals) != len(upper) or highs.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return None
    duals = np.where(np.isinf(lower), np.maximum(duals, 0.0), duals)
    remainder = model.values - matrix.T @ duals
    total = float(np.where(duals > 0, upper, np.where(np.isinf(lower), 0.0, lower)) @ duals)
    bound = total + float(np.maximum(remainder, 0.0).sum())
    return Relaxation(bound, remainder, duals[: len(model.rows.offsets) - 1])


class HighsRun:
    """One search for the greatest value, in a thread of its own; `stop` ends it early.

    relax_from: with more candidates than this, the interior-point relaxation comes first.
    """

    def __init__(self, model: SetPacking, board: Board, seed: int, relax_from: int = _RELAX_FIRST) -> None:
        self._model, self._board, self._seed, self._relax_from = model, board, seed, relax_from
        self._ceiling = CeilingSearch(model, board, seed)
        self._kept = np.ones(len(model.values), bool)
        self._stopped = False
        self.thread = threading.Thread(target=self.run)

    def stop(self) -> None:
        """End the search; what was found stays on the board."""
        self._stopped = True
        self._ceiling.stop()

    def run(self) -> None:
        """The search itself, in the caller's thread."""
        if len(self._model.values) > self._relax_from and not self._relax():
            return
        if not self._kept.all():
            self._model = narrowed(self._model, self._kept, np.zeros(len(self._kept), bool))
        self._branch(mask_of(self._model.candidates, self._board.placements))

    def _relax(self) -> bool:
        """Bound by the relaxation; drop candidates that cannot be in anything better than what is known."""
        result = relaxed(self._model, self._board.left, self._seed, lambda: self._stopped)
        if result is None or self._stopped:
            return not self._stopped
        self._board.limit(math.floor(result.bound + SLACK), "relaxation")
        self._ceiling.run(result, lambda: self._stopped or self._board.over)
        if self._board.value >= 0:
            self._kept = result.able(self._board.value + 1)
        return not self._board.over

    def _branch(self, hint: Bools | None) -> None:
        highs = quiet_highs(self._seed, mip_abs_gap=0.999, mip_rel_gap=0.0, time_limit=max(self._board.left, 0.01))
        highs.passModel(highs_model(self._model, whole=True))
        highs.cbMipImprovingSolution += self._on_solution
        highs.cbMipInterrupt += self._on_check
        highs.cbSimplexInterrupt += self._on_interrupt
        highs.cbIpmInterrupt += self._on_interrupt
        if hint is not None:
            solution = highspy.HighsSolution()
            solution.col_value = hint.astype(float).tolist()
            highs.setSolution(solution)
        if self._stopped or self._board.left <= 0:
            return
        known = self._board.value
        highs.run()
        status = highs.getModelStatus()
        dropped = not self._kept.all()
        if status == highspy.HighsModelStatus.kInfeasible:
            self._board.limit(known, "highs") if dropped else self._board.rule_out("highs")
        elif status == highspy.HighsModelStatus.kOptimal:
            self._take(np.array(highs.getSolution().col_value))
            self._limit(highs.getInfo().mip_dual_bound)

    def _take(self, values: np.ndarray) -> None:
        offer(self._board, self._model, values > 0.5, "highs")

    def _limit(self, bound: float) -> None:
        """A bound on the kept candidates; with some dropped, what was known before may still be greater."""
        if abs(bound) < 1e15:
            known = 0 if self._kept.all() else self._board.value
            self._board.limit(max(math.floor(bound + SLACK), known), "highs")

    def _on_solution(self, event: Any) -> None:
        self._take(np.array(event.data_out.mip_solution))

    def _on_check(self, event: Any) -> None:
        self._on_interrupt(event)
        self._limit(event.data_out.mip_dual_bound)

    def _on_interrupt(self, event: Any) -> None:
        if self._stopped or self._board.left <= 0:
            event.interrupt()
