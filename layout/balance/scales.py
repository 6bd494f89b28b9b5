"""Scale readings as observations of the mass list, and the centroid they give by themselves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from layout.balance.axles import share_front
from layout.frames import Array
from layout.job.vehicle import AsWeighed, CornerReadings, Vehicle


@dataclass(frozen=True, eq=False)
class Observations:
    """Readings in kg with their covariance. rows: what each is ("front", "rear", "side" or "total"); names: in words.

    "side" is the lateral moment over half the mean track: left less right where both tracks are equal.
    """

    values_kg: Array
    covariance_kg2: Array
    names: tuple[str, ...]
    rows: tuple[str, ...]


@dataclass(frozen=True)
class Measured:
    """What the scales say without any list: mass, centroid along the vehicle and (by wheels) sideways, and the wedge.

    cross_share: front right and rear left over the whole.
    """

    mass_kg: float
    x_mm: float
    y_mm: float | None
    cross_share: float | None


def half_track_mm(vehicle: Vehicle) -> float:
    """Half the mean track."""
    return sum(vehicle.tracks_mm) / 4.0


def track_weights(vehicle: Vehicle) -> tuple[float, float]:
    """Each axle's track over the mean one."""
    front, rear = vehicle.tracks_mm
    mean = 2.0 * half_track_mm(vehicle)
    return (front / mean, rear / mean)


def side_kg(vehicle: Vehicle, corners: CornerReadings) -> float:
    """Lateral moment over half the mean track."""
    front, rear = track_weights(vehicle)
    return front * (corners.front_left_kg - corners.front_right_kg) + rear * (corners.rear_left_kg - corners.rear_right_kg)


def observations(vehicle: Vehicle, weighed: AsWeighed) -> Observations:
    """Readings that the list can be held against. Left less right only counts where it was weighed before, too."""
    variance = weighed.tolerance_kg**2
    corners = weighed.corners
    if corners is None:
        given = (
            ("front", "front axle", weighed.front_axle_kg),
            ("rear", "rear axle", weighed.rear_axle_kg),
            ("total", "whole vehicle", weighed.total_kg),
        )
        used = [(row, name, float(v)) for row, name, v in given if v is not None]
        values = np.array([v for _, _, v in used])
        return Observations(values, variance * np.eye(len(used)), tuple(n for _, n, _ in used), tuple(r for r, _, _ in used))
    axles = [corners.front_kg, corners.rear_kg]
    if vehicle.corner_loads is None:
        return Observations(np.array(axles), 2.0 * variance * np.eye(2), ("front axle", "rear axle"), ("front", "rear"))
    front, rear = track_weights(vehicle)
    covariance = variance * np.diag([2.0, 2.0, 2.0 * (front**2 + rear**2)])
    names = ("front axle", "rear axle", "left less right")
    return Observations(np.array([*axles, side_kg(vehicle, corners)]), covariance, names, ("front", "rear", "side"))


def column_of(vehicle: Vehicle, x_mm: float, y_mm: float, rows: Sequence[str]) -> Array:
    """What one kilogram at a place adds to each reading."""
    front = float(share_front(vehicle, x_mm))
    each = {"front": front, "rear": 1.0 - front, "side": y_mm / half_track_mm(vehicle), "total": 1.0}
    return np.array([each[r] for r in rows])


def measured(vehicle: Vehicle, weighed: AsWeighed) -> Measured | None:
    """Mass and centroid from the readings alone; None without both axles."""
    corners = weighed.corners
    front = weighed.front_axle_kg if corners is None else corners.front_kg
    rear = weighed.rear_axle_kg if corners is None else corners.rear_kg
    if front is None or rear is None:
        return None
    mass = front + rear
    x = vehicle.rear_axle_x_mm + vehicle.wheelbase_mm * front / mass
    if corners is None:
        return Measured(mass, x, None, None)
    y = side_kg(vehicle, corners) * half_track_mm(vehicle) / mass
    return Measured(mass, x, y, (corners.front_right_kg + corners.rear_left_kg) / mass)
