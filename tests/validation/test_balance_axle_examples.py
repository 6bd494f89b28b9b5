"""Moment balance on the wheelbase against published examples, lifting of one axle, and load transfer.

Sources (texts seen in public copies):
- A medium-duty truck body builder's manual, appendix B "Weight distribution", figures B-2 (100 lb, 133 in behind the front
  axle, wheelbase 214 in; printed 62.14 and 38.86 lb) and B-5 (14 500 lb at 156 in; printed 10 570 and 3 929.9 lb). The front
  figure of B-2 is a misprint: 100 - 62.14 = 37.86.
- A guide to axle weights for truck drivers: service body of 6000 lb, centroid 30 in ahead of the rear axle, wheelbase 220 in;
  printed 5181.8 and 818.2 lb.
- Centroid height from one axle lifted: h = r + (b - L W_f'/W) / tan(angle), a course text on vehicle dynamics (formula and
  derivation seen), and the construction in steps of a van maker's guide for body builders, section 3.5 (text seen).
- Load transfer and the greatest acceleration of a 1.8 t vehicle, wheelbase 2.6 m, centroid 0.7 m high and midway, friction 0.7:
  lecture notes on vehicle acceleration (statement and method seen; result recomputed from the printed method).
"""

import math

import numpy as np
import pytest

from layout.balance.axles import loads_of, standing_with, vehicle_standing
from layout.balance.items import MassItem
from layout.balance.lifting import lifted_height_mm
from layout.balance.states import corner_loads, load_transfer_kg, stability_factor
from layout.job.vehicle import AxleSpring, Suspension, Vehicle

INCH, POUND = 25.4, 0.45359237


def vehicle(wheelbase_mm: float) -> Vehicle:
    return Vehicle(
        reference_axle="front",
        wheelbase=wheelbase_mm,
        track=1500,
        front_axle_load=1000,
        rear_axle_load=1000,
        front_axle_rating=9000,
        rear_axle_rating=9000,
        cg_height=600,
    )


@pytest.mark.parametrize(
    ("load_lb", "wheelbase_in", "behind_front_in", "rear_lb", "front_lb", "tolerance"),
    [(100, 214, 133, 62.14, 37.86, 0.02), (14500, 214, 156, 10570, 3929.9, 0.2), (6000, 220, 190, 5181.8, 818.2, 0.1)],
)
def test_published_axle_loads(load_lb, wheelbase_in, behind_front_in, rear_lb, front_lb, tolerance):
    loads = loads_of(vehicle(wheelbase_in * INCH), [MassItem("load", load_lb * POUND, (-behind_front_in * INCH, 0.0, 1000.0))])
    assert loads.rear_kg / POUND == pytest.approx(rear_lb, abs=tolerance)
    assert loads.front_kg / POUND == pytest.approx(front_lb, abs=tolerance)


def test_the_misprint_is_wrong():
    loads = loads_of(vehicle(214 * INCH), [MassItem("load", 100 * POUND, (-133 * INCH, 0.0, 1000.0))])
    front = loads.front_kg / POUND
    assert abs(front - 38.86) > 0.9
    assert loads.total_kg / POUND == pytest.approx(100.0)
    assert pytest.approx(100.0) != 62.14 + 38.86


def test_reference_axle_at_the_rear_gives_the_same_loads():
    rear = vehicle(214 * INCH).model_copy(update={"reference_axle": "rear"})
    loads = loads_of(rear, [MassItem("load", 100 * POUND, ((214 - 133) * INCH, 0.0, 1000.0))])
    assert loads.front_kg / POUND == pytest.approx(37.86, abs=0.02)


@pytest.mark.parametrize("angle_deg", [8.0, 12.0, 20.0, 35.0])
def test_centroid_height_by_lifting_the_front(angle_deg):
    """The published form in W_f' against ours in what the low axle gains, on one statics model of the tilted vehicle."""
    wheelbase, mass, front, height, radius = 2400.0, 950.0, 520.0, 550.0, 290.0
    theta = math.radians(angle_deg)
    b = wheelbase * front / mass
    # moments about the rear wheel centre of the vehicle tilted by theta: both arms are level distances
    front_lifted = mass * (b * math.cos(theta) - (height - radius) * math.sin(theta)) / (wheelbase * math.cos(theta))
    published = radius + (b - wheelbase * front_lifted / mass) / math.tan(theta)
    found = lifted_height_mm(wheelbase, mass, front - front_lifted, radius, angle_deg)
    assert found == pytest.approx(published, rel=1e-9)
    assert found == pytest.approx(height, rel=1e-9)


