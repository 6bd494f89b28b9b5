"""What the figures about mass and balance say that cannot be: contradictions inside the job file, each with its figure.

Loads, ratings, removed masses; load states, springs, scale readings and runs. Entries of a list count from 1.
"""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping, Sequence
from typing import Any

from layout.balance.axles import loads_of, standing_with, vehicle_standing
from layout.balance.items import MassItem, entry_item
from layout.balance.runs import run_length
from layout.errors import Problem
from layout.job.vehicle import AsWeighed, CornerReadings, LoadState, MassEntry, Suspension, Vehicle
from layout.job.wiring import Run

WIDEST_TRACK = 1.2
"""Track over wheelbase beyond which the two are taken to be exchanged (no road vehicle comes near; our choice)."""
SIGMAS = 4.0
"""Readings that differ by more than this many standard deviations contradict one another (our choice)."""


def balance_table_problems(tables: Mapping[str, Any]) -> list[Problem]:
    """The same for those tables (by attribute name) that could be read."""
    found: list[Problem] = []
    vehicle: Vehicle | None = tables.get("vehicle")
    removed: Sequence[MassEntry] = tables.get("removed") or ()
    states: Sequence[LoadState] | None = tables.get("load_states")
    weighed: AsWeighed | None = tables.get("as_weighed")
    if vehicle is not None:
        found += _vehicle_problems(vehicle)
        found += _removed_problems(vehicle, removed)
        found += _suspension_problems(vehicle, tables.get("suspension"))
        found += _state_problems(vehicle, states or ())
    if weighed is not None:
        found += _weighed_problems(weighed, states)
    found += _run_problems(tables.get("runs") or ())
    return found


def _kg(value: float) -> str:
    return f"{value:.1f} kg"


def _vehicle_problems(vehicle: Vehicle) -> list[Problem]:
    found = []
    for axle in ("front", "rear"):
        load: float = getattr(vehicle, f"{axle}_axle_load_kg")
        rating: float = getattr(vehicle, f"{axle}_axle_rating_kg")
        if rating < load:
            want = f"at least what the {axle} axle already carries, {_kg(load)}; it is {_kg(load - rating)} less"
            remedy = "Read the rating from the vehicle's plate, and weigh the axle again."
            found.append(Problem(f"vehicle.{axle}_axle_rating", _kg(rating), want, remedy))
    kerb = vehicle.front_axle_load_kg + vehicle.rear_axle_load_kg
    gross = vehicle.gross_rating_kg
    if gross is not None and gross < kerb:
        want = f"at least what the vehicle weighs, {_kg(kerb)}; it is {_kg(kerb - gross)} less"
        found.append(Problem("vehicle.gross_rating", _kg(gross), want, "Read the rating from the vehicle's plate."))
    for key, track in (("track", vehicle.track_mm), ("rear_track", vehicle.rear_track_mm)):
        if track is not None and not 0.0 < track < WIDEST_TRACK * vehicle.wheelbase_mm:
            want = f"above 0 and below {WIDEST_TRACK:g} times the wheelbase, {WIDEST_TRACK * vehicle.wheelbase_mm:.0f} mm"
            remedy = "Measure from tyre middle to tyre middle of one axle; see that track and wheelbase are not exchanged."
            found.append(Problem(f"vehicle.{key}", f"{track:.0f} mm", want, remedy))
    if vehicle.corner_loads is not None:
        found += _corner_problems(vehicle, vehicle.corner_loads)
    return found


def _corner_problems(vehicle: Vehicle, corners: CornerReadings) -> list[Problem]:
    found = []
    tolerance = vehicle.load_tolerance_kg or max(1.0, 0.005 * (corners.front_kg + corners.rear_kg))
    pairs = (("front", corners.front_kg, vehicle.front_axle_load_kg), ("rear", corners.rear_kg, vehicle.rear_axle_load_kg))
    for axle, summed, load in pairs:
        if abs(summed - load) > SIGMAS * tolerance:
            want = f"wheels that sum to the {axle} axle load of {_kg(load)}; they differ by {_kg(abs(summed - load))}"
            remedy = "Weigh all four wheels and both axles in one go, on level ground."
            found.append(Problem("vehicle.corner_loads", f"{_kg(summed)} on the {axle} axle", want, remedy))
    return found


