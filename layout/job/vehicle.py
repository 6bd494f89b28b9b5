"""Tables about the vehicle: what it weighed, what left it, what comes in beside the pack."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from layout.job.entry import Coordinate, Entry, Length, Mass, Point


class Vehicle(Entry):
    """The vehicle as weighed before anything was removed.

    reference_axle: the axle the origin lies under; the other axle is one wheelbase behind it ("front") or ahead of it
    ("rear"). front_end_x_mm, rear_end_x_mm: foremost and rearmost point of the vehicle, where known.
    """

    reference_axle: Literal["front", "rear"]
    wheelbase_mm: Length = Field(alias="wheelbase")
    track_mm: Length = Field(alias="track")
    front_axle_load_kg: Mass = Field(alias="front_axle_load")
    rear_axle_load_kg: Mass = Field(alias="rear_axle_load")
    front_axle_rating_kg: Mass = Field(alias="front_axle_rating")
    rear_axle_rating_kg: Mass = Field(alias="rear_axle_rating")
    cg_height_mm: Length = Field(alias="cg_height")
    gross_rating_kg: Mass | None = Field(default=None, alias="gross_rating")
    front_end_x_mm: Coordinate | None = Field(default=None, alias="front_end_x")
    rear_end_x_mm: Coordinate | None = Field(default=None, alias="rear_end_x")

    @property
    def front_axle_x_mm(self) -> float:
        """x of the front axle in vehicle axes."""
        return 0.0 if self.reference_axle == "front" else self.wheelbase_mm

    @property
    def rear_axle_x_mm(self) -> float:
        """x of the rear axle in vehicle axes."""
        return self.front_axle_x_mm - self.wheelbase_mm


class MassEntry(Entry):
    """Something that left the vehicle or came into it: a mass and where its centroid is or was."""

    name: str = Field(min_length=1)
    mass_kg: Mass = Field(alias="mass")
    at_mm: Point = Field(alias="at")
    source: Literal["weighed", "catalogue", "estimated"] = "weighed"
