"""Referee of standoffs and saddles: solid finite elements (scikit-fem). The hand figure must not lie below the 99.5
percentile of the surface stress; a standoff's stiffness must lie in a stated band. Models and full table: standoff_solids.py.
"""

from __future__ import annotations

import importlib.util
from pathlib import Path

import numpy as np
import pytest

_SPEC = importlib.util.spec_from_file_location("standoff_solids", Path(__file__).with_name("standoff_solids.py"))
MODELS = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(MODELS)


@pytest.mark.slow
@pytest.mark.parametrize("force", [(1000.0, 0.0, 0.0), (0.0, 1000.0, 0.0), (0.0, 0.0, 1000.0)])
def test_standoff_is_not_below_the_solid(force):
    row = MODELS.compare_standoff(MODELS.STANDOFF, force)
    across, along, up = force
    own = {0: along, 1: -across, 2: -up}  # the half model's other components cancel with its mirror image
    for axis, wanted in own.items():
        assert wanted == 0.0 or row["fe"]["reaction"][axis] == pytest.approx(wanted, rel=1e-6)
    assert 1.0 <= row["hand"] / row["fe"]["p995"] <= 2.0
    assert 0.65 <= row["hand_mm"] / row["fe_mm"] <= 1.55


@pytest.mark.slow
@pytest.mark.parametrize("name", ["short"])
def test_standoff_under_two_forces_is_not_below_the_solid(name):
    """Along the column and up at once: the rows of the table in which the hand figure lies farthest above the solid's."""
    row = MODELS.compare_standoff({**MODELS.STANDOFF, **MODELS.STANDOFF_CASES[name]}, (0.0, 1000.0, 1000.0))
    assert row["fe"]["reaction"][0] == pytest.approx(1000.0, rel=1e-6)
    assert 1.0 <= row["hand"] / row["fe"]["p995"] <= 2.8


@pytest.mark.slow
def test_saddle_is_not_below_the_solid():
    forces = [(0.0, 2000.0), (2000.0, 0.0), (1500.0, -1500.0)]
    for force, row in zip(forces, MODELS.compare_saddle({**MODELS.SADDLE, **MODELS.LEGS}, forces), strict=True):
        np.testing.assert_allclose(row["fe"]["reaction"][[0, 2]], [-force[0], -force[1]], rtol=1e-6, atol=1e-3)
        assert 1.1 <= row["hand"] / row["fe"]["p995"] <= 4.0
