import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.checks.bolts import Ply, bolt_checks, ply_checks, shear_resistance_n, tension_resistance_n, utilisations
from layout.checks.fixings import fixing_checks
from layout.checks.joints import preload, proof_check, road_joint_checks, separation_check, slip_check
from layout.checks.threads import needed_engagement_mm, thread_checks
from layout.errors import DesignError
from layout.tables import UnknownName, bolt, bolt_class_names, bolt_sizes


def by_name(checks):
    return {c.name: c for c in checks}


def test_resistances_of_the_sizes_in_use():
    """EN 1993-1-8 Table 3.4, class 8.8, thread in the shear plane: figures recomputed by hand."""
    wanted = {"M6": (11.6, 7.72), "M8": (21.1, 14.05), "M10": (33.4, 22.3), "M16": (90.4, 60.3)}
    for size, (tension, shear) in wanted.items():
        assert tension_resistance_n(size, "8.8") == pytest.approx(1000 * tension, rel=0.003)
        assert shear_resistance_n(size, "8.8") == pytest.approx(1000 * shear, rel=0.003)
    assert shear_resistance_n("M12", "8.8") == pytest.approx(0.85 * 0.6 * 800 * 84.3 / 1.25)
    assert shear_resistance_n("M12", "8.8", hole_mm=13.0) == pytest.approx(0.6 * 800 * 84.3 / 1.25)
    assert shear_resistance_n("M10", "10.9") == pytest.approx(0.5 * 1000 * 58 / 1.25)
    assert shear_resistance_n("M10", "10.9", threads_in_plane=False) == pytest.approx(0.6 * 1000 * 78.54 / 1.25, rel=1e-4)


def test_scope_is_said():
    small = bolt_checks("B", "c", "M10", "8.8", 1.0, 1.0)
    assert all("extension" in c.note for c in small)
    assert all(c.note == "" for c in bolt_checks("B", "c", "M12", "8.8", 1.0, 1.0))
    assert "12.9" in bolt_checks("B", "c", "M12", "12.9", 1.0, 1.0)[0].note


def test_combined_is_what_table_3_4_says():
    checks = bolt_checks("B", "c", "M10", "8.8", 10000.0, 15000.0)
    expected = 15000 / shear_resistance_n("M10", "8.8") + 10000 / (1.4 * tension_resistance_n("M10", "8.8"))
    assert by_name(checks)["bolt shear with tension"].utilisation == pytest.approx(expected)


def test_unlisted_size_or_class_is_refused():
    with pytest.raises(UnknownName, match=r"8\.8"):
        bolt_checks("B", "c", "M10", "8.9", 1.0, 1.0)
    with pytest.raises(UnknownName, match="M10"):
        bolt_checks("B", "c", "M11", "8.8", 1.0, 1.0)


@given(
    st.sampled_from(bolt_sizes()), st.sampled_from(bolt_class_names()), st.floats(-5e4, 2e5), st.floats(-2e5, 2e5)
)
def test_arrays_agree_with_checks(size, grade, tension, shear):
    one = max(c.utilisation for c in bolt_checks("B", "c", size, grade, tension, shear))
    assert utilisations(size, grade, np.array([tension]), np.array([shear]))[0] == pytest.approx(one)


@given(st.floats(0, 1e5), st.floats(0, 1e5), st.floats(1.0, 3.0))
def test_more_load_never_helps(tension, shear, factor):
    less = [c.utilisation for c in bolt_checks("B", "c", "M10", "8.8", tension, shear)]
    more = [c.utilisation for c in bolt_checks("B", "c", "M10", "8.8", factor * tension, factor * shear)]
    assert all(b >= a - 1e-12 for a, b in zip(less, more, strict=True))


@pytest.mark.parametrize("bad", [math.nan, math.inf])
def test_a_load_that_is_no_number_never_passes(bad):
    for tension, shear in ((bad, 0.0), (0.0, bad)):
        assert not all(c.holds for c in bolt_checks("B", "c", "M10", "8.8", tension, shear))
    ply = Ply("S275", 6.0, 11.0, 20.0, 20.0)
    assert not all(c.holds for c in ply_checks("P", "c", "M10", "8.8", ply, bad))
    assert not all(c.holds for c in ply_checks("P", "c", "M10", "8.8", ply, 0.0, 0.0, bad))


def test_edge_below_the_limit_never_passes():
    near = ply_checks("P", "c", "M10", "8.8", Ply("S275", 6.0, 11.0, 13.0, 25.0), 1.0)
    edge = by_name(near)["edge distance"]
    assert edge.utilisation == pytest.approx(1.2 * 11 / 13)
    assert not edge.holds
    at_edge = ply_checks("P", "c", "M10", "8.8", Ply("S275", 6.0, 11.0, 30.0, 6.0), 1.0)
    assert by_name(at_edge)["bearing and tear-out"].utilisation == math.inf
    close = ply_checks("P", "c", "M10", "8.8", Ply("S275", 6.0, 11.0, 30.0, 30.0, p_1_mm=20.0), 1.0)
    assert not by_name(close)["bolt pitch"].holds


