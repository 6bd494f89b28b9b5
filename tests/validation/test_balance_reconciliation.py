"""The reconciliation of scale readings against the theory it rests on.

Sources: least squares and its chi-square, and the test of one observation by its normalised residual, as in adjustment texts
of surveying (W. Baarda, A testing procedure for use in geodetic networks, 1968, from memory): with errors as assumed,
chi-square of the differences follows its distribution with as many degrees of freedom as there are readings, and each w is
standard normal. Critical values 3.841 and 7.815 (one and three degrees of freedom, 95 %) from printed tables (from memory).
"""

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import kstest

from layout.balance.axles import axle_loads
from layout.balance.items import MassItem
from layout.balance.states import corner_loads, vehicle_standing
from layout.balance.suspects import ALIKE
from layout.balance.weighed import item_sigma_kg, reconcile
from layout.job.vehicle import AsWeighed, CornerReadings, Vehicle

TOLERANCE = 0.4
REMOVED = (MassItem("engine", 118.0, (-60.0, 20.0, 520.0)), MassItem("tank", 39.0, (-2150.0, 0.0, 380.0)))
ADDED = (
    MassItem("motor", 58.0, (-210.0, 0.0, 430.0), source="catalogue"),
    MassItem("pack", 120.0, (120.0, -10.0, 470.0), source="computed"),
    MassItem("charger", 6.5, (-2300.0, 310.0, 450.0), source="catalogue"),
)


def vehicle(front: float, rear: float, corners: dict[str, float]) -> Vehicle:
    return Vehicle(
        reference_axle="front",
        wheelbase=2390,
        track=1290,
        front_axle_load=front,
        rear_axle_load=rear,
        load_tolerance=0.6,
        corner_loads=corners,
        front_axle_rating=640,
        rear_axle_rating=780,
        cg_height=540,
    )


TRUE = vehicle(468, 402, {"front_left": 236, "front_right": 232, "rear_left": 203, "rear_right": 199})


def heavier(item: MassItem, by_kg: float, tolerance_kg: float | None = None) -> MassItem:
    """The item with another mass."""
    return replace(item, mass_kg=item.mass_kg + by_kg, tolerance_kg=tolerance_kg)


def noisy_case(rng: np.random.Generator):
    """A vehicle weighed with errors before and after, and a list whose masses are off by their stated deviations."""

    def off(items):
        return tuple(
            MassItem(i.name, i.mass_kg + rng.normal(0.0, item_sigma_kg(i)), i.centroid_mm, source=i.source) for i in items
        )

    after = axle_loads(TRUE, REMOVED, ADDED).after
    c = corner_loads(TRUE, None, vehicle_standing(TRUE), after)
    wheels = np.array([c.front_left_kg, c.front_right_kg, c.rear_left_kg, c.rear_right_kg]) + rng.normal(0.0, TOLERANCE, 4)
    keys = ("front_left", "front_right", "rear_left", "rear_right")
    scales = AsWeighed(tolerance=TOLERANCE, corners=CornerReadings(**dict(zip(keys, wheels.tolist(), strict=True))))
    base = np.array([236.0, 232.0, 203.0, 199.0]) + rng.normal(0.0, 0.6 / 2**0.5, 4)
    listed = vehicle(float(base[:2].sum()), float(base[2:].sum()), dict(zip(keys, base.tolist(), strict=True)))
    return listed, scales, off(REMOVED), off(ADDED)


def test_chi_square_and_normalised_residuals_follow_their_distributions():
    rng = np.random.default_rng(11)
    chi2, normal = [], []
    for _ in range(250):
        listed, scales, removed, added = noisy_case(rng)
        found = reconcile(listed, scales, removed, added)
        chi2.append(found.chi2)
        normal += [next(a.normalised for a in found.adjusted if a.name == "pack")]
    assert kstest(chi2, "chi2", args=(3,)).pvalue > 0.01
    assert kstest(normal, "norm").pvalue > 0.01
    alarms = float(np.mean(np.array(chi2) > 7.815))
    assert 0.02 < alarms < 0.09


def test_limits_are_the_tabulated_ones():
    rng = np.random.default_rng(2)
    listed, scales, removed, added = noisy_case(rng)
    assert reconcile(listed, scales, removed, added).chi2_limit == pytest.approx(7.815, abs=0.001)
    assert pytest.approx(3.841, abs=0.001) == ALIKE


def test_nine_kilograms_are_found_most_of_the_time_whatever_the_noise():
    """An item 9 kg off at a place of its own must be named first in at least 95 of 100 noisy weighings."""
    rng = np.random.default_rng(5)
    hits = 0
    for _ in range(100):
        listed, scales, removed, added = noisy_case(rng)
        wrong = tuple(heavier(i, -9.0 if i.name == "tank" else 0.0, i.tolerance_kg) for i in removed)
        first = reconcile(listed, scales, wrong, added).suspects[0]
        hits += first.name.startswith("tank") and abs(first.error_kg - 9.0) < 3.0
    assert hits >= 95
