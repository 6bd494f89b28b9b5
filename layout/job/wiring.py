"""Tables about current, cables, hoses and heat: what the pack's other figures are worked out from."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from layout.job.entry import Duration, Entry, Gap, Length, Point, Power


class Wiring(Entry):
    """Power drawn from the pack and the conductors between the modules.

    peak_time: how long the peak lasts. section_mm2: of the links, where chosen. rise_k: by how much a link may be
    warmer than the air around it.
    """

    continuous_power_kw: Power = Field(alias="continuous_power")
    peak_power_kw: Power | None = Field(default=None, alias="peak_power")
    peak_time_s: Duration | None = Field(default=None, alias="peak_time")
    conductor: Literal["copper", "aluminium"] = "copper"
    section_mm2: float | None = Field(default=None, gt=0.0, le=1000.0)
    ambient_c: float = Field(default=40.0, ge=-40.0, le=90.0)
    rise_k: float = Field(default=40.0, gt=0.0, le=100.0)

    @model_validator(mode="after")
    def _peak_has_time(self) -> Wiring:
        if (self.peak_power_kw is None) != (self.peak_time_s is None):
            msg = "peak_power and peak_time belong together: which power, for how long"
            raise ValueError(msg)
        return self


class Run(Entry):
    """A cable or hose laid in straight stretches between points, bent at each inner point.

    bend_radius: least radius of its centre line. movement: how far the moving end may go from its place, in any direction.
    """

    name: str = Field(min_length=1)
    kind: Literal["cable", "hose"] = "cable"
    points_mm: tuple[Point, ...] = Field(alias="points", min_length=2)
    diameter_mm: Length = Field(alias="diameter")
    bend_radius_mm: Gap = Field(alias="bend_radius")
    movement_mm: Gap = Field(default=0.0, alias="movement")
    ends_mm: Gap = Field(default=0.0, alias="ends")
    """Length added for lugs, glands and hose tails, both ends together."""
    kg_per_m: float | None = Field(default=None, gt=0.0)


class Cooling(Entry):
    """A heat source against what its plate carries away: give flow_l_per_min, or area_m2 with coefficient_w_m2k, or both.

    heat: lost by the equipment. inlet_c: coolant (or air) coming in. limit_c: plate temperature not to pass.
    """

    name: str = Field(min_length=1)
    heat_kw: Power = Field(alias="heat")
    inlet_c: float = Field(ge=-40.0, le=120.0)
    limit_c: float = Field(ge=-40.0, le=200.0)
    flow_l_per_min: float | None = Field(default=None, gt=0.0)
    coolant: Literal["water", "water and glycol", "oil"] = "water and glycol"
    area_m2: float | None = Field(default=None, gt=0.0)
    coefficient_w_m2k: float | None = Field(default=None, gt=0.0)

    @model_validator(mode="after")
    def _some_way_out(self) -> Cooling:
        if (self.area_m2 is None) != (self.coefficient_w_m2k is None):
            msg = "area_m2 and coefficient_w_m2k belong together"
            raise ValueError(msg)
        if self.flow_l_per_min is None and self.area_m2 is None:
            msg = "give flow_l_per_min (liquid), or area_m2 and coefficient_w_m2k (surface), or both"
            raise ValueError(msg)
        return self
