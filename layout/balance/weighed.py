"""The finished vehicle on scales against the mass list: weighted least squares, and which single item explains the difference.

Every listed mass is an observation with a standard deviation; every scale reading is another, a linear sum of the masses.
Adjusted masses are the least-squares solution; layout.balance.suspects ranks the single errors that would explain the rest.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from layout.balance.items import MassItem
from layout.balance.scales import Measured, column_of, half_track_mm, measured, observations, side_kg, track_weights
from layout.balance.states import state_items
from layout.balance.suspects import CONFIDENCE, Suspect, Unknown, alike_names, find_suspects, hypotheses
from layout.frames import Array
from layout.job.vehicle import AsWeighed, LoadState, Vehicle

RELATIVE_SIGMA = {"weighed": 0.005, "catalogue": 0.03, "computed": 0.03, "estimated": 0.15}
"""Standard deviation of a listed mass by its source, where the job gives no tolerance (our choice, no source)."""
LEAST_SIGMA_KG = 0.05
SHOWN = 4
"""How many explanations that cannot be told apart a verdict names."""


@dataclass(frozen=True)
class Reading:
    """One scale figure. predicted_kg: from the mass list, sigma_kg of the difference; left_kg: after the adjustment.

    For "left less right" the figure is the lateral moment over half the mean track.
    """

    name: str
    reading_kg: float
    predicted_kg: float
    sigma_kg: float
    left_kg: float

    @property
    def difference_kg(self) -> float:
        """Reading less prediction."""
        return self.reading_kg - self.predicted_kg


@dataclass(frozen=True)
class Adjusted:
    """A mass of the list after weighted least squares. listed_kg: None where it was unknown."""

    name: str
    listed_kg: float | None
    sigma_kg: float | None
    adjusted_kg: float
    normalised: float


@dataclass(frozen=True)
class Unlisted:
    """One thing not in the list that would explain the readings: its mass and its place (y where left and right are known)."""

    mass_kg: float
    x_mm: float
    y_mm: float | None


@dataclass(frozen=True)
class Reconciled:
    """What the scales say about the list.

    consistent: chi2 within chi2_limit, so nothing need be wrong. suspects: most likely first. alike: names that explain
    the readings as well as the first suspect. verdict: one sentence with the figures.
    """

    readings: tuple[Reading, ...]
    adjusted: tuple[Adjusted, ...]
    chi2: float
    freedom: int
    chi2_limit: float
    suspects: tuple[Suspect, ...]
    alike: tuple[str, ...]
    unlisted: Unlisted | None
    measured: Measured | None
    verdict: str

    @property
    def consistent(self) -> bool:
        """True where list and readings agree within their tolerances."""
        return self.chi2 <= self.chi2_limit


def item_sigma_kg(item: MassItem) -> float | None:
    """Standard deviation of an item's mass: its own tolerance, else by its source; None where the mass is unknown."""
    if item.mass_kg is None:
        return None
    if item.tolerance_kg is not None:
        return item.tolerance_kg
    return max(LEAST_SIGMA_KG, RELATIVE_SIGMA.get(item.source, 0.15) * item.mass_kg)


