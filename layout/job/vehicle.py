"""Tables about the vehicle: what it weighed, what left it, what comes in beside the pack, and what it carries."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, model_validator

from layout import units
from layout.job.entry import (
    Acceleration,
    Angle,
    Coordinate,
    Entry,
    Gap,
    Length,
    Mass,
    Point,
    Quantity,
    Size,
    Stiffness,
    written_as,
)


def _mass_or_unknown(value: Any) -> float | None:
    if value is None or value == "unknown":
        return None
    mass = units.parse(value, "mass")
    if mass <= 0.0:
        msg = 'must be above 0, or the text "unknown"'
        raise ValueError(msg)
    return mass


MassOrUnknown = Annotated[
    float | None,
    Quantity("mass", also='"unknown"'),
    BeforeValidator(_mass_or_unknown, json_schema_input_type=written_as("mass", above=0.0) | Literal["unknown"]),
]
"""In kg; None for the text "unknown". A mass nobody knows is never zero."""


class CornerReadings(Entry):
    """What the scale under each wheel showed."""

    front_left_kg: Mass = Field(alias="front_left")
    front_right_kg: Mass = Field(alias="front_right")
    rear_left_kg: Mass = Field(alias="rear_left")
    rear_right_kg: Mass = Field(alias="rear_right")

    @property
    def front_kg(self) -> float:
        """Load of the front axle."""
        return self.front_left_kg + self.front_right_kg

    @property
    def rear_kg(self) -> float:
        """Load of the rear axle."""
        return self.rear_left_kg + self.rear_right_kg


class Vehicle(Entry):
    """The vehicle as weighed before anything was removed.

    reference_axle: the axle the origin lies under; the other axle is one wheelbase behind it ("front") or ahead of it
    ("rear"). front_end_x_mm, rear_end_x_mm: foremost and rearmost point of the vehicle, where known. track_mm: of both
    axles, or of the front one where rear_track is given. corner_loads: the same weighing by wheel, which places the centroid
    sideways. load_tolerance: by how much an axle load may be off (one standard deviation). braking: for load transfer.
    """

    reference_axle: Literal["front", "rear"]
    wheelbase_mm: Length = Field(alias="wheelbase")
    track_mm: Length = Field(alias="track")
    rear_track_mm: Length | None = Field(default=None, alias="rear_track")
    front_axle_load_kg: Mass = Field(alias="front_axle_load")
    rear_axle_load_kg: Mass = Field(alias="rear_axle_load")
    load_tolerance_kg: Mass | None = Field(default=None, alias="load_tolerance")
    corner_loads: CornerReadings | None = None
    front_axle_rating_kg: Mass = Field(alias="front_axle_rating")
    rear_axle_rating_kg: Mass = Field(alias="rear_axle_rating")
    cg_height_mm: Length = Field(alias="cg_height")
    gross_rating_kg: Mass | None = Field(default=None, alias="gross_rating")
    front_end_x_mm: Coordinate | None = Field(default=None, alias="front_end_x")
    rear_end_x_mm: Coordinate | None = Field(default=None, alias="rear_end_x")
    braking_g: Acceleration = Field(default=0.8, alias="braking", gt=0.0)
    yaw_inertia_kgm2: float | None = Field(default=None, alias="yaw_inertia_kg_m2", gt=0.0, allow_inf_nan=False)
    front_roll_share: float | None = Field(default=None, ge=0.0, le=1.0)
    """Share of the roll stiffness that the front axle provides; from the springs or the axle loads where not given."""

    @property
    def front_axle_x_mm(self) -> float:
        """x of the front axle in vehicle axes."""
        return 0.0 if self.reference_axle == "front" else self.wheelbase_mm

    @property
    def rear_axle_x_mm(self) -> float:
        """x of the rear axle in vehicle axes."""
        return self.front_axle_x_mm - self.wheelbase_mm

    @property
    def tracks_mm(self) -> tuple[float, float]:
        """Track of the front and of the rear axle."""
        return (self.track_mm, self.track_mm if self.rear_track_mm is None else self.rear_track_mm)


class MassEntry(Entry):
    """Something that left the vehicle or came into it: a mass and where its centroid is or was.

    size: of a box around that point, vehicle axes; with it the item is cut at the axle plane, without it it counts as a
    point. tolerance: by how much the mass may be off (one standard deviation). mass may be "unknown".
    """

    name: str = Field(min_length=1)
    mass_kg: MassOrUnknown = Field(alias="mass")
    at_mm: Point = Field(alias="at")
    size_mm: Size | None = Field(default=None, alias="size")
    source: Literal["weighed", "catalogue", "estimated"] = "weighed"
    tolerance_kg: Mass | None = Field(default=None, alias="tolerance")


class WeighedPart(Entry):
    """A part of the conversion put on a scale by itself; its mass beats the computed one.

    name: of an item of the mass list, its number or id, or "pack" for everything the mounts carry, weighed as one.
    """

    name: str = Field(min_length=1)
    mass_kg: Mass = Field(alias="mass")
    tolerance_kg: Mass | None = Field(default=None, alias="tolerance")


class LoadEntry(MassEntry):
    """One thing of a load state. taken_out: it leaves instead (fuel burnt). applies: to which vehicle."""

    taken_out: bool = False
    applies: Literal["before and after", "before", "after"] = "before and after"


class LoadState(Entry):
    """A named load state: driver, passengers, luggage, what is in the tank."""

    name: str = Field(min_length=1)
    items: tuple[LoadEntry, ...] = Field(min_length=1)


class AxleSpring(Entry):
    """Springs of one axle, linear. Give wheel_rate, or spring_rate with motion_ratio, or one measured sag.

    spring_rate: of one spring; motion_ratio: spring travel over wheel travel (wheel rate = rate * ratio^2, ratio 1 where not
    given). sag, sag_load: how far this axle went down when sag_load was put over it (both wheels together).
    unsprung: mass of both wheels and what moves with them.
    """

    wheel_rate_n_per_mm: Stiffness | None = Field(default=None, alias="wheel_rate")
    spring_rate_n_per_mm: Stiffness | None = Field(default=None, alias="spring_rate")
    motion_ratio: float = Field(default=1.0, gt=0.0, le=2.0)
    sag_mm: Length | None = Field(default=None, alias="sag")
    sag_load_kg: Mass | None = Field(default=None, alias="sag_load")
    unsprung_kg: Mass | None = Field(default=None, alias="unsprung")
    free_travel_mm: Gap | None = Field(default=None, alias="bump_travel")
    """Travel left to the bump stop before the conversion."""

    @model_validator(mode="after")
    def _one_way(self) -> AxleSpring:
        ways = [self.wheel_rate_n_per_mm, self.spring_rate_n_per_mm, self.sag_mm]
        if sum(w is not None for w in ways) != 1:
            msg = "give exactly one of wheel_rate, spring_rate, sag (with sag_load)"
            raise ValueError(msg)
        if (self.sag_mm is None) != (self.sag_load_kg is None):
            msg = "sag and sag_load belong together: how far it went down, under which load"
            raise ValueError(msg)
        return self


class Suspension(Entry):
    """Springs per axle, where known."""

    front: AxleSpring | None = None
    rear: AxleSpring | None = None


class Lifted(Entry):
    """One axle lifted on the scales, suspension locked: gives the height of the centroid.

    lifted_axle: the high end. angle: of the vehicle against level; scale_axle: the axle on the scales, scale_load what they
    show then; loaded_radius: height of the wheel centres above what they stand on.
    """

    lifted_axle: Literal["front", "rear"]
    scale_axle: Literal["front", "rear"]
    scale_load_kg: Mass = Field(alias="scale_load")
    angle_deg: Angle = Field(alias="angle", gt=0.0, lt=45.0)
    loaded_radius_mm: Length = Field(alias="loaded_radius")


class AsWeighed(Entry):
    """Scale readings of the finished vehicle. tolerance: of one reading (one standard deviation).

    Give corners, or front_axle and rear_axle, or total alone. load_state: who and what was aboard.
    """

    tolerance_kg: Mass = Field(alias="tolerance")
    corners: CornerReadings | None = None
    front_axle_kg: Mass | None = Field(default=None, alias="front_axle")
    rear_axle_kg: Mass | None = Field(default=None, alias="rear_axle")
    total_kg: Mass | None = Field(default=None, alias="total")
    load_state: str | None = None
    lifted: Lifted | None = None

    @model_validator(mode="after")
    def _some_reading(self) -> AsWeighed:
        if self.corners is None and self.front_axle_kg is None and self.rear_axle_kg is None and self.total_kg is None:
            msg = "give corners, or front_axle and rear_axle, or total"
            raise ValueError(msg)
        return self
