"""Load cases: which accelerations the pack is held against, and where each figure comes from.

A case gives the acceleration of the vehicle frame in g, vehicle axes, gravity not in it: a frontal crash is -x and
throws the pack forward. Gravity is added as a vector when forces are worked out (layout.loads.body.inertia_force).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from math import cos, radians, sin
from typing import Final, Literal

import numpy as np

from layout.checks.rule import Source
from layout.frames import Array, Extent, Vec3, vec3
from layout.job import Job
from layout.job.crash import Crash, Side
from layout.loads.body import G0_M_S2
from layout.loads.rule_sets import DIRECTIONS, RuleRow, rule_set

Group = Literal["crash", "road", "gravity", "pulse"]

THROWN: Final[dict[str, Vec3]] = {
    "forward": (1.0, 0.0, 0.0),
    "rearward": (-1.0, 0.0, 0.0),
    "left": (0.0, 1.0, 0.0),
    "right": (0.0, -1.0, 0.0),
    "up": (0.0, 0.0, 1.0),
    "down": (0.0, 0.0, -1.0),
}
"""Where each direction of a load throws the pack, vehicle axes; the vehicle frame accelerates the other way."""

OBLIQUE_DEG: Final = (30.0, 60.0)
"""Angles from the x axis of the oblique cases (own choice: they cut the quadrant in three)."""


@dataclass(frozen=True)
class LoadCase:
    """One load case.

    acceleration_g: of the vehicle frame, vehicle axes, gravity not in it. equivalent_static_g: length of it (for a
    pulse: what the response of the pack on its mounts makes of the pulse). source: of the figure.
    """

    name: str
    acceleration_g: Vec3
    group: Group
    equivalent_static_g: float
    source: Source
    note: str = ""

    @property
    def on_single_mounts(self) -> bool:
        """Whether it loads each mount on its own, by a rule about single attachments: then no mount helps another."""
        return self.group == "crash" and not any(self.acceleration_g)

    @property
    def no_slip(self) -> bool:
        """Whether joints must not slip: in service, not in a crash."""
        return self.group in ("road", "gravity")

    @property
    def no_separation(self) -> bool:
        """Whether joints must not open: in service, not in a crash."""
        return self.group in ("road", "gravity")

    def force_n(self, mass_kg: float) -> Vec3:
        """Force on a body of this mass, gravity included: m g0 ((0, 0, -1) - acceleration)."""
        return vec3(mass_kg * G0_M_S2 * (np.array([0.0, 0.0, -1.0]) - np.array(self.acceleration_g)))


def accelerations(cases: tuple[LoadCase, ...]) -> Array:
    """Accelerations of the cases, shape (C, 3), g."""
    return np.array([case.acceleration_g for case in cases], dtype=float).reshape(-1, 3)


def cases_of(job: Job) -> tuple[LoadCase, ...]:
    """Every static load case of the job: crash factors, rule set, oblique and combined, road loads, gravity alone.

    Pulses need the mounts' stiffness: they are worked out by layout.loads.pulse_cases.

    Raises:
        LoadsError: the rule set is not listed.
    """
    crash = job.crash
    cases: list[LoadCase] = []
    for origin, factors, sources in _factor_sets(crash):
        cases += [_one_way(origin, d, factors[d], sources[d]) for d in DIRECTIONS if d in factors]
        if crash.oblique:
            cases += _oblique(origin, factors, sources)
        if crash.combined:
            cases += _combined(origin, factors, sources)
    if crash.road_loads:
        cases += road_cases(crash)
    return (*cases, GRAVITY)


GRAVITY: Final = LoadCase(
    "gravity alone", (0.0, 0.0, 0.0), "gravity", 0.0, Source("weight at standstill", "derived"), "includes gravity"
)

OWN: Final = Source("factors stated in the job file; not a published rule", "derived")

_Factors = dict[str, float]


def _factor_sets(crash: Crash) -> list[tuple[str, _Factors, dict[str, tuple[Source, str]]]]:
    sets: list[tuple[str, _Factors, dict[str, tuple[Source, str]]]] = []
    if crash.factors is not None:
        own = {d: float(getattr(crash.factors, d)) for d in DIRECTIONS}
        sets.append(("", own, {d: (OWN, "") for d in DIRECTIONS}))
    if crash.rule_set is not None:
        rows = [row for row in rule_set(crash.rule_set) if row.kind == "static"]
        table = {row.direction: row.value_g for row in rows}
        if table:
            sources = {row.direction: (row.source, _note_of(row)) for row in rows}
            sets.append((f" ({crash.rule_set})", table, sources))
    return sets


def _note_of(row: RuleRow) -> str:
    return "; ".join(part for part in (f"vehicle class {row.vehicle_class}", row.note) if part)


def _one_way(origin: str, direction: str, g: float, source: tuple[Source, str]) -> LoadCase:
    return LoadCase(
        f"{direction} {g:g} g{origin}", vec3(-g * np.array(THROWN[direction])), "crash", g, source[0], _gravity(source[1])
    )


def _gravity(note: str) -> str:
    return f"gravity added as a vector; {note}" if note else "gravity added as a vector"


def _oblique(origin: str, factors: _Factors, sources: dict[str, tuple[Source, str]]) -> list[LoadCase]:
    """Horizontal cases between the axes, on the ellipse through the factors of both (own choice)."""
    cases = []
    for along, across in product(("forward", "rearward"), ("left", "right")):
        if along not in factors or across not in factors:
            continue
        for angle in OBLIQUE_DEG:
            thrown = cos(radians(angle)) * factors[along] * np.array(THROWN[along])
            thrown = thrown + sin(radians(angle)) * factors[across] * np.array(THROWN[across])
            name = f"{along} and {across} at {angle:g} deg{origin}"
            cases.append(_mixed(name, -thrown, sources[along], f"ellipse through {along} and {across}"))
    return cases


def _combined(origin: str, factors: _Factors, sources: dict[str, tuple[Source, str]]) -> list[LoadCase]:
    """All three axes at their full factors at once, every octant: bounds any direction in between (own choice)."""
    cases = []
    for along, across, high in product(("forward", "rearward"), ("left", "right"), ("up", "down")):
        parts = [d for d in (along, across, high) if d in factors]
        if len(parts) < 2 or (high == "down" and "down" not in factors):
            continue
        thrown = np.sum([factors[d] * np.array(THROWN[d]) for d in parts], axis=0)
        name = " and ".join(parts) + f", each full{origin}"
        cases.append(_mixed(name, -thrown, sources[along], "full factors at the same time"))
    return cases


def _mixed(name: str, acceleration: Array, source: tuple[Source, str], note: str) -> LoadCase:
    text = Source(f"{source[0].text}; combination is our own choice", source[0].seen)
    size = float(np.linalg.norm(acceleration))
    return LoadCase(name, vec3(acceleration), "crash", size, text, _gravity(note))


ROAD: Final = Source("road load factors: common practice, no source", "memory")


def road_cases(crash: Crash) -> list[LoadCase]:
    """Bump, rebound, braking, cornering and the two combinations that load a mount most; no slip, no separation.

    Figures: crash.road of the job. All are accelerations of the vehicle frame with gravity on top of them, so a bump of
    3 g presses the pack down with 4 times its weight.
    """
    road = crash.road
    thrown: list[tuple[str, Vec3]] = [
        ("bump", (0.0, 0.0, -road.bump)),
        ("rebound", (0.0, 0.0, road.rebound)),
        ("braking", (road.braking, 0.0, 0.0)),
        ("cornering, thrown left", (0.0, road.cornering, 0.0)),
        ("cornering, thrown right", (0.0, -road.cornering, 0.0)),
        ("bump and braking", (road.braking, 0.0, -road.bump)),
        ("bump and cornering, thrown left", (0.0, road.cornering, -road.bump)),
        ("bump and cornering, thrown right", (0.0, -road.cornering, -road.bump)),
    ]
    note = _gravity("no slip, no separation")
    return [LoadCase(f"road: {n}", vec3(-np.array(t)), "road", float(np.linalg.norm(t)), ROAD, note) for n, t in thrown]


def case_cautions(job: Job) -> tuple[str, ...]:
    """What the reader must know about the figures: those not seen in their text, and directions without a figure."""
    crash = job.crash
    if crash.rule_set is None:
        return ()
    rows = rule_set(crash.rule_set)
    cautions = []
    if unseen := sorted({row.direction for row in rows if row.source.seen != "seen"}):
        cautions.append(f"rule set {crash.rule_set}: figures for {', '.join(unseen)} were not seen in the rule's own text")
    covered = {row.direction for row in rows} | (set(DIRECTIONS) if crash.factors is not None else set())
    if missing := [d for d in DIRECTIONS if d not in covered and "any" not in covered]:
        cautions.append(f"rule set {crash.rule_set} gives no figure for {', '.join(missing)}: nothing is checked there")
    if not any(row.kind == "static" for row in rows) and crash.factors is None:
        cautions.append(f"rule set {crash.rule_set} holds pulses only: its cases depend on the mounts' stiffness")
    return tuple(cautions)


@dataclass(frozen=True)
class AttachmentRule:
    """A rule that loads each attachment on its own: share_of_mass of the pack at value_g, in any direction."""

    name: str
    share_of_mass: float
    value_g: float
    source: Source
    note: str

    def force_n(self, mass_kg: float) -> float:
        """Force in N on each attachment, in any direction."""
        return self.share_of_mass * mass_kg * G0_M_S2 * self.value_g


def attachment_rules(job: Job) -> tuple[AttachmentRule, ...]:
    """Rules of the job's rule set about single attachments; empty where it has none."""
    if job.crash.rule_set is None:
        return ()
    rows = (row for row in rule_set(job.crash.rule_set) if row.kind == "each attachment")
    return tuple(
        AttachmentRule(f"each attachment ({row.rule_set})", row.share_of_mass or 0.0, row.value_g, row.source, row.note)
        for row in rows
    )


