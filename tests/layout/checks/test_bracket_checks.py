import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.checks.bracket_stiffness import gusseted_l_stiffness, plain_l_stiffness
from layout.checks.brackets import PlainL, curvature_factor, plain_l_checks
from layout.checks.gussets import (
    SECTION,
    GussetedL,
    _places,
    _section_values,
    gusseted_l_checks,
    pulled_strip_check,
    strip_check,
    worst_place,
)
from layout.checks.prying import Flange, prying_checks, prying_factor
from layout.errors import DesignError

PLAIN = PlainL("S275", 6.0, 10.0, 60.0, 40.0, 50.0, washer_mm=20.0)
GUSSETED = GussetedL("S275", 6.0, 80.0, 40.0, 17.0, 2, 5.0, 46.0, 44.0, 60.0, 12.0, 3.5, 13.0, 20.0, 11.0)
FORCE = st.tuples(*[st.floats(-2e4, 2e4)] * 3)


def by_name(checks):
    return {c.name: c for c in checks}


def by_part(checks):
    return {c.part: c for c in checks if c.unit == "MPa"}


def test_foot_by_hand():
    """6 F e/(b t^2) at the bend's tangent, a tenth added, with shear: 1000 N, e = 40 - 10."""
    foot = by_part(plain_l_checks("P", "c", PLAIN, (0.0, 1000.0, 0.0)))["P foot"]
    bending, shear = 1.1 * 6 * 1000 * 30 / (60 * 36), 1.5 * 1000 / 360
    assert foot.demand == pytest.approx(math.hypot(bending, math.sqrt(3) * shear))
    assert foot.capacity == 275.0


def test_curvature_factor():
    """Winkler-Bach by hand at r = t: r_n = 1/ln 2 = 1.4427, e = 0.0573, k = 0.4427/(6 x 0.0573 x 1)."""
    assert curvature_factor(1.0, 1.0) == pytest.approx(0.442695 / (6 * 0.057305), rel=1e-4)
    assert curvature_factor(1000.0, 1.0) == pytest.approx(1.0, abs=1e-3)
    values = [curvature_factor(r, 6.0) for r in (2.0, 4.0, 8.0, 20.0)]
    assert values == sorted(values, reverse=True)
    assert curvature_factor(0.0, 6.0) == curvature_factor(1.5, 6.0)


@given(FORCE, st.floats(1.0, 3.0))
def test_signs_do_not_matter_and_more_load_never_helps(force, factor):
    for run, bracket in ((plain_l_checks, PLAIN), (gusseted_l_checks, GUSSETED)):
        one = [c.utilisation for c in run("P", "c", bracket, force)]
        turned = [c.utilisation for c in run("P", "c", bracket, tuple(-f for f in force))]
        more = [c.utilisation for c in run("P", "c", bracket, tuple(factor * f for f in force))]
        assert one == pytest.approx(turned)
        assert max(more) >= max(one) - 1e-9


@pytest.mark.parametrize("change", [{"thickness_mm": 8.0}, {"width_mm": 90.0}, {"foot_arm_mm": 30.0}])
def test_stouter_plain_brackets_are_used_less(change):
    stout = replace(PLAIN, **change)
    force = (500.0, 2000.0, 800.0)
    thin, thick = (max(c.utilisation for c in plain_l_checks("P", "c", b, force) if c.unit == "MPa") for b in (PLAIN, stout))
    assert thick < thin


def test_holes_welds_and_tight_bends():
    drilled = by_part(plain_l_checks("P", "c", replace(PLAIN, holes_mm=22.0), (0.0, 1000.0, 0.0)))["P upright"]
    whole = by_part(plain_l_checks("P", "c", PLAIN, (0.0, 1000.0, 0.0)))["P upright"]
    assert drilled.demand > 1.5 * whole.demand
    alu = PlainL("6082-T6", 6.0, 30.0, 60.0, 40.0, 50.0, welded=True)
    assert by_part(plain_l_checks("P", "c", alu, (0.0, 1.0, 0.0)))["P foot"].capacity == pytest.approx(125 / 1.1)
    tight = by_name(plain_l_checks("P", "c", replace(PLAIN, radius_mm=4.0), (0.0, 1.0, 0.0)))
    assert not tight["inside bend radius"].holds
    near = by_name(plain_l_checks("P", "c", replace(PLAIN, foot_arm_mm=15.0), (0.0, 1.0, 0.0)))
    assert not near["bolt head clear of the bend"].holds


