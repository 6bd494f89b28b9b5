"""The command `weigh`: the mass list and the balance, as they are or as they would be."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from typing import Any

import numpy as np

from layout.balance.axles import loads_of, vehicle_standing
from layout.balance.figures import balance_figures
from layout.balance.whatif import move as moved
from layout.balance.whatif import pack_place, swap
from layout.errors import JobError, Problem
from layout.frames import Vec3
from layout.several.study import AnyStudy
from layout.study.evaluate import wired_types
from outputs.cli.balance_words import balance_lines
from outputs.cli.pipeline import Options, chosen, searched_job, studied
from outputs.cli.words import caution_lines, five_figures, mass_lines
from outputs.results import axle_data, electrical_data, mass_data


@dataclass(frozen=True)
class Weighing:
    """Words, data, and whether the ratings are held."""

    lines: list[str]
    data: dict[str, Any]
    held: bool


def weighed(options: Options, move: tuple[str, str] | None, swapped: str | None, front_share: float | None) -> Weighing:
    """Weigh the job, or the job with one part moved, or with one module type alone.

    Raises:
        JobError: a name that is not in the list, or a place that is not three numbers.
    """
    by = _vector(move[1]) if move else None
    study = studied(options) if swapped is None else _of_type(options, swapped)
    extra: list[str] = []
    if move and by:
        items = moved(study.figures.items, move[0], by)
        count = len(study.pack_items)
        figures = balance_figures(study.job, items[:count], wired_types(study.arrangement))
        extra.append(f"what if: {move[0]} moved by {by[0]:g}, {by[1]:g}, {by[2]:g} mm (nothing else follows it)")
        study = replace(study, pack_items=items[:count], figures=figures)
    if swapped:
        extra.append(f"what if: modules of type {swapped} alone")
    if front_share is not None:
        extra += _place(study, front_share)
    lines = [*mass_lines(study), *five_figures(study)[1:4], *balance_lines(study.job, study.figures), *extra]
    return Weighing([*lines, *caution_lines(study.cautions)], _data(study, extra), study.balance.ratings_held)


def _vector(text: str) -> Vec3:
    try:
        x, y, z = (float(v) for v in text.split(","))
    except ValueError:
        problem = Problem("--move", text, "three numbers in mm, e.g. 50,0,-20", "Write dx,dy,dz without spaces.")
        raise JobError([problem]) from None
    return (x, y, z)


def _of_type(options: Options, name: str) -> AnyStudy:
    from layout.job import read_job

    found = searched_job(swap(read_job(options.job), name), options)
    return chosen(found, replace(options, arrangement=None))


def _place(study: AnyStudy, share: float) -> list[str]:
    vehicle = study.job.vehicle
    others = [i for i in study.added_items if i.mass_kg is not None]
    rest = vehicle_standing(vehicle).loads + loads_of(vehicle, others) - loads_of(vehicle, study.removed_items)
    place = pack_place(vehicle, rest, study.pack.mass_kg, share)
    within = place.within_ratings_mm
    lines = [f"for {100.0 * share:.1f} % on the front axle the pack's centroid must lie at x = {place.x_mm:.0f} mm"]
    lines.append(
        f"within the axle ratings it may lie from x = {within[0]:.0f} to {within[1]:.0f} mm"
        if within
        else "no place of the pack holds both axle ratings"
    )
    return lines


def _data(study: AnyStudy, extra: list[str]) -> dict[str, Any]:
    figures = study.figures
    axles = axle_data(study)
    axles["states"] = [_plain(asdict(row)) for row in figures.states]
    axles["ride"] = _plain(asdict(figures.ride))
    axles["yaw"] = _plain(asdict(figures.yaw))
    axles["sigma"] = _plain(asdict(figures.sigma))
    axles["worth"] = [_plain(asdict(w)) for w in figures.worth]
    data: dict[str, Any] = {"mass": mass_data(study), "axles": axles, "electrical": electrical_data(study)}
    if figures.weighed:
        data["as_weighed"] = _plain(asdict(figures.weighed))
    return data | {"what_if": extra, "problems": [], "cautions": list(study.cautions)}


def _plain(value: Any) -> Any:
    """Arrays as lists, all the way down."""
    if isinstance(value, dict):
        return {k: _plain(v) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [_plain(v) for v in value]
    return value.tolist() if isinstance(value, (np.ndarray, np.generic)) else value