def reconcile(
    vehicle: Vehicle,
    weighed: AsWeighed,
    removed: Sequence[MassItem],
    added: Sequence[MassItem],
    states: Sequence[LoadState] = (),
    families: Mapping[str, Sequence[str]] | None = None,
) -> Reconciled:
    """Scale readings of the finished vehicle against the mass list.

    added: all that came in, the pack's items among them. families: items that would be wrong together (the modules of one
    type, say), by a name for the family. Raises ValueError for a load state that is not in `states`.
    """
    aboard, left_behind = _load(weighed, states)
    signed = [(1.0, i) for i in (*added, *aboard)] + [(-1.0, i) for i in (*removed, *left_behind)]
    seen = observations(vehicle, weighed)
    values, covariance, names, rows = seen.values_kg, seen.covariance_kg2, seen.names, seen.rows
    unknowns = [*_vehicle_unknowns(vehicle, weighed, rows), *(_item_unknown(vehicle, s, i, rows) for s, i in signed)]
    known = [u for u in unknowns if u.listed_kg is not None]
    predicted = sum((float(u.listed_kg or 0.0) * u.column for u in known), np.zeros(len(values)))
    difference = values - predicted
    spread = covariance + sum(
        ((u.sigma_kg or 0.0) ** 2 * np.outer(u.column, u.column) for u in known), np.zeros_like(covariance)
    )
    free = [u for u in unknowns if u.listed_kg is None]
    weight, freedom = _projected(spread, free)
    chi2 = float(difference @ weight @ difference)
    limit = _chi2_limit(freedom) if freedom > 0 else math.inf
    suspects = find_suspects(hypotheses(unknowns, families or {}, names), spread, weight, difference)
    adjusted, left = _adjust(unknowns, spread, weight, difference)
    readings = tuple(
        Reading(n, float(v), float(p), math.sqrt(spread[k, k]), float(left[k]))
        for k, (n, v, p) in enumerate(zip(names, values, predicted, strict=True))
    )
    alike = alike_names(suspects)
    verdict = _verdict(chi2, limit, freedom, suspects, alike, readings)
    unlisted = _unlisted(vehicle, names, difference)
    return Reconciled(readings, adjusted, chi2, freedom, limit, suspects, alike, unlisted, measured(vehicle, weighed), verdict)


def _load(weighed: AsWeighed, states: Sequence[LoadState]) -> tuple[list[MassItem], list[MassItem]]:
    if weighed.load_state is None:
        return [], []
    for state in states:
        if state.name == weighed.load_state:
            return state_items(state, "after")
    msg = f"as_weighed.load_state {weighed.load_state!r} is not among the load states: {[s.name for s in states]}"
    raise ValueError(msg)


def _item_unknown(vehicle: Vehicle, sign: float, item: MassItem, rows: Sequence[str]) -> Unknown:
    column = sign * column_of(vehicle, item.centroid_mm[0], item.centroid_mm[1], rows)
    name = item.name if sign > 0.0 else f"{item.name} (taken out)"
    return Unknown(name, item.mass_kg, item_sigma_kg(item), column)


def _vehicle_unknowns(vehicle: Vehicle, weighed: AsWeighed, rows: Sequence[str]) -> list[Unknown]:
    """The weighing before the conversion, axle by axle (and its left less right where corners were weighed)."""
    corners = vehicle.corner_loads
    sigma = vehicle.load_tolerance_kg or weighed.tolerance_kg * math.sqrt(2.0)
    loads = (vehicle.front_axle_load_kg, vehicle.rear_axle_load_kg)
    if corners is not None:
        loads = (corners.front_kg, corners.rear_kg)
    found = [
        Unknown(
            "front axle before the conversion",
            loads[0],
            sigma,
            column_of(vehicle, vehicle.front_axle_x_mm, 0.0, rows),
            "weighing",
        ),
        Unknown(
            "rear axle before the conversion",
            loads[1],
            sigma,
            column_of(vehicle, vehicle.rear_axle_x_mm, 0.0, rows),
            "weighing",
        ),
    ]
    if corners is not None and "side" in rows:
        column = np.array([1.0 if r == "side" else 0.0 for r in rows])
        spread = sigma * math.hypot(*track_weights(vehicle))
        found.append(Unknown("left less right before the conversion", side_kg(vehicle, corners), spread, column, "weighing"))
    return found


def _projected(spread: Array, free: Sequence[Unknown]) -> tuple[Array, int]:
    """Inverse covariance of the differences with the directions of unknown masses taken out, and the freedom left."""
    inverse = np.asarray(np.linalg.inv(spread), dtype=np.float64)
    if not free:
        return inverse, len(spread)
    a = np.column_stack([u.column for u in free])
    rank = int(np.linalg.matrix_rank(a, tol=1e-6))
    cut = inverse @ a @ np.linalg.pinv(a.T @ inverse @ a, rcond=1e-10) @ a.T @ inverse
    return np.asarray(inverse - cut, dtype=np.float64), len(spread) - rank


