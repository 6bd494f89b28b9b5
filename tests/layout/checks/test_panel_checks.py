import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layout.checks import beams, buckling
from layout.checks.bars import MountingBar, mounting_bar_checks
from layout.checks.held import Lid, lid_checks
from layout.checks.plate_series import clamped, patch_moment, simply_supported
from layout.checks.plates import Panel, Rail, Rib, inertia_pressure_mpa, panel_checks, patch_checks, rail_checks, rib_checks
from layout.errors import DesignError
from layout.tables import UnknownName, material

PANEL = Panel("5083-H111", 3.0, 400.0, 200.0)


def by_name(checks):
    return {c.name: c for c in checks}


@given(st.floats(0.05, 20.0))
def test_plate_factors_stay_between_square_and_strip(ratio):
    soft, hard = simply_supported(ratio, 1.0), clamped(ratio, 1.0)
    assert soft == simply_supported(1.0, ratio)
    assert 0.2872 < soft.centre <= 0.7501
    assert 0.0443 < soft.alpha < 0.1423
    assert 0.3079 < hard.edge < 0.5050
    assert hard.alpha < soft.alpha
    assert soft.beta >= soft.centre


def test_square_supported_plate_is_worst_at_its_corners():
    square = simply_supported(1.0, 1.0)
    assert square.beta == square.corner > square.centre


def test_plates_without_size_are_refused():
    for a, b in ((0.0, 1.0), (-1.0, 1.0), (math.inf, 1.0), (math.nan, 1.0)):
        with pytest.raises(DesignError, match="above 0"):
            simply_supported(a, b)


def test_patch_over_all_of_a_plate_is_pressure():
    whole = 6.0 * patch_moment(300.0, 150.0, (300.0, 150.0), (150.0, 75.0))
    assert whole * 300.0 / 150.0 == pytest.approx(simply_supported(300.0, 150.0).centre, rel=1e-3)


def test_smaller_patches_hurt_more():
    moments = [patch_moment(300.0, 200.0, (s, s), (150.0, 100.0)) for s in (100.0, 50.0, 25.0, 12.0)]
    assert moments == sorted(moments)
    assert patch_moment(300.0, 200.0, (20.0, 20.0), (30.0, 30.0)) < moments[-1]
    with pytest.raises(DesignError, match="outside the panel"):
        patch_moment(300.0, 200.0, (20.0, 20.0), (5.0, 100.0))


def test_edges_envelope_is_the_worse_of_both():
    betas = {e: Panel("S235", 2.0, 300.0, 300.0, e).factors()[0] for e in ("simply supported", "clamped", "envelope")}
    assert betas["envelope"] == max(betas["simply supported"], betas["clamped"])
    with pytest.raises(DesignError, match="kind of edges"):
        Panel("S235", 2.0, 300.0, 300.0, "glued").factors()  # type: ignore[arg-type]


def test_panel_figures_and_membrane_flag():
    q = 0.01
    stress = panel_checks("P", "c", PANEL, q)[0]
    assert stress.demand == pytest.approx(simply_supported(2.0, 1.0).beta * q * 200**2 / 9)
    assert stress.capacity == pytest.approx(125 / 1.1)
    y = PANEL.deflection_mm(q)
    assert y == pytest.approx(0.1106 * q * 200**4 / (70000 * 27), rel=0.01)
    assert y < 1.5
    assert stress.note == ""
    assert "membrane" in panel_checks("P", "c", PANEL, 1.6 * q * 1.5 / y)[0].note
    assert not panel_checks("P", "c", PANEL, math.nan)[0].holds


def test_inertia_pressure():
    assert inertia_pressure_mpa(10.0, 200.0, 400.0, 250.0, 8.0) == pytest.approx(2000 / 1e5 + 8 * 200e-6)


def test_patch_on_panel():
    found = by_name(patch_checks("P", "c", PANEL, (30.0, 30.0), (200.0, 100.0), 500.0, 0.001))
    mu = patch_moment(400.0, 200.0, (33.0, 33.0), (200.0, 100.0))
    assert found["panel under a foot or patch"].demand == pytest.approx(6 * mu * 500 / 9)
    assert "panel under pressure" in found


