"""Cables and hoses along straight stretches: length with bends, slack for a moving end, mass; heat of equipment.

A bend of radius r through the angle a replaces 2 r tan(a/2) of straight by r a of arc and needs r tan(a/2) of straight
on either side (plane geometry).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from layout.balance.items import MassItem
from layout.frames import Array, vec3
from layout.job.wiring import Cooling, Run


@dataclass(frozen=True)
class RunLength:
    """Length of one run, mm. straight_mm: point to point; laid_mm: with rounded bends; slack_mm: for the movement of its end;
    cut_mm: laid, slack and ends together."""

    name: str
    straight_mm: float
    laid_mm: float
    slack_mm: float
    cut_mm: float
    bends: int
    findings: tuple[str, ...]


def run_length(run: Run) -> RunLength:
    """Length to cut. Slack: an end that moves by d in any direction can need no more than d of extra length (triangle
    inequality), and needs it when it moves straight away along its last stretch."""
    points = np.array(run.points_mm, dtype=float)
    steps = np.diff(points, axis=0)
    lengths = np.linalg.norm(steps, axis=1)
    angles = _turns(steps, lengths)
    tangents = run.bend_radius_mm * np.tan(angles / 2.0)
    laid = float(lengths.sum() - 2.0 * tangents.sum() + run.bend_radius_mm * angles.sum())
    findings = _tight(run, lengths, tangents)
    cut = laid + run.movement_mm + run.ends_mm
    return RunLength(run.name, float(lengths.sum()), laid, run.movement_mm, cut, int(np.sum(angles > 1e-9)), findings)


def _turns(steps: Array, lengths: Array) -> Array:
    if np.any(lengths <= 0.0):
        msg = "two points of the run lie in the same place"
        raise ValueError(msg)
    along = steps / lengths[:, None]
    across = np.linalg.norm(np.cross(along[:-1], along[1:]), axis=1)
    return np.asarray(np.arctan2(across, np.einsum("ni,ni->n", along[:-1], along[1:])))


def _tight(run: Run, lengths: Array, tangents: Array) -> tuple[str, ...]:
    needed = np.zeros(len(lengths))
    needed[:-1] += tangents
    needed[1:] += tangents
    return tuple(
        f"{run.name}: stretch {k + 1} is {length:.0f} mm; its bends of radius {run.bend_radius_mm:.0f} mm need {need:.0f} mm"
        for k, (length, need) in enumerate(zip(lengths, needed, strict=True))
        if need > length + 1e-9
    )


def run_item(run: Run) -> MassItem | None:
    """The run as a mass: a line of constant mass per metre along its straights, inertia about its centroid. None where
    the job gives no mass per metre."""
    if run.kg_per_m is None:
        return None
    figures = run_length(run)
    points = np.array(run.points_mm, dtype=float)
    starts, steps = points[:-1], np.diff(points, axis=0)
    lengths = np.linalg.norm(steps, axis=1)
    shares = lengths / lengths.sum()
    centroid = shares @ (starts + steps / 2.0)
    mass = run.kg_per_m * figures.cut_mm / 1000.0
    spread = np.zeros((3, 3))
    for share, start, step in zip(shares, starts, steps, strict=True):
        d = start + step / 2.0 - centroid
        spread += share * (np.outer(d, d) + np.outer(step, step) / 12.0)
    inertia = mass * (np.trace(spread) * np.eye(3) - spread)
    rows = (vec3(inertia[0]), vec3(inertia[1]), vec3(inertia[2]))
    return MassItem(run.name, mass, vec3(centroid), rows, "computed", mass, "added")


COOLANTS = {"water": (0.998, 4182.0), "water and glycol": (1.07, 3300.0), "oil": (0.87, 1900.0)}
"""kg/l and J/(kg K) near 20 C; water and glycol half and half; oil as a light mineral oil (handbook figures, from memory)."""


@dataclass(frozen=True)
class HeatBalance:
    """Heat of one source against what its plate carries away. A simple steady balance: no fins, no cycles, no contact
    resistance. plate_c: temperature the plate settles at; margin_k: to its limit, negative where it is passed."""

    name: str
    heat_w: float
    liquid_rise_k: float | None
    plate_c: float
    margin_k: float
    note: str


def heat_balance(cooling: Cooling) -> HeatBalance:
    """Steady balance: liquid rise = Q / (m' c); plate over coolant = Q / (h A). With liquid alone the plate is taken at the
    coolant's outlet temperature, a lower bound."""
    heat = 1000.0 * cooling.heat_kw
    rise = None
    plate = cooling.inlet_c
    notes = ["simple steady balance"]
    if cooling.flow_l_per_min is not None:
        density, capacity = COOLANTS[cooling.coolant]
        rise = heat / (cooling.flow_l_per_min / 60.0 * density * capacity)
        plate += rise
        notes.append(f"outlet {plate:.1f} C")
    if cooling.area_m2 is not None and cooling.coefficient_w_m2k is not None:
        plate += heat / (cooling.area_m2 * cooling.coefficient_w_m2k)
    else:
        notes.append("plate taken at outlet temperature: a lower bound, no film or contact resistance")
    return HeatBalance(cooling.name, heat, rise, plate, cooling.limit_c - plate, "; ".join(notes))


def run_items(runs: Sequence[Run]) -> tuple[MassItem, ...]:
    """Mass items of the runs that give a mass per metre."""
    return tuple(item for item in map(run_item, runs) if item is not None)


__all__ = ["HeatBalance", "RunLength", "heat_balance", "run_item", "run_items", "run_length"]
