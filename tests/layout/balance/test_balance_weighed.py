import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layout.balance.axles import axle_loads
from layout.balance.items import MassItem
from layout.balance.scales import measured
from layout.balance.suspects import PLACE
from layout.balance.weighed import families_of, item_sigma_kg, reconcile
from layout.job.vehicle import AsWeighed, CornerReadings, LoadState, Vehicle

REMOVED = (
    MassItem("engine and ancillaries", 118.0, (-60.0, 20.0, 520.0)),
    MassItem("fuel tank, full", 39.0, (-2150.0, 0.0, 380.0)),
    MassItem("exhaust", 14.0, (-1500.0, -250.0, 250.0)),
)
ADDED = (
    MassItem("drive motor and adapter", 58.0, (-210.0, 0.0, 430.0), source="catalogue"),
    *(MassItem(f"M{k + 1} (slab)", 12.4, (60.0 + 80.0 * (k % 4), -100.0 + 200.0 * (k // 4), 480.0)) for k in range(8)),
    MassItem("box", 21.0, (120.0, 0.0, 470.0), source="computed"),
    MassItem("motor controller", 8.1, (-250.0, 60.0, 600.0), source="catalogue"),
    MassItem("charger", 6.5, (-2300.0, 310.0, 450.0), source="catalogue"),
)
VEHICLE = Vehicle(
    reference_axle="front",
    wheelbase=2390,
    track=1290,
    front_axle_load=468,
    rear_axle_load=402,
    load_tolerance="0.7 kg",
    corner_loads={"front_left": 236, "front_right": 232, "rear_left": 203, "rear_right": 199},
    front_axle_rating=640,
    rear_axle_rating=780,
    cg_height=540,
)


def wrong(items, name, kg):
    """The true list: one item weighs kg more than listed."""
    return tuple(MassItem(i.name, i.mass_kg + (kg if i.name == name else 0.0), i.centroid_mm, source=i.source) for i in items)


def corner_readings(removed, added, noise=(0.0, 0.0, 0.0, 0.0), lateral_front=0.55) -> AsWeighed:
    """What the scales would show, by moments alone (not by the code under test)."""
    front, side = 468.0, 236.0 - 232.0 + 203.0 - 199.0
    rear, base_front_side = 402.0, 236.0 - 232.0
    for sign, items in ((1.0, added), (-1.0, removed)):
        for i in items:
            to_rear = i.mass_kg * -i.centroid_mm[0] / 2390.0
            front += sign * (i.mass_kg - to_rear)
            rear += sign * to_rear
            side += sign * 2.0 * i.mass_kg * i.centroid_mm[1] / 1290.0
    front_side = base_front_side + lateral_front * (side - 8.0)
    rear_side = side - front_side
    values = np.array([front + front_side, front - front_side, rear + rear_side, rear - rear_side]) / 2.0 + noise
    keys = ("front_left", "front_right", "rear_left", "rear_right")
    corners = CornerReadings(**{k: round(float(v), 3) for k, v in zip(keys, values, strict=True)})
    return AsWeighed(tolerance=0.3, corners=corners)


def test_a_list_that_is_right_is_left_alone():
    found = reconcile(VEHICLE, corner_readings(REMOVED, ADDED, (0.1, -0.2, 0.2, 0.1)), REMOVED, ADDED)
    assert found.consistent
    assert "agree" in found.verdict
    assert [r.difference_kg for r in found.readings] == pytest.approx([-0.1, 0.3, 0.4], abs=2e-3)


@pytest.mark.parametrize("name", ["charger", "exhaust", "fuel tank, full"])
@pytest.mark.parametrize("kg", [9.0, -5.0])
def test_one_item_wrong_is_found_with_its_error(name, kg):
    listed = {i.name: i.mass_kg for i in (*REMOVED, *ADDED)}
    scales = corner_readings(wrong(REMOVED, name, kg), wrong(ADDED, name, kg), (0.2, -0.1, 0.1, -0.2))
    found = reconcile(VEHICLE, scales, REMOVED, ADDED)
    assert not found.consistent
    first = found.suspects[0]
    assert first.name.startswith(name)
    assert first.error_kg == pytest.approx(kg, abs=0.8)
    assert first.mass_kg == pytest.approx(listed[name] + kg, abs=0.8)
    assert first.name in found.verdict
    assert f"{first.error_kg:+.1f} kg" in found.verdict
    assert max(abs(v) for v in first.left_kg) < 1.0


def test_adjusted_masses_are_the_least_squares_solution():
    """Against a general solver: the stacked system of readings and listed masses, each over its standard deviation."""
    scales = corner_readings(REMOVED, wrong(ADDED, "charger", 3.0))
    found = reconcile(VEHICLE, scales, REMOVED, ADDED)
    items = [(1.0, i) for i in ADDED] + [(-1.0, i) for i in REMOVED]
    columns = [
        np.array([1.0 + i.centroid_mm[0] / 2390.0, -i.centroid_mm[0] / 2390.0, i.centroid_mm[1] / 645.0]) * s for s, i in items
    ]
    a = np.column_stack([np.eye(3), *columns])
    prior = np.array([468.0, 402.0, 8.0, *(i.mass_kg for _, i in items)])
    sigma = np.array([0.7, 0.7, 0.7 * 2**0.5, *(item_sigma_kg(i) for _, i in items)])
    readings = np.array([r.reading_kg for r in found.readings])
    scale = np.array([0.3 * 2**0.5, 0.3 * 2**0.5, 0.3 * 2.0])
    solved = np.linalg.lstsq(
        np.vstack([a / scale[:, None], np.diag(1.0 / sigma)]), np.concatenate([readings / scale, prior / sigma])
    )
    assert [x.adjusted_kg for x in found.adjusted] == pytest.approx(list(solved[0]), abs=1e-8)
    assert found.chi2 == pytest.approx(float(solved[1][0]), rel=1e-9)
    assert [r.left_kg for r in found.readings] == pytest.approx(list(readings - a @ solved[0]), abs=1e-8)


@settings(max_examples=25, deadline=None)
@given(st.permutations(range(len(ADDED))), st.sampled_from([i.name for i in ADDED]), st.floats(-6.0, 6.0))
def test_order_of_the_list_changes_nothing(order, name, kg):
    scales = corner_readings(REMOVED, wrong(ADDED, name, kg))
    one = reconcile(VEHICLE, scales, REMOVED, ADDED)
    two = reconcile(VEHICLE, scales, REMOVED, [ADDED[k] for k in order])
    assert two.chi2 == pytest.approx(one.chi2)
    assert {a.name: a.adjusted_kg for a in two.adjusted} == pytest.approx({a.name: a.adjusted_kg for a in one.adjusted})


def test_axle_scales_alone_cannot_tell_neighbours_apart_and_say_so():
    vehicle = VEHICLE.model_copy(update={"corner_loads": None})
    true = axle_loads(vehicle, REMOVED, wrong(ADDED, "drive motor and adapter", 9.0)).after.loads
    scales = AsWeighed(tolerance=0.5, front_axle=true.front_kg, rear_axle=true.rear_kg)
    found = reconcile(vehicle, scales, REMOVED, ADDED)
    assert not found.consistent
    names = {found.suspects[0].name, *found.alike}
    assert "drive motor and adapter" in names
    assert "motor controller" in names
    assert "cannot tell it from" in found.verdict
    assert found.unlisted is not None
    assert found.unlisted.mass_kg == pytest.approx(9.0)
    assert found.unlisted.x_mm == pytest.approx(-210.0)


def test_an_item_of_unknown_mass_is_weighed_by_the_scales():
    loom = MassItem("wiring loom", None, (-1200.0, 0.0, 300.0), source="unknown")
    true = (*ADDED, MassItem("wiring loom", 11.0, (-1200.0, 0.0, 300.0)))
    found = reconcile(VEHICLE, corner_readings(REMOVED, true), REMOVED, (*ADDED, loom))
    adjusted = {a.name: a for a in found.adjusted}
    assert adjusted["wiring loom"].adjusted_kg == pytest.approx(11.0, abs=0.01)
    assert adjusted["wiring loom"].listed_kg is None
    assert found.freedom == 2
    assert found.consistent


def test_as_many_unknowns_as_readings_leave_nothing_to_check():
    looms = [MassItem(f"loom {k}", None, (-1000.0 * k, 50.0 * k * k, 300.0), source="unknown") for k in range(3)]
    found = reconcile(VEHICLE, corner_readings(REMOVED, ADDED), REMOVED, (*ADDED, *looms))
    assert found.freedom == 0
    assert "nothing is left to check" in found.verdict


def test_a_family_wrong_together_is_one_suspect():
    families = families_of(ADDED)
    assert set(families) == {"every slab"}
    heavier = tuple(MassItem(i.name, i.mass_kg * (1.08 if "slab" in i.name else 1.0), i.centroid_mm) for i in ADDED)
    found = reconcile(VEHICLE, corner_readings(REMOVED, heavier), REMOVED, ADDED, families=families)
    suspect = next(s for s in found.suspects if s.name == "every slab")
    assert suspect.error_kg == pytest.approx(8 * 12.4 * 0.08, abs=0.05)
    assert suspect.chi2_left < 0.1
    single = next(s for s in found.suspects if s.name == "M1 (slab)")
    assert single.chi2_left > suspect.chi2_left


def test_a_wrong_place_shifts_the_split_but_not_the_sum():
    shifted = tuple(i.shifted((-900.0, 0.0, 0.0)) if i.name == "box" else i for i in ADDED)
    found = reconcile(VEHICLE, corner_readings(REMOVED, shifted), REMOVED, ADDED)
    place = next(s for s in found.suspects if s.name == PLACE)
    assert place.error_kg * 2390.0 == pytest.approx(-900.0 * 21.0, rel=0.02)
    assert place.chi2_left < 0.2


def test_readings_that_no_item_explains_are_said_with_the_figure():
    scales = corner_readings(wrong(REMOVED, "exhaust", -12.0), wrong(ADDED, "charger", 25.0), (9.0, 9.0, 0.0, 0.0))
    found = reconcile(VEHICLE, scales, REMOVED, ADDED)
    assert "not reconciled by any single item" in found.verdict
    assert "kg remain" in found.verdict
    assert found.suspects[0].chi2_left > found.chi2_limit


def test_a_bolt_is_never_nine_kilograms_wrong():
    bolt = MassItem("lid bolt", 0.02, (-2300.0, 310.0, 500.0))
    found = reconcile(VEHICLE, corner_readings(REMOVED, wrong(ADDED, "charger", 9.0)), REMOVED, (*ADDED, bolt))
    assert not next(s for s in found.suspects if s.name == "lid bolt").possible
    assert found.suspects[0].name == "charger"


def test_the_driver_is_taken_into_account():
    driver = LoadState(name="driver", items=[{"name": "driver", "mass": 78, "at": [-1300, 330, 600], "tolerance": 0.5}])
    person = MassItem("driver", 78.0, (-1300.0, 330.0, 600.0))
    scales = corner_readings(REMOVED, (*ADDED, person)).model_copy(update={"load_state": "driver"})
    assert reconcile(VEHICLE, scales, REMOVED, ADDED, [driver]).consistent
    with pytest.raises(ValueError, match="not among the load states"):
        reconcile(VEHICLE, scales, REMOVED, ADDED, [])


def test_total_alone_is_one_reading():
    found = reconcile(VEHICLE, AsWeighed(tolerance=1, total=1000), REMOVED, ADDED)
    listed = 870.0 - sum(i.mass_kg for i in REMOVED) + sum(i.mass_kg for i in ADDED)
    assert found.readings[0].difference_kg == pytest.approx(1000.0 - listed)
    assert found.unlisted is None
    with pytest.raises(ValueError, match="give corners"):
        AsWeighed(tolerance=1)


def test_the_scales_alone_give_mass_and_centroid():
    corners = CornerReadings(front_left=300, front_right=280, rear_left=210, rear_right=210)
    found = measured(VEHICLE.model_copy(update={"rear_track_mm": 1400.0}), AsWeighed(tolerance=1, corners=corners))
    assert found is not None
    assert found.mass_kg == 1000.0
    assert found.x_mm == pytest.approx(-2390.0 * 0.42)
    assert found.y_mm == pytest.approx(20.0 * 645.0 / 1000.0)
    assert found.cross_share == pytest.approx(0.49)
    by_axle = measured(VEHICLE, AsWeighed(tolerance=1, front_axle=580, rear_axle=420))
    assert by_axle is not None
    assert (by_axle.x_mm, by_axle.y_mm) == (pytest.approx(found.x_mm), None)
    assert measured(VEHICLE, AsWeighed(tolerance=1, front_axle=580)) is None
