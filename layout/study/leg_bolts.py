"""Bolts between bracket and mounting bars: the group, the leg, and the threads in the bars. Pack frame."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from layout.box.design import BoxDesign
from layout.brackets.design import BracketDesign
from layout.brackets.foot import LegPlace, leg_place
from layout.checks import Check
from layout.checks.bolts import Ply, bolt_checks, ply_checks, tension_resistance_n
from layout.checks.groups import BoltGroup, bolt_shears, bolt_tensions
from layout.checks.gussets import pulled_strip_check
from layout.checks.joints import road_joint_checks
from layout.checks.many import NUMBER, hypot, named_by, with_note
from layout.checks.prying import prying_checks, prying_factor
from layout.checks.threads import thread_checks
from layout.frames import Array
from layout.job.model import Job
from layout.loads.cases import LoadCase
from layout.study.tightening import tightening
from layout.tables import BoltSize, bolt

CANTILEVER = "one gusset beside the bolt: s is the span whose moment is that of the cantilever from it"


@dataclass(frozen=True, eq=False)
class LegJoint:
    """All leg bolts of a bracket. arms_mm: (mounts, 3) from the bolts' centroid to each mount, along a, up, w; turn: (3, 3)
    from the foot's axes (a, n, out) to these; places: the leg at each bolt; leg, bar: the two plies; engagement_mm: of the
    thread in the bar; on_bar: how many bolts a bar carries.
    """

    number: str
    grade: str
    size: BoltSize
    group: BoltGroup
    arms_mm: Array
    places: tuple[LegPlace, ...]
    leg: Ply
    bar: Ply
    engagement_mm: float
    turn: Array
    on_bar: int = 4

    @cached_property
    def prying(self) -> Array:
        """Bolt force over its pull, per bolt: at least 1.5."""
        return np.array([prying_factor(p.flange.m_mm, p.flange.n_mm) for p in self.places])

    @cached_property
    def alike(self) -> tuple[tuple[int, ...], ...]:
        """Numbers of the bolts, from 0, those together at which the leg is the same."""
        found: dict[LegPlace, list[int]] = {}
        for i, place in enumerate(self.places):
            found.setdefault(place, []).append(i)
        return tuple(tuple(rows) for rows in found.values())


def leg_joint(job: Job, box: BoxDesign, bracket: BracketDesign) -> LegJoint:
    """The joint of a bracket's leg with its bars."""
    plan, hardware = bracket.plan, bracket.hardware[-1]
    size = bolt(hardware.size)
    centre = np.mean(bracket.leg_bolts_mm, axis=0)
    axes, pattern = plan.leg_axes, plan.pattern
    row, rim = pattern.row_mm, pattern.edge_mm
    edge, pitch = plan.bolt_edge_mm, (row, 2.0 * pattern.column_mm)
    t = bracket.thickness_mm
    return LegJoint(
        number=bracket.number,
        grade=job.bracket.bolt_class,
        size=size,
        group=bolt_group(bracket),
        arms_mm=(np.array([m.at_mm for m in plan.mounts]) - centre) @ axes.T,
        places=tuple(leg_place(bracket, i, size.size, row) for i in range(len(bracket.leg_bolts_mm))),
        leg=Ply(bracket.material, t, size.hole_medium_mm, rim, _end_mm(bracket), *pitch, welded=bool(bracket.gusset_places_mm)),
        bar=Ply(box.material, box.shell.bar_mm, size.diameter_mm, rim, edge, *pitch, welded=True),
        engagement_mm=min(hardware.length_mm - hardware.grip_mm, box.shell.bar_mm),
        turn=plan.leg_axes @ plan.foot_axes.T,
        on_bar=plan.bolts_on_bar,
    )


def _end_mm(bracket: BracketDesign) -> float:
    """Least distance of a leg bolt from the leg's ends along the bend."""
    xs = [x for x, _ in bracket.leg_at_mm]
    return min(min(xs) - bracket.a_mm[0], bracket.a_mm[1] - max(xs))


def bolt_group(bracket: BracketDesign) -> BoltGroup:
    """The leg bolts in the plane of the bars' face (u along the bend, v up the leg)."""
    plan, rim = bracket.plan, bracket.plan.pattern.edge_mm
    u, v = np.array(bracket.leg_at_mm).T
    low = v.min() - rim if bracket.column else bracket.thickness_mm + bracket.inside_radius_mm
    side = plan.bar_width_mm / 2.0 - plan.pattern.column_mm
    edges = (u.min() - side, u.max() + side, low, v.max() + rim)
    return BoltGroup(tuple((float(a), float(b)) for a, b in zip(u, v, strict=True)), tuple(float(e) for e in edges))  # type: ignore[arg-type]


def group_load(joint: LegJoint, forces_n: Array) -> tuple[Array, Array]:
    """Force and moment of the pack on the mounts, moved to the leg bolts' centroid: (..., 3) each, along a, up, w.

    The box holds the bracket through these bolts, so the load is what the pack does to the mounts. forces_n: (..., mounts,
    3) along a, n, out, a right-handed system as the other.
    """
    forces_n = forces_n @ joint.turn.T
    return forces_n.sum(axis=-2), _turning(joint.arms_mm, forces_n)


