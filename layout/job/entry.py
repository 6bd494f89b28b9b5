"""Base of all tables of the job file, and the types of their values.

Attribute names carry the unit (`wheelbase_mm`), the file's keys do not (`wheelbase`): the alias is the key.
Values in the model are in mm, kg, N, N*mm, V, kWh, kW, degrees, seconds, g or as the attribute's name says.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, Field

from layout import units

Direction = Literal["+x", "-x", "+y", "-y", "+z", "-z"]


class Entry(BaseModel):
    """A table of the job file: frozen, no unknown keys.

    What stands under a field as a docstring becomes its description in the schema (see schema.py). Validators are built when
    first needed: once for the whole job rather than once per table.
    """

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True, defer_build=True)


@dataclass(frozen=True)
class Quantity:
    """Mark on a value's type: it is read by `layout.units.parse` as this kind."""

    kind: str
    also: str = ""
    """Text that is taken besides, as it is written in the file."""


class _Reader:
    """The validator of one kind of quantity."""

    def __init__(self, kind: str) -> None:
        self.kind = kind

    def __call__(self, value: Any) -> float:
        return units.parse(value, self.kind)


def written_as(kind: str, *, above: float | None = None, least: float | None = None) -> Any:
    """Type of what may stand in the file for a quantity, for the schema: a number, or text with a unit."""
    signed = above is None and least is None
    what = units.KINDS[kind]
    name = kind if signed else f"{kind}_above_0" if least is None else f"{kind}_0_or_more"
    text = Field(
        pattern=units.pattern(kind, signed=signed),
        description=f"{what.noun}: a bare number is in {what.default}; or text with its unit, such as {what.example}",
        json_schema_extra={"kind": name},
    )
    return Annotated[float, Field(gt=above, ge=least)] | Annotated[str, text]


def _read(kind: str) -> BeforeValidator:
    return BeforeValidator(_Reader(kind), json_schema_input_type=written_as(kind))


def _read_positive(kind: str) -> BeforeValidator:
    return BeforeValidator(_Reader(kind), json_schema_input_type=written_as(kind, above=0.0))


def _above_zero(value: float) -> float:
    if value <= 0.0:
        msg = "it must be above 0"
        raise ValueError(msg)
    return value


def _not_negative(value: float) -> float:
    if value < 0.0:
        msg = "it must not be negative"
        raise ValueError(msg)
    return value


POSITIVE = AfterValidator(_above_zero)
NOT_NEGATIVE = AfterValidator(_not_negative)

Coordinate = Annotated[float, Quantity("length"), _read("length")]
"""A position along an axis in mm; may be negative."""
Length = Annotated[float, Quantity("length"), _read_positive("length"), POSITIVE]
_GAP = BeforeValidator(_Reader("length"), json_schema_input_type=written_as("length", least=0.0))
Gap = Annotated[float, Quantity("length"), _GAP, NOT_NEGATIVE]
Mass = Annotated[float, Quantity("mass"), _read_positive("mass"), POSITIVE]
Force = Annotated[float, Quantity("force"), _read_positive("force"), POSITIVE]
Torque = Annotated[float, Quantity("torque"), _read_positive("torque"), POSITIVE]
Voltage = Annotated[float, Quantity("voltage"), _read_positive("voltage"), POSITIVE]
Energy = Annotated[float, Quantity("energy"), _read_positive("energy"), POSITIVE]
Power = Annotated[float, Quantity("power"), _read_positive("power"), POSITIVE]
Current = Annotated[float, Quantity("current"), _read_positive("current"), POSITIVE]
Angle = Annotated[float, Quantity("angle"), _read("angle")]
Duration = Annotated[float, Quantity("time"), _read_positive("time"), POSITIVE]
Acceleration = Annotated[float, Quantity("acceleration"), _read("acceleration")]
"""In g (9.80665 m/s2)."""
Stiffness = Annotated[float, Quantity("stiffness"), _read_positive("stiffness"), POSITIVE]
"""In N/mm."""

Point = tuple[Coordinate, Coordinate, Coordinate]
PlanPoint = tuple[Coordinate, Coordinate]
Outline = tuple[PlanPoint, ...]
Size = tuple[Length, Length, Length]