def test_plastic_bending_only_where_declared_and_ductile():
    force = (0.0, 3000.0, 0.0)
    elastic = by_part(plain_l_checks("P", "c", PLAIN, force))
    plastic = by_part(plain_l_checks("P", "c", PLAIN, force, plastic=True))
    assert plastic["P foot"].demand < elastic["P foot"].demand
    assert "declared" in plastic["P foot"].note
    brittle = PlainL("6082-T6", 6.0, 30.0, 60.0, 60.0, 50.0)
    held = by_part(plain_l_checks("P", "c", brittle, force, plastic=True))["P foot"]
    assert held.demand == by_part(plain_l_checks("P", "c", brittle, force))["P foot"].demand
    assert "not ductile" in held.note


@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_a_force_that_is_no_number_never_passes(bad):
    for place in range(3):
        force = tuple(bad if k == place else 1.0 for k in range(3))
        assert not all(c.holds for c in plain_l_checks("P", "c", PLAIN, force))
        assert not all(c.holds for c in gusseted_l_checks("P", "c", GUSSETED, force))


@given(st.lists(FORCE, min_size=1, max_size=4))
def test_arrays_agree_with_checks(forces):
    for run, bracket in (
        (plain_l_checks, PLAIN),
        (gusseted_l_checks, GUSSETED),
        (gusseted_l_checks, replace(GUSSETED, grade="5083-H111", reach_mm=30.0)),
    ):
        many = run("P", "", bracket, tuple(np.array(forces).T))
        for k, force in enumerate(forces):
            for one, all_of_them in zip(run("P", "", bracket, force), many, strict=True):
                assert one.name == all_of_them.name
                assert np.broadcast_to(all_of_them.utilisation, len(forces))[k] == pytest.approx(one.utilisation, rel=1e-9)


def test_sizes_that_make_no_bracket_are_refused():
    for change in ({"thickness_mm": 0.0}, {"width_mm": math.nan}, {"foot_arm_mm": -1.0}, {"holes_mm": 60.0}):
        with pytest.raises(DesignError):
            replace(PLAIN, **change)
    for change in ({"gussets": 0}, {"reach_mm": 0.0}, {"clear_mm": math.nan}, {"edge_mm": -1.0}):
        with pytest.raises(DesignError):
            replace(GUSSETED, **change)


def test_gusseted_places_are_all_there():
    names = {c.name for c in gusseted_l_checks("P", "c", GUSSETED, (100.0, 2000.0, 300.0))}
    wanted = {"gusseted section", "flange strip between gussets", "plate at the gusset toe", "plate buckling"}
    assert wanted <= names
    assert {"fillet weld, simplified", "fillet weld, directional"} <= names


def test_each_weak_place_of_a_gusseted_bracket_shows():
    force = (0.0, 4000.0, 0.0)
    sound = by_name(gusseted_l_checks("P", "c", GUSSETED, force))
    beyond = by_name(gusseted_l_checks("P", "c", replace(GUSSETED, reach_mm=20.0), force))
    assert beyond["plate at the gusset toe"].utilisation > 1.5 * sound["plate at the gusset toe"].utilisation
    wide = by_name(gusseted_l_checks("P", "c", replace(GUSSETED, clear_mm=70.0), force))
    assert wide["flange strip between gussets"].utilisation > sound["flange strip between gussets"].utilisation
    tall = replace(GUSSETED, gusset_thickness_mm=1.0, height_mm=120.0, reach_mm=120.0)
    thin = by_name(gusseted_l_checks("P", "c", tall, force))
    assert "free edge in compression" not in thin
    assert thin["plate buckling"].capacity < 275.0 / 1.1
    weak = [c for c in gusseted_l_checks("P", "c", replace(GUSSETED, throat_mm=1.0), force) if "fillet" in c.name]
    strong = [c for c in gusseted_l_checks("P", "c", GUSSETED, force) if "fillet" in c.name]
    assert max(c.utilisation for c in weak) > 2.0 * max(c.utilisation for c in strong)


