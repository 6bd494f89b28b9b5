"""Load states: the vehicle before and after with what it carries, each with margins, corners, stability and braking.

Stability: track / (2 h), the static stability factor (NHTSA, rollover resistance rating under 49 CFR 575, chapter V "Why choose
SSF?": half the track over the height of the centroid, text seen); static, indicative.
Braking: m a h / L moves from the rear axle to the front one (equilibrium of moments, rigid vehicle, no pitch).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from layout.balance.axles import (
    AxleLoads,
    Margins,
    Standing,
    load_findings,
    margins_of,
    standing_with,
    vehicle_standing,
)
from layout.balance.items import MassItem, entry_item
from layout.balance.springs import wheel_rate_n_per_mm
from layout.frames import Array
from layout.job.vehicle import LoadState, Suspension, Vehicle

UNLADEN = "unladen"


@dataclass(frozen=True)
class CornerLoads:
    """Load under each wheel, kg. assumption: how lateral moment was shared between the axles, and what y counts from."""

    front_left_kg: float
    front_right_kg: float
    rear_left_kg: float
    rear_right_kg: float
    front_roll_share: float
    assumption: str

    @property
    def cross_share(self) -> float:
        """Front right and rear left over the total: the wedge."""
        whole = self.front_left_kg + self.front_right_kg + self.rear_left_kg + self.rear_right_kg
        return (self.front_right_kg + self.rear_left_kg) / whole


@dataclass(frozen=True)
class StateFigures:
    """One vehicle in one load state.

    stability: track / (2 h), no unit. braking: axle loads while braking at braking_g. findings: ratings and lifting axles.
    """

    standing: Standing
    margins: Margins
    corners: CornerLoads
    stability: float
    braking_g: float
    braking: AxleLoads
    findings: tuple[str, ...]

    @property
    def transfer_kg(self) -> float:
        """Load that braking moves to the front axle."""
        return self.braking.front_kg - self.standing.loads.front_kg


@dataclass(frozen=True)
class StateRow:
    """A line of the table of load states."""

    name: str
    before: StateFigures
    after: StateFigures


def stability_factor(track_mm: float, height_mm: float) -> float:
    """Track over twice the centroid's height: the lateral acceleration in g at which a rigid vehicle would tip."""
    return track_mm / (2.0 * height_mm)


def load_transfer_kg(mass_kg: float, deceleration_g: float, height_mm: float, wheelbase_mm: float) -> float:
    """m a h / L, as mass (kg) moved from the rear to the front axle."""
    return mass_kg * deceleration_g * height_mm / wheelbase_mm


def roll_share(vehicle: Vehicle, suspension: Suspension | None, loads: AxleLoads) -> tuple[float, str]:
    """Share of lateral moment the front axle takes, and where that comes from: the job, wheel rates, or the axle loads.

    From wheel rates: k_f t_f^2 / (k_f t_f^2 + k_r t_r^2); anti-roll bars are not in it.
    """
    if vehicle.front_roll_share is not None:
        return vehicle.front_roll_share, "front share of roll stiffness as given"
    if suspension is not None and suspension.front is not None and suspension.rear is not None:
        front, rear = (
            wheel_rate_n_per_mm(spring) * track**2
            for spring, track in zip((suspension.front, suspension.rear), vehicle.tracks_mm, strict=True)
        )
        return front / (front + rear), "front share of roll stiffness from the wheel rates, without anti-roll bars"
    return min(1.0, max(0.0, loads.front_share)), "roll stiffness taken in proportion to the axle loads"


