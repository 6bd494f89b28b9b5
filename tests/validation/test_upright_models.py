"""Referee of the sheets around an upright: finite elements of whole boxes. The hand figure must not lie below the structural
stress, nor far above. Models and full table: upright_models.py. Left out where CalculiX is not installed.
"""

from __future__ import annotations

import importlib.util
from pathlib import Path

import pytest

from layout.fe.solver import found_solver

_SPEC = importlib.util.spec_from_file_location("upright_models", Path(__file__).with_name("upright_models.py"))
MODELS = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(MODELS)


@pytest.mark.slow
@pytest.mark.skipif(found_solver() is None, reason="CalculiX (ccx) is not installed")
@pytest.mark.parametrize("name", ["narrow bar, thin sheet"])
def test_sheets_around_an_upright_are_not_below_finite_elements(name):
    for part, (hand, fe) in MODELS.compare(MODELS.CASES[name], step=160.0).items():
        assert 1.0 <= hand / fe <= 2.5, part