def test_unknown_edge_is_not_checked_never_passed():
    found = ply_checks("P", "c", "M10", "8.8", Ply("S275", 6.0, 11.0, None, 20.0), 1000.0)
    assert [c.holds for c in found] == [False]
    assert found[0].utilisation is None


def test_bearing_figures():
    """By hand: e1 = 2 d0 gives ab = 2/3, e2 = 1.5 d0 gives k1 = 2.5; t 6, fu 410, d 10: 2.5 x 2/3 x 410 x 10 x 6/1.25."""
    found = by_name(ply_checks("P", "c", "M10", "8.8", Ply("S275", 6.0, 11.0, 22.0, 16.5), 1000.0))
    assert found["bearing and tear-out"].capacity == pytest.approx(2.5 * 2 / 3 * 410 * 10 * 6 / 1.25)
    skew = by_name(ply_checks("P", "c", "M10", "8.8", Ply("S275", 6.0, 11.0, 22.0, 16.5), 20000.0, 15000.0))
    across = min(2.8 * 22 / 11 - 1.7, 2.5) * 0.5 * 410 * 10 * 6 / 1.25
    assert skew["bearing, both directions"].demand == pytest.approx((20000 / 32800) ** 2 + (15000 / across) ** 2, rel=1e-3)


def test_thin_sheet_and_holes_lower_bearing():
    thick, thin = (by_name(ply_checks("P", "c", "M8", "8.8", Ply("S235", t, 9.0, 12.0, 20.0), 1.0)) for t in (3.0, 1.0))
    assert "bearing in thin sheet" not in thick
    assert thin["bearing in thin sheet"].capacity == pytest.approx(2.5 * 12 / 24 * (0.8 + 1.5) / 2.5 * 360 * 8 * 1 / 1.25)
    normal, over, slot = (
        by_name(ply_checks("P", "c", "M8", "8.8", Ply("S235", 4.0, 9.0, 20.0, 20.0, hole_kind=k), 1.0))["bearing and tear-out"]
        for k in ("normal", "oversize", "slot across")
    )
    assert over.capacity == pytest.approx(0.8 * normal.capacity)
    assert slot.capacity == pytest.approx(0.6 * normal.capacity)
    with pytest.raises(DesignError, match="kind of hole"):
        ply_checks("P", "c", "M8", "8.8", Ply("S235", 4.0, 9.0, 20.0, 20.0, hole_kind="wide"), 1.0)  # type: ignore[arg-type]


def test_aluminium_beside_a_weld_is_weaker():
    parent, welded = (
        by_name(ply_checks("P", "c", "M8", "8.8", Ply("6082-T6", 5.0, 9.0, 20.0, 20.0, welded=w), 1.0, 0.0, 1.0))
        for w in (False, True)
    )
    for name in ("bearing and tear-out", "punching"):
        assert welded[name].capacity == pytest.approx(185 / 310 * parent[name].capacity)
    assert "EN 1999" in parent["bearing and tear-out"].source.text


def test_single_lap_with_one_bolt_is_capped():
    found = by_name(
        ply_checks("P", "c", "M10", "8.8", Ply("S275", 6.0, 11.0, 99.0, 99.0, single_lap_single_bolt=True), 1.0)
    )
    assert found["bearing, one bolt in a single lap"].capacity == pytest.approx(1.5 * 410 * 10 * 6 / 1.25)


def test_pull_through_of_thin_sheet():
    found = by_name(ply_checks("P", "c", "M10", "8.8", Ply("S235", 2.0, 11.0, 30.0, 30.0), 0.0, 0.0, 5000.0, washer_mm=20.0))
    assert found["pull-through of thin sheet"].capacity == pytest.approx(20 * 2 * 360 / 1.25)
    dm = (16 + 16 / math.cos(math.pi / 6)) / 2
    assert found["punching"].capacity == pytest.approx(0.6 * math.pi * dm * 2 * 360 / 1.25)
    often = ply_checks("P", "c", "M10", "8.8", Ply("S235", 2.0, 11.0, 30.0, 30.0), 0.0, 0.0, 1.0, washer_mm=20.0, repeated=True)
    assert by_name(often)["pull-through of thin sheet"].capacity == pytest.approx(10 * 2 * 360 / 1.25)


def test_cap_heads_are_narrower():
    ply = Ply("S235", 2.0, 11.0, 30.0, 30.0)
    hexagon, cap = (by_name(ply_checks("P", "c", "M10", "8.8", ply, 0.0, 0.0, 1.0, cap_head=h)) for h in (False, True))
    assert cap["punching"].capacity == pytest.approx(0.6 * math.pi * 16 * 2 * 360 / 1.25)
    assert cap["punching"].capacity < hexagon["punching"].capacity


def test_preload_and_torque():
    """75 per cent of proof: M10 8.8 25.2 kN, and with K = 0.2 a torque of 50.5 N*m (table of the trade: 50.6)."""
    set_to = preload("M10", "8.8")
    assert set_to.nominal_n == pytest.approx(0.75 * 580 * 58)
    assert set_to.torque_nm == pytest.approx(50.6, rel=0.005)
    assert set_to.low_n < set_to.nominal_n < set_to.high_n < 580 * 58
    assert preload("M10", "8.8", "oiled").torque_nm < set_to.torque_nm


