import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.checks.groups import WeldLines, weld_forces
from layout.checks.welds import (
    DIRECTIONAL,
    HAZ_SECTION,
    effective_length_mm,
    simplified_strength_mpa,
    weld_checks,
    weld_group_checks,
)
from layout.errors import DesignError

FORCE = st.floats(-2000.0, 2000.0)
RING = WeldLines(((0.0, 0.0, 60.0, 0.0), (60.0, 0.0, 60.0, 40.0), (60.0, 40.0, 0.0, 40.0), (0.0, 40.0, 0.0, 0.0)))


def by_name(checks):
    return {c.name: c for c in checks}


def test_strength_of_the_weaker_part():
    assert simplified_strength_mpa("S235", 6.0) == pytest.approx(207.8, abs=0.1)
    found = by_name(weld_checks("W", "c", ("S355", "S235"), (6.0, 6.0), 3.5, 100.0, 0.0, 0.0))
    assert found["fillet weld, simplified"].capacity == pytest.approx(3.5 * 360 / (math.sqrt(3) * 0.9 * 1.25))
    with pytest.raises(DesignError, match="rule is for steel"):
        simplified_strength_mpa("5083-H111", 3.0)


@given(FORCE, FORCE, FORCE)
def test_directional_is_the_worse_of_both_sides(along, across, normal):
    """The throat at 45 degrees, both ways round: sigma = (n +- t)/sqrt 2, tau = (n -+ t)/sqrt 2."""
    worst = max(
        math.sqrt(((normal + s * across) ** 2 + 3 * (normal - s * across) ** 2) / 2 + 3 * along**2) / 4.0 for s in (1, -1)
    )
    check = DIRECTIONAL.check("W", "c", q_a=along, q_t=across, q_n=normal, a=4.0, f_u=410.0, beta_w=0.85, gamma_M2=1.25)
    assert check.demand == pytest.approx(worst, abs=1e-9)


@given(FORCE, FORCE, FORCE)
def test_directional_never_exceeds_simplified(along, across, normal):
    found = by_name(weld_checks("W", "c", ("S275", "S275"), (6.0, 6.0), 4.0, along, across, normal))
    simple = found["fillet weld, simplified"].utilisation
    assert found["fillet weld, directional"].utilisation <= simple + 1e-9


def test_two_sides_share():
    one = weld_checks("W", "c", ("S275", "S275"), (6.0, 6.0), 4.0, 100.0, 50.0, 70.0)
    two = weld_checks("W", "c", ("S275", "S275"), (6.0, 6.0), 4.0, 100.0, 50.0, 70.0, sides=2)
    for a, b in zip(one, two, strict=True):
        if "fillet" in a.name:
            assert b.demand == pytest.approx(a.demand / 2)
    whole = math.sqrt(70**2 + 3 * (100**2 + 50**2))
    assert by_name(one)["sheet beside the weld"].demand == pytest.approx(whole / (4 * math.sqrt(2)))
    assert by_name(two)["sheet beside the weld"].demand == pytest.approx(whole / 6)
    with pytest.raises(DesignError, match="one or two sides"):
        weld_checks("W", "c", ("S275", "S275"), (6.0, 6.0), 4.0, 1.0, 1.0, 1.0, sides=3)


def test_one_sided_fillet_bent_about_its_root_never_passes():
    found = by_name(weld_checks("W", "c", ("S275", "S275"), (6.0, 6.0), 4.0, 0.0, 0.0, 0.0, root_moment_n=10.0))
    root = found["fillet weld bent about its root"]
    assert root.utilisation == math.inf
    assert "not permitted" in root.note
    both = by_name(weld_checks("W", "c", ("S275", "S275"), (6.0, 6.0), 4.0, 0.0, 0.0, 0.0, root_moment_n=600.0, sides=2))
    assert both["fillet weld, simplified"].demand == pytest.approx(100.0)


def test_aluminium_weld_and_its_heat_affected_zone():
    found = weld_checks("W", "c", ("6082-T6", "6082-T6"), (5.0, 5.0), 4.0, 0.0, 0.0, 200.0)
    names = by_name(found)
    assert names["fillet weld in aluminium"].capacity == pytest.approx(210 / 1.25)
    assert names["fillet weld in aluminium"].demand == pytest.approx(math.sqrt(2) * 200 / 4)
    assert names["heat-affected zone beside the weld"].capacity == pytest.approx(185 / 1.25)
    assert names["heat-affected zone beside the weld"].demand == pytest.approx(200 / 5)
    assert all("memory" in str(c.source) for c in found)
    thin = by_name(weld_checks("W", "c", ("6082-T6", "5083-H111"), (5.0, 2.0), 4.0, 0.0, 0.0, 200.0))
    assert thin["heat-affected zone beside the weld"].demand == pytest.approx(200 / 2)


