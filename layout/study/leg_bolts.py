"""Bolts between bracket and mounting bars: the group, the leg, and the threads in the bars. Pack frame."""

from __future__ import annotations

import numpy as np

from layout.box.design import BoxDesign
from layout.box.shell import MOUNTING_BAR_MM
from layout.brackets.design import BracketDesign
from layout.brackets.plan import COLUMN_MM, END_MM, ROW_PITCH_MM
from layout.brackets.rows import EDGE_MM
from layout.checks import Check
from layout.checks.bolts import Ply, bolt_checks, ply_checks, utilisations
from layout.checks.groups import BoltGroup, bolt_shears, bolt_tensions
from layout.checks.joints import road_joint_checks
from layout.checks.threads import thread_checks
from layout.frames import Array
from layout.job.model import Job
from layout.study.shares import Share
from layout.study.tightening import tightening
from layout.tables import bolt

LEG_PRYING = 1.5
"""The leg levers its bolts where it is pulled off the bar: tension times 1.5 (our choice, see the foot)."""


def bolt_group(bracket: BracketDesign) -> tuple[BoltGroup, Array]:
    """The leg bolts in the plane of the bars' face (u along the bend, v along the mount's normal), and the centroid's place."""
    plan = bracket.plan
    points = np.array(bracket.leg_bolts_mm)
    u, v = points @ plan.a, points @ plan.n
    level = float(np.dot(plan.mounts[0].at_mm, plan.n))
    low = level + bracket.thickness_mm + bracket.inside_radius_mm
    edges = (
        u.min() - (plan.bar_width_mm / 2.0 - COLUMN_MM),
        u.max() + plan.bar_width_mm / 2.0 - COLUMN_MM,
        low,
        v.max() + EDGE_MM,
    )
    group = BoltGroup(tuple((float(a), float(b)) for a, b in zip(u, v, strict=True)), tuple(float(e) for e in edges))  # type: ignore[arg-type]
    return group, points.mean(axis=0)


def group_load(bracket: BracketDesign, share: Share, centre: Array) -> tuple[Array, Array]:
    """Force and moment of the box on the bracket at the group's centroid, components along a, n, w (w pulls the leg outward).

    The box holds the bracket through these bolts, so the load is what the pack does to the mounts, moved to the centroid.
    """
    plan = bracket.plan
    force, moment = np.zeros(3), np.zeros(3)
    for mount in plan.mounts:
        f = share.forces_n[mount.name]
        force = force + f
        moment = moment + np.cross(np.array(mount.at_mm) - centre, f)
    axes = np.array([plan.a, plan.n, plan.w])
    return axes @ force, axes @ moment


def leg_bolt_checks(job: Job, box: BoxDesign, bracket: BracketDesign, share: Share) -> list[Check]:
    """Checks of the worst bolt of a bracket's leg for one case."""
    group, centre = bolt_group(bracket)
    force, moment = group_load(bracket, share, centre)
    # what loads the bracket against its bolts is the vehicle's answer at the mounts: minus what the pack does to them
    shears = bolt_shears(group, force, moment)
    tensions = LEG_PRYING * bolt_tensions(group, -force * np.array([0.0, 0.0, 1.0]), -moment)
    size_name, grade = bracket.hardware[-1].size, job.bracket.bolt_class
    worst = int(np.argmax(utilisations(size_name, grade, tensions, np.hypot(shears[:, 0], shears[:, 1]))))
    tension, (shear_a, shear_n) = float(tensions[worst]), (float(s) for s in shears[worst])
    size = bolt(size_name)
    part, name = f"{bracket.number}-L{worst + 1}", share.name
    shear = float(np.hypot(shear_a, shear_n))
    leg = Ply(
        bracket.material, bracket.thickness_mm, size.hole_medium_mm, EDGE_MM, END_MM - 12.0, ROW_PITCH_MM, 2.0 * COLUMN_MM
    )
    edge = bracket.plan.bolt_edge_mm
    bar = Ply(box.material, MOUNTING_BAR_MM, size.diameter_mm, EDGE_MM, edge, ROW_PITCH_MM, 2.0 * COLUMN_MM, welded=True)
    found = bolt_checks(part, name, size_name, grade, tension, shear, hole_mm=size.hole_medium_mm)
    found += ply_checks(part, name, size_name, grade, leg, shear_n, shear_a, tension, washer_mm=size.washer_outer_mm)
    found += ply_checks(f"{part} in bar", name, size_name, grade, bar, shear_n, shear_a)
    bolt_part = bracket.hardware[-1]
    engagement = min(bolt_part.length_mm - bolt_part.grip_mm, MOUNTING_BAR_MM)
    found += thread_checks(f"{part} in bar", name, size_name, grade, box.material, engagement, tension, welded=True)
    if share.case.no_slip:
        found += road_joint_checks(part, name, tightening(size_name, grade), tension, shear)
    return found
