"""Where the job's wishes leave the place open, the pack goes between its mounts: they share the load evenly then."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from layout.frames import Array, Extent, Vec3, vec3
from layout.job.model import Job
from layout.packing.bodies import Body
from layout.packing.slide import Frame, Layout
from layout.stepped import Stepped, holds

FIXED_BY: dict[str, tuple[int, ...]] = {"ahead_of_axle": (0,), "centred": (1,), "serviceable": (0, 1)}
"""Wishes that settle a place along the vehicle's axes."""

STEP_MM = 1.0
"""Positions stay multiples of what they were found in."""


def between_mounts(job: Job, layout: Layout, bodies: tuple[Body, ...], frame: Frame, order: tuple[str, ...]) -> Layout:
    """The layout moved level as a whole, its centroid as near to the middle of the mounts as the limits let it come.

    order: the wishes that the layout was made for. Along an axis that one of these or of the job's wishes settles it stays
    where it is. Box, modules and what hangs outside move together, so every distance between them is kept.
    """
    fixed = {axis for wish in (*order, *job.pack.prefer) for axis in FIXED_BY.get(wish, ())}
    way = np.zeros(3)
    middle = np.mean([mount.at_mm for mount in job.mount_points], axis=0) - frame.pose.point(_centroid(layout, bodies, frame))
    for axis in (a for a in (0, 1) if a not in fixed):
        way[axis] = middle[axis]
    wanted = frame.pose.inverse_vector(way)
    wanted[2] = 0.0
    low, high = _play(layout, frame)
    steps = np.trunc(np.clip(wanted, low, high) / STEP_MM)
    while np.abs(steps[:2]).max() >= 1.0:
        moved = _moved(layout, vec3(steps * STEP_MM))
        if holds(frame.limit, moved.inside):
            return moved
        steps = np.trunc(steps * 0.9)
    return layout


def _centroid(layout: Layout, bodies: tuple[Body, ...], frame: Frame) -> Array:
    """Of modules and equipment, pack frame."""
    total, sums = 0.0, np.zeros(3)
    for spot in layout.spots:
        body = bodies[spot.body]
        stand = body.stands[spot.stand]
        sums += body.mass_kg * (np.array(spot.low_mm) + np.array(stand.size_mm) / 2.0 + np.array(stand.centroid_mm))
        total += body.mass_kg
    for low, pocket in zip(layout.hung_mm, frame.pockets, strict=True):
        sums += pocket.kind.mass_kg * (np.array(low) + np.array(pocket.size_mm) / 2.0)
        total += pocket.kind.mass_kg
    return sums / total


def _play(layout: Layout, frame: Frame) -> tuple[Array, Array]:
    """How far everything may move towards the lower and the higher side of each axis, as far as bounds go."""
    low = np.subtract(frame.limit.min_mm, layout.inside.min_mm)
    high = np.subtract(frame.limit.max_mm, layout.inside.max_mm)
    for at, pocket in zip(layout.hung_mm, frame.pockets, strict=True):
        low = np.maximum(low, np.subtract(pocket.limit.min_mm, at))
        high = np.minimum(high, np.subtract(pocket.limit.max_mm, np.add(at, pocket.size_mm)))
    return np.minimum(low, 0.0), np.maximum(high, 0.0)


def _moved(layout: Layout, way_mm: Vec3) -> Layout:
    spots = tuple(replace(s, low_mm=vec3(np.add(s.low_mm, way_mm))) for s in layout.spots)
    hung = tuple(vec3(np.add(low, way_mm)) for low in layout.hung_mm)
    return replace(layout, spots=spots, inside=_shifted(layout.inside, way_mm), hung_mm=hung)


def _shifted(inside: Extent, way_mm: Vec3) -> Extent:
    low, high = vec3(np.add(inside.min_mm, way_mm)), vec3(np.add(inside.max_mm, way_mm))
    if isinstance(inside, Stepped):
        return Stepped(low, high, _shifted(inside.left_out, way_mm))
    return Extent(low, high)