def test_road_joint_uses_the_unkind_end_of_the_scatter():
    set_to = preload("M10", "8.8")
    assert separation_check("J", "c", set_to, 1000.0).capacity == set_to.low_n
    assert separation_check("J", "c", set_to, 1000.0).demand == pytest.approx(900.0)
    assert proof_check("J", "c", set_to, 1000.0).demand == pytest.approx(set_to.high_n + 400.0)
    assert proof_check("J", "c", set_to, 50000.0).demand == pytest.approx(set_to.high_n + 20000.0)
    assert slip_check("J", "c", set_to, 1000.0, 500.0).capacity == pytest.approx(0.2 * (set_to.low_n - 800) / 1.1)
    assert not slip_check("J", "c", set_to, 1e6, 1.0).holds
    wide = slip_check("J", "c", set_to, 0.0, 0.0, hole_factor=0.85, state="ultimate")
    assert wide.capacity == pytest.approx(0.85 * 0.2 * set_to.low_n / 1.25)
    assert len(road_joint_checks("J", "c", set_to, 10.0, 10.0)) == 3


def test_threads_in_thin_metal():
    thin = thread_checks("T", "c", "M10", "8.8", "S235", 2.5, 5000.0)
    assert "strips" in thin[0].note
    assert thin[0].name == "stripping of the tapped thread"
    for deep in (1.0, 0.0, -3.0, math.nan):
        short = thread_checks("T", "c", "M10", "8.8", "S235", deep, 0.0)
        assert [c.name for c in short] == ["bolt reaches into the thread"]
        assert not short[0].holds
    thick = thread_checks("T", "c", "M10", "8.8", "S275", 2.0, 1.0, metal_mm=10.0)[0]
    assert thick.inputs[1].symbol == "C_3"
    assert thick.capacity == pytest.approx(410 / 430 * thread_checks("T", "c", "M10", "8.8", "S275", 2.0, 1.0)[0].capacity)
    full = needed_engagement_mm("M10", "8.8", "S235", 10.0)
    just = thread_checks("T", "c", "M10", "8.8", "S235", full, tension_resistance_n("M10", "8.8"))[0]
    assert just.utilisation == pytest.approx(1.0)
    assert needed_engagement_mm("M8", "8.8", "5754-H111", 12.0) > 1.5 * bolt("M8").diameter_mm
    soft = thread_checks("T", "c", "M8", "8.8", "6082-T6", 10.0, 1000.0, welded=True)[0]
    assert soft.capacity < thread_checks("T", "c", "M8", "8.8", "6082-T6", 10.0, 1000.0)[0].capacity


def test_vehicle_sheet_not_known_is_flagged_never_passed():
    for kind in ("thread", "weld nut", "through hole"):
        found = fixing_checks("M", "c", kind, "M10", "8.8", 10.0, 10.0, sheet_material=None, sheet_mm=2.0)
        assert [c.holds for c in found] == [False]
        assert found[0].utilisation is None
        assert "not known" in found[0].note


def test_vehicle_sheet_says_what_was_assumed():
    found = fixing_checks("M", "c", "weld nut", "M10", "8.8", 100.0, 100.0, sheet_material="S235", sheet_mm=2.5)
    assert all("edge distance at the vehicle not stated" in c.note and "local bending" in c.note for c in found)
    assert {"punching", "bearing and tear-out"} <= {c.name for c in found}
    tapped = fixing_checks("M", "c", "thread", "M10", "8.8", 100.0, 100.0, sheet_material="S235", sheet_mm=2.5, edge_mm=30.0)
    assert {"stripping of the tapped thread", "bearing and tear-out"} <= {c.name for c in tapped}
    assert all("not stated" not in c.note for c in tapped)


def test_blind_nuts_have_no_credit_in_a_crash_by_default():
    for kind in ("rivet nut", "captive nut"):
        found = fixing_checks("M", "c", kind, "M8", "8.8", 1.0, 0.0, sheet_material="S235", sheet_mm=2.0)
        assert found[0].utilisation == math.inf
        assert not found[0].holds


def test_rivet_nut_with_credit_uses_the_maker_s_loads():
    kinds = {"sheet_material": "S235", "sheet_mm": 2.0}
    road = fixing_checks("M", "c", "rivet nut", "M8", "8.8", 2000.0, 1000.0, group="road", **kinds)[0]
    assert road.demand == pytest.approx(1.25 * math.hypot(2000 / 25000, 1000 / 4400))
    allowed = fixing_checks("M", "c", "rivet nut", "M8", "8.8", 2000.0, 1000.0, credit_blind=True, **kinds)[0]
    assert allowed.demand == road.demand
    cage = fixing_checks("M", "c", "captive nut", "M8", "8.8", 1.0, 1.0, credit_blind=True, **kinds)[0]
    assert cage.utilisation is None
    with pytest.raises(DesignError, match="kind of fixing"):
        fixing_checks("M", "c", "glue", "M8", "8.8", 1.0, 1.0, **kinds)  # type: ignore[arg-type]