def _turning(arms_mm: Array, forces_n: Array) -> Array:
    """Sum of arm x force over the mounts, (..., 3). arms_mm: (mounts, 3); forces_n: (..., mounts, 3)."""
    products = np.einsum("mi,...mj->...ij", arms_mm, forces_n)
    return np.stack([products[..., i, j] - products[..., j, i] for i, j in ((1, 2), (2, 0), (0, 1))], axis=-1)


def bolt_sizes(joint: LegJoint, forces_n: Array) -> tuple[Array, Array]:
    """Shears along a and up, (..., bolts, 2), without sign, and pulls (..., bolts), N. forces_n as `group_load`.

    All bolts of the bracket as one stiff group. Where it stands on several bars, shears are enveloped with each mount's force
    on the bolts of the bar nearest to it alone: the angle between bars is not stiff (finite elements of a whole pack put 1.9
    times the group's shear on the bolts beside a mount).
    """
    force, moment = group_load(joint, forces_n)
    # what loads the bracket against its bolts is the vehicle's answer at the mounts: minus what the pack does to them
    shears = np.abs(bolt_shears(joint.group, force, moment))
    pulls = bolt_tensions(joint.group, -force * np.array([0.0, 0.0, 1.0]), -moment)
    points = np.array(joint.group.points_mm)
    many = joint.on_bar
    bars = points.reshape(-1, many, 2).mean(axis=1) if len(points) > many else points[:0]
    along = joint.arms_mm[:, 0] + points[:, 0].mean()
    nearest = np.abs(along[:, None] - bars[:, 0]).argmin(axis=1) if len(bars) else np.zeros(0, dtype=int)
    turned = forces_n @ joint.turn.T
    for b in sorted({int(n) for n in nearest}):
        rows, mine = slice(many * b, many * (b + 1)), nearest == b
        off = np.append(bars[b] - points.mean(axis=0), 0.0)
        own = turned[..., mine, :]
        turning = _turning(joint.arms_mm[mine] - off, own)
        alone = BoltGroup(joint.group.points_mm[rows], joint.group.edges_mm)
        of_bar = np.abs(bolt_shears(alone, own.sum(axis=-2), turning))
        shears[..., rows, :] = np.maximum(shears[..., rows, :], of_bar)
    return shears, pulls


def leg_bolt_checks(joint: LegJoint, case: LoadCase, forces_n: Array) -> list[Check]:
    """Bolts of a bracket's leg, with leg, bar and thread. forces_n: (..., mounts, 3) along a, n, w.

    Of every bolt with its tension and prying; of the leg's plate where it differs from bolt to bolt. case: one of a kind of
    cases (see `Loads`).
    """
    shears, pulls = bolt_sizes(joint, forces_n)
    found = joint_checks(joint, NUMBER, case, shears[..., 0], shears[..., 1], pulls * joint.prying)
    for rows in joint.alike:
        names = tuple(f"{joint.number}-L{i + 1}" for i in rows)
        mine = pulls[..., list(rows)]
        which = np.broadcast_to(np.arange(len(rows)), mine.shape)
        found += [named_by(c, names, which, f"{joint.number}-L") for c in _plate_checks(joint, rows[0], "", mine)]
    return found


def joint_checks(
    joint: LegJoint, bolt_number: int | str, case: LoadCase, along_a_n: Any, along_n_n: Any, tension_n: Any
) -> list[Check]:
    """One leg bolt under its shears and its tension, prying included; leg and bar as plies; thread; preload on the road.

    Forces may be arrays, the bolts along their last axis; bolt_number is then NUMBER.
    """
    part, name, size, grade = f"{joint.number}-L{bolt_number}", case.name, joint.size, joint.grade
    shear = hypot(along_a_n, along_n_n)
    repeated = case.no_slip
    found = bolt_checks(part, name, size.size, grade, tension_n, shear, hole_mm=size.hole_medium_mm)
    found += ply_checks(
        part, name, size.size, grade, joint.leg, along_n_n, along_a_n, tension_n, washer_mm=size.washer_outer_mm,
        repeated=repeated,
    )  # fmt: skip
    found += ply_checks(f"{part} in bar", name, size.size, grade, joint.bar, along_n_n, along_a_n)
    found += thread_checks(
        f"{part} in bar", name, size.size, grade, joint.bar.material, joint.engagement_mm, tension_n, welded=True,
        metal_mm=joint.bar.thickness_mm,
    )  # fmt: skip
    if case.no_slip:
        found += road_joint_checks(part, name, tightening(size.size, grade), tension_n, shear)
    return found


def _plate_checks(joint: LegJoint, index: int, case: str, pull_n: Any) -> list[Check]:
    """The leg under one bolt's pull (no prying in it): as a tee with the bolt's prying, and as a strip beside its gussets."""
    place, size = joint.places[index], joint.size
    part = f"{joint.number}-L{index + 1}"
    found = prying_checks(part, case, place.flange, pull_n, tension_resistance_n(size.size, joint.grade))
    if place.clear_mm is None:
        return found
    strip = pulled_strip_check(
        part, case, place.flange.grade, place.flange.thickness_mm, place.clear_mm, size.washer_outer_mm, size.hole_medium_mm,
        place.edges_mm, pull_n,
    )  # fmt: skip
    return [*found, with_note(strip, CANTILEVER) if place.cantilever else strip]
