"""Mounts with the stiffness of their brackets, and what the pack does to them in every case."""

from __future__ import annotations

from dataclasses import dataclass

from layout.balance.items import MassProperties
from layout.brackets.design import BracketDesign
from layout.brackets.stiffness import bracket_stiffness
from layout.frames import Extent, Pose, vec3
from layout.job.model import Job
from layout.loads.cases import attachment_rules, cases_of
from layout.loads.envelope import job_envelope
from layout.loads.mounts import Mount, Reaction
from layout.loads.pulse_cases import PulseResponse, cases_of_responses, pulse_responses
from layout.study.shares import Share, attachment_shares, shares_of
from layout.study.study import CaseForces


def mounts_of(brackets: tuple[BracketDesign, ...], frame: Pose) -> tuple[Mount, ...]:
    """One elastic mount per mount point, at the vehicle's metal, in vehicle axes."""
    mounts = []
    for bracket in brackets:
        for mount in bracket.plan.mounts:
            k = bracket_stiffness(bracket, mount)
            turned = frame.matrix @ k @ frame.matrix.T
            rows = (vec3(turned[0]), vec3(turned[1]), vec3(turned[2]))
            mounts.append(Mount(mount.name, mount.entry.at_mm, rows))
    return tuple(mounts)


@dataclass(frozen=True)
class Loading:
    """Everything the pack does to its mounts. cases: the rigid answer, which sums to each case's load; shares: all ways."""

    cases: tuple[CaseForces, ...]
    shares: tuple[Share, ...]
    pulses: tuple[PulseResponse, ...]
    notes: tuple[str, ...]


def loading_of(job: Job, mounts: tuple[Mount, ...], pack: MassProperties, modules: Extent, frame: Pose) -> Loading:
    """Static cases and pulses, shared among the mounts. modules: where the weight of the pack lies, vehicle axes.

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
    return Loading(tuple(rigid), (*shares_of(envelope, cases, frame), *single), pulses, envelope.notes)