def test_rib_by_hand():
    """Section of 6 x 40 bar under 3 mm sheet, its width the least of spacing, effective width and a quarter span."""
    rib = Rib("5083-H111", 40.0, 6.0, 400.0, 150.0, 3.0)
    found = by_name(rib_checks("R", "c", "5083-H111", 3.0, rib, 0.02))
    width = min(buckling.effective_width_mm(150.0, 3.0, 125.0, 70000.0, "aluminium") + 6.0, 150.0, 106.0)
    shape = beams.section([beams.Bar(width, 3.0, 1.5), beams.Bar(6.0, 40.0, 23.0)])
    moment, shear = 0.02 * 150 * 400**2 / 8, 0.02 * 150 * 200
    expected = math.sqrt((moment / shape.least_mm3) ** 2 + 3 * (shear / (6 * 40 * 2 / 3)) ** 2)
    assert found["bending with shear"].demand == pytest.approx(expected)
    assert {"plate buckling", "fillet weld in aluminium", "panel under pressure"} <= set(found)
    with pytest.raises(DesignError, match="one family"):
        rib_checks("R", "c", "S235", 3.0, rib, 0.02)


def test_stitched_rib_weld_is_used_more():
    full, stitched = (
        by_name(rib_checks("R", "c", "5083-H111", 3.0, Rib("5083-H111", 40.0, 6.0, 400.0, 150.0, 3.0, weld_share=s), 0.02))
        for s in (1.0, 0.5)
    )
    weld = "fillet weld in aluminium"
    assert stitched[weld].utilisation == pytest.approx(2.0 * full[weld].utilisation)


def test_rail_by_hand():
    rail = Rail("S235", 3.0, 500.0, 300.0, 4000.0, 100.0)
    check = rail_checks("R", "c", rail, ((100.0, 1000.0), (400.0, 1000.0)), 600.0)[0]
    assert check.demand == pytest.approx(math.sqrt((1e5 / 4000 + 2) ** 2 + 3 * 10.0**2))
    with pytest.raises(DesignError, match="outside the span"):
        rail_checks("R", "c", rail, ((600.0, 1.0),))


@given(st.lists(st.tuples(st.floats(0.0, 1.0), st.floats(-1e4, 1e4)), min_size=1, max_size=5))
def test_point_loads_agree_with_a_sampled_beam(loads):
    length = 800.0
    points = [(u * length, p) for u, p in loads]
    got = beams.simple_points(points, length, 1e9)
    x = np.linspace(0.0, length, 4001)
    left = sum(p * (length - a) for a, p in points) / length
    moment = left * x - sum(p * np.clip(x - a, 0.0, None) for a, p in points)
    assert got.moment_nmm >= np.abs(moment).max() - 1e-6 * max(abs(p) for _, p in points) * length - 1e-6
    slope = np.concatenate([[0.0], np.cumsum((moment[1:] + moment[:-1]) / 2 * np.diff(x))])
    w = np.concatenate([[0.0], np.cumsum((slope[1:] + slope[:-1]) / 2 * np.diff(x))])
    w -= x / length * w[-1]
    assert got.deflection_mm == pytest.approx(np.abs(w).max() / 1e9, rel=5e-3, abs=1e-9)


def test_continuous_beams_are_in_equilibrium():
    for spans in (1, 2, 3, 5, 8):
        beam = beams.continuous_equal_spans(spans)
        assert sum(beam.reactions) == pytest.approx(spans)
        assert beam.reactions == pytest.approx(beam.reactions[::-1])
    assert beams.continuous_equal_spans(1).span_moment == pytest.approx(0.125)
    with pytest.raises(DesignError):
        beams.continuous_equal_spans(0)


def test_couple_on_a_beam():
    result = beams.couple_on_simple(-1000.0, 30.0, 100.0, 1.0)
    assert result.moment_nmm == pytest.approx(700.0)
    assert result.shear_n == pytest.approx(10.0)


def test_sections():
    tee = beams.section([beams.Bar(80.0, 6.0, 3.0), beams.Bar(10.0, 60.0, 36.0)])
    centroid = (480 * 3 + 600 * 36) / 1080
    assert tee.centroid_mm == pytest.approx(centroid)
    own, moved = 80 * 216 / 12 + 10 * 60**3 / 12, 480 * (centroid - 3) ** 2 + 600 * (36 - centroid) ** 2
    assert tee.inertia_mm4 == pytest.approx(own + moved)
    assert tee.least_mm3 == pytest.approx(tee.inertia_mm4 / (66 - centroid))
    with pytest.raises(DesignError):
        beams.section([beams.Bar(0.0, 1.0, 0.0)])