def test_centroid_height_by_the_construction_of_a_body_builders_guide():
    """The guide's own steps: wheelbase after lifting by a, distances of the centroid from the rear axle level and lifted, and
    z = y tan(beta) above the wheel centres, cos(beta) = a / wheelbase."""
    base, front, rear, front_lifted, rear_lifted, a, radius = 3640.0, 1240.0, 920.0, 1180.0, 980.0, 700.0, 345.0
    x_level = front * base / (front + rear)
    base_lifted = math.sqrt(base**2 - a**2)
    x_lifted = front_lifted * base_lifted / (front_lifted + rear_lifted)
    u = a * x_lifted / base_lifted
    y = x_level - math.hypot(u, x_lifted)
    height = radius + y * math.tan(math.acos(a / base))
    angle = math.degrees(math.asin(a / base))
    assert lifted_height_mm(base, front + rear, rear_lifted - rear, radius, angle) == pytest.approx(height, rel=1e-12)


def test_short_form_without_the_cosine_overstates():
    """L^2 dW / (H W) with H the lift of the axle is the short form: at 12 degrees it gives 555.8 mm for 550 mm."""
    wheelbase, mass, radius, theta = 2400.0, 950.0, 290.0, math.radians(12.0)
    gained = mass * 260.0 * math.tan(theta) / wheelbase
    short = radius + wheelbase**2 * gained / (mass * wheelbase * math.sin(theta))
    assert short == pytest.approx(555.8, abs=0.1)
    assert lifted_height_mm(wheelbase, mass, gained, radius, 12.0) == pytest.approx(550.0)


@pytest.mark.parametrize("seed", range(6))
def test_wheel_loads_of_a_rigid_body_on_four_springs(seed):
    """Statics of a rigid plate on four springs, solved as a 3x3 system for heave, pitch and roll: the changes of wheel loads
    must be those of `corner_loads` with the front share of roll stiffness from the same springs."""
    rng = np.random.default_rng(seed)
    rates, tracks = rng.uniform(10.0, 40.0, 2), (1400.0, 1480.0)
    base = vehicle(2500.0).model_copy(update={"track_mm": tracks[0], "rear_track_mm": tracks[1]})
    springs = Suspension(front=AxleSpring(wheel_rate=float(rates[0])), rear=AxleSpring(wheel_rate=float(rates[1])))
    item = MassItem(
        "load", float(rng.uniform(20.0, 200.0)), tuple(rng.uniform((-3000.0, -600.0, 200.0), (700.0, 600.0, 900.0)))
    )
    at = np.array([(0.0, tracks[0] / 2), (0.0, -tracks[0] / 2), (-2500.0, tracks[1] / 2), (-2500.0, -tracks[1] / 2)])
    k = np.array([rates[0], rates[0], rates[1], rates[1]])
    shape = np.column_stack([np.ones(4), at])
    motion = np.linalg.solve(
        shape.T @ (k[:, None] * shape), item.mass_kg * np.array([1.0, item.centroid_mm[0], item.centroid_mm[1]])
    )
    change = k * (shape @ motion)
    start = vehicle_standing(base)
    c = corner_loads(base, springs, start, standing_with(base, start, [item]))
    found = np.array([c.front_left_kg, c.front_right_kg, c.rear_left_kg, c.rear_right_kg]) - 500.0
    assert found == pytest.approx(change)


def test_greatest_acceleration_with_front_drive_from_load_transfer():
    """m a = mu (R_f - m a h / b): a = mu g / 2 / (1 + mu h / b), 2.89 m/s2. Load transfer must give that front load back."""
    mass, base, height, friction, g = 1800.0, 2600.0, 700.0, 0.7, 9.81
    a = friction * g / 2.0 / (1.0 + friction * height / base)
    assert a == pytest.approx(2.89, abs=0.005)
    front_kg = mass / 2.0 - load_transfer_kg(mass, a / g, height, base)
    assert friction * front_kg * g == pytest.approx(mass * a)


def test_static_stability_factor_is_half_the_track_over_the_height():
    """NHTSA's definition (rollover resistance rating, 49 CFR 575, text seen).

    A rigid vehicle tips where its centroid stands over the wheels: tan(angle) = (track / 2) / height (geometry).
    """
    tip = math.atan2(700.0, 500.0)
    assert stability_factor(1400.0, 500.0) == pytest.approx(math.tan(tip))
