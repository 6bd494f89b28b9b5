"""Thousands of variants of one loads run at once: other mass, centre of mass or stiffness of mounts on the same design.

Everything is worked out as arrays over all variants; what the full run reports check by check is here the greatest
utilisation of a place. Capacities do not depend on loads, so each is taken from one ordinary check under a unit load, and
the tests hold the arrays against the ordinary checks of single variants.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np

from layout.checks import Check, bolt_rules
from layout.checks.angle_rails import ANGLE, angle_checks
from layout.checks.bars import WALL_SHEAR, mounting_bar_checks
from layout.checks.beams import BENDING
from layout.checks.bolts import Ply, ply_checks, tension_resistance_n, utilisations
from layout.checks.box_column import BoxColumn, box_column_checks, box_column_utilisations
from layout.checks.brackets import PlainL, plain_l_checks, plain_l_utilisations
from layout.checks.fixings import fixing_checks
from layout.checks.groups import bolt_shears
from layout.checks.gussets import gusseted_l_checks, gusseted_l_utilisations
from layout.checks.joints import SHARE_HIGH, SHARE_LOW, SLIP_FACTOR
from layout.checks.prying import prying_checks
from layout.checks.road import ROAD_MARGIN
from layout.checks.saddles import saddle_checks, saddle_utilisations
from layout.checks.threads import thread_checks
from layout.checks.upright_sheets import beside_checks
from layout.checks.welds import fillet_utilisations
from layout.frames import Array, Pose
from layout.loads.body import share
from layout.loads.cases import LoadCase, accelerations
from layout.study.bracket_plates import Foot
from layout.study.leg_bolts import LegJoint, bolt_sizes, group_load
from layout.study.mount_bolts import MountJoint, slot_factor
from layout.study.mounting_bars import LoadedBar, bending, outward, sag
from layout.study.strength import Prepared
from layout.study.tightening import tightening
from layout.tables import BoltSize, bolt_class, material


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

    Infinite where something is not known or has no capacity. Welds in steel by the directional method.
    """
    found: dict[str, Array] = {}
    for i, (joint, foot) in enumerate(zip(one.joints, one.feet, strict=True)):
        force = forces_n[:, i]
        found[f"bolt, {joint.part}"] = mount_uses(joint, case, force)
        found[f"plates, {foot.part}"] = foot_uses(foot, case, force)
    found[f"leg bolts, {one.leg.number}"] = leg_uses(one.leg, case, forces_n)
    for bar in one.bars:
        found[bar.part] = bar_uses(one.leg, bar, case, forces_n)
    return found


def mount_uses(joint: MountJoint, case: LoadCase, force_n: Array) -> Array:
    """Bolt, prying, foot plate, vehicle's metal and preload at one mount, greatest of all, (V,). force_n: (V, 3) a, n, w."""
    across, along, pull = np.abs(force_n[:, 0]), np.abs(force_n[:, 2]), np.maximum(force_n[:, 1], 0.0)
    shear, tension = np.hypot(across, along), joint.prying * pull
    size, grade, entry = joint.size, joint.grade, joint.entry
    tee = _per_n(prying_checks("", "", joint.flange, 1.0, tension_resistance_n(size.size, grade)))

    def at_vehicle(pulled: float, sheared: float) -> list[Check]:
        return fixing_checks(
            "", "", entry.fixing, size.size, grade, pulled, sheared,
            sheet_material=entry.sheet.material if entry.sheet else None,
            sheet_mm=entry.sheet.thickness_mm if entry.sheet else None,
            group="road" if case.no_slip else "crash", edge_mm=entry.edge_distance_mm,
        )  # fmt: skip

    parts = [
        utilisations(size.size, grade, tension, shear, hole_mm=size.hole_medium_mm),
        tee * pull,
        _ply_uses(size, grade, joint.ply, along, across, tension, size.washer_outer_mm, case.no_slip),
        _pair_uses(at_vehicle, tension, shear),
        *_preload_uses(size, grade, case, tension, shear, slot_factor(joint.slot)),
        *_slot_uses(joint, case, tension, across, along),
    ]
    return np.asarray(np.maximum.reduce(np.broadcast_arrays(*parts)))


def _slot_uses(joint: MountJoint, case: LoadCase, tension: Array, across: Array, along: Array) -> list[Array]:
    """Friction along a slot in a crash, where nothing else holds the pack that way."""
    if case.no_slip or joint.slot is None or not (joint.held_by_friction or case.on_single_mounts):
        return []
    set_to = tightening(joint.size.size, joint.grade)
    force = abs(joint.slot.along[0]) * across + abs(joint.slot.along[1]) * along
    return [
        bolt_rules.SLIP.utilisations(
            F_v=force, k_s=slot_factor(joint.slot), n=1.0, mu=SLIP_FACTOR["untreated"], F_imin=set_to.low_n, F_t=tension,
            gamma_M3=bolt_rules.GAMMA_M3,
        )
    ]  # fmt: skip