def corner_loads(vehicle: Vehicle, suspension: Suspension | None, before: Standing, now: Standing) -> CornerLoads:
    """Wheel loads: the weighed ones (or half and half) plus what the change of load and of lateral moment brings.

    Four wheels are once statically indeterminate; the lateral moment is shared between the axles by roll_share.
    """
    share, origin = roll_share(vehicle, suspension, now.loads)
    moment = now.mass_kg * now.centroid_mm[1] - before.mass_kg * before.centroid_mm[1]
    front_track, rear_track = vehicle.tracks_mm
    front, rear = share * moment / front_track, (1.0 - share) * moment / rear_track
    base = vehicle.corner_loads
    if base is None:
        half = (now.loads.front_kg / 2.0, now.loads.rear_kg / 2.0)
        note = "left and right taken as equal before the conversion (not weighed by wheel)"
        return CornerLoads(half[0] + front, half[0] - front, half[1] + rear, half[1] - rear, share, f"{origin}; {note}")
    d_front = (now.loads.front_kg - base.front_kg) / 2.0
    d_rear = (now.loads.rear_kg - base.rear_kg) / 2.0
    return CornerLoads(
        base.front_left_kg + d_front + front,
        base.front_right_kg + d_front - front,
        base.rear_left_kg + d_rear + rear,
        base.rear_right_kg + d_rear - rear,
        share,
        f"{origin}; from the weighing by wheel before the conversion",
    )


def state_figures(vehicle: Vehicle, suspension: Suspension | None, before: Standing, now: Standing) -> StateFigures:
    """All figures of one standing. before: the vehicle as weighed."""
    height = now.centroid_mm[2]
    moved = load_transfer_kg(now.mass_kg, vehicle.braking_g, height, vehicle.wheelbase_mm)
    braking = AxleLoads(now.loads.front_kg + moved, now.loads.rear_kg - moved)
    findings = list(load_findings(vehicle, now.loads))
    if braking.rear_kg < 0.0 <= now.loads.rear_kg:
        findings.append(f"braking at {vehicle.braking_g:g} g would lift the rear axle ({braking.rear_kg:.1f} kg)")
    corners = corner_loads(vehicle, suspension, before, now)
    wheels = (corners.front_left_kg, corners.front_right_kg, corners.rear_left_kg, corners.rear_right_kg)
    if min(wheels) < 0.0 <= min(now.loads.front_kg, now.loads.rear_kg):
        findings.append(f"a wheel would lift: its load comes out at {min(wheels):.1f} kg")
    track = sum(vehicle.tracks_mm) / 2.0
    return StateFigures(
        now,
        margins_of(vehicle, now.loads),
        corners,
        stability_factor(track, height),
        vehicle.braking_g,
        braking,
        tuple(findings),
    )


def state_items(state: LoadState, which: str) -> tuple[list[MassItem], list[MassItem]]:
    """What a load state puts in and what it takes out of the vehicle "before" or "after"."""
    mine = [e for e in state.items if which in e.applies]
    put_in = [entry_item(e, "load") for e in mine if not e.taken_out]
    return put_in, [entry_item(e, "load") for e in mine if e.taken_out]


def state_table(
    vehicle: Vehicle,
    removed: Sequence[MassItem],
    added: Sequence[MassItem],
    states: Sequence[LoadState] = (),
    suspension: Suspension | None = None,
) -> tuple[StateRow, ...]:
    """One row per load state, the unladen vehicle first. added: all that came in, the pack's items among them."""
    start = vehicle_standing(vehicle)
    after = standing_with(vehicle, start, added, removed)
    rows = [StateRow(UNLADEN, *(state_figures(vehicle, suspension, start, s) for s in (start, after)))]
    for state in states:
        laden = (
            standing_with(vehicle, base, *state_items(state, which)) for base, which in ((start, "before"), (after, "after"))
        )
        rows.append(StateRow(state.name, *(state_figures(vehicle, suspension, start, s) for s in laden)))
    return tuple(rows)


@dataclass(frozen=True)
class YawInertia:
    """Yaw inertia about the vehicle's own centroid, kg*m2. change: known even where the vehicle's own figure is not."""

    change_kgm2: float
    before_kgm2: float | None
    after_kgm2: float | None
    points: tuple[str, ...]
    """Items counted as points, without an inertia of their own."""


