"""Linear programmes, small and dense, by HiGHS; one thread."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import highspy
import numpy as np

from layout.frames import Array

Bound = tuple[float | None, float | None]


def least(cost: Array, rows: Array, limits: Sequence[float], bounds: Sequence[Bound]) -> tuple[Array, float] | None:
    """x with the least cost @ x where rows @ x <= limits and each x lies within its bounds (None: without end).

    Returns x and the cost; None where there is no such x, or none is the least.
    """
    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(cost), len(limits)
    lp.col_cost_ = np.asarray(cost, dtype=float)
    lp.col_lower_ = np.array([-np.inf if low is None else low for low, _ in bounds])
    lp.col_upper_ = np.array([np.inf if high is None else high for _, high in bounds])
    lp.row_lower_, lp.row_upper_ = np.full(len(limits), -np.inf), np.asarray(limits, dtype=float)
    row, column = np.nonzero(rows)
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.searchsorted(row, np.arange(len(limits) + 1))
    lp.a_matrix_.index_, lp.a_matrix_.value_ = column, rows[row, column]
    highs = _quiet()
    highs.passModel(lp)
    highs.run()
    if highs.getModelStatus() != highspy.HighsModelStatus.kOptimal:
        return None
    return np.array(highs.getSolution().col_value), float(highs.getInfo().objective_function_value)


class _Quiet(highspy.Highs):  # type: ignore[misc]
    """Switches output off before the base class sets its callbacks, which would print a banner."""

    def enableCallbacks(self) -> None:
        """Called by the base class's constructor."""
        self.setOptionValue("output_flag", False)
        super().enableCallbacks()


def _quiet() -> Any:
    highs = _Quiet()
    highs.setOptionValue("threads", 1)
    return highs