def foot_uses(foot: Foot, case: LoadCase, force_n: Array) -> Array:
    """The bracket's plates, gussets and welds at one mount and the angle beside it, (V,)."""
    size = np.abs(force_n)
    if isinstance(foot.shape, PlainL):
        idle = plain_l_checks("", "", foot.shape, (0.0, 0.0, 0.0))
        used = plain_l_utilisations(foot.shape, size)
    elif isinstance(foot.shape, BoxColumn):
        idle = box_column_checks("", "", foot.shape, (0.0, 0.0, 0.0))
        used = box_column_utilisations(foot.shape, size)
    elif foot.saddle is not None:
        idle = saddle_checks("", "", foot.shape, foot.saddle, (0.0, 0.0, 0.0))
        used = saddle_utilisations(foot.shape, foot.saddle, size)
    else:
        idle = gusseted_l_checks("", "", foot.shape, (0.0, 0.0, 0.0))
        used = gusseted_l_utilisations(foot.shape, size)
    if foot.overhang_mm > 0.0:
        (unit,) = angle_checks("", "", foot.angle, foot.overhang_mm, (0.0, 0.0, 0.0), 0.0)
        values: dict[str, Any] = {q.symbol: q.value for q in unit.inputs}
        values |= {"F_a": size[:, 0], "F_n": size[:, 1], "F_w": size[:, 2]}
        values["T"] = size[:, 1] * foot.stand_mm + size[:, 2] * foot.height_mm
        used = np.maximum(used, ANGLE.utilisations(**values))
    shaped = max(_use(c) for c in idle)  # what the shape alone decides: bend radius, class of the gussets' free edge
    return np.asarray(np.maximum(used * _margin(case), shaped))


def leg_uses(joint: LegJoint, case: LoadCase, forces_n: Array) -> Array:
    """All leg bolts of a bracket with leg, bar and thread, greatest of all, (V,)."""
    shears, pulls = bolt_sizes(joint, forces_n)
    tension, shear = pulls * joint.prying, np.linalg.norm(shears, axis=-1)
    size, grade = joint.size, joint.grade
    thread = _per_n(
        thread_checks("", "", size.size, grade, joint.bar.material, joint.engagement_mm, 1.0, welded=True,
                      metal_mm=joint.bar.thickness_mm)
    )  # fmt: skip
    plate = pulls[..., None] * joint.per_pull * np.array([1.0, _margin(case)])  # the tee in N, the strip a stress
    n, a = shears[..., 1], shears[..., 0]
    parts = [
        utilisations(size.size, grade, tension, shear, hole_mm=size.hole_medium_mm),
        plate.max(axis=-1),
        _ply_uses(size, grade, joint.leg, n, a, tension, size.washer_outer_mm, case.no_slip),
        _ply_uses(size, grade, joint.bar, n, a, np.zeros_like(n), None, False),
        thread * tension,
        *_preload_uses(size, grade, case, tension, shear),
    ]
    return np.asarray(np.maximum.reduce(np.broadcast_arrays(*parts)).max(axis=-1))


def bar_uses(joint: LegJoint, loaded: LoadedBar, case: LoadCase, forces_n: Array) -> Array:
    """A mounting bar bent by its bolts, its welds, and the wall beside it, (V,)."""
    force, moment = group_load(joint, forces_n)
    total = bolt_shears(joint.group, force, moment)[:, loaded.rows].sum(axis=1)
    pulls = outward(joint.group.offsets_mm, force, moment)[:, loaded.rows] @ loaded.at_height
    up = total @ loaded.upward
    along, up = np.linalg.norm(total - up[:, None] * loaded.upward, axis=1), np.abs(up)
    bar = loaded.bar
    moments, shears = bending(loaded.heights_mm, pulls, bar.span_mm)
    none = tuple((float(h), 0.0) for h in loaded.heights_mm)
    idle = mounting_bar_checks("", "", bar, none, 0.0, bar.span_mm / 2.0, (0.0, 0.0), into_sheets=False)
    bent, wall = idle[0], next(c for c in idle if c.name == WALL_SHEAR.name)
    values: dict[str, Any] = {q.symbol: q.value for q in bent.inputs} | {"M": moments, "V": shears, "N": up}
    in_wall: dict[str, Any] = {q.symbol: q.value for q in wall.inputs} | {"Q": np.hypot(along, up)}
    length, sheets = bar.span_mm * bar.weld_share, (bar.thickness_mm, bar.wall_mm)
    zero = np.zeros_like(up)
    edge = (up / (2.0 * length), along / (2.0 * length), zero)
    parts = [
        BENDING.utilisations(**values),
        WALL_SHEAR.utilisations(**in_wall),
        fillet_utilisations(bar.grade, sheets, bar.throat_mm, (zero, zero, shears / bar.end_weld_mm)),
        fillet_utilisations(bar.grade, sheets, bar.throat_mm, edge),
    ]
    if bar.place is not None:
        per_mm = _per_n(beside_checks("", "", bar.upright, bar.place, 1.0))
        stiff = material(bar.grade).e_mpa * bar.width_mm * bar.thickness_mm**3 / 12.0
        parts.append(per_mm * sag(loaded.heights_mm, pulls, bar.span_mm) / stiff)
    return np.asarray(np.maximum.reduce(np.broadcast_arrays(*parts)) * _margin(case))


