"""Bolts at the vehicle's own holes, the bracket's foot under them and the vehicle's metal below."""

from __future__ import annotations

import numpy as np

from layout.brackets.design import BracketDesign
from layout.brackets.plan import PackMount
from layout.checks import Check
from layout.checks.bolts import Ply, bolt_checks, ply_checks
from layout.checks.fixings import fixing_checks
from layout.checks.joints import road_joint_checks
from layout.frames import Array
from layout.job.model import Job
from layout.study.shares import Share
from layout.study.tightening import tightening
from layout.tables import bolt

PRYING = 1.5
"""The foot levers its bolt: tension times 1.5, a simple rule where no T-stub is worked out (our choice)."""


def mount_bolt_checks(job: Job, bracket: BracketDesign, share: Share) -> list[Check]:
    """Checks at every mount of a bracket for one case: bolt, foot plate, vehicle's metal; road loads: preload too."""
    found: list[Check] = []
    for mount in bracket.plan.mounts:
        found += _at_mount(job, bracket, mount, share, share.forces_n[mount.name])
    return found


def _at_mount(job: Job, bracket: BracketDesign, mount: PackMount, share: Share, force: Array) -> list[Check]:
    plan, entry = bracket.plan, mount.entry
    pull = max(float(force @ plan.n), 0.0)
    along_a, along_w = float(force @ plan.a), float(force @ plan.w)
    shear = float(np.hypot(along_a, along_w))
    tension = PRYING * pull
    part, name, grade = f"{bracket.number} at {mount.name}", share.name, job.bracket.bolt_class
    size = bolt(entry.thread)
    own_a = float(np.dot(mount.at_mm, plan.a))
    ply = Ply(
        bracket.material,
        bracket.thickness_mm,
        size.hole_medium_mm,
        e_1_mm=bracket.foot_out_mm - plan.stand_mm(mount),
        e_2_mm=min(own_a - bracket.a_mm[0], bracket.a_mm[1] - own_a),
    )
    group = "road" if share.case.no_slip else "crash"
    found = bolt_checks(part, name, entry.thread, grade, tension, shear, hole_mm=size.hole_medium_mm)
    found += ply_checks(
        part,
        name,
        entry.thread,
        grade,
        ply,
        along_w,
        along_a,
        tension,
        washer_mm=size.washer_outer_mm,
        repeated=group == "road",
    )
    found += fixing_checks(
        part,
        name,
        entry.fixing,
        entry.thread,
        grade,
        tension,
        shear,
        sheet_material=entry.sheet.material if entry.sheet else None,
        sheet_mm=entry.sheet.thickness_mm if entry.sheet else None,
        group="road" if group == "road" else "crash",
    )
    if group == "road":
        found += road_joint_checks(part, name, tightening(entry.thread, grade), tension, shear)
    return found
