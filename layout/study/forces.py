"""Mounts with the stiffness of their brackets, and what the pack does to them in every case."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layout.balance.items import MassProperties
from layout.brackets.design import BracketDesign
from layout.brackets.stiffness import bracket_stiffness
from layout.frames import Array, Extent, Pose, vec3
from layout.job.model import Job
from layout.loads.cases import LoadCase, accelerations, attachment_rules, cases_of
from layout.loads.envelope import job_envelope
from layout.loads.mounts import Mount, Reaction, mount_forces
from layout.loads.pulse_cases import PulseResponse, cases_of_responses, pulse_responses
from layout.loads.sharing_cautions import sharing_cautions
from layout.loads.trouble import LoadsError
from layout.study.shares import SLOTS_SLIDE, Share, attachment_shares, shares_of
from layout.study.study import CaseForces


def slot_directions(brackets: tuple[BracketDesign, ...], frame: Pose) -> dict[str, Array]:
    """Of every mount whose hole in the bracket is a slot: the slot's direction, unit, vehicle axes."""
    found = {}
    for bracket in brackets:
        for mount, place in zip(bracket.plan.mounts, bracket.mount_places, strict=True):
            if place.slot is not None:
                across, along = place.slot.along
                found[mount.name] = frame.vector(across * bracket.plan.a + along * bracket.plan.out)
    return found


def _sliding(mounts: tuple[Mount, ...], slots: dict[str, Array]) -> tuple[Mount, ...]:
    """The mounts with no hold along their slots: stiffness K - K s sT K/(sT K s), the slot's direction s free to move."""
    found = []
    for mount in mounts:
        k = np.array(mount.stiffness)
        if mount.name in slots:
            push = k @ slots[mount.name]
            k = k - np.outer(push, push) / float(slots[mount.name] @ push)
            k = (k + k.T) / 2.0
        found.append(Mount(mount.name, mount.at_mm, (vec3(k[0]), vec3(k[1]), vec3(k[2])), mount.one_way, mount.bolt_axis))
    return tuple(found)


def sliding_shares(
    mounts: tuple[Mount, ...], slots: dict[str, Array], pack: MassProperties, cases: tuple[LoadCase, ...], frame: Pose
) -> tuple[Share, ...]:
    """Crash cases with every slot sliding; none where no mount has a slot, or nothing else would hold the pack."""
    crashes = [case for case in cases if not case.no_slip]
    if not slots or not crashes:
        return ()
    try:
        forces = mount_forces(_sliding(mounts, slots), pack.mass_kg, pack.centroid_mm, accelerations(tuple(crashes)))
    except LoadsError:
        return ()
    return tuple(
        Share(case, SLOTS_SLIDE, {m.name: frame.inverse_vector(f) for m, f in zip(mounts, row, strict=True)})
        for case, row in zip(crashes, forces, strict=True)
    )


def mounts_of(brackets: tuple[BracketDesign, ...], frame: Pose) -> tuple[Mount, ...]:
    """One elastic mount per mount point, at the vehicle's metal, in vehicle axes."""
    mounts = []
    for bracket in brackets:
        for mount in bracket.plan.mounts:
            k = bracket_stiffness(bracket, mount)
            turned = frame.matrix @ k @ frame.matrix.T
            rows = (vec3(turned[0]), vec3(turned[1]), vec3(turned[2]))
            mounts.append(Mount(mount.name, mount.entry.at_mm, rows, bolt_axis=vec3(frame.vector(bracket.plan.n))))
    return tuple(mounts)


@dataclass(frozen=True)
class Loading:
    """Everything the pack does to its mounts. cases: the rigid answer, which sums to each case's load; shares: all ways."""

    cases: tuple[CaseForces, ...]
    shares: tuple[Share, ...]
    pulses: tuple[PulseResponse, ...]
    notes: tuple[str, ...]


def loading_of(
    job: Job, mounts: tuple[Mount, ...], pack: MassProperties, modules: Extent, frame: Pose,
    slots: dict[str, Array] | None = None,
) -> Loading:  # fmt: skip
    """Static cases and pulses, shared among the mounts. modules: where the weight of the pack lies, vehicle axes; slots: the
    directions in which mounts are slotted.

    Raises:
        layout.loads.trouble.LoadsError: the mounts leave a free motion, a pulse or rule set cannot be used.
    """
    pulses = pulse_responses(job, pack, mounts)
    cases = (*cases_of(job), *cases_of_responses(pulses))
    envelope = job_envelope(job, mounts, pack, cases, modules)
    order = {m.name: i for i, m in enumerate(job.mount_points)}
    rigid = []
    for case in cases:
        reactions = [Reaction(name, force) for name, force in envelope.rigid(case.name)]
        rigid.append(CaseForces(case, tuple(sorted(reactions, key=lambda r: order[r.name]))))
    single = attachment_shares(attachment_rules(job), tuple(m.name for m in mounts), pack.mass_kg)
    sliding = sliding_shares(mounts, slots or {}, pack, cases, frame)
    notes = (*sharing_cautions(mounts, pack.mass_kg, pack.centroid_mm), *envelope.notes)
    return Loading(tuple(rigid), (*shares_of(envelope, cases, frame), *sliding, *single), pulses, notes)