def _margin(case: LoadCase) -> float:
    return ROAD_MARGIN if case.no_slip else 1.0


def _use(check: Check) -> float:
    return float("inf") if check.utilisation is None else check.utilisation


def _per_n(checks: Iterable[Check]) -> float:
    """Greatest utilisation of checks made under 1 N; each grows in proportion to it."""
    return max((_use(c) for c in checks), default=0.0)


def _fixed(checks: list[Check], loaded: list[Check]) -> tuple[float, float]:
    """Greatest utilisation of checks that no load changes, and of the others: made under no load, and under 1 N."""
    idle = max((_use(c) for c in checks), default=0.0)
    moved = max((_use(c) for c in loaded if c.unit != "mm"), default=0.0)
    return idle, moved


def _pair_uses(checks_of: Callable[[float, float], list[Check]], tension: Array, shear: Array) -> Array:
    """Checks of which each asks for pull or shear alone, or (rivet nuts) for the root of both squares."""
    idle, pulled = _fixed(checks_of(0.0, 0.0), checks_of(1.0, 0.0))
    _, sheared = _fixed([], checks_of(0.0, 1.0))
    both = [c for c in checks_of(1.0, 1.0) if c.name in ("rivet nut", "blind nut in a crash")]
    alone = np.maximum(_times(pulled, tension), _times(sheared, shear))
    if both:
        alone = np.hypot(_times(pulled, tension), _times(sheared, shear))
    return np.maximum(alone, idle)


def _times(per_n: float, force: Array) -> Array:
    """Infinity times no force is no use."""
    return np.where(force > 0.0, per_n * np.where(force > 0.0, force, 1.0), 0.0)


def _ply_uses(
    size: BoltSize, grade: str, ply: Ply, force_1: Array, force_2: Array, tension: Array, washer_mm: float | None,
    repeated: bool,
) -> Array:  # fmt: skip
    """A ply: geometry, bearing in both directions and together, thin sheet, punching and pull-through."""

    def unit(f_1: float, f_2: float, pull: float) -> list[Check]:
        return ply_checks("", "", size.size, grade, ply, f_1, f_2, pull, washer_mm=washer_mm, repeated=repeated)

    idle, _ = _fixed(unit(0.0, 0.0, 0.0), [])
    first = {c.name: _use(c) for c in unit(1.0, 0.0, 0.0)}
    second = [_use(c) for c in unit(0.0, 1.0, 0.0) if c.name == "bearing and tear-out"][-1]
    pull = max((_use(c) for c in unit(0.0, 0.0, 1.0) if c.name in ("punching", "pull-through of thin sheet")), default=0.0)
    u_1, u_2 = _times(first["bearing and tear-out"], force_1), _times(second, force_2)
    thin = _times(first.get("bearing in thin sheet", 0.0), np.hypot(force_1, force_2))
    skew = np.where(force_2 > 0.0, u_1**2 + u_2**2, 0.0)
    parts = [u_1, u_2, skew, thin, pull * tension, np.full_like(u_1, idle)]
    return np.asarray(np.maximum.reduce(np.broadcast_arrays(*parts)))


def _preload_uses(
    size: BoltSize, grade: str, case: LoadCase, tension: Array, shear: Array, hole_factor: float = 1.0
) -> list[Array]:
    """Proof load, separation and slip, where the case asks for them."""
    if not case.no_slip:
        return []
    set_to, g = tightening(size.size, grade), bolt_class(grade)
    return [
        bolt_rules.PROOF.utilisations(
            F_imax=set_to.high_n, C=SHARE_HIGH, F_t=tension, S_p=g.proof_mpa, A_s=size.stress_area_mm2
        ),
        bolt_rules.SEPARATION.utilisations(C=SHARE_LOW, F_t=tension, F_imin=set_to.low_n),
        bolt_rules.SLIP.utilisations(
            F_v=shear, k_s=hole_factor, n=1.0, mu=SLIP_FACTOR["untreated"], F_imin=set_to.low_n, F_t=tension,
            gamma_M3=bolt_rules.GAMMA_M3_SERVICE,
        ),
    ]  # fmt: skip

