"""The question for the best places of a number of bodies in one empty room, and its answer (see solve.py)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

import numpy as np

from layout.frames import Array, Extent, Pose
from layout.packing.bodies import Body
from layout.packing.costs import share_ahead
from layout.packing.places import Places, zone_axis
from layout.packing.starts import Push

PlainWish = Literal["ahead_of_axle", "low", "centred", "small_box"]
PLAIN_WISHES: tuple[PlainWish, ...] = ("ahead_of_axle", "low", "centred", "small_box")


@dataclass(frozen=True)
class Spot:
    """One body put down: numbers of body and stand, low corner in the pack's frame."""

    body: int
    stand: int
    low_mm: tuple[float, float, float]


@dataclass(frozen=True)
class Answer:
    """What the search in one room gave. spots is None where nothing was found; none_exists: shown that nothing can be."""

    spots: tuple[Spot, ...] | None
    none_exists: bool
    best: bool


@dataclass(frozen=True)
class Question:
    """count: modules in all (equipment comes on top as each body says). order: wishes, the most important first.

    strict: nothing of the first wish is given up for the others.
    """

    room: Extent
    frame: Pose
    bodies: tuple[Body, ...]
    count: int
    order: tuple[PlainWish, ...]
    strict: bool = False


TOLERANCE = {"ahead_of_axle": 0.01, "low": 3.0, "centred": 2.0, "small_box": 0.01}
"""How much of a wish may be given up for the next: share of the mass ahead, mm of the centre of mass, share of the edges."""


def push_of(frame: Pose, order: Iterable[str]) -> tuple[Push, Push, Push]:
    """Which end of each axis bodies are pushed to: forward if that is wished, down; the middle where nothing is gained."""
    wished = set(order)
    forward: Push = "high" if frame.matrix[0][0] > 0.5 and "ahead_of_axle" in wished else "middle"
    return (forward, "middle", "low" if "low" in wished else "middle")


def place_costs(question: Question, places: Places) -> dict[str, Array]:
    """Per place: kg not ahead of the axle, kg*mm of height and of offset to the left, in vehicle axes."""
    frame, bodies = question.frame, question.bodies
    low = np.asarray(places.low * places.unit_mm + np.array(question.room.min_mm), dtype=np.float64)
    size = np.asarray(places.size * places.unit_mm, dtype=np.float64)
    mass = np.array([b.mass_kg for b in bodies])[places.body]
    offsets = np.array([bodies[b].stands[s].centroid_mm for b, s in zip(places.body, places.stand, strict=True)])
    centroid = frame.point(low + size / 2.0 + offsets)
    return {
        "ahead_of_axle": mass * (1.0 - share_ahead(low, size, frame)),
        "low": mass * centroid[:, 2],
        "centred": mass * centroid[:, 1],
    }


def spots_of(question: Question, places: Places, taken: list[int]) -> tuple[Spot, ...]:
    """The places taken, as spots in the pack's frame."""
    out = []
    for k in taken:
        low = places.low[k] * places.unit_mm + np.array(question.room.min_mm)
        i = int(places.body[k])
        out.append(Spot(i, _best_variant(question, i, int(places.stand[k])), (float(low[0]), float(low[1]), float(low[2]))))
    return tuple(sorted(out, key=lambda s: (s.body, s.low_mm)))


def _best_variant(question: Question, body: int, stand: int) -> int:
    """Of the stands with the same shape, the one whose centre of mass lies lowest, then furthest ahead."""
    stands = question.bodies[body].stands
    shape = (stands[stand].size_mm, zone_axis(stands[stand]), stands[stand].zone_mm, stands[stand].wall)
    same = [j for j, s in enumerate(stands) if (s.size_mm, zone_axis(s), s.zone_mm, s.wall) == shape]
    turn = question.frame.vector
    return min(same, key=lambda j: (round(turn(stands[j].centroid_mm)[2], 6), -round(turn(stands[j].centroid_mm)[0], 6), j))
