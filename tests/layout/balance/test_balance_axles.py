import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.balance.axles import axle_loads, loads_of, vehicle_standing
from layout.balance.items import MassItem, total
from layout.balance.springs import axle_ride, ride
from layout.balance.states import UNLADEN, many_loads, state_table, yaw_inertia
from layout.job.vehicle import AxleSpring, CornerReadings, LoadState, Suspension, Vehicle

masses = st.lists(
    st.tuples(st.floats(0.1, 150.0), st.floats(-3500.0, 1000.0), st.floats(-700.0, 700.0), st.floats(100.0, 1500.0)), max_size=5
)


def items(rows) -> list[MassItem]:
    return [MassItem(f"i{k}", m, (x, y, z)) for k, (m, x, y, z) in enumerate(rows)]


@settings(max_examples=60, deadline=None)
@given(masses, masses)
def test_loads_sum_to_masses_and_carry_the_centroid(added, removed):
    vehicle = Vehicle(
        reference_axle="rear",
        wheelbase=2500,
        track=1400,
        front_axle_load=900,
        rear_axle_load=900,
        front_axle_rating=2000,
        rear_axle_rating=2000,
        cg_height=900,
    )
    shifted = [(m, x + 2500.0, y, z) for m, x, y, z in added]
    found = axle_loads(vehicle, items(removed), items(shifted))
    assert found.after.mass_kg == pytest.approx(1800.0 + sum(r[0] for r in added) - sum(r[0] for r in removed), abs=1e-9)
    assert found.change_kg == pytest.approx(found.after.mass_kg - found.before.mass_kg, abs=1e-9)
    x = found.after.centroid_mm[0]
    assert found.after.loads.front_kg == pytest.approx(found.after.mass_kg * x / 2500.0, abs=1e-7)


@settings(max_examples=30, deadline=None)
@given(masses)
def test_putting_in_and_taking_out_is_nothing(rows):
    vehicle = Vehicle(
        reference_axle="front",
        wheelbase=2390,
        track=1290,
        front_axle_load=468,
        rear_axle_load=402,
        front_axle_rating=640,
        rear_axle_rating=780,
        cg_height=540,
    )
    found = axle_loads(vehicle, items(rows), items(rows))
    assert found.after.loads.front_kg == pytest.approx(468.0)
    assert found.after.centroid_mm == pytest.approx(found.before.centroid_mm)
    assert yaw_inertia(vehicle, items(rows), items(rows)).change_kgm2 == pytest.approx(0.0, abs=1e-6)


def test_overhung_load_lifts_the_other_axle(vehicle):
    ahead = loads_of(vehicle, [MassItem("box", 100.0, (250.0, 0.0, 400.0))])
    assert (ahead.front_kg, ahead.rear_kg) == pytest.approx((110.0, -10.0))
    found = axle_loads(vehicle, [], [MassItem("ballast", 5500.0, (300.0, 0.0, 400.0))])
    assert found.after.loads.rear_kg < 0.0
    assert not found.ratings_held
    assert any("would lift" in f for f in found.findings)


def test_margins_and_findings_name_the_excess(vehicle):
    found = axle_loads(vehicle, [], [MassItem("pack", 300.0, (0.0, 0.0, 400.0))])
    assert found.margins.front_kg == pytest.approx(-200.0)
    assert found.margins.rear_kg == pytest.approx(200.0)
    assert found.margins.gross_kg == pytest.approx(-50.0)
    assert not found.ratings_held
    assert sum("over" in f for f in found.findings) == 2
    unknown = axle_loads(vehicle, [], [MassItem("loom", None, (0.0, 0.0, 400.0), source="unknown")])
    assert unknown.unknown == ("loom",)
    assert unknown.added_kg == 0.0
    assert any("unknown" in f and "loom" in f for f in unknown.findings)


def test_taking_out_more_than_there_is_has_no_balance(vehicle):
    with pytest.raises(ValueError, match="would be left"):
        axle_loads(vehicle, [MassItem("all of it", 1000.0, (0.0, 0.0, 500.0))], [])


def test_corner_loads_sum_to_axles_and_balance_the_moment(vehicle):
    corners = CornerReadings(front_left=260, front_right=240, rear_left=255, rear_right=245)
    weighed = vehicle.model_copy(update={"corner_loads": corners, "rear_track_mm": 1500.0})
    start = vehicle_standing(weighed)
    assert start.lateral_known
    assert start.centroid_mm[1] == pytest.approx((700.0 * 20.0 + 750.0 * 10.0) / 1000.0)
    added = [MassItem("charger", 40.0, (-500.0, 300.0, 400.0))]
    row = state_table(weighed, [], added)[0].after
    c = row.corners
    assert c.front_left_kg + c.front_right_kg == pytest.approx(row.standing.loads.front_kg)
    assert c.rear_left_kg + c.rear_right_kg == pytest.approx(row.standing.loads.rear_kg)
    moment = 700.0 * (c.front_left_kg - c.front_right_kg) + 750.0 * (c.rear_left_kg - c.rear_right_kg)
    assert moment == pytest.approx(row.standing.mass_kg * row.standing.centroid_mm[1])
    mirrored = state_table(weighed, [], [MassItem("charger", 40.0, (-500.0, -300.0, 400.0))])[0].after.corners
    assert mirrored.front_left_kg - c.front_left_kg == pytest.approx(c.front_right_kg - mirrored.front_right_kg)
    assert mirrored.front_left_kg < c.front_left_kg