ZONE: Final = Source("UN Regulation No. 100, Rev.2 (02 series), 6.4.2.1.2", "seen")
ZONE_FRONT_MM: Final = 420.0
ZONE_REAR_MM: Final = 300.0


def zone_caution(job: Job, extent: Extent) -> str | None:
    """A caution where the box leaves the zone between 420 mm behind the vehicle's front and 300 mm ahead of its rear.

    extent: of the box in vehicle axes. None where the box stays inside, or where the job gives no vehicle ends.
    Source: UN Regulation No. 100 Rev.2, 6.4.2.1.2 (text seen), a condition of the component crush route.
    """
    front, rear = job.vehicle.front_end_x_mm, job.vehicle.rear_end_x_mm
    out = []
    if front is not None and (over := extent.max_mm[0] - (front - ZONE_FRONT_MM)) > 0.0:
        out.append(f"{over:.0f} mm too far forward (limit x = {front - ZONE_FRONT_MM:.0f} mm)")
    if rear is not None and (over := rear + ZONE_REAR_MM - extent.min_mm[0]) > 0.0:
        out.append(f"{over:.0f} mm too far rearward (limit x = {rear + ZONE_REAR_MM:.0f} mm)")
    if not out:
        return None
    return f"the box leaves the zone of {ZONE.text}: " + "; ".join(out) + ". The component crush route is then not open"


__all__ = [
    "GRAVITY", "AttachmentRule", "Group", "LoadCase", "Side", "accelerations", "attachment_rules", "case_cautions",
    "cases_of", "road_cases", "zone_caution",
]  # fmt: skip
