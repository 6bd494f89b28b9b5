"""Tables about crash loads: factors, a rule set by name, pulses, road loads. There is no silent default."""

from __future__ import annotations

import math
from typing import Annotated, Literal

from pydantic import AfterValidator, Field, model_validator

from layout.job.entry import NOT_NEGATIVE, POSITIVE, Acceleration, Duration, Entry

Side = Literal["forward", "rearward", "left", "right", "up", "down"]
Shape = Literal["half sine", "triangle", "haversine", "saw-tooth", "rectangle", "trapezoid", "corridor", "points", "csv"]


def _finite(value: float) -> float:
    if not math.isfinite(value):
        msg = "must be a finite number"
        raise ValueError(msg)
    return value


FINITE = AfterValidator(_finite)
Factor = Annotated[Acceleration, FINITE, NOT_NEGATIVE]
"""A factor in g: its direction is in the key, so it has no sign."""
Peak = Annotated[Acceleration, FINITE, POSITIVE]
Pairs = tuple[tuple[float, float], ...]


class Factors(Entry):
    """Static factors in g per direction of the load on the pack (forward: the pack is thrown forward)."""

    forward: Factor
    rearward: Factor
    left: Factor
    right: Factor
    up: Factor
    down: Factor


class PulseEntry(Entry):
    """A crash pulse by shape, or points of acceleration against time, or a CSV file beside the job file.

    direction: where the pack is thrown. peak_at: for a saw-tooth, whether its peak is at the start or at the end.
    rise_s, fall_s: of a trapezoid, within its duration. points, lower, upper: pairs of ms and g.
    """

    shape: Shape
    direction: Side
    peak_g: Peak | None = Field(default=None, alias="peak")
    duration_s: Duration | None = Field(default=None, alias="duration")
    rise_s: Duration | None = Field(default=None, alias="rise")
    fall_s: Duration | None = Field(default=None, alias="fall")
    peak_at: Literal["start", "end"] = "end"
    points: Pairs | None = None
    """Pairs of ms and g."""
    lower: Pairs | None = None
    upper: Pairs | None = None
    file: str | None = None

    @model_validator(mode="after")
    def _complete(self) -> PulseEntry:
        if missing := [key for key in _NEEDS[self.shape] if getattr(self, _ATTRIBUTE.get(key, key)) is None]:
            msg = f"a pulse of shape {self.shape!r} needs {', '.join(missing)}"
            raise ValueError(msg)
        if self.shape == "trapezoid":
            ramps = (self.rise_s or 0.0) + (self.fall_s or 0.0)
            if ramps > (self.duration_s or 0.0) * (1.0 + 1e-9):
                msg = f"rise and fall together ({ramps:g} s) exceed the duration ({self.duration_s:g} s)"
                raise ValueError(msg)
        return self


_ATTRIBUTE = {"peak": "peak_g", "duration": "duration_s", "rise": "rise_s", "fall": "fall_s"}
_NEEDS: dict[str, tuple[str, ...]] = {
    **dict.fromkeys(("half sine", "triangle", "haversine", "saw-tooth", "rectangle"), ("peak", "duration")),
    "trapezoid": ("peak", "duration", "rise", "fall"),
    "corridor": ("lower", "upper"),
    "points": ("points",),
    "csv": ("file",),
}


class Road(Entry):
    """Road loads in g: accelerations of the vehicle frame, gravity on top of them (common practice, no source).

    bump: upward, so the pack is pressed down. rebound: downward, so the pack is lifted. braking: the pack is thrown
    forward. cornering: to either side.
    """

    bump: Factor = 3.0
    rebound: Factor = 2.0
    braking: Factor = 1.0
    cornering: Factor = 1.0


class Crash(Entry):
    """Loads the pack must be held against: the job's own factors, or a named rule set, or both; and pulses.

    damping: share of critical, for the response to pulses. oblique: cases between the axes; combined: all axes at
    full factors at once. corridor: which curve of a pulse corridor is used (the upper one loads most). soft_tray:
    the pack's floor is not stiff against its mounts: forces are then taken as the worst of several ways of sharing.
    one_slack: also with each mount slack in turn; where not said, with more than four mounts or a soft tray; false also leaves
    out the cases of a bolt not yet bearing in its hole.
    statics_bound: with such mounts also the greatest share that statics allows, unless it is set to false.
    """

    factors: Factors | None = None
    rule_set: str | None = None
    pulse: PulseEntry | None = None
    pulses: tuple[PulseEntry, ...] = ()
    corridor: Literal["lower", "mid", "upper"] = "upper"
    damping: float = Field(default=0.05, ge=0.0, lt=1.0)
    oblique: bool = False
    combined: bool = False
    road_loads: bool = True
    road: Road = Road()
    soft_tray: bool = False
    one_slack: bool | None = None
    statics_bound: bool | None = None
    target_utilisation: float = Field(default=0.8, gt=0.0, le=1.0)

    @model_validator(mode="after")
    def _something_named(self) -> Crash:
        if self.factors is None and self.rule_set is None:
            msg = "name `factors` (g per direction) or a `rule_set`: there is no default"
            raise ValueError(msg)
        return self