def _adjust(unknowns: Sequence[Unknown], spread: Array, weight: Array, difference: Array) -> tuple[tuple[Adjusted, ...], Array]:
    """Least-squares masses and the readings' differences that are left after the adjustment."""
    free = [u for u in unknowns if u.listed_kg is None]
    solved: dict[int, float] = {}
    if free:
        a = np.column_stack([u.column for u in free])
        inverse = np.linalg.inv(spread)
        masses = np.linalg.pinv(a.T @ inverse @ a, rcond=1e-10) @ a.T @ inverse @ difference
        solved = {id(u): float(m) for u, m in zip(free, masses, strict=True)}
    pull = weight @ difference
    left = difference.copy()
    rows = []
    for u in unknowns:
        if u.listed_kg is None or u.sigma_kg is None:
            change, normalised = solved[id(u)], math.nan
        else:
            change = u.sigma_kg**2 * float(u.column @ pull)
            size = float(u.column @ weight @ u.column)
            normalised = float(u.column @ pull) / math.sqrt(size) if size > 0.0 else 0.0
        left = left - change * u.column
        rows.append(Adjusted(u.name, u.listed_kg, u.sigma_kg, (u.listed_kg or 0.0) + change, normalised))
    return tuple(rows), left


def _unlisted(vehicle: Vehicle, names: Sequence[str], difference: Array) -> Unlisted | None:
    """Mass and place of one thing that would close the axle readings exactly; None without both axles or without a mass."""
    by = dict(zip(names, difference, strict=True))
    if "front axle" not in by or "rear axle" not in by:
        return None
    mass = float(by["front axle"] + by["rear axle"])
    if abs(mass) < 1e-6:
        return None
    x = vehicle.rear_axle_x_mm + vehicle.wheelbase_mm * float(by["front axle"]) / mass
    y = float(by["left less right"]) * half_track_mm(vehicle) / mass if "left less right" in by else None
    return Unlisted(mass, x, y)


def _verdict(
    chi2: float, limit: float, freedom: int, suspects: Sequence[Suspect], alike: Sequence[str], readings: Sequence[Reading]
) -> str:
    worst = max(readings, key=lambda r: abs(r.difference_kg) / r.sigma_kg)
    start = f"{worst.name} {worst.difference_kg:+.1f} kg against the list (tolerance of the difference {worst.sigma_kg:.1f} kg)"
    if freedom <= 0:
        return f"{start}; as many unknown masses as readings: nothing is left to check the list with"
    if chi2 <= limit:
        return f"list and readings agree within their tolerances (chi-square {chi2:.2f}, limit {limit:.2f}); largest: {start}"
    if not suspects or not suspects[0].possible:
        return f"{start}; no single item explains it (chi-square {chi2:.1f}, limit {limit:.1f})"
    best = suspects[0]
    rest = max(best.left_kg, key=abs)
    size = f"{best.error_kg:+.1f} kg"
    told = f"{start}; most likely wrong: {best.name}, by {size}{' from one axle to the other' if best.kind == 'place' else ''}"
    left_limit = _chi2_limit(max(1, freedom - 1))
    if freedom > 1 and best.chi2_left > left_limit:
        return (
            f"{start}; not reconciled by any single item: with the best one ({best.name}, {size}) "
            f"{rest:+.1f} kg remain (chi-square {best.chi2_left:.1f}, limit {left_limit:.1f})"
        )
    if alike:
        more = f" and {len(alike) - SHOWN} more" if len(alike) > SHOWN else ""
        told += f"; these readings cannot tell it from: {', '.join(alike[:SHOWN])}{more}"
    return f"{told}; {rest:+.1f} kg then remain"


def families_of(items: Sequence[MassItem]) -> dict[str, tuple[str, ...]]:
    """Items that would be wrong together: modules of one type (named "M1 (type)"), all computed masses."""
    found: dict[str, list[str]] = {}
    for item in items:
        if item.name.endswith(")") and " (" in item.name:
            found.setdefault(f"every {item.name[item.name.rindex(' (') + 2 : -1]}", []).append(item.name)
        if item.source == "computed":
            found.setdefault("every computed mass", []).append(item.name)
    return {name: tuple(members) for name, members in found.items() if len(members) > 1}


def _chi2_limit(freedom: int) -> float:
    """Chi-square that chance passes with 5 % probability."""
    from scipy.special import chdtri  # slow to import, and most jobs have no scale readings

    return float(chdtri(freedom, 1.0 - CONFIDENCE))
