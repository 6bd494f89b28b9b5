"""Physical sense of the vehicle as weighed, and of what left it."""

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


def rating_problems(vehicle: Vehicle) -> Iterator[Problem]:
    """Loads as weighed within the ratings."""
    for end in ("front", "rear"):
        load, rating = getattr(vehicle, f"{end}_axle_load_kg"), getattr(vehicle, f"{end}_axle_rating_kg")
        if rating < load:
            want = f"is below the axle's load as weighed, {load:.5g} kg"
            yield Problem(f"vehicle.{end}_axle_rating", f"{rating:.5g} kg", want, "Read the plate again, or weigh again.")
    total = vehicle.front_axle_load_kg + vehicle.rear_axle_load_kg
    if vehicle.gross_rating_kg is not None and vehicle.gross_rating_kg < total:
        want = f"is below the vehicle as weighed, {total:.5g} kg"
        got = f"{vehicle.gross_rating_kg:.5g} kg"
        yield Problem("vehicle.gross_rating", got, want, "Read the plate again, or weigh again.")


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


def lightened_problems(vehicle: Vehicle, removed: tuple[MassEntry, ...]) -> Iterator[Problem]:
    """What is left on each axle after the removal, by moments about the other axle, must be more than nothing.

    Moment balance of a beam on two supports: share of the front axle = (x - x_rear) / wheelbase.
    """
    known = [(item.mass_kg, item.at_mm[0]) for item in removed if item.mass_kg is not None]
    off_front = sum(mass * (x - vehicle.rear_axle_x_mm) / vehicle.wheelbase_mm for mass, x in known)
    off_rear = sum(mass for mass, _ in known) - off_front
    weighed = {"front": vehicle.front_axle_load_kg, "rear": vehicle.rear_axle_load_kg}
    for end, off in (("front", off_front), ("rear", off_rear)):
        if off >= weighed[end]:
            want = f"what was removed took {off:.4g} kg off this axle, which is no less than it carried"
            remedy = "Check masses and places of [[removed]], and which axle load is which."
            yield Problem(f"vehicle.{end}_axle_load", f"{weighed[end]:.5g} kg", want, remedy)


RULES: Final = (
    Rule(("vehicle",), size_problems),
    Rule(("vehicle",), rating_problems),
    Rule(("removed", "added"), name_problems),
    Rule(("vehicle", "removed", "added"), place_problems),
    Rule(("vehicle", "removed"), lightened_problems),
)