def test_buckling_limits():
    """EN 1993-1-5: a plate on both edges in uniform compression is fully effective up to lambda 0.673."""
    assert buckling.reduction(0.673) == pytest.approx(1.0, abs=1e-3)
    assert buckling.reduction(1.0) == pytest.approx(0.78)
    assert buckling.reduction(0.748, "one edge") == 1.0
    assert buckling.reduction(1.0, "one edge") == pytest.approx(0.812)
    assert buckling.slenderness(57 * 3.0, 3.0, 235.0, 4.0) == pytest.approx(57 / 56.8)
    assert buckling.effective_width_mm(300.0, 2.0, 235.0) < 300.0
    assert buckling.effective_width_mm(40.0, 2.0, 235.0) == 40.0
    assert buckling.shear_factor(1.0, 2.0) == buckling.shear_factor(2.0, 1.0) == pytest.approx(6.34)
    slender = buckling.free_edge_checks("G", "c", 100.0, 2.0, 235.0, material("S235"), 50.0)
    assert [c.name for c in slender] == ["plate buckling"]
    lam = 50 / (28.4 * math.sqrt(0.43))
    assert slender[0].capacity == pytest.approx((lam - 0.188) / lam**2 * 235 / 1.1)
    stout = buckling.free_edge_checks("G", "c", 20.0, 5.0, 235.0, material("S235"), 50.0)
    assert stout[1].capacity == pytest.approx(235 / 1.1)


def test_aluminium_buckles_sooner():
    """EN 1999-1-1, class B with welds: b/t 50 at f_o 125: x = 35.36, 25/x - 150/x^2 = 0.587."""
    share = buckling.effective_share(150.0, 3.0, 125.0, 70000.0, "aluminium")
    assert share == pytest.approx(0.587, abs=1e-3)
    assert share < buckling.effective_share(150.0, 3.0, 125.0, 70000.0, "steel")
    x = 10 / math.sqrt(2.0)
    assert buckling.effective_share(50.0, 5.0, 125.0, 70000.0, "aluminium", "one edge") == pytest.approx(8 / x - 16 / x**2)
    assert buckling.effective_share(25.0, 5.0, 125.0, 70000.0, "aluminium", "one edge") == 1.0
    for held in ("both edges", "one edge"):
        shares = [buckling.effective_share(b, 3.0, 125.0, 70000.0, "aluminium", held) for b in range(5, 400, 5)]
        assert all(0.0 < late <= early <= 1.0 for early, late in pairwise(shares))


def test_mounting_bar():
    bar = MountingBar("5083-H111", 60.0, 15.0, 150.0, 3.5, "5083-H111", 3.0, holes_mm=16.0)
    found = mounting_bar_checks("B", "c", bar, ((50.0, 3000.0), (90.0, -1000.0)), 2e4, 70.0, (500.0, 1500.0))
    bending = found[0]
    left = (3000 * 100 - 1000 * 60) / 150
    points = max(left * 50, abs(left * 90 - 3000 * 40))
    normal = (points + 2e4 * 80 / 150) / (44 * 225 / 6) + 1500 / 660
    shear = (max(left, 1400.0) + 2e4 / 150) / 440
    assert bending.demand == pytest.approx(math.hypot(normal, math.sqrt(3) * shear))
    assert {"fillet weld in aluminium", "wall beside the mounting bar"} <= {c.name for c in found}
    lost = mounting_bar_checks("B", "c", bar, ((50.0, math.nan),), 0.0, 70.0, (0.0, 0.0))
    assert not lost[0].holds
    with pytest.raises(DesignError):
        MountingBar("5083-H111", 16.0, 15.0, 150.0, 3.5, "5083-H111", 3.0, holes_mm=16.0)


def test_lid_upside_down():
    lid = Lid("5083-H111", 3.0, 600.0, 400.0, 20, "M5", "8.8", 5.5, 110.0, "5083-H111", 3.0, 10.0, 8.0, 10.0)
    found = lid_checks("L", "c", lid, 8.0, 10 * 9.80665)
    names = by_name(found)
    assert names["bolt tension"].demand == pytest.approx(1.5 * 8 * 98.0665 / 20)
    assert not names["pitch of lid bolts"].holds
    assert {"flange with prying (tee)", "panel under pressure", "pull-through of thin sheet"} <= set(names)
    with pytest.raises(DesignError, match="needs bolts"):
        lid_checks("L", "c", Lid("S235", 2.0, 1.0, 1.0, 0, "M5", "8.8", 5.5, 1.0, "S235", 2.0, 1.0, 1.0, 1.0), 1.0, 1.0)
    with pytest.raises(UnknownName):
        lid_checks("L", "c", Lid("S235", 2.0, 9.0, 9.0, 4, "M7", "8.8", 5.5, 9.0, "S235", 2.0, 9.0, 9.0, 9.0), 1.0, 1.0)
