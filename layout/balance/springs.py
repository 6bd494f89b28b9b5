"""Ride height and natural frequency per axle, from linear springs or from one measured sag.

k_wheel = k_spring (motion ratio)^2 (virtual work). Sag of an axle under dm: dm g / (2 k_wheel). Natural frequency of the
sprung mass on two wheels: sqrt(2 k / m) / (2 pi), tyres not in it (single-mass model of vibration textbooks). The same
static deflection, and with it the same ride height and frequency, needs k m_after / m_before.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from layout.balance.axles import AxleLoads
from layout.job.vehicle import AxleSpring, Suspension, Vehicle
from layout.units import G_N


@dataclass(frozen=True)
class AxleRide:
    """One axle before and after.

    drop_mm: by how much the body went down over this axle (negative: it rose). restoring_*: rate that brings the old height
    and frequency back; seat_lift_mm: or, with the old springs, by how much to raise their seats, measured at the wheel.
    sprung_known: False where the unsprung mass is not given and the whole axle load was taken as sprung.
    """

    axle: str
    wheel_rate_n_per_mm: float
    load_before_kg: float
    load_after_kg: float
    drop_mm: float
    hz_before: float
    hz_after: float
    restoring_wheel_rate_n_per_mm: float
    restoring_spring_rate_n_per_mm: float
    sprung_known: bool
    bump_left_mm: float | None
    findings: tuple[str, ...]

    @property
    def seat_lift_mm(self) -> float:
        """Raise the spring seats by this much at the wheel to get the old height back with the old springs."""
        return self.drop_mm


@dataclass(frozen=True)
class Ride:
    """Both axles where known. pitch_deg: nose down positive; None unless both axles are known."""

    front: AxleRide | None
    rear: AxleRide | None
    pitch_deg: float | None


def wheel_rate_n_per_mm(spring: AxleSpring) -> float:
    """Rate at one wheel: as given, from the spring and its motion ratio, or from a measured sag."""
    if spring.wheel_rate_n_per_mm is not None:
        return spring.wheel_rate_n_per_mm
    if spring.spring_rate_n_per_mm is not None:
        return spring.spring_rate_n_per_mm * spring.motion_ratio**2
    if spring.sag_mm is None or spring.sag_load_kg is None:  # the model refuses this; kept for hand-made values
        msg = "no rate and no sag: nothing to work out a wheel rate from"
        raise ValueError(msg)
    return spring.sag_load_kg * G_N / (2.0 * spring.sag_mm)


def natural_hz(wheel_rate: float, sprung_kg: float) -> float:
    """Natural frequency of an axle's sprung mass on its two springs. wheel_rate in N/mm."""
    return math.sqrt(2.0 * wheel_rate * 1000.0 / sprung_kg) / (2.0 * math.pi)


def axle_ride(axle: str, spring: AxleSpring, before_kg: float, after_kg: float) -> AxleRide:
    """Ride of one axle. Raises ValueError where the sprung mass is not above 0 before or after."""
    unsprung = spring.unsprung_kg or 0.0
    sprung, sprung_after = before_kg - unsprung, after_kg - unsprung
    if sprung <= 0.0 or sprung_after <= 0.0:
        loads = f"{before_kg:.1f} kg before, {after_kg:.1f} kg after, {unsprung:.1f} kg of it unsprung"
        msg = f"{axle} axle: {loads}: nothing on its springs"
        raise ValueError(msg)
    rate = wheel_rate_n_per_mm(spring)
    drop = (after_kg - before_kg) * G_N / (2.0 * rate)
    back = rate * sprung_after / sprung
    left = None if spring.free_travel_mm is None else spring.free_travel_mm - drop
    findings = []
    if left is not None and left <= 0.0:
        findings.append(f"{axle} axle: {drop:.0f} mm down leaves {left:.0f} mm to the bump stop")
    return AxleRide(
        axle=axle,
        wheel_rate_n_per_mm=rate,
        load_before_kg=before_kg,
        load_after_kg=after_kg,
        drop_mm=drop,
        hz_before=natural_hz(rate, sprung),
        hz_after=natural_hz(rate, sprung_after),
        restoring_wheel_rate_n_per_mm=back,
        restoring_spring_rate_n_per_mm=back / spring.motion_ratio**2,
        sprung_known=spring.unsprung_kg is not None,
        bump_left_mm=left,
        findings=tuple(findings),
    )


def ride(vehicle: Vehicle, suspension: Suspension | None, before: AxleLoads, after: AxleLoads) -> Ride:
    """Ride of both axles where their springs are known."""
    front = rear = None
    if suspension is not None and suspension.front is not None:
        front = axle_ride("front", suspension.front, before.front_kg, after.front_kg)
    if suspension is not None and suspension.rear is not None:
        rear = axle_ride("rear", suspension.rear, before.rear_kg, after.rear_kg)
    pitch = None
    if front is not None and rear is not None:
        pitch = math.degrees(math.atan2(front.drop_mm - rear.drop_mm, vehicle.wheelbase_mm))
    return Ride(front, rear, pitch)
