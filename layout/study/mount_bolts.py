"""Bolts at the vehicle's own holes, the bracket's foot under them and the vehicle's metal below."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal

import numpy as np

from layout.brackets.design import BracketDesign, Slot
from layout.brackets.foot import foot_flange, mount_index
from layout.brackets.plan import PackMount
from layout.checks import Check
from layout.checks.bolts import HoleKind, Ply, bolt_checks, ply_checks, tension_resistance_n
from layout.checks.fixings import fixing_checks
from layout.checks.joints import SHORT_SLOT_MM, SLOT_FACTOR, road_joint_checks, slip_check
from layout.checks.many import hypot, with_note
from layout.checks.prying import Flange, prying_checks, prying_factor
from layout.frames import Array
from layout.job.bay import MountPoint
from layout.job.model import Job
from layout.loads.cases import LoadCase
from layout.study.tightening import tightening
from layout.tables import BoltSize, bolt

NO_CREDIT = "nothing else holds this way: a slot holds by friction alone, a bolt against its end gets no credit"


@dataclass(frozen=True, eq=False)
class MountJoint:
    """The bolt at one mount point with what it holds. flange: the foot as it hinges and levers on its edge.

    slot: of the hole in the foot; held_by_friction: nothing else holds the pack along the slots, so friction must, in a
    crash too.
    """

    part: str
    entry: MountPoint
    grade: str
    ply: Ply
    flange: Flange
    slot: Slot | None = None
    held_by_friction: bool = False

    @cached_property
    def size(self) -> BoltSize:
        """The bolt."""
        return bolt(self.entry.thread)

    @cached_property
    def prying(self) -> float:
        """Bolt force over the pull on the foot: at least 1.5, more where the foot reaches far from bend and gussets."""
        return prying_factor(self.flange.m_mm, self.flange.n_mm)


def mount_joints(job: Job, bracket: BracketDesign, *, slots_slide: bool = False) -> tuple[MountJoint, ...]:
    """One per mount of a bracket, in the order of its plan. slots_slide: the pack is held without the slots' directions."""
    return tuple(_joint(job, bracket, mount, slots_slide) for mount in bracket.plan.mounts)


def _joint(job: Job, bracket: BracketDesign, mount: PackMount, slots_slide: bool) -> MountJoint:
    entry, place = mount.entry, bracket.mount_places[mount_index(bracket, mount)]
    ply = Ply(
        bracket.material,
        bracket.thickness_mm,
        bolt(entry.thread).hole_medium_mm,
        e_1_mm=place.edges_mm[0],
        e_2_mm=place.edges_mm[1],
        hole_kind=hole_kind(place.slot),
    )
    return MountJoint(
        f"{bracket.number} at {mount.name}", entry, job.bracket.bolt_class, ply, foot_flange(bracket, mount), place.slot,
        place.slot is not None and not slots_slide,
    )  # fmt: skip


def hole_kind(slot: Slot | None) -> HoleKind:
    """How a slot lies to the first direction of the ply (out along the foot)."""
    if slot is None:
        return "normal"
    if abs(slot.along[0]) > 0.99:
        return "slot across"
    return "slot along" if abs(slot.along[1]) > 0.99 else "slot askew"


def slot_factor(slot: Slot | None) -> float:
    """k_s for a force along the slot; 1 without one."""
    if slot is None:
        return 1.0
    return SLOT_FACTOR["short" if slot.length_mm <= SHORT_SLOT_MM else "long"]


def mount_bolt_checks(joint: MountJoint, case: LoadCase, forces_n: Array) -> list[Check]:
    """Bolt, foot plate, vehicle's metal; under road loads the preload too. forces_n: (..., 3) on the mount along a, n, w.

    case: one of a kind of cases (see `Loads`).
    """
    return joint_checks(joint, case, np.abs(forces_n[..., 0]), np.abs(forces_n[..., 2]), np.maximum(forces_n[..., 1], 0.0))


def joint_checks(joint: MountJoint, case: LoadCase, along_a_n: Any, along_w_n: Any, pull_n: Any) -> list[Check]:
    """The joint under one force, or arrays of them: shears along and across the bend, and the pull on the foot."""
    part, name, entry, grade, size = joint.part, case.name, joint.entry, joint.grade, joint.size
    shear = hypot(along_a_n, along_w_n)
    tension = joint.prying * pull_n
    group: Literal["crash", "road"] = "road" if case.no_slip else "crash"
    found = bolt_checks(part, name, size.size, grade, tension, shear, hole_mm=size.hole_medium_mm)
    found += prying_checks(part, name, joint.flange, pull_n, tension_resistance_n(size.size, grade))
    found += ply_checks(
        part, name, size.size, grade, joint.ply, along_w_n, along_a_n, tension, washer_mm=size.washer_outer_mm,
        repeated=group == "road",
    )  # fmt: skip
    found += fixing_checks(
        part, name, entry.fixing, size.size, grade, tension, shear,
        sheet_material=entry.sheet.material if entry.sheet else None,
        sheet_mm=entry.sheet.thickness_mm if entry.sheet else None,
        group=group, edge_mm=entry.edge_distance_mm,
    )  # fmt: skip
    if group == "road":
        found += road_joint_checks(
            part, name, tightening(size.size, grade), tension, shear, hole_factor=slot_factor(joint.slot)
        )
    elif joint.slot is not None and (joint.held_by_friction or case.on_single_mounts):
        along = abs(joint.slot.along[0]) * along_a_n + abs(joint.slot.along[1]) * along_w_n
        held = slip_check(
            f"{part}, along its slot", name, tightening(size.size, grade), tension, along, hole_factor=slot_factor(joint.slot),
            state="ultimate",
        )  # fmt: skip
        found.append(with_note(held, f"{NO_CREDIT}; {held.note}"))
    return found
