"""Referee of the bracket checks: solid finite elements (scikit-fem). The hand figure must not lie below the 99.5 percentile of
the surface stress; stiffness must lie in a stated band. Models and full table: bracket_solids.py.
"""

from __future__ import annotations

import importlib.util
from functools import cache
from pathlib import Path

import numpy as np
import pytest

_SPEC = importlib.util.spec_from_file_location("bracket_solids", Path(__file__).with_name("bracket_solids.py"))
MODELS = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(MODELS)

FORCES = [(0.0, 1000.0), (1000.0, 0.0), (1000.0, 1000.0), (1000.0, -1000.0)]


@cache
def _compared(kind, name):
    base, cases = (MODELS.PLAIN, MODELS.PLAIN_CASES) if kind == "plain" else (MODELS.GUSSETED, MODELS.GUSSETED_CASES)
    return MODELS.compare(kind, {**base, **cases[name]}, FORCES)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["6 mm", "tight bend", "narrow"])
def test_plain_l_is_not_below_the_solid(name):
    for force, row in zip(FORCES, _compared("plain", name), strict=True):
        np.testing.assert_allclose(row["fe"]["reaction"][[0, 2]], [-force[0], -force[1]], rtol=1e-6, atol=1e-3)
        assert row["hand"] >= row["fe"]["p995"]
        assert row["hand"] <= 2.6 * row["fe"]["p995"]
    for row in _compared("plain", name)[:2]:
        assert 1.0 <= row["hand_mm"] / row["fe_mm"] <= 1.45


@pytest.mark.slow
@pytest.mark.parametrize("name", ["short foot", "hole 20 beyond the gussets", "4 mm sheet", "near the edge"])
def test_gusseted_l_is_not_below_the_solid(name):
    for force, row in zip(FORCES, _compared("gusseted", name), strict=True):
        np.testing.assert_allclose(row["fe"]["reaction"][[0, 2]], [-force[0], -force[1]], rtol=1e-6, atol=1e-3)
        assert row["hand"] >= 1.1 * row["fe"]["p995"]
        assert row["hand"] <= 4.0 * row["fe"]["p995"]
    first = _compared("gusseted", name)[0]
    assert 1 / 1.45 <= first["hand_mm"] / first["fe_mm"] <= 1.45


@pytest.mark.slow
@pytest.mark.parametrize(("kind", "name"), [("plain", "narrow"), ("plain", "tight bend"), ("gusseted", "slender")])
def test_force_along_the_bend_is_not_below_the_solid(kind, name):
    base, cases = (MODELS.PLAIN, MODELS.PLAIN_CASES) if kind == "plain" else (MODELS.GUSSETED, MODELS.GUSSETED_CASES)
    row = MODELS.compare_sideways(kind, {**base, **cases[name]}, 1000.0)
    assert row["fe"]["reaction"][1] == pytest.approx(-1000.0, rel=1e-6)
    assert row["fe"]["p995"] <= row["hand"] <= 2.6 * row["fe"]["p995"]


@pytest.mark.slow
def test_root_section_alone_would_be_unsafe():
    """What the root of a gusseted L says by itself lies far below the solid: the reason for the other checks."""
    sizes = MODELS.GUSSETED
    row = _compared("gusseted", "short foot")[0]
    root = MODELS.hand_gusseted(sizes).section_at(0.0)
    assert 1000.0 * sizes["arm"] / root.least_mm3 < 0.5 * row["fe"]["p995"]