def test_roll_share_from_springs_decides_who_takes_the_side_load(vehicle):
    stiff_front = Suspension(front=AxleSpring(wheel_rate=30), rear=AxleSpring(wheel_rate=10))
    added = [MassItem("charger", 40.0, (-1250.0, 350.0, 400.0))]
    c = state_table(vehicle, [], added, (), stiff_front)[0].after.corners
    assert c.front_roll_share == pytest.approx(0.75)
    assert c.front_left_kg - c.front_right_kg == pytest.approx(2.0 * 0.75 * 40.0 * 350.0 / 1400.0)
    assert c.rear_left_kg - c.rear_right_kg == pytest.approx(2.0 * 0.25 * 40.0 * 350.0 / 1400.0)


def test_load_states_before_and_after(vehicle):
    state = LoadState(
        name="driver, tank empty",
        items=[
            {"name": "driver", "mass": "75 kg", "at": [-1250, 350, 600]},
            {"name": "fuel", "mass": "30 kg", "at": [-2500, 0, 400], "taken_out": True, "applies": "before"},
        ],
    )
    tank = MassItem("tank, full", 40.0, (-2500.0, 0.0, 400.0))
    rows = state_table(vehicle, [tank], [MassItem("pack", 120.0, (0.0, 0.0, 500.0))], [state])
    assert [r.name for r in rows] == [UNLADEN, "driver, tank empty"]
    assert rows[0].after.standing.loads.front_kg == pytest.approx(620.0)
    assert rows[0].after.margins.front_kg == pytest.approx(-20.0)
    assert rows[1].before.standing.loads.front_kg == pytest.approx(537.5)
    assert rows[1].before.standing.loads.rear_kg == pytest.approx(507.5)
    assert rows[1].after.standing.loads.rear_kg == pytest.approx(500.0 - 40.0 + 37.5)
    assert any("front axle" in f and "over" in f for f in rows[1].after.findings)


def test_braking_moves_load_and_may_lift_the_rear(vehicle):
    row = state_table(vehicle, [], [])[0].before
    assert row.transfer_kg == pytest.approx(1000.0 * 0.8 * 500.0 / 2500.0)
    assert row.braking.total_kg == pytest.approx(1000.0)
    assert row.stability == pytest.approx(1.4)
    tall = vehicle.model_copy(update={"cg_height_mm": 1700.0})
    assert any("lift the rear axle" in f for f in state_table(tall, [], [])[0].before.findings)


def test_yaw_inertia_of_two_equal_masses_exchanged(vehicle):
    out = [MassItem("tank", 40.0, (-1250.0, 0.0, 400.0))]
    put = [MassItem("a", 20.0, (-250.0, 0.0, 400.0)), MassItem("b", 20.0, (-2250.0, 0.0, 400.0))]
    found = yaw_inertia(vehicle.model_copy(update={"yaw_inertia_kgm2": 900.0}), out, put)
    assert found.change_kgm2 == pytest.approx(40.0)
    assert found.after_kgm2 == pytest.approx(940.0)
    assert found.points == ("tank", "a", "b")
    assert yaw_inertia(vehicle, out, put).before_kgm2 is None


@settings(max_examples=30, deadline=None)
@given(masses, masses)
def test_yaw_inertia_is_that_of_the_whole_taken_together(put, out):
    """The rest of the vehicle as one body: totals before and after, each about its own centroid."""
    vehicle = Vehicle(
        reference_axle="front",
        wheelbase=2500,
        track=1400,
        front_axle_load=1900,
        rear_axle_load=1700,
        front_axle_rating=2600,
        rear_axle_rating=2700,
        cg_height=500,
        yaw_inertia_kg_m2=5000,
    )
    start = vehicle_standing(vehicle)
    removed, added = items(out), items(put)
    gone = sum(i.mass_kg for i in removed)
    rest_at = (3600.0 * np.array(start.centroid_mm) - sum(i.mass_kg * np.array(i.centroid_mm) for i in removed)) / (
        3600.0 - gone
    )
    rest = MassItem("rest", 3600.0 - gone, tuple(rest_at))
    before, after = (total([rest, *part]).inertia_kgmm2[2][2] * 1e-6 for part in (removed, added))
    found = yaw_inertia(vehicle, removed, added)
    assert found.change_kgm2 == pytest.approx(after - before, abs=1e-5)
    assert found.after_kgm2 == pytest.approx(5000.0 + after - before, abs=1e-5)


