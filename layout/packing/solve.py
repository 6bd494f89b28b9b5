"""Best places for a given number of bodies in one empty room, wish after wish, by CP-SAT.

Slow to import (the solver's library): imported where it is used.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from ortools.sat.python import cp_model

from layout.frames import Array
from layout.packing.goal import TOLERANCE, Answer, Question, place_costs, spots_of
from layout.packing.places import Places, body_rows, clearings


class _Model:
    """CP-SAT model over places: one boolean per place."""

    def __init__(self, question: Question, places: Places) -> None:
        self.question, self.places = question, places
        self.model = cp_model.CpModel()
        self.take = [self.model.new_bool_var(f"p{k}") for k in range(places.count)]
        self._keep_apart()
        self._count()

    def _keep_apart(self) -> None:
        for row in body_rows(self.places):
            self.model.add_at_most_one(self.take[k] for k in row)
        for clearing in clearings(self.places):
            clear = self.model.new_bool_var("")
            for k in clearing.who:
                self.model.add_implication(self.take[k], clear)
            self.model.add_at_most_one([clear, *(self.take[k] for k in clearing.inside)])

    def _count(self) -> None:
        modules = []
        for i, body in enumerate(self.question.bodies):
            mine = [self.take[k] for k in np.flatnonzero(self.places.body == i)]
            self.model.add_linear_constraint(sum(mine), body.least, body.most)
            if body.is_module:
                modules += mine
        self.model.add(sum(modules) == self.question.count)

    def total(self, costs: NDArray[np.int64]) -> cp_model.LinearExpr:
        """Sum of the costs of the places taken."""
        used = np.flatnonzero(costs)
        return cp_model.LinearExpr.weighted_sum([self.take[k] for k in used], [int(costs[k]) for k in used])

    def edges(self) -> cp_model.LinearExpr:
        """Sum of the three edges of the least box around all bodies and their clear zones, in units."""
        p = self.places
        low, high = np.minimum(p.low, p.zone_low), np.maximum(p.low + p.size, p.zone_high)
        return sum(self._reach(high[:, a], 1) + self._reach(-low[:, a], 1) for a in range(3))

    def _reach(self, ends: NDArray[np.int64], weight: int) -> cp_model.LinearExpr:
        """The greatest of the given figures over the places taken, as an expression over booleans "reaches this far"."""
        marks = np.unique(ends)
        beyond = [self.model.new_bool_var("") for _ in marks]
        for a, b in pairwise(beyond):
            self.model.add_implication(b, a)
        index = np.searchsorted(marks, ends)
        for k, take in enumerate(self.take):
            self.model.add_implication(take, beyond[index[k]])
        self.model.add(beyond[0] == 1)
        steps = [int(marks[0]), *(int(v) for v in np.diff(marks))]
        return cp_model.LinearExpr.weighted_sum(beyond, [weight * s for s in steps])


def best_places(
    question: Question,
    places: Places,
    seconds: float,
    seed: int,
    hint: list[int] | None = None,
    left: Callable[[], float] | None = None,
) -> Answer:
    """Places for exactly `count` modules and all equipment, wish after wish; None if there is no such set.

    Each wish is brought to its best, then held within TOLERANCE while the next is looked at. seconds: for each wish, in the
    solver's own count of work, so that the same question gives the same answer (one worker). left(): seconds until the
    search must end in any case.
    """
    if not places.count or any(b.least > 0 and not (places.body == i).any() for i, b in enumerate(question.bodies)):
        return Answer(None, True, True)
    model = _Model(question, places)
    costs = place_costs(question, places)
    found = hint
    proven = True
    limits = Limits(seconds, seed, left or (lambda: 3600.0))
    for wish in question.order or ("low",):
        goal, slack = _goal(model, wish, costs)
        status, taken, value = _solve(model, goal, found, limits)
        if taken is None:
            if found is None:
                return Answer(None, status == cp_model.INFEASIBLE, status == cp_model.INFEASIBLE)
            proven = False
            break
        found = taken
        proven = proven and status == cp_model.OPTIMAL
        slack = 0 if question.strict and wish == question.order[0] else slack
        model.model.add(goal <= round(value) + slack)
        if limits.left() <= 0.0:
            break
    assert found is not None
    return Answer(spots_of(question, places, found), False, proven)


def _goal(model: _Model, wish: str, costs: dict[str, Array]) -> tuple[cp_model.LinearExpr, int]:
    question = model.question
    mass = question.count * max(b.mass_kg for b in question.bodies)
    if wish == "small_box":
        edges = model.edges()
        return edges, int(TOLERANCE[wish] * sum(question.room.size_mm) / model.places.unit_mm)
    values = costs[wish]
    scale = 100.0 if wish == "ahead_of_axle" else 0.1
    if wish == "low":
        values = values - values.min()
    total = model.total(np.rint(values * scale).astype(np.int64))
    slack = int(TOLERANCE[wish] * mass * scale)
    if wish != "centred":
        return total, slack
    limit = int(np.abs(values).max() * scale) * (question.count + 8) + 1
    offset = model.model.new_int_var(0, limit, "offset")
    model.model.add(offset >= total)
    model.model.add(offset >= -total)
    return offset + 0, slack


@dataclass(frozen=True)
class Limits:
    """Work allowed for one wish, the random seed, and the seconds left in any case."""

    work: float
    seed: int
    left: Callable[[], float]


def _solve(
    model: _Model, goal: cp_model.LinearExpr, hint: list[int] | None, limits: Limits
) -> tuple[int, list[int] | None, float]:
    model.model.minimize(goal)
    model.model.clear_hints()
    if hint is not None:
        chosen = set(hint)
        for k, take in enumerate(model.take):
            model.model.add_hint(take, k in chosen)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = limits.seed % 2**31
    solver.parameters.max_deterministic_time = limits.work
    solver.parameters.max_time_in_seconds = max(limits.left(), 0.05)
    solver.parameters.linearization_level = 2
    status = solver.solve(model.model, _Stopper(limits.left))
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return status, None, 0.0
    return status, [k for k, take in enumerate(model.take) if solver.boolean_value(take)], solver.objective_value


class _Stopper(cp_model.CpSolverSolutionCallback):  # type: ignore[misc]
    """Ends the solver at its next solution once no time is left (or somebody has asked to stop)."""

    def __init__(self, left: Callable[[], float]) -> None:
        super().__init__()
        self._left = left

    def on_solution_callback(self) -> None:
        """Called by the solver at each better solution."""
        if self._left() <= 0.0:
            self.stop_search()