@given(FORCE)
def test_the_worst_section_is_the_worst_of_all(force):
    """The short cut that finds the place agrees with the rule's own text at every place."""
    places = _places(GUSSETED)
    demands = [SECTION.figures(**_section_values(GUSSETED, force, p), f_o=1.0, gamma_M0=1.0)[0] for p in places]
    assert demands[worst_place(GUSSETED, force)] == pytest.approx(max(demands))


def test_aluminium_gussets_count_with_the_heat_affected_zone():
    strip = strip_check("P", "c", replace(GUSSETED, grade="6061-T6"), (0.0, 1000.0, 0.0))
    assert strip.capacity == pytest.approx(115 / 1.1)


def test_strip_by_hand():
    """F (2 s - d_w)/8 on the width washer + 0.6 s less the hole: 4 mm, s 46, washer 20, far from edges."""
    strip = pulled_strip_check("P", "c", "S275", 4.0, 46.0, 20.0, 11.0, (99.0, 99.0), 2000.0)
    assert strip.demand == pytest.approx(0.75 * 6 * 2000 * (92 - 20) / 8 / ((20 + 27.6 - 11) * 16))
    assert pulled_strip_check("P", "c", "S275", 4.0, 46.0, 20.0, 11.0, (99.0, 99.0), -5.0).demand == 0.0
    at_edge = pulled_strip_check("P", "c", "S275", 4.0, 46.0, 20.0, 11.0, (12.0, 99.0), 2000.0)
    assert at_edge.demand > strip.demand


def test_prying_modes_and_envelope():
    assert prying_factor(30.0, 37.5) == 1.5
    assert prying_factor(40.0, 10.0) == 3.0
    flange = Flange("S275", 6.0, 25.0, 20.0, 60.0)
    tee, bolt_check = prying_checks("F", "c", flange, 4000.0, 33408.0)
    first = 4 * 60 * 36 * 275 / 4 / 25
    second = (2 * 60 * 36 * 275 / 4 + 20 * 2 * 33408) / 45
    assert tee.capacity == pytest.approx(min(first, second))
    assert tee.demand == 8000.0
    assert bolt_check.demand == pytest.approx(1.625 * 4000)
    thick = prying_checks("F", "c", replace(flange, thickness_mm=16.0), 4000.0, 20000.0)[0]
    assert thick.capacity <= 40000.0
    assert prying_checks("F", "c", flange, -1.0, 33408.0)[0].demand == 0.0
    brittle = prying_checks("F", "c", replace(flange, grade="6082-T6"), 4000.0, 1e9)[0]
    assert "no plastic hinge" in brittle.note
    with pytest.raises(DesignError):
        prying_checks("F", "c", replace(flange, m_mm=0.0), 1.0, 1.0)
    assert not prying_checks("F", "c", flange, math.nan, 33408.0)[0].holds


def test_stiffness_is_symmetric_and_definite():
    for k in (plain_l_stiffness(PLAIN), gusseted_l_stiffness(GUSSETED, 40.0)):
        np.testing.assert_allclose(k, k.T)
        assert (np.linalg.eigvalsh(k) > 0.0).all()


def test_plain_stiffness_by_hand():
    """Castigliano for a force normal to the foot, bending alone: a^3/3EI + a^2 l/EI."""
    give = np.linalg.inv(plain_l_stiffness(PLAIN))
    ei, foot, leg = 210000 * 60 * 6**3 / 12, 43.0, 50.0
    assert give[1, 1] == pytest.approx(foot**3 / (3 * ei) + foot**2 * leg / ei, rel=0.01)
    assert give[1, 2] == pytest.approx(foot * leg**2 / (2 * ei))


def test_gussets_stiffen():
    bare = np.linalg.inv(plain_l_stiffness(replace(PLAIN, width_mm=80.0)))
    with_gussets = np.linalg.inv(gusseted_l_stiffness(GUSSETED, 50.0))
    assert with_gussets[1, 1] < 0.2 * bare[1, 1]
