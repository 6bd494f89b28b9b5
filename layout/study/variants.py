"""Thousands of variants of one loads run at once: other mass, centre of mass or stiffness of mounts on the same design.

Everything is worked out as arrays over all variants; what the full run reports check by check is here the greatest
utilisation of a place.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from layout.checks import Check
from layout.checks.road import ROAD_MARGIN
from layout.frames import Array, Pose
from layout.loads.body import share
from layout.loads.cases import LoadCase, accelerations
from layout.study.bracket_plates import bracket_plate_checks
from layout.study.leg_bolts import leg_bolt_checks
from layout.study.mount_bolts import mount_bolt_checks
from layout.study.mounting_bars import bar_checks
from layout.study.strength import Prepared


@dataclass(frozen=True, eq=False)
class Variant:
    """Arrays over V variants, vehicle axes: mass_kg (V,), centroid_mm (V, 3), stiffness (V, N, 3, 3) N/mm of N mounts.

    at_mm: places of the mounts, (N, 3), the same in all variants.
    """

    mass_kg: Array
    centroid_mm: Array
    stiffness: Array
    at_mm: Array


def variant_forces(variants: Variant, cases: tuple[LoadCase, ...], frame: Pose) -> Array:
    """What the pack does to its mounts as a rigid body, (V, C, N, 3), N, pack frame.

    Raises:
        layout.loads.trouble.LoadsError: a variant is free to move, or its forces do not balance.
    """
    count = len(variants.mass_kg)
    acceleration = np.broadcast_to(accelerations(cases), (count, len(cases), 3))
    at = np.broadcast_to(variants.at_mm, (count, *variants.at_mm.shape))
    forces = share(at, variants.stiffness, variants.mass_kg, variants.centroid_mm, acceleration)
    return np.asarray(forces @ frame.matrix)


def bracket_uses(one: Prepared, case: LoadCase, forces_n: Array) -> dict[str, Array]:
    """Greatest utilisation by place of one bracket in one case, each (V,). forces_n: (V, mounts, 3) along a, n, w.

    Infinite where something is not known or has no capacity. The checks are the ordinary ones, made of arrays.
    """
    count = len(forces_n)
    found: dict[str, Array] = {}
    for i, (joint, foot) in enumerate(zip(one.joints, one.feet, strict=True)):
        force = forces_n[:, i]
        found[f"bolt, {joint.part}"] = _greatest(mount_bolt_checks(joint, case, force), case, count)
        found[f"plates, {foot.part}"] = _greatest(bracket_plate_checks(foot, case, force), case, count)
    found[f"leg bolts, {one.leg.number}"] = _greatest(leg_bolt_checks(one.leg, case, forces_n), case, count)
    for bar in one.bars:
        found[bar.part] = _greatest(bar_checks(one.leg, bar, case, forces_n), case, count)
    return found


def _greatest(checks: list[Check], case: LoadCase, count: int) -> Array:
    """Over all checks, and all bolts of each, by variant."""
    most = np.zeros(count)
    for check in checks:
        used: Any = math.inf if check.utilisation is None else check.utilisation
        if case.no_slip and check.unit == "MPa" and check.capacity is not None:
            used = used * ROAD_MARGIN
        made = getattr(check, "rows", True)
        if made is not True:
            used = np.where(made, used, 0.0)
        most = np.maximum(most, used if np.ndim(used) < 2 else np.max(used, axis=-1))
    return most
