"""Referee of the bracket checks: solid finite elements (scikit-fem). The hand figure must not lie below the 99.5 percentile of
the surface stress; stiffness must lie in a stated band. Models and full table: bracket_solids.py.
"""

from __future__ import annotations

import importlib.util
from pathlib import Path

import numpy as np
import pytest

_SPEC = importlib.util.spec_from_file_location("bracket_solids", Path(__file__).with_name("bracket_solids.py"))
MODELS = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(MODELS)

FORCES = [(0.0, 1000.0), (1000.0, 0.0), (1000.0, 1000.0), (1000.0, -1000.0)]


@pytest.mark.slow
@pytest.mark.parametrize("name", ["6 mm", "tight bend", "narrow"])
def test_plain_l_is_not_below_the_solid(name):
    sizes = {**MODELS.PLAIN, **MODELS.PLAIN_CASES[name]}
    for force, row in zip(FORCES, MODELS.compare("plain", sizes, FORCES), strict=True):
        np.testing.assert_allclose(row["fe"]["reaction"][[0, 2]], [-force[0], -force[1]], rtol=1e-6, atol=1e-3)
        assert row["hand"] >= row["fe"]["p995"]
        assert row["hand"] <= 2.6 * row["fe"]["p995"]
    for row in MODELS.compare("plain", sizes, FORCES[:2]):
        assert 1.0 <= row["hand_mm"] / row["fe_mm"] <= 1.45


@pytest.mark.slow
@pytest.mark.parametrize("name", ["short foot", "hole 20 beyond the gussets", "4 mm sheet"])
def test_gusseted_l_is_not_below_the_solid(name):
    sizes = {**MODELS.GUSSETED, **MODELS.GUSSETED_CASES[name]}
    for force, row in zip(FORCES, MODELS.compare("gusseted", sizes, FORCES), strict=True):
        np.testing.assert_allclose(row["fe"]["reaction"][[0, 2]], [-force[0], -force[1]], rtol=1e-6, atol=1e-3)
        assert row["hand"] >= row["fe"]["p995"]
        assert row["hand"] <= 4.5 * row["fe"]["p995"]
    first = MODELS.compare("gusseted", sizes, FORCES[:1])[0]
    assert 1 / 1.45 <= first["hand_mm"] / first["fe_mm"] <= 1.45


@pytest.mark.slow
def test_root_section_alone_would_be_unsafe():
    """What the root of a gusseted L says by itself lies far below the solid: the reason for the other checks."""
    sizes = MODELS.GUSSETED
    row = MODELS.compare("gusseted", sizes, [(0.0, 2000.0)])[0]
    root = MODELS.hand_gusseted(sizes).section_at(0.0)
    assert 2000.0 * sizes["arm"] / root.least_mm3 < 0.5 * row["fe"]["p995"]
