"""Which single error explains the difference between scale readings and mass list.

The test of W. Baarda for one gross error (A testing procedure for use in geodetic networks, 1968 - from memory): with c what
one kilogram of an item adds to the readings, d the difference of readings and list, P the inverse of d's covariance
(projected past items of unknown mass), the error is c P d / (c P c), w = c P d / sqrt(c P c) its normalised residual, w^2
is by how much chi-square falls when that item alone is let free. Items that load the scales alike cannot be told apart by them.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import NormalDist
from typing import Literal

import numpy as np

from layout.frames import Array

Kind = Literal["item", "family", "weighing", "reading", "place"]
RANK: dict[str, int] = {"item": 0, "family": 1, "weighing": 2, "reading": 3, "place": 4}
"""Order of explanations that the readings cannot tell apart (our choice): a line of the list before a scale."""
CONFIDENCE = 0.95
ALIKE = NormalDist().inv_cdf((1.0 + CONFIDENCE) / 2.0) ** 2
"""Two explanations whose remaining chi-square differs by less than this cannot be told apart (95 %, one unknown:
the square of the normal quantile)."""
MOST_TIMES = 3.0
"""A listed mass is not taken to be wrong by more than this factor (our choice): a bolt does not weigh 9 kg."""
PLACE = "the place of one item, not its mass"


@dataclass(frozen=True, eq=False)
class Unknown:
    """A mass to be adjusted. listed_kg, sigma_kg: None where nobody knows it. column: what one kilogram of it adds to each
    reading."""

    name: str
    listed_kg: float | None
    sigma_kg: float | None
    column: Array
    kind: Kind = "item"


@dataclass(frozen=True)
class Suspect:
    """The hypothesis that this alone is wrong. error_kg: true less listed; mass_kg: what it would be instead.

    normalised: the test value w (1.96 is the 95 % limit for one item looked at alone). chi2_left, left_kg: what the readings
    still disagree by, chi-square and kilograms per reading, once this is put right. sigmas: the error over the item's own
    standard deviation. possible: False where the mass would be negative, or more than MOST_TIMES the listed one. A "reading"
    has no mass (nan), and error_kg is what it shows too much; for "place" it is what went from the rear axle to the front.
    """

    name: str
    kind: Kind
    normalised: float
    error_kg: float
    mass_kg: float
    sigmas: float
    chi2_left: float
    left_kg: tuple[float, ...]
    possible: bool


def hypotheses(unknowns: Sequence[Unknown], families: Mapping[str, Sequence[str]], names: Sequence[str]) -> tuple[Unknown, ...]:
    """Every single thing that may be wrong: a mass, a family of masses, a weighing, a reading, a place."""
    found = [u for u in unknowns if u.listed_kg is not None]
    for family, members in families.items():
        inside = [u for u in found if u.name in members]
        mass = sum(u.listed_kg or 0.0 for u in inside)
        if mass > 0.0 and len(inside) > 1:
            column = np.sum([u.column * (u.listed_kg or 0.0) for u in inside], axis=0) / mass
            found.append(Unknown(family, mass, sum(u.sigma_kg or 0.0 for u in inside), column, "family"))
    for k, name in enumerate(names):
        found.append(Unknown(f"the reading of the {name}", math.nan, math.nan, np.eye(len(names))[k], "reading"))
    if "front axle" in names and "rear axle" in names:
        column = np.array([{"front axle": 1.0, "rear axle": -1.0}.get(n, 0.0) for n in names])
        found.append(Unknown(PLACE, math.nan, math.nan, column, "place"))
    return tuple(found)


def find_suspects(candidates: Sequence[Unknown], spread: Array, weight: Array, difference: Array) -> tuple[Suspect, ...]:
    """Suspects, most likely first: by the chi-square that is left, but among those alike by RANK first.

    spread: covariance of the difference; weight: its (projected) inverse.
    """
    found = [s for c in candidates if (s := _suspect(c, spread, weight, difference)) is not None]
    best = min((s.chi2_left for s in found if s.possible), default=math.inf)

    def order(suspect: Suspect) -> tuple[bool, bool, int, float, str]:
        tied = suspect.chi2_left - best < ALIKE
        return (not suspect.possible, not tied, RANK[suspect.kind] if tied else 0, suspect.chi2_left, suspect.name)

    return tuple(sorted(found, key=order))


def _suspect(candidate: Unknown, spread: Array, weight: Array, difference: Array) -> Suspect | None:
    """The hypothesis worked out; None where the readings say nothing about it."""
    column, listed = candidate.column, candidate.listed_kg
    size = float(column @ weight @ column)
    if listed is None or size < 1e-9 * float(np.trace(weight)) * max(float(column @ column), 1e-12):
        return None
    pull = float(column @ weight @ difference)
    error = pull / size
    left = spread @ weight @ (difference - error * column)
    mass = listed + error
    return Suspect(
        name=candidate.name,
        kind=candidate.kind,
        normalised=pull / math.sqrt(size),
        error_kg=error,
        mass_kg=mass,
        sigmas=error / candidate.sigma_kg if candidate.sigma_kg else math.nan,
        chi2_left=max(0.0, float(difference @ weight @ difference) - pull**2 / size),
        left_kg=tuple(float(v) for v in left),
        possible=math.isnan(listed) or 0.0 <= mass <= MOST_TIMES * listed,
    )


def alike_names(suspects: Sequence[Suspect]) -> tuple[str, ...]:
    """Names of the others that explain the readings as well as the first suspect does."""
    best = min((s.chi2_left for s in suspects if s.possible), default=math.inf)
    return tuple(s.name for s in suspects[1:] if s.possible and s.chi2_left - best < ALIKE)
