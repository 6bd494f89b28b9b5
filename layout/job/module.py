"""Tables about the modules and what the pack of them must be."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from layout.job.entry import Angle, Direction, Energy, Entry, Force, Gap, Length, Mass, PlanPoint, Point, Power, Size, Voltage

Wish = Literal["ahead_of_axle", "low", "centred", "small_box", "short_links", "serviceable"]


class Fixing(Entry):
    """The module's own fixing holes, in its own x, y from the middle of its base, and the bolt they take."""

    pattern_mm: tuple[PlanPoint, ...] = Field(alias="pattern", min_length=1)
    bolt: str = Field(pattern=r"^M(4|5|6|8|10)$")
    load_n: Force | None = Field(default=None, alias="load")
    """Greatest force, in any direction, that the maker allows on one fixing point; not checked where not given."""


class Clamp(Entry):
    """What holds a module without fixing holes: a frame round its foot, bars over its top, threaded rods beside it.

    The rods stand at the two opposite sides without terminals, the bars run from one of these to the other.
    """

    rod: Literal["M6", "M8"] = "M6"
    pad_mm: Length = Field(default=2.0, alias="pad", ge=1.0, le=10.0)
    """Thickness, as fitted, of the soft strip between each bar and the module's top."""
    load_n: Force | None = Field(default=None, alias="load")
    """Greatest force that the maker allows on the module's top or on one side of its foot; not checked where not given."""


class ModuleType(Entry):
    """A kind of battery module. Own axes: size along own x, y, z from the middle of the body."""

    name: str = Field(min_length=1)
    size_mm: Size = Field(alias="size")
    mass_kg: Mass = Field(alias="mass")
    centroid_offset_mm: Point = Field(default=(0.0, 0.0, 0.0), alias="centroid_offset")
    up: tuple[Direction, ...] = Field(default=("+z",), min_length=1)
    terminal_face: Direction
    terminal_clearance_mm: Gap = Field(default=0.0, alias="terminal_clearance")
    gap_mm: Gap = Field(default=0.0, alias="gap")
    available: int = Field(ge=1, le=500)
    nominal_voltage_v: Voltage = Field(alias="nominal_voltage")
    max_voltage_v: Voltage = Field(alias="max_voltage")
    min_voltage_v: Voltage = Field(alias="min_voltage")
    energy_kwh: Energy = Field(alias="energy")
    fixing: Fixing | None = None
    clamp: Clamp | None = None
    """In place of `fixing`, for a module without holes in its base."""
    terminals_mm: tuple[Point, Point] | None = Field(default=None, alias="terminals")
    """Positive and negative terminal in own axes from the middle of the body, where known."""


class Pack(Entry):
    """What the pack must be. turn_deg, rake_deg: angles the whole pack may take about z and y, or "free"."""

    count: int | Literal["max"]
    series: int = Field(ge=1)
    parallel: int = Field(default=1, ge=1)
    voltage_window_v: tuple[Voltage, Voltage] = Field(alias="voltage_window")
    charger_power_kw: Power | None = Field(default=None, alias="charger_power")
    charge_efficiency: float = Field(default=0.9, gt=0.0, le=1.0)
    prefer: tuple[Wish, ...] = ("low", "centred", "small_box")
    boxes: int = Field(default=1, ge=1, le=3)
    """Boxes that the modules are shared among. They are counted from the front; of two at one place along the vehicle the
    left one comes first, of two in one place in plan the lower one; mount points that name their boxes decide instead."""
    turn_deg: tuple[Angle, ...] | Literal["free"] = Field(default=(0.0,), alias="turn")
    rake_deg: tuple[Angle, ...] | Literal["free"] = Field(default=(0.0,), alias="rake")
    hand_width_mm: Length = Field(default=90.0, alias="hand_width")


