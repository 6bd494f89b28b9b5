"""Mounts with the stiffness of their brackets, and what the pack does to them in every case."""

from __future__ import annotations

from layout.balance.items import MassProperties
from layout.brackets.design import BracketDesign
from layout.brackets.stiffness import bracket_stiffness
from layout.frames import Pose, vec3
from layout.job.model import Job
from layout.loads.cases import LoadCase, accelerations
from layout.loads.mounts import Mount, Reaction, mount_forces
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


def case_forces(
    job: Job, mounts: tuple[Mount, ...], pack: MassProperties, cases: tuple[LoadCase, ...]
) -> tuple[CaseForces, ...]:
    """Forces on every mount for every case, in the order of the job's mount points.

    Raises:
        layout.loads.trouble.LoadsError: the mounts leave a free motion, which is named.
    """
    forces = mount_forces(mounts, pack.mass_kg, pack.centroid_mm, accelerations(cases))
    order = {m.name: i for i, m in enumerate(job.mount_points)}
    found = []
    for case, rows in zip(cases, forces, strict=True):
        reactions = [Reaction(m.name, vec3(f)) for m, f in zip(mounts, rows, strict=True)]
        found.append(CaseForces(case, tuple(sorted(reactions, key=lambda r: order[r.name]))))
    return tuple(found)
