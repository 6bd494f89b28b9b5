import numpy as np
import pytest

from layout.balance.axles import AxleLoads, axle_loads, loads_of
from layout.balance.items import MassItem
from layout.balance.lifting import measured_height
from layout.balance.runs import heat_balance, run_item, run_items, run_length
from layout.balance.states import state_table
from layout.balance.whatif import move, pack_place, worth
from layout.errors import JobError
from layout.job.vehicle import Lifted
from layout.job.wiring import Cooling, Run

ITEMS = (
    MassItem("pack", 120.0, (100.0, 0.0, 450.0)),
    MassItem("controller", 8.0, (-300.0, 100.0, 600.0)),
    MassItem("loom", None, (0.0, 0.0, 300.0), source="unknown"),
)


def test_move_shifts_one_part_and_names_near_misses():
    moved = move(ITEMS, "controller", (50.0, -20.0, 5.0))
    assert moved[1].centroid_mm == pytest.approx((-250.0, 80.0, 605.0))
    assert moved[0] is ITEMS[0]
    with pytest.raises(JobError, match="controller"):
        move(ITEMS, "controler", (0.0, 0.0, 0.0))


def test_names_may_be_ids_or_the_whole_pack():
    listed = [
        MassItem("M1 (slab)", 12.0, (0.0, 0.0, 0.0)),
        MassItem("M10 (slab)", 12.0, (0.0, 0.0, 0.0)),
        MassItem("Drive Motor", 50.0, (0.0, 0.0, 0.0), group="added"),
    ]

    def shifted(name):
        return [i.centroid_mm[0] for i in move(listed, name, (7.0, 0.0, 0.0))]

    assert shifted("M1") == [7.0, 0.0, 0.0]
    assert shifted("m10 (SLAB)") == [0.0, 7.0, 0.0]
    assert shifted("pack") == [7.0, 7.0, 0.0]
    assert shifted("drive motor") == [0.0, 0.0, 7.0]
    with pytest.raises(JobError, match="M10"):
        shifted("M100")


def test_worth_is_the_difference_quotient(vehicle):
    rows = {w.name: w for w in worth(vehicle, ITEMS)}
    assert set(rows) == {"pack", "controller"}
    for name, row in rows.items():
        base = state_table(vehicle, [], ITEMS)[0].after
        ahead = state_table(vehicle, [], move(ITEMS, name, (1000.0, 0.0, 0.0)))[0].after
        assert ahead.standing.loads.front_kg - base.standing.loads.front_kg == pytest.approx(row.front_kg_per_m)
        assert ahead.standing.loads.rear_kg - base.standing.loads.rear_kg == pytest.approx(-row.front_kg_per_m)
        left = state_table(vehicle, [], move(ITEMS, name, (0.0, 1000.0, 0.0)))[0].after.corners
        gained = left.front_left_kg + left.rear_left_kg - base.corners.front_left_kg - base.corners.rear_left_kg
        assert gained == pytest.approx(row.left_kg_per_m)
        higher = state_table(vehicle, [], move(ITEMS, name, (0.0, 0.0, 1000.0)))[0].after
        assert higher.transfer_kg - base.transfer_kg == pytest.approx(row.braking_kg_per_m)
    heavier = loads_of(vehicle, [MassItem("pack", 121.0, (100.0, 0.0, 450.0))])
    lighter = loads_of(vehicle, ITEMS[:1])
    assert heavier.front_kg - lighter.front_kg == pytest.approx(rows["pack"].front_kg_per_kg)
    assert heavier.rear_kg - lighter.rear_kg == pytest.approx(rows["pack"].rear_kg_per_kg)


@pytest.mark.parametrize("share", [0.45, 0.5, 0.55])
def test_pack_at_the_place_found_gives_the_wanted_split(vehicle, share):
    rest = AxleLoads(430.0, 470.0)
    place = pack_place(vehicle, rest, 150.0, share)
    added = loads_of(vehicle, [MassItem("pack", 150.0, (place.x_mm, 0.0, 400.0))])
    assert (rest + added).front_share == pytest.approx(share)


def test_ratings_bound_the_place_of_the_pack(vehicle):
    rest = AxleLoads(530.0, 470.0)
    place = pack_place(vehicle, rest, 150.0, 0.5)
    assert place.within_ratings_mm is not None
    low, high = place.within_ratings_mm
    at_high = rest + loads_of(vehicle, [MassItem("pack", 150.0, (high, 0.0, 0.0))])
    at_low = rest + loads_of(vehicle, [MassItem("pack", 150.0, (low, 0.0, 0.0))])
    assert at_high.front_kg == pytest.approx(600.0)
    assert at_low.rear_kg == pytest.approx(700.0)
    assert pack_place(vehicle, rest, 400.0, 0.5).within_ratings_mm is None
    with pytest.raises(ValueError, match="share must lie"):
        pack_place(vehicle, rest, 100.0, 1.2)


