"""The sheets around an upright: figures by hand, and that what helps in the model helps in the check."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.checks.bars import MountingBar, end_force_n, mounting_bar_checks
from layout.checks.upright_sheets import AT_END, BESIDE, Beside, Upright, beside_checks, end_checks, sagging_together, shared

BAR = Upright(60.0, 15.0, 450.0, "5083-H111", 3.0)


def test_sheet_at_the_end_by_hand():
    """Membrane R/(w t) and 6 R (t/2)/(w t^2) of a force on one face, over 17 mm and a fifth of the bar's width."""
    floor, flange = end_checks("post U1", "c", BAR, -900.0)
    assert floor.demand == pytest.approx(900.0 / (29.0 * 3.0) + 6.0 * 900.0 * 1.5 / (29.0 * 9.0))
    assert (floor.part, flange.part) == ("floor at post U1", "lid flange at post U1")


def test_wall_beside_by_hand():
    """One strip of 60 mm to the corner, the other side at the corner itself: composite bar, spring 3 D/c^3, M = 3 D y/c^2."""
    own, area = 60.0 * 15.0**3 / 12.0, 60.0 * 15.0
    wide = 60.0 + 30.0
    both = own + wide * 27.0 / 12.0 + 81.0 * area * wide * 3.0 / (area + wide * 3.0)
    plate = 70000.0 * 27.0 / (12.0 * (1.0 - 0.3**2))
    spring, beam = 3.0 * plate / 60.0**3, math.pi**4 * 70000.0 * both / 450.0**4
    y = 1.5 * own / both / (1.0 + spring / beam)
    assert shared(BAR, (60.0, 0.0)) * 1.5 == pytest.approx(y)
    (found,) = beside_checks("post U1", "c", BAR, Beside("aft wall", (60.0, 0.0)), 1.5)
    strip, wave = 3.0 * plate * y / 60.0**2, 3.0 * plate * y * (math.pi / 450.0) ** 2
    assert found.demand == pytest.approx(6.0 * (strip + wave) / 9.0)
    assert found.part == "aft wall beside post U1"


def test_no_bare_wall_no_check():
    assert beside_checks("P", "c", BAR, Beside("aft wall", (0.0, 0.0)), 1.0) == []


@given(st.floats(1.0, 600.0), st.floats(1.0, 600.0))
def test_wall_only_ever_helps_the_bar(first, second):
    assert 0.0 <= shared(BAR, (first, second)) < 1.0
    assert shared(BAR, (first, second)) == pytest.approx(shared(BAR, (second, first)))


def test_ends_of_a_bar_balance_its_loads():
    pulls = ((100.0, 500.0), (300.0, -200.0))
    top = (500.0 * 100.0 - 200.0 * 300.0) / 450.0
    assert end_force_n(pulls, 0.0, 450.0) == pytest.approx(max(abs(top), abs(300.0 - top)))
    assert end_force_n((), 9000.0, 450.0) == pytest.approx(20.0)


def test_only_uprights_with_a_place_are_asked_about_their_wall():
    bare = MountingBar("5083-H111", 60.0, 15.0, 450.0, 2.1, "5083-H111", 3.0)
    loads = (((290.0, 1000.0),), 0.0, 225.0, (0.0, 0.0))
    names = {c.name for c in mounting_bar_checks("B", "c", bare, *loads)}
    assert AT_END.name in names
    assert BESIDE.name not in names
    assert AT_END.name not in {c.name for c in mounting_bar_checks("B", "c", bare, *loads, into_sheets=False)}


def test_bars_in_a_row_sag_together():
    """One bar alone as in `shared`; two alike on one sheet, loaded alike, keep the strip between them straight."""
    (one,) = sagging_together([BAR], np.array([60.0, 300.0]), np.array([[2.0]]))
    assert one[0] == pytest.approx(2.0 * shared(BAR, (60.0, 300.0)))
    both = sagging_together([BAR, BAR], np.array([80.0, 100.0, 80.0]), np.array([[2.0], [2.0]]))
    assert both[0] == pytest.approx(both[1])
    assert float(both[0, 0]) > 2.0 * shared(BAR, (80.0, 100.0))
    apart = sagging_together([BAR, BAR], np.array([80.0, 100.0, 80.0]), np.array([[2.0], [0.0]]))
    assert 0.0 < float(apart[1, 0]) < float(apart[0, 0]) < float(both[0, 0])