def yaw_inertia(vehicle: Vehicle, removed: Sequence[MassItem], added: Sequence[MassItem]) -> YawInertia:
    """Change of yaw inertia, about the centroid before and the centroid after (parallel-axis theorem in plan)."""
    before = vehicle_standing(vehicle)
    after = standing_with(vehicle, before, added, removed)
    centre = np.array(after.centroid_mm[:2])
    change = before.mass_kg * float(np.sum((np.array(before.centroid_mm[:2]) - centre) ** 2))
    for sign, items in ((1.0, added), (-1.0, removed)):
        for item in items:
            arm = float(np.sum((np.array(item.centroid_mm[:2]) - centre) ** 2))
            change += sign * (item.inertia_kgmm2[2][2] + (item.mass_kg or 0.0) * arm)
    points = tuple(i.name for i in (*removed, *added) if i.body is None and i.mass_kg is not None)
    own = vehicle.yaw_inertia_kgm2
    return YawInertia(change * 1e-6, own, None if own is None else own + change * 1e-6, points)


@dataclass(frozen=True, eq=False)
class ManyLoads:
    """n load states at once: loads, margins and stability of shape (n,), centroid_mm of shape (n, 3).

    gross_margin_kg: None where the vehicle has no gross rating. braking_front_kg: front axle while braking at the vehicle's
    stated deceleration; the rear axle has the rest of the mass.
    """

    front_kg: Array
    rear_kg: Array
    centroid_mm: Array
    front_margin_kg: Array
    rear_margin_kg: Array
    gross_margin_kg: Array | None
    stability: Array
    braking_front_kg: Array

    @property
    def held(self) -> NDArray[np.bool_]:
        """Where no rating is exceeded and no axle lifts, shape (n,)."""
        least = np.minimum(self.front_margin_kg, self.rear_margin_kg)
        if self.gross_margin_kg is not None:
            least = np.minimum(least, self.gross_margin_kg)
        return np.asarray((least >= 0.0) & (self.front_kg >= 0.0) & (self.rear_kg >= 0.0))


def many_loads(vehicle: Vehicle, start: Standing, masses_kg: ArrayLike, at_mm: ArrayLike) -> ManyLoads:
    """Loads of n states of k items each. masses_kg: (n, k) or (k,); at_mm: (n, k, 3) or (k, 3). Taken out: negative masses."""
    masses, at = np.asarray(masses_kg, dtype=float), np.asarray(at_mm, dtype=float)
    moment = np.atleast_2d((masses[..., None, :] @ at)[..., 0, :] if at.ndim == 3 else np.einsum("...k,kc->...c", masses, at))
    added = np.broadcast_to(np.atleast_1d(masses.sum(axis=-1)), moment.shape[:1])
    front_of_items = (moment[:, 0] - added * vehicle.rear_axle_x_mm) / vehicle.wheelbase_mm
    mass = start.mass_kg + added
    front = start.loads.front_kg + front_of_items
    rear = start.loads.rear_kg + added - front_of_items
    centroid = (start.mass_kg * np.array(start.centroid_mm) + moment) / mass[:, None]
    height = centroid[:, 2]
    return ManyLoads(
        front_kg=front,
        rear_kg=rear,
        centroid_mm=centroid,
        front_margin_kg=vehicle.front_axle_rating_kg - front,
        rear_margin_kg=vehicle.rear_axle_rating_kg - rear,
        gross_margin_kg=None if vehicle.gross_rating_kg is None else vehicle.gross_rating_kg - mass,
        stability=sum(vehicle.tracks_mm) / 4.0 / height,
        braking_front_kg=front + mass * vehicle.braking_g * height / vehicle.wheelbase_mm,
    )


__all__ = [
    "CornerLoads",
    "ManyLoads",
    "StateFigures",
    "StateRow",
    "YawInertia",
    "corner_loads",
    "many_loads",
    "stability_factor",
    "state_table",
    "yaw_inertia",
]