def test_what_cannot_be_welded_is_refused():
    with pytest.raises(DesignError, match="cannot be welded"):
        weld_checks("W", "c", ("S275", "5083-H111"), (6.0, 3.0), 4.0, 1.0, 1.0, 1.0)


def test_small_throat_is_outside_scope_and_says_so():
    small = [c for c in weld_checks("W", "c", ("S275", "S275"), (3.0, 3.0), 2.0, 1.0, 1.0, 1.0) if "fillet" in c.name]
    assert all("extension" in c.note for c in small)
    assert all(c.note == "" for c in weld_checks("W", "c", ("S275", "S275"), (6.0, 6.0), 3.0, 1.0, 1.0, 1.0)[1:])


def test_thin_sheet_beside_a_stout_weld_governs():
    """A plate between two fillets carries the sum of both, and bends: q/t + 6 m/t^2."""
    found = by_name(weld_checks("W", "c", ("5083-H111", "5083-H111"), (2.0, 8.0), 5.0, 0.0, 0.0, 300.0, sides=2))
    worst = max(weld_checks("W", "c", ("5083-H111", "5083-H111"), (2.0, 8.0), 5.0, 0.0, 0.0, 300.0, sides=2),
                key=lambda c: c.utilisation)  # fmt: skip
    assert worst.name == "heat-affected zone beside the weld"
    assert worst.demand == pytest.approx(150.0)
    assert found["fillet weld in aluminium"].demand == pytest.approx(math.sqrt(2) * 150 / 5)
    bent = by_name(weld_checks("W", "c", ("S235", "S235"), (4.0, 4.0), 4.0, 0.0, 0.0, 40.0, sides=2, root_moment_n=100.0))
    assert bent["sheet beside the weld"].demand == pytest.approx(10 + 600 / 16)
    shared = by_name(weld_checks("W", "c", ("S235", "S235"), (4.0, 4.0), 4.0, 0.0, 0.0, 40.0, beside=2))
    assert shared["sheet beside the weld"].demand == pytest.approx(80 / 4)


def test_effective_length():
    assert effective_length_mm(50.0, 4.0) == 42.0
    assert effective_length_mm(50.0, 4.0, returned=True) == 50.0
    assert effective_length_mm(5.0, 4.0) == 0.0
    short = WeldLines(((0.0, 0.0, 20.0, 0.0), (0.0, 30.0, 20.0, 30.0)))
    found = by_name(weld_group_checks("W", "c", short, ("S275", "S275"), (6.0, 6.0), 4.0, (1.0, 1.0, 1.0), (0.0, 0.0, 0.0)))
    assert not found["effective length of weld"].holds


def test_group_takes_its_most_loaded_end():
    force, moment = (500.0, -800.0, 900.0), (2e4, -3e4, 4e4)
    for grade in ("S275", "6082-T6"):
        found = weld_group_checks("W", "c", RING, (grade, grade), (5.0, 5.0), 4.0, force, moment)
        single = max(c.utilisation for c in found if "length" not in c.name and "simplified" not in c.name)
        forces, moments = (tuple(np.array([f, 0.0]) for f in v) for v in (force, moment))
        arrays = weld_group_checks("W", "c", RING, (grade, grade), (5.0, 5.0), 4.0, forces, moments)
        many = np.maximum.reduce([c.utilisation for c in arrays if "length" not in c.name and "simplified" not in c.name])
        assert many == pytest.approx([single, 0.0], rel=1e-9)
        q = weld_forces(RING, np.array(force), np.array(moment)).reshape(-1, 3).tolist()
        ends = [c for end in q for c in weld_checks("W", "c", (grade, grade), (5.0, 5.0), 4.0, *end)]
        assert single == pytest.approx(max(c.utilisation for c in ends if "simplified" not in c.name), rel=1e-9)


def test_one_line_bent_about_itself_is_not_checked():
    line = WeldLines(((0.0, 0.0, 60.0, 0.0),))
    found = weld_group_checks("W", "c", line, ("S275", "S275"), (6.0, 6.0), 4.0, (0.0, 0.0, 1.0), (500.0, 0.0, 0.0))
    assert found[-1].utilisation is None
    assert not found[-1].holds


def test_parent_metal_in_the_zone():
    check = HAZ_SECTION.check("P", "c", sigma=100.0, f_oh=125.0, gamma_M1=1.1)
    assert check.utilisation == pytest.approx(100 * 1.1 / 125)
