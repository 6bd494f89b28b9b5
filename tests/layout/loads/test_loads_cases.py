"""Load cases: directions, signs, sources, rule sets, road loads, the zone of the component route."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
from pydantic import ValidationError

from layout.frames import Extent
from layout.job.crash import Crash
from layout.loads.cases import attachment_rules, case_cautions, cases_of, zone_caution
from layout.loads.rule_sets import DIRECTIONS, rule_set, rule_sets
from layout.loads.trouble import LoadsError

FACTORS = {"forward": 20, "rearward": 10, "left": 15, "right": 14, "up": 9, "down": 11}


def job_with(**crash):
    return SimpleNamespace(crash=Crash(**crash), folder=None)


def by_name(cases):
    return {case.name: case for case in cases}


def test_signs_of_the_six_directions():
    found = by_name(cases_of(job_with(factors=FACTORS, road_loads=False)))
    assert found["forward 20 g"].acceleration_g == (-20.0, 0.0, 0.0)
    assert found["rearward 10 g"].acceleration_g == (10.0, 0.0, 0.0)
    assert found["left 15 g"].acceleration_g == (0.0, -15.0, 0.0)
    assert found["right 14 g"].acceleration_g == (0.0, 14.0, 0.0)
    assert found["up 9 g"].acceleration_g == (0.0, 0.0, -9.0)
    assert found["down 11 g"].acceleration_g == (0.0, 0.0, 11.0)
    assert len(found) == 7
    assert found["gravity alone"].group == "gravity"


def test_gravity_is_added_as_a_vector_once():
    found = by_name(cases_of(job_with(factors=FACTORS)))
    weight = 80.0 * 9.80665
    assert found["forward 20 g"].force_n(80.0) == pytest.approx((20 * weight, 0.0, -weight))
    assert found["up 9 g"].force_n(80.0) == pytest.approx((0.0, 0.0, 8 * weight))
    assert found["down 11 g"].force_n(80.0) == pytest.approx((0.0, 0.0, -12 * weight))
    assert found["gravity alone"].force_n(80.0) == pytest.approx((0.0, 0.0, -weight))
    assert all("gravity" in case.note for case in found.values())


def test_road_loads_ask_for_no_slip_and_no_separation_and_crash_does_not():
    cases = cases_of(job_with(factors=FACTORS, road={"bump": 3.5, "rebound": 2, "braking": 1, "cornering": 0.8}))
    road = [case for case in cases if case.group == "road"]
    assert len(road) == 8
    assert all(case.no_slip and case.no_separation for case in road)
    assert not any(case.no_slip or case.no_separation for case in cases if case.group == "crash")
    found = by_name(cases)
    assert found["road: bump"].acceleration_g == (0.0, 0.0, 3.5)
    assert found["road: braking"].acceleration_g == (-1.0, 0.0, 0.0)
    assert found["road: bump and cornering, thrown left"].acceleration_g == (0.0, -0.8, 3.5)
    assert found["road: bump"].source.seen == "memory"
    assert not [case for case in cases_of(job_with(factors=FACTORS, road_loads=False)) if case.group == "road"]


def test_oblique_cases_lie_on_the_ellipse_and_combined_bound_them():
    cases = cases_of(job_with(factors=FACTORS, oblique=True, combined=True, road_loads=False))
    oblique = [case for case in cases if " at " in case.name]
    combined = [case for case in cases if "each full" in case.name]
    assert len(oblique) == 8
    assert len(combined) == 8
    for case in oblique:
        x, y, z = case.acceleration_g
        along, across = (20 if x < 0 else 10), (15 if y < 0 else 14)
        assert (x / along) ** 2 + (y / across) ** 2 == pytest.approx(1.0)
        assert z == 0.0
        assert any(np.all(np.abs(np.array(c.acceleration_g)) + 1e-9 >= np.abs(np.array(case.acceleration_g))) for c in combined)
    assert {c.acceleration_g for c in combined} >= {(-20.0, -15.0, -9.0), (10.0, 14.0, 11.0)}


def test_there_is_no_silent_default():
    with pytest.raises(ValidationError, match="there is no default"):
        Crash()
    with pytest.raises(LoadsError, match="conversion 20/15/10/10"):
        cases_of(job_with(rule_set="nothing of that name"))
    with pytest.raises(ValidationError, match="forward"):
        Crash(factors={**FACTORS, "forward": -20})
    with pytest.raises(ValidationError):
        Crash(factors={k: v for k, v in FACTORS.items() if k != "up"})
    with pytest.raises(ValidationError):
        Crash(factors={**FACTORS, "forward": float("inf")})


def test_every_row_of_the_rule_sets_is_complete_and_says_whether_its_text_was_seen():
    assert len(rule_sets()) >= 12
    for name, rows in rule_sets().items():
        for row in rows:
            assert row.source.seen in ("seen", "secondary", "memory"), name
            assert row.source.text
            assert row.vehicle_class
            assert row.value_g > 0.0
            assert row.direction in (*DIRECTIONS, "any")
            assert row.source.seen == "memory" or row.where_seen, (name, row)
            assert row.kind in ("static", "half sine", "corridor lower", "corridor upper", "each attachment")
            assert (row.duration_ms is not None) == (row.kind in ("half sine", "corridor lower", "corridor upper"))
            if row.kind.startswith("corridor"):
                assert len(row.points_ms_g) == 4
                assert max(g for _, g in row.points_ms_g) == row.value_g


def test_figures_not_seen_are_cautioned():
    (text,) = case_cautions(job_with(rule_set="conversion 20/15/10/10"))
    assert "not seen" in text
    found = by_name(cases_of(job_with(rule_set="conversion 20/15/10/10")))
    assert found["left 15 g (conversion 20/15/10/10)"].source.seen == "memory"
    assert found["forward 20 g (conversion 20/15/10/10)"].source.seen == "secondary"
    assert case_cautions(job_with(factors=FACTORS)) == ()


def test_directions_a_rule_set_leaves_out_are_named_not_filled():
    job = job_with(rule_set="tank 20/8", road_loads=False)
    assert len(cases_of(job)) == 5
    assert any("up, down" in text and "nothing is checked" in text for text in case_cautions(job))
    assert not any("nothing is checked" in t for t in case_cautions(job_with(rule_set="tank 20/8", factors=FACTORS)))


def test_own_factors_and_rule_set_both_count():
    names = by_name(cases_of(job_with(factors=FACTORS, rule_set="tank 20/8")))
    assert "left 15 g" in names
    assert "left 8 g (tank 20/8)" in names


def test_rule_for_each_attachment():
    (rule,) = attachment_rules(job_with(rule_set="student race car 40/40/20"))
    assert rule.force_n(60.0) == pytest.approx(60.0 * 9.80665 * 10.0)
    assert rule.source.seen == "seen"
    assert attachment_rules(job_with(factors=FACTORS)) == ()
    assert len(rule_set("student race car 40/40/20")) == 7


@pytest.mark.parametrize(
    ("front", "rear", "low", "high", "words"),
    [
        (700.0, -3000.0, -300.0, 280.0, None),
        (700.0, -3000.0, -300.0, 300.0, "20 mm too far forward (limit x = 280 mm)"),
        (700.0, -3000.0, -2710.0, 100.0, "10 mm too far rearward (limit x = -2700 mm)"),
        (None, None, -9000.0, 9000.0, None),
        (700.0, None, -9000.0, 281.0, "1 mm too far forward"),
    ],
)
def test_zone_of_the_component_route(front, rear, low, high, words):
    job = SimpleNamespace(vehicle=SimpleNamespace(front_end_x_mm=front, rear_end_x_mm=rear))
    text = zone_caution(job, Extent((low, -200.0, 300.0), (high, 200.0, 600.0)))
    assert (text is None) == (words is None)
    if words is not None:
        assert words in text
        assert "6.4.2.1.2" in text
