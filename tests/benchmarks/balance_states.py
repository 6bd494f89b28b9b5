"""100 000 load states, and 100 000 places of a pack: vectorised against a plain loop over the same formulas, in one run."""

import time
from collections.abc import Callable

import numpy as np

from layout.balance.axles import standing_with, vehicle_standing
from layout.balance.items import MassItem
from layout.balance.states import many_loads
from layout.job.vehicle import Vehicle

STATES, ITEMS, LOOPED = 100_000, 8, 2_000
VEHICLE = Vehicle(
    reference_axle="front",
    wheelbase=2390,
    track=1290,
    front_axle_load=468,
    rear_axle_load=402,
    front_axle_rating=640,
    rear_axle_rating=780,
    cg_height=540,
)


def best(run: Callable[[], object], times: int = 3) -> float:
    spent = []
    for _ in range(times):
        start = time.perf_counter()
        run()
        spent.append(time.perf_counter() - start)
    return min(spent)


def plain_loop(masses, at) -> list[tuple[float, float]]:
    """The same moments in plain Python, one state after another."""
    found = []
    length = VEHICLE.wheelbase_mm
    for row, places in zip(masses, at, strict=True):
        front, rear = VEHICLE.front_axle_load_kg, VEHICLE.rear_axle_load_kg
        for mass, (x, _, _) in zip(row, places, strict=True):
            share = 1.0 + x / length
            front += mass * share
            rear += mass * (1.0 - share)
        found.append((front, rear))
    return found


def with_objects(masses, at) -> None:
    start = vehicle_standing(VEHICLE)
    for row, places in zip(masses, at, strict=True):
        standing_with(VEHICLE, start, [MassItem("item", m, p) for m, p in zip(row, places, strict=True)])


def main() -> None:
    rng = np.random.default_rng(0)
    masses = rng.uniform(0.0, 90.0, (STATES, ITEMS))
    at = rng.uniform((-2200.0, -600.0, 200.0), (800.0, 600.0, 900.0), (STATES, ITEMS, 3))
    start = vehicle_standing(VEHICLE)
    rows_m, rows_at = masses.tolist(), at.tolist()
    few_m, few_at = rows_m[:LOOPED], rows_at[:LOOPED]
    loads = many_loads(VEHICLE, start, masses, at)
    plain = np.array(plain_loop(rows_m, rows_at))
    print(f"largest difference of front loads: {np.abs(plain[:, 0] - loads.front_kg).max():.1e} kg")
    spent = {
        f"vectorised, {STATES} states of {ITEMS} items": best(lambda: many_loads(VEHICLE, start, masses, at)),
        f"vectorised, {STATES} places of the same items": best(lambda: many_loads(VEHICLE, start, masses[0], at)),
        f"vectorised, {STATES} mass lists at the same places": best(lambda: many_loads(VEHICLE, start, masses, at[0])),
        "plain loop (axle loads alone)": best(lambda: plain_loop(rows_m, rows_at), 1),
        f"loop over values with names, {LOOPED} states scaled up": best(lambda: with_objects(few_m, few_at), 1)
        * STATES
        / LOOPED,
    }
    first = next(iter(spent.values()))
    for name, seconds in spent.items():
        print(f"{name:60s} {seconds:8.4f} s  {seconds / first:8.1f} x")


if __name__ == "__main__":
    main()
