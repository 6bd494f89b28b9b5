"""Base of all tables of the job file, and the types of their values.

Attribute names carry the unit (`wheelbase_mm`), the file's keys do not (`wheelbase`): the alias is the key.
Values in the model are in mm, kg, N, N*mm, V, kWh, kW, degrees, seconds, g or as the attribute's name says.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict

from layout import units

Direction = Literal["+x", "-x", "+y", "-y", "+z", "-z"]


class Entry(BaseModel):
    """A table of the job file: frozen, no unknown keys."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)


def _read(kind: str) -> BeforeValidator:
    def parse(value: Any) -> float:
        return units.parse(value, kind)

    return BeforeValidator(parse, json_schema_input_type=float | str)


def _above_zero(value: float) -> float:
    if value <= 0.0:
        msg = "must be above 0"
        raise ValueError(msg)
    return value


def _not_negative(value: float) -> float:
    if value < 0.0:
        msg = "must not be negative"
        raise ValueError(msg)
    return value


POSITIVE = AfterValidator(_above_zero)
NOT_NEGATIVE = AfterValidator(_not_negative)

Coordinate = Annotated[float, _read("length")]
"""A position along an axis in mm; may be negative."""
Length = Annotated[float, _read("length"), POSITIVE]
Gap = Annotated[float, _read("length"), NOT_NEGATIVE]
Mass = Annotated[float, _read("mass"), POSITIVE]
Force = Annotated[float, _read("force"), POSITIVE]
Torque = Annotated[float, _read("torque"), POSITIVE]
Voltage = Annotated[float, _read("voltage"), POSITIVE]
Energy = Annotated[float, _read("energy"), POSITIVE]
Power = Annotated[float, _read("power"), POSITIVE]
Current = Annotated[float, _read("current"), POSITIVE]
Angle = Annotated[float, _read("angle")]
Duration = Annotated[float, _read("time"), POSITIVE]
Acceleration = Annotated[float, _read("acceleration")]
"""In g (9.80665 m/s2)."""
Stiffness = Annotated[float, _read("stiffness"), POSITIVE]
"""In N/mm."""

Point = tuple[Coordinate, Coordinate, Coordinate]
PlanPoint = tuple[Coordinate, Coordinate]
Outline = tuple[PlanPoint, ...]
Size = tuple[Length, Length, Length]