def _removed_problems(vehicle: Vehicle, removed: Sequence[MassEntry]) -> list[Problem]:
    """Removed masses against the axle loads and the height of the whole they were part of."""
    items = [entry_item(e, "removed") for e in removed]
    loads = loads_of(vehicle, items)
    start = vehicle_standing(vehicle)
    if loads.total_kg >= start.mass_kg:
        want = f"less than the whole vehicle of {_kg(start.mass_kg)}"
        return [Problem("removed", f"{_kg(loads.total_kg)} in all", want, "Check the masses of what was removed.")]
    found = []
    for axle, taken, load in (("front", loads.front_kg, start.loads.front_kg), ("rear", loads.rear_kg, start.loads.rear_kg)):
        if taken > load:
            worst = _heaviest_on(vehicle, items, axle)
            want = f"less than the {axle} axle carried, {_kg(load)}; {_kg(load - taken)} would be left on it"
            remedy = f"Check mass and place of {worst!r} and the {axle} axle load: they contradict each other."
            found.append(Problem("removed", f"{_kg(taken)} on the {axle} axle", want, remedy))
    height = standing_with(vehicle, start, (), items).centroid_mm[2]
    if height <= 0.0:
        want = f"heights that leave the rest above the ground; its centroid would lie at {height:.0f} mm"
        remedy = "Check vehicle.cg_height and the heights of what was removed (z from the ground)."
        found.append(Problem("vehicle.cg_height", f"{vehicle.cg_height_mm:.0f} mm", want, remedy))
    return found


def _heaviest_on(vehicle: Vehicle, items: Sequence[MassItem], axle: str) -> str:
    def on_axle(item: MassItem) -> float:
        each = loads_of(vehicle, [item])
        return each.front_kg if axle == "front" else each.rear_kg

    return max(items, key=on_axle).name


def _suspension_problems(vehicle: Vehicle, suspension: Suspension | None) -> list[Problem]:
    found = []
    for axle in ("front", "rear"):
        spring = None if suspension is None else getattr(suspension, axle)
        load: float = getattr(vehicle, f"{axle}_axle_load_kg")
        if spring is not None and spring.unsprung_kg is not None and spring.unsprung_kg >= load:
            want = f"less than the {axle} axle load of {_kg(load)}"
            remedy = "Give the mass of both wheels, hubs, brakes and half of what links them to the body."
            found.append(Problem(f"suspension.{axle}.unsprung", _kg(spring.unsprung_kg), want, remedy))
    return found


def _state_problems(vehicle: Vehicle, states: Sequence[LoadState]) -> list[Problem]:
    found = []
    seen: set[str] = set()
    kerb = vehicle.front_axle_load_kg + vehicle.rear_axle_load_kg
    for index, state in enumerate(states, start=1):
        if state.name in seen:
            want = "a name of its own for each load state"
            found.append(Problem(f"load_state[{index}].name", repr(state.name), want, "Rename one of them."))
        seen.add(state.name)
        out = sum(e.mass_kg or 0.0 for e in state.items if e.taken_out)
        if out >= kerb:
            want = f"less taken out than the vehicle's {_kg(kerb)}"
            found.append(Problem(f"load_state[{index}].items", _kg(out), want, "Check the masses that are taken out."))
    return found


def _weighed_problems(weighed: AsWeighed, states: Sequence[LoadState] | None) -> list[Problem]:
    """states: None where that table could not be read; then no name is held against it."""
    found = []
    names = [s.name for s in states or ()]
    if states is not None and weighed.load_state is not None and weighed.load_state not in names:
        near = difflib.get_close_matches(weighed.load_state, names, n=1, cutoff=0.4)
        want = f"the name of a load state: {', '.join(names) or 'the job has none'}"
        remedy = f"Did you mean {near[0]!r}?" if near else "Add a [[load_state]] with who and what was aboard."
        found.append(Problem("as_weighed.load_state", repr(weighed.load_state), want, remedy))
    sums = _sums(weighed)
    for key, given, summed, count in sums:
        limit = SIGMAS * weighed.tolerance_kg * math.sqrt(count + 1.0)
        if abs(given - summed) > limit:
            want = f"{_kg(summed)} as the other readings sum to, within {_kg(limit)}; it differs by {_kg(abs(given - summed))}"
            remedy = "These readings contradict one another: zero the scales, level them and weigh again."
            found.append(Problem(f"as_weighed.{key}", _kg(given), want, remedy))
    return found


def _sums(weighed: AsWeighed) -> list[tuple[str, float, float, int]]:
    """Readings given twice: key, the figure given, what the others sum to, how many those are."""
    corners, front, rear, total = weighed.corners, weighed.front_axle_kg, weighed.rear_axle_kg, weighed.total_kg
    found = []
    if corners is not None:
        if front is not None:
            found.append(("front_axle", front, corners.front_kg, 2))
        if rear is not None:
            found.append(("rear_axle", rear, corners.rear_kg, 2))
        if total is not None:
            found.append(("total", total, corners.front_kg + corners.rear_kg, 4))
    elif total is not None and front is not None and rear is not None:
        found.append(("total", total, front + rear, 2))
    return found


def _run_problems(runs: Sequence[Run]) -> list[Problem]:
    found = []
    for index, run in enumerate(runs, start=1):
        if any(a == b for a, b in zip(run.points_mm, run.points_mm[1:], strict=False)):
            want = "points that differ from one to the next"
            found.append(Problem(f"run[{index}].points", run.name, want, "Leave out the point that is there twice."))
            continue
        for text in run_length(run).findings:
            want = "straight stretches long enough for the bends at their ends"
            found.append(Problem(f"run[{index}].bend_radius", f"{run.bend_radius_mm:.0f} mm", want, f"{text}."))
    return found
