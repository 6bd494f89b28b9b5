"""What keeps a profile from being cut is found and named."""

import math

import pytest

from layout.design.geometry import least_web_mm, problems, require_valid
from layout.design.profile import Hole, Profile, rectangle
from layout.errors import DesignError

PLATE = rectangle(100.0, 60.0, corner_mm=5.0)


def test_a_good_profile_has_no_problem():
    holes = (Hole("a", (20.0, 20.0), 9.0), Hole("b", (60.0, 30.0), 9.0, slot_mm=8.0))
    assert problems(Profile(PLATE, holes, (rectangle(10.0, 10.0, (40.0, 40.0)),))) == ()


@pytest.mark.parametrize(
    ("profile", "words"),
    [
        (Profile(tuple(reversed(rectangle(10.0, 10.0)))), "clockwise"),
        (Profile(((0.0, 0.0, 0.0), (10.0, 10.0, 0.0), (10.0, 0.0, 0.0), (0.0, 10.0, 0.0))), "crosses"),
        (Profile(((0.0, 0.0, 0.0), (10.0, 0.0, 0.0))), "encloses nothing"),
        (Profile(((0.0, 0.0, 0.0), (10.0, 0.0, 0.0), (10.0, 0.0, 0.0), (0.0, 10.0, 0.0))), "without length"),
        (Profile(((0.0, 0.0, 0.0), (math.nan, 0.0, 0.0), (0.0, 10.0, 0.0))), "not finite"),
        (Profile(PLATE, (Hole("h", (2.0, 30.0), 9.0),)), "hole 'h' does not lie inside"),
        (Profile(PLATE, (Hole("h", (200.0, 30.0), 9.0),)), "hole 'h' does not lie inside"),
        (Profile(PLATE, (Hole("h", (50.0, 30.0), 0.0),)), "diameter 0"),
        (Profile(PLATE, (Hole("h", (50.0, 30.0), 9.0), Hole("k", (55.0, 30.0), 9.0))), "hole 'h' and hole 'k' overlap"),
        (Profile(PLATE, (), (rectangle(90.0, 90.0, (5.0, 5.0)),)), "cut-out 0 does not lie inside"),
    ],
)
def test_each_problem_is_named(profile, words):
    found = problems(profile)
    assert any(words in f for f in found), found
    with pytest.raises(DesignError, match="BX-7"):
        require_valid(profile, "BX-7")


def test_least_web_between_holes_and_to_the_edge():
    holes = (Hole("a", (20.0, 30.0), 10.0), Hole("b", (34.0, 30.0), 10.0))
    assert least_web_mm(Profile(rectangle(100.0, 60.0), holes)) == pytest.approx(4.0, abs=2e-3)
    assert least_web_mm(Profile(rectangle(100.0, 60.0), (Hole("a", (8.0, 30.0), 10.0),))) == pytest.approx(3.0, abs=2e-3)
    assert least_web_mm(Profile(rectangle(100.0, 60.0))) == math.inf
