"""Tables about crash loads: factors, a rule set by name, pulses. There is no silent default."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from layout.job.entry import Acceleration, Duration, Entry

Side = Literal["forward", "rearward", "left", "right", "up", "down"]


class Factors(Entry):
    """Static factors in g per direction of the load on the pack (forward: the pack is thrown forward)."""

    forward: Acceleration
    rearward: Acceleration
    left: Acceleration
    right: Acceleration
    up: Acceleration
    down: Acceleration


class PulseEntry(Entry):
    """A crash pulse by shape, or points of acceleration against time, or a CSV file beside the job file."""

    shape: Literal["half sine", "triangle", "haversine", "saw-tooth", "rectangle", "trapezoid", "points", "csv"]
    direction: Side
    peak_g: Acceleration | None = Field(default=None, alias="peak")
    duration_s: Duration | None = Field(default=None, alias="duration")
    rise_s: Duration | None = Field(default=None, alias="rise")
    fall_s: Duration | None = Field(default=None, alias="fall")
    points: tuple[tuple[float, float], ...] | None = None
    """Pairs of ms and g."""
    file: str | None = None


class Crash(Entry):
    """Loads the pack must be held against: the job's own factors, or a named rule set, or both; and pulses."""

    factors: Factors | None = None
    rule_set: str | None = None
    pulse: PulseEntry | None = None
    pulses: tuple[PulseEntry, ...] = ()
    damping: float = Field(default=0.05, ge=0.0, lt=1.0)
    oblique: bool = False
    road_loads: bool = True
    target_utilisation: float = Field(default=0.8, gt=0.0, le=1.0)

    @model_validator(mode="after")
    def _something_named(self) -> Crash:
        if self.factors is None and self.rule_set is None:
            msg = "name `factors` (g per direction) or a `rule_set`: there is no default"
            raise ValueError(msg)
        return self
