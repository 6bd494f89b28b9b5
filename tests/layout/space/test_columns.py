"""Round bars along an axis on a grid, against the exact distance of each cell to the bar."""

import numpy as np
import pytest

from layout.frames import Pose, turned_about_z
from layout.space.cells import Lines
from layout.space.columns import along_axis, bar_cells
from layout.space.round_bar import Bar, box_bar_distance


@pytest.mark.parametrize("end", [(30.0, 40.0, 90.0), (30.0, -50.0, 20.0), (-60.0, 40.0, 20.0)])
def test_cells_that_meet_the_bar_and_cells_within_it(end):
    bar = Bar((30.0, 40.0, 20.0), end, 23.0)
    rng = np.random.default_rng(1)
    low, high = bar.bounds()
    lines = Lines(*(np.sort(rng.uniform(low[k] - 12.0, high[k] + 12.0, 9)) for k in range(3)))
    span = along_axis(bar, Pose())
    meets, within = bar_cells(span, lines, whole=False), bar_cells(span, lines, whole=True)
    assert within.any()
    assert not (within & ~meets).any()
    for i, j, k in np.ndindex(lines.shape):
        low = np.array([lines.x[i], lines.y[j], lines.z[k]])
        high = np.array([lines.x[i + 1], lines.y[j + 1], lines.z[k + 1]])
        assert meets[i, j, k] == (box_bar_distance(low + 1e-6, high - 1e-6, bar) <= 0.0)
        if within[i, j, k]:
            u = np.array([(a, b, c) for a in (0, 1) for b in (0, 1) for c in (0, 1)])
            corners = np.where(u == 1, high, low)
            t = (corners - np.array(bar.start_mm)) @ bar.direction
            away = np.linalg.norm(corners - np.array(bar.start_mm) - t[:, None] * bar.direction, axis=1)
            assert away.max() <= bar.radius_mm + 1e-6
            assert t.min() >= -1e-6
            assert t.max() <= bar.length_mm + 1e-6


def test_which_bars_run_along_an_axis():
    upright = Bar((10.0, 0.0, 0.0), (10.0, 0.0, 50.0), 5.0)
    assert along_axis(upright, turned_about_z(30.0)).axis == 2
    assert along_axis(Bar((0.0, 0.0, 0.0), (50.0, 0.0, 0.0), 5.0), turned_about_z(30.0)) is None
