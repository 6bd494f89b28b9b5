"""A quick upper bound for large models: first-order steps on the relaxation, stopped when they have served.

Primal-dual hybrid gradient with diagonal steps and restarts to the average (A. Chambolle, T. Pock, J. Math. Imaging Vis. 40
(2011) 120-145; T. Pock, A. Chambolle, ICCV 2011; from memory). It need not converge: for any duals y >= 0 of the clash
rows, sum(y) + sum(max(0, value - rows' y)) bounds the value of every packing, since each candidate counts at most once.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from layout.packing.engine.model_ip import SetPacking

_CHECK = 50
_RESTART = 200
_MOST_STEPS = 1000
_BOLDNESS = 10.0
"""Step of the packing over that of the duals: greater makes the bound fall sooner (measured on stepped bays, see the tests'
benchmarks), the packing settle later."""


def quick_bound(model: SetPacking, seconds: float, over: Callable[[], bool], tell: Callable[[float], None]) -> None:
    """Tell ever lower upper bounds on the value, for at most the seconds or a fixed number of steps."""
    rows = model.rows.matrix.astype(np.float32)
    columns = rows.T.tocsr()
    values = model.values.astype(np.float32)
    across = (_BOLDNESS / np.maximum(rows.getnnz(axis=0), 1)).astype(np.float32)
    down = (1.0 / _BOLDNESS / np.maximum(rows.getnnz(axis=1), 1)).astype(np.float32)
    until = time.monotonic() + seconds
    x, y, weight = np.zeros_like(values), np.zeros(rows.shape[0], np.float32), np.zeros_like(values)
    x_sum, y_sum, summed = x.copy(), y.copy(), 0

    def bound(duals: np.ndarray) -> float:  # in double precision, whatever the steps were
        exact = duals.astype(np.float64)
        return float(exact.sum() + np.maximum(model.values - columns @ exact, 0.0).sum())

    for step in range(1, _MOST_STEPS + 1):
        ahead = np.clip(x + across * (values - weight), 0.0, 1.0)
        y = np.maximum(y + down * (rows @ (2 * ahead - x) - 1.0), 0.0)
        x, weight = ahead, columns @ y
        x_sum, y_sum, summed = x_sum + x, y_sum + y, summed + 1
        if step % _CHECK == 0:
            mean = y_sum / summed
            tell(min(bound(y), bound(mean)))
            if over() or time.monotonic() > until:
                return
            if step % _RESTART == 0:
                if bound(mean) < bound(y):
                    x, y = x_sum / summed, mean
                    weight = columns @ y
                x_sum, y_sum, summed = np.zeros_like(x), np.zeros_like(y), 0
