"""From the relaxation's bound downwards: is there a packing of exactly that value?

With duals that prove the bound b, a packing of value v leaves b - v to spend: a candidate whose reduced value is below
-(b - v) cannot be in it, and a row whose dual exceeds b - v must hold exactly one. Near the bound little is left of the
model, and the question "is there one of value v" is often settled at once, either way (reduced-cost fixing and
complementary slackness; textbook linear programming).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from ortools.sat.python import cp_model

from layout.packing.engine.board import Board
from layout.packing.engine.cpsat import cpsat_model, settings
from layout.packing.engine.model_ip import SetPacking, narrowed, offer
from layout.packing.engine.space import Bools

SLACK = 1e-5
_SMALL_SHARE = 0.6


@dataclass(frozen=True)
class Relaxation:
    """bound: no packing has a greater value; remainder (n,): value less the duals of each candidate's rows; duals: of the
    clash rows, each at least 0.
    """

    bound: float
    remainder: np.ndarray
    duals: np.ndarray

    def able(self, value: int) -> Bools:
        """Candidates that can be in a packing of at least that value."""
        return np.asarray(self.bound + np.minimum(self.remainder, 0.0) >= value - SLACK, bool)


@dataclass
class CeilingSearch:
    """Tries values from the bound down to one more than known; `stop` ends it."""

    model: SetPacking
    board: Board
    seed: int
    solver: cp_model.CpSolver | None = field(default=None)

    def stop(self) -> None:
        """End the question at hand."""
        if self.solver:
            self.solver.stop_search()

    def run(self, relaxation: Relaxation, over: Callable[[], bool]) -> None:
        """Settle values while the model that is left is small and the questions are answered."""
        value = math.floor(relaxation.bound + SLACK)
        while value > self.board.value and not over():
            keep = relaxation.able(value)
            if keep.sum() > _SMALL_SHARE * len(keep) or not self._settle(relaxation, keep, value):
                return
            value -= 1

    def _settle(self, relaxation: Relaxation, keep: Bools, value: int) -> bool:
        """Answer for one value; False when time ran out."""
        sub = narrowed(self.model, keep, np.zeros(len(keep), bool))
        cp, variables = cpsat_model(sub, None)
        cp.add(cp_model.LinearExpr.weighted_sum(variables, sub.values.tolist()) >= value)
        place = np.cumsum(keep) - 1
        offsets, members = self.model.rows.offsets, self.model.rows.members
        for row in np.flatnonzero(relaxation.duals > relaxation.bound - value + SLACK):
            inside = members[offsets[row] : offsets[row + 1]]
            cp.add_bool_or([variables[n] for n in place[inside[keep[inside]]].tolist()])
        self.solver = settings(self.board.left / 2, self.seed)
        status = self.solver.solve(cp)
        if status == cp_model.INFEASIBLE:
            self.board.limit(value - 1, "relaxation and cp-sat")
            return True
        if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
            offer(self.board, sub, np.array([self.solver.boolean_value(v) for v in variables], bool), "relaxation and cp-sat")
        return False