def test_lifted_height_from_either_axle(vehicle):
    angle, height, radius = np.radians(14.0), 610.0, 280.0
    level = AxleLoads(520.0, 480.0)
    gained = 1000.0 * (height - radius) * np.tan(angle) / 2500.0
    low = Lifted(lifted_axle="rear", scale_axle="front", scale_load=520.0 + gained, angle=14.0, loaded_radius=radius)
    high = Lifted(lifted_axle="rear", scale_axle="rear", scale_load=480.0 - gained, angle=14.0, loaded_radius=radius)
    for lifted in (low, high):
        found = measured_height(vehicle, lifted, level, 0.5, 600.0)
        assert found.height_mm == pytest.approx(height)
        assert found.findings == ()
        assert found.sigma_mm == pytest.approx(2500.0 / 1000.0 * 2**0.5 * 0.5 / np.tan(angle))
    swapped = low.model_copy(update={"lifted_axle": "front", "angle_deg": 5.0})
    notes = measured_height(vehicle, swapped, level, 0.5, 600.0).findings
    assert len(notes) == 2
    assert "exchanged" in notes[1]


def test_run_length_rounds_the_corners():
    run = Run(
        name="main",
        points=[[0, 0, 0], [400, 0, 0], [400, 300, 0]],
        diameter=20,
        bend_radius=100,
        movement=25,
        ends=60,
        kg_per_m=0.9,
    )
    found = run_length(run)
    assert found.straight_mm == pytest.approx(700.0)
    assert found.laid_mm == pytest.approx(700.0 - 200.0 + 50.0 * np.pi)
    assert found.cut_mm == pytest.approx(found.laid_mm + 85.0)
    assert found.findings == ()
    item = run_item(run)
    assert item is not None
    assert item.mass_kg == pytest.approx(0.9e-3 * found.cut_mm)
    assert item.centroid_mm == pytest.approx(((400 * 200 + 300 * 400) / 700.0, 300 * 150 / 700.0, 0.0))
    assert run_items([run.model_copy(update={"kg_per_m": None})]) == ()


def test_slack_covers_every_way_the_end_can_move():
    run = Run(
        name="hose", kind="hose", points=[[0, 0, 0], [0, 0, 250], [300, 80, 250]], diameter=30, bend_radius=0, movement=40
    )
    found = run_length(run)
    rng = np.random.default_rng(1)
    ways = rng.normal(size=(500, 3))
    ways *= 40.0 / np.linalg.norm(ways, axis=1)[:, None]
    needed = [
        run_length(run.model_copy(update={"points_mm": (*run.points_mm[:2], tuple(np.add(run.points_mm[2], w)))})) for w in ways
    ]
    assert max(n.laid_mm for n in needed) <= found.cut_mm
    assert max(n.laid_mm for n in needed) > found.cut_mm - 1.0


def test_bends_too_tight_for_their_stretches_are_named():
    run = Run(name="main", points=[[0, 0, 0], [90, 0, 0], [90, 300, 0]], diameter=20, bend_radius=100)
    assert "stretch 1 is 90 mm" in run_length(run).findings[0]
    with pytest.raises(ValueError, match="same place"):
        run_length(run.model_copy(update={"points_mm": ((0.0, 0.0, 0.0), (0.0, 0.0, 0.0))}))


def test_heat_balance_adds_liquid_and_plate():
    both = Cooling(
        name="controller", heat="420 W", inlet_c=40, limit_c=70, flow_l_per_min=6, area_m2=0.05, coefficient_w_m2k=800
    )
    found = heat_balance(both)
    assert found.liquid_rise_k == pytest.approx(420.0 / (0.1 * 1.07 * 3300.0))
    assert found.plate_c == pytest.approx(40.0 + found.liquid_rise_k + 420.0 / 40.0)
    assert found.margin_k == pytest.approx(70.0 - found.plate_c)
    liquid = heat_balance(both.model_copy(update={"area_m2": None, "coefficient_w_m2k": None}))
    assert "lower bound" in liquid.note
    with pytest.raises(ValueError, match="flow_l_per_min"):
        Cooling(name="x", heat=0.4, inlet_c=40, limit_c=70)


def test_axle_loads_after_a_move_follow_the_lever(vehicle):
    base = axle_loads(vehicle, [], ITEMS).after.loads
    moved = axle_loads(vehicle, [], move(ITEMS, "pack", (-250.0, 0.0, 0.0))).after.loads
    assert moved.front_kg - base.front_kg == pytest.approx(-12.0)
