"""The set-packing model in CP-SAT (ortools), one worker."""

from __future__ import annotations

import threading
from typing import Any

import numpy as np
from ortools.sat.python import cp_model

from layout.packing.engine.board import Board
from layout.packing.engine.candidates import mask_of
from layout.packing.engine.model_ip import SetPacking, offer
from layout.packing.engine.rows import members_of
from layout.packing.engine.space import Bools


class _Watch(cp_model.CpSolverSolutionCallback):  # type: ignore[misc]
    """Hands every solution to the board."""

    def __init__(self, board: Board, model: SetPacking, variables: list[Any]) -> None:
        super().__init__()
        self._board, self._model, self._variables = board, model, variables

    def on_solution_callback(self) -> None:
        """Called by the solver for each better solution."""
        offer(self._board, self._model, np.array([self.boolean_value(v) for v in self._variables], bool), "cp-sat")


def cpsat_model(model: SetPacking, hint: Bools | None) -> tuple[cp_model.CpModel, list[Any]]:
    """The model and its variables, one per candidate; no objective yet."""
    cp = cp_model.CpModel()
    variables = [cp.new_bool_var("") for _ in range(len(model.values))]
    for row in members_of(model.rows):
        cp.proto.constraints.add().at_most_one.literals.extend(row)
    for count in model.counts:
        cp.add_linear_constraint(sum(variables[n] for n in count.members.tolist()), count.least, count.most)
    if hint is not None:
        for variable, on in zip(variables, hint.tolist(), strict=True):
            cp.add_hint(variable, on)
    return cp, variables


def settings(seconds: float, seed: int) -> cp_model.CpSolver:
    """One worker, quiet, with a time limit."""
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = seed
    solver.parameters.max_time_in_seconds = max(seconds, 0.01)
    solver.parameters.linearization_level = 2
    return solver


class CpSatRun:
    """One search for the greatest value, in a thread of its own; `stop` ends it early."""

    def __init__(self, model: SetPacking, board: Board, seed: int) -> None:
        self._model, self._board, self._hint = model, board, mask_of(model.candidates, board.placements)
        self._solver = settings(board.left, seed)
        self._stopped = False
        self.thread = threading.Thread(target=self._run)

    def stop(self) -> None:
        """End the search; what was found stays on the board."""
        self._stopped = True
        self._solver.stop_search()

    def _run(self) -> None:
        cp, variables = cpsat_model(self._model, self._hint)
        cp.maximize(cp_model.LinearExpr.weighted_sum(variables, self._model.values.tolist()))
        self._solver.best_bound_callback = lambda bound: self._board.limit(int(bound + 0.5), "cp-sat")
        if self._stopped or self._board.left <= 0:
            return
        self._solver.parameters.max_time_in_seconds = self._board.left
        status = self._solver.solve(cp, _Watch(self._board, self._model, variables))
        if status == cp_model.INFEASIBLE:
            self._board.rule_out("cp-sat")
        elif status == cp_model.OPTIMAL:
            self._board.limit(round(self._solver.objective_value), "cp-sat")
