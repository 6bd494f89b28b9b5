"""Axle loads by moment balance on the wheelbase, before and after.

Method: R_rear = sum m (x_front - x) / L, R_front = sum m - R_rear (equilibrium of moments about the front axle's ground
line; the form printed in truck body builders' guides). An item beyond an axle lifts the other one: negative shares are right.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from layout.balance.items import MassItem
from layout.frames import Array, Vec3, vec3
from layout.job.vehicle import Vehicle


@dataclass(frozen=True)
class AxleLoads:
    """Load on each axle, expressed as mass. A negative load is a finding: that axle would lift."""

    front_kg: float
    rear_kg: float

    @property
    def total_kg(self) -> float:
        """Mass of the whole vehicle."""
        return self.front_kg + self.rear_kg

    @property
    def front_share(self) -> float:
        """Front load over the total."""
        return self.front_kg / self.total_kg

    def __add__(self, other: AxleLoads) -> AxleLoads:
        return AxleLoads(self.front_kg + other.front_kg, self.rear_kg + other.rear_kg)

    def __sub__(self, other: AxleLoads) -> AxleLoads:
        return AxleLoads(self.front_kg - other.front_kg, self.rear_kg - other.rear_kg)


@dataclass(frozen=True)
class Standing:
    """The vehicle standing on level ground in one state.

    centroid_mm: in vehicle axes; y counts from the centre plane if the vehicle itself was weighed by corners, else it is
    the shift against a vehicle that was centred before (lateral_known False).
    """

    loads: AxleLoads
    centroid_mm: Vec3
    lateral_known: bool

    @property
    def mass_kg(self) -> float:
        """Mass of the vehicle."""
        return self.loads.total_kg


@dataclass(frozen=True)
class Margins:
    """Rating less load, kg; negative where a rating is exceeded. gross_kg: None where the vehicle has no gross rating given."""

    front_kg: float
    rear_kg: float
    gross_kg: float | None

    @property
    def held(self) -> bool:
        """True where no rating is exceeded."""
        return min(self.front_kg, self.rear_kg) >= 0.0 and (self.gross_kg is None or self.gross_kg >= 0.0)


@dataclass(frozen=True)
class Balance:
    """Before and after the conversion, unladen. findings: what a reader must know, in sentences."""

    before: Standing
    after: Standing
    removed_kg: float
    added_kg: float
    margins_before: Margins
    margins: Margins
    unknown: tuple[str, ...]
    findings: tuple[str, ...]

    @property
    def change_kg(self) -> float:
        """Added less removed."""
        return self.added_kg - self.removed_kg

    @property
    def ratings_held(self) -> bool:
        """True where the vehicle after the conversion exceeds no rating and no axle lifts."""
        return self.margins.held and min(self.after.loads.front_kg, self.after.loads.rear_kg) >= 0.0


def share_front(vehicle: Vehicle, x_mm: ArrayLike) -> Array:
    """Share of a mass at x that the front axle carries, any shape; below 0 or above 1 beyond the axles."""
    return (np.asarray(x_mm, dtype=float) - vehicle.rear_axle_x_mm) / vehicle.wheelbase_mm


def loads_of(vehicle: Vehicle, items: Iterable[MassItem]) -> AxleLoads:
    """What the items of known mass put on each axle."""
    known = [(i.mass_kg, i.centroid_mm[0]) for i in items if i.mass_kg is not None]
    masses = np.array([m for m, _ in known], dtype=float)
    rear = float(masses @ (1.0 - share_front(vehicle, [x for _, x in known]))) if known else 0.0
    return AxleLoads(float(masses.sum()) - rear, rear)


def vehicle_standing(vehicle: Vehicle) -> Standing:
    """The vehicle as weighed before anything was removed: its centroid from its own axle and corner loads."""
    loads = AxleLoads(vehicle.front_axle_load_kg, vehicle.rear_axle_load_kg)
    x = vehicle.rear_axle_x_mm + loads.front_share * vehicle.wheelbase_mm
    corners = vehicle.corner_loads
    if corners is None:
        return Standing(loads, (x, 0.0, vehicle.cg_height_mm), lateral_known=False)
    front_track, rear_track = vehicle.tracks_mm
    moment = 0.5 * front_track * (corners.front_left_kg - corners.front_right_kg)
    moment += 0.5 * rear_track * (corners.rear_left_kg - corners.rear_right_kg)
    y = moment / (corners.front_kg + corners.rear_kg)
    return Standing(loads, (x, y, vehicle.cg_height_mm), lateral_known=True)


def standing_with(
    vehicle: Vehicle, start: Standing, put_in: Sequence[MassItem] = (), taken_out: Sequence[MassItem] = ()
) -> Standing:
    """The standing after items were put in and others taken out (their known masses).

    Raises ValueError where nothing is left.
    """
    loads = start.loads + loads_of(vehicle, put_in) - loads_of(vehicle, taken_out)
    if loads.total_kg <= 0.0:
        msg = f"{loads.total_kg:.1f} kg would be left of the vehicle: more is taken out than it weighs"
        raise ValueError(msg)
    moment = start.mass_kg * np.array(start.centroid_mm)
    for sign, items in ((1.0, put_in), (-1.0, taken_out)):
        for item in items:
            moment = moment + sign * (item.mass_kg or 0.0) * np.array(item.centroid_mm)
    return Standing(loads, vec3(moment / loads.total_kg), start.lateral_known)


def margins_of(vehicle: Vehicle, loads: AxleLoads) -> Margins:
    """Ratings less loads."""
    gross = vehicle.gross_rating_kg
    return Margins(
        vehicle.front_axle_rating_kg - loads.front_kg,
        vehicle.rear_axle_rating_kg - loads.rear_kg,
        None if gross is None else gross - loads.total_kg,
    )


def axle_loads(vehicle: Vehicle, removed: Sequence[MassItem], added: Sequence[MassItem]) -> Balance:
    """Balance before and after. removed: what left; added: all that came in, the pack's items among them."""
    before = vehicle_standing(vehicle)
    after = standing_with(vehicle, before, added, removed)
    unknown = tuple(i.name for i in (*removed, *added) if i.mass_kg is None)
    return Balance(
        before=before,
        after=after,
        removed_kg=sum(i.mass_kg or 0.0 for i in removed),
        added_kg=sum(i.mass_kg or 0.0 for i in added),
        margins_before=margins_of(vehicle, before.loads),
        margins=margins_of(vehicle, after.loads),
        unknown=unknown,
        findings=load_findings(vehicle, after.loads, unknown),
    )


def load_findings(vehicle: Vehicle, loads: AxleLoads, unknown: Sequence[str] = ()) -> tuple[str, ...]:
    """Sentences about ratings exceeded, axles that lift and masses not counted."""
    found = []
    for axle, load, rating in (
        ("front", loads.front_kg, vehicle.front_axle_rating_kg),
        ("rear", loads.rear_kg, vehicle.rear_axle_rating_kg),
    ):
        if load < 0.0:
            found.append(f"the {axle} axle would lift: its load comes out at {load:.1f} kg")
        if load > rating:
            found.append(f"{axle} axle {load:.1f} kg against its rating of {rating:.1f} kg: {load - rating:.1f} kg over")
    gross = vehicle.gross_rating_kg
    if gross is not None and loads.total_kg > gross:
        found.append(
            f"vehicle {loads.total_kg:.1f} kg against its rating of {gross:.1f} kg: {loads.total_kg - gross:.1f} kg over"
        )
    if unknown:
        found.append(f"mass unknown, not in these figures: {', '.join(unknown)}")
    return tuple(found)
