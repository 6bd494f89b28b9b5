"""Physical sense of the vehicle's sizes and of the places of what left it or came in. Loads: layout.balance.problems."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from layout.errors import Problem
from layout.job.sense.rule import Rule, mm, repeated
from layout.job.vehicle import MassEntry, Vehicle

_LIMITS_MM: Final = {"wheelbase": (500.0, 10_000.0), "track": (300.0, 3_000.0), "cg_height": (100.0, 2_500.0)}
"""Bands for road vehicles of every size (common practice, no source); outside of them the unit is wrong."""
_BEYOND_MM: Final = 3_000.0
"""How far beyond an axle a part of the vehicle can lie where its ends are not given (common practice, no source)."""


def size_problems(vehicle: Vehicle) -> Iterator[Problem]:
    """Wheelbase, track and height of the centroid in a plausible band; ends outside of the axles."""
    for key, (low, high) in _LIMITS_MM.items():
        value = getattr(vehicle, f"{key}_mm")
        if not low <= value <= high:
            want = f"a road vehicle has {low:g} mm to {high / 1000:g} m"
            yield Problem(f"vehicle.{key}", mm(value), want, "Check the unit: a bare number is in mm.")
    front, rear = vehicle.front_end_x_mm, vehicle.rear_end_x_mm
    if front is not None and front <= vehicle.front_axle_x_mm:
        want = f"must lie ahead of the front axle (x = {vehicle.front_axle_x_mm:g} mm)"
        yield Problem("vehicle.front_end_x", mm(front), want, "x counts forward from the reference axle.")
    if rear is not None and rear >= vehicle.rear_axle_x_mm:
        want = f"must lie behind the rear axle (x = {vehicle.rear_axle_x_mm:g} mm)"
        yield Problem("vehicle.rear_end_x", mm(rear), want, "x counts forward from the reference axle: behind it is negative.")


def name_problems(removed: tuple[MassEntry, ...], added: tuple[MassEntry, ...]) -> Iterator[Problem]:
    """Names that differ within a list."""
    yield from repeated(removed, "removed")
    yield from repeated(added, "added")


def place_problems(vehicle: Vehicle, removed: tuple[MassEntry, ...], added: tuple[MassEntry, ...]) -> Iterator[Problem]:
    """What left or came in was or is within the vehicle's length and not below the ground."""
    front = vehicle.front_end_x_mm if vehicle.front_end_x_mm is not None else vehicle.front_axle_x_mm + _BEYOND_MM
    rear = vehicle.rear_end_x_mm if vehicle.rear_end_x_mm is not None else vehicle.rear_axle_x_mm - _BEYOND_MM
    for key, items in (("removed", removed), ("added", added)):
        for index, item in enumerate(items, start=1):
            path, got = f"{key}[{index}].at", str(list(item.at_mm))
            if not rear <= item.at_mm[0] <= front:
                want = f"x must lie within the vehicle, {rear:g} to {front:g} mm"
                yield Problem(path, got, want, "x counts forward from the reference axle; check sign and unit.")
            if item.at_mm[2] < 0.0:
                yield Problem(path, got, "z must not be below the ground", "z counts up from the ground.")


RULES: Final = (
    Rule(("vehicle",), size_problems),
    Rule(("removed", "added"), name_problems),
    Rule(("vehicle", "removed", "added"), place_problems),
)