def test_many_states_agree_with_one_at_a_time(vehicle):
    rng = np.random.default_rng(3)
    m, at = rng.uniform(-20.0, 90.0, (50, 4)), rng.uniform(-2000.0, 800.0, (50, 4, 3))
    start = vehicle_standing(vehicle)
    many = many_loads(vehicle, start, m, at)
    for k in range(50):
        put = [MassItem(str(j), v, tuple(p)) for j, (v, p) in enumerate(zip(m[k], at[k], strict=True)) if v > 0]
        out = [MassItem(str(j), -v, tuple(p)) for j, (v, p) in enumerate(zip(m[k], at[k], strict=True)) if v <= 0]
        one = axle_loads(vehicle, out, put).after
        assert many.front_kg[k] == pytest.approx(one.loads.front_kg)
        assert many.rear_kg[k] == pytest.approx(one.loads.rear_kg)
        assert many.centroid_mm[k] == pytest.approx(one.centroid_mm)
        row = state_table(vehicle, out, put)[0].after
        assert many.stability[k] == pytest.approx(row.stability)
        assert many.braking_front_kg[k] == pytest.approx(row.braking.front_kg)
        assert many.front_margin_kg[k] == pytest.approx(row.margins.front_kg)
        assert many.gross_margin_kg[k] == pytest.approx(row.margins.gross_kg)
        assert many.held[k] == (row.margins.held and min(one.loads.front_kg, one.loads.rear_kg) >= 0.0)
    assert many.held.any()
    assert not many.held.all()
    fixed = many_loads(vehicle, start, m, at[0])
    assert fixed.front_kg[0] == pytest.approx(many.front_kg[0])
    moving = many_loads(vehicle, start, m[0], at)
    assert moving.rear_kg[0] == pytest.approx(many.rear_kg[0])


def test_springs_from_rate_ratio_and_sag_agree():
    given = AxleSpring(wheel_rate="20 N/mm", unsprung=60)
    by_ratio = AxleSpring(spring_rate="80 N/mm", motion_ratio=0.5, unsprung=60)
    by_sag = AxleSpring(sag=100.0 * 9.80665 / 40.0, sag_load=100, unsprung=60)
    rides = [axle_ride("front", s, 500.0, 560.0) for s in (given, by_ratio, by_sag)]
    for r in rides:
        assert r.drop_mm == pytest.approx(60.0 * 9.80665 / 40.0)
        assert r.hz_before == pytest.approx((40_000.0 / 440.0) ** 0.5 / (2.0 * np.pi))
        assert r.restoring_wheel_rate_n_per_mm == pytest.approx(20.0 * 500.0 / 440.0)
    assert rides[1].restoring_spring_rate_n_per_mm == pytest.approx(80.0 * 500.0 / 440.0)
    again = axle_ride("front", AxleSpring(wheel_rate=rides[0].restoring_wheel_rate_n_per_mm, unsprung=60), 560.0, 560.0)
    assert again.hz_after == pytest.approx(rides[0].hz_before)


def test_ride_of_both_axles_gives_pitch_and_bump_findings(vehicle):
    found = axle_loads(vehicle, [MassItem("tank", 40.0, (-2500.0, 0.0, 400.0))], [MassItem("pack", 90.0, (0.0, 0.0, 400.0))])
    springs = Suspension(front=AxleSpring(wheel_rate=10, bump_travel=40), rear=AxleSpring(wheel_rate=20))
    r = ride(vehicle, springs, found.before.loads, found.after.loads)
    assert r.front is not None
    assert r.rear is not None
    assert r.front.drop_mm > 0.0 > r.rear.drop_mm
    assert r.pitch_deg == pytest.approx(np.degrees(np.arctan((r.front.drop_mm - r.rear.drop_mm) / 2500.0)))
    assert not r.front.sprung_known
    assert "bump stop" in r.front.findings[0]
    assert ride(vehicle, None, found.before.loads, found.after.loads).pitch_deg is None
    with pytest.raises(ValueError, match="nothing on its springs"):
        axle_ride("rear", AxleSpring(wheel_rate=20, unsprung=70), 60.0, 90.0)


@pytest.mark.parametrize("given", [{}, {"wheel_rate": 20, "sag": 10, "sag_load": 50}, {"sag": 10}])
def test_springs_given_twice_or_not_at_all_are_refused(given):
    with pytest.raises(ValueError, match=r"exactly one|belong together"):
        AxleSpring(**given)
