"""The bracket's own plates and welds: foot, gussets, leg; and the angle between mount and bars. Pack frame."""

from __future__ import annotations

import numpy as np

from layout.brackets.angle import GUSSET_CLEAR_MM, SHIFT_MM, TOE_MM
from layout.brackets.design import BracketDesign
from layout.brackets.plan import PackMount
from layout.checks import Check
from layout.checks.angle_rails import AngleSection, angle_checks
from layout.checks.brackets import PlainL, plain_l_checks
from layout.checks.gussets import GussetedL, gusseted_l_checks
from layout.frames import Array
from layout.study.shares import Share
from layout.tables import bolt


def bracket_plate_checks(bracket: BracketDesign, share: Share) -> list[Check]:
    """Foot with its gussets at every mount, and the angle as a beam from mount to nearest bar, for one case."""
    found: list[Check] = []
    for mount in bracket.plan.mounts:
        force = share.forces_n[mount.name]
        plan = bracket.plan
        local = (float(force @ plan.a), float(force @ plan.n), float(force @ plan.w))
        part = f"{bracket.number} at {mount.name}"
        found += _foot(bracket, mount, part, share.name, local)
        found += _overhang(bracket, mount, part, share.name, local)
    return found


def _clear(bracket: BracketDesign, mount: PackMount) -> float | None:
    """Clear width between the gussets on both sides of a mount's socket; None where one of them is missing."""
    own = float(np.dot(mount.at_mm, bracket.plan.a))
    most = 2.0 * GUSSET_CLEAR_MM + SHIFT_MM + bracket.gusset_thickness_mm
    above = [p - own for p in bracket.gusset_places_mm if 0.0 < p - own <= most]
    below = [own - p for p in bracket.gusset_places_mm if 0.0 < own - p <= most]
    if not above or not below:
        return None
    return min(above) + min(below) - bracket.gusset_thickness_mm


def _foot(bracket: BracketDesign, mount: PackMount, part: str, case: str, force: tuple[float, float, float]) -> list[Check]:
    size = bolt(mount.entry.thread)
    t, stand = bracket.thickness_mm, bracket.plan.stand_mm(mount)
    clear = _clear(bracket, mount)
    own = float(np.dot(mount.at_mm, bracket.plan.a))
    to_ends = min(own - bracket.a_mm[0], bracket.a_mm[1] - own)
    half = min((clear or 2.0 * GUSSET_CLEAR_MM) / 2.0 + bracket.gusset_thickness_mm + 15.0, to_ends)
    width = 2.0 * half
    if clear is None:
        level = float(np.dot(mount.at_mm, bracket.plan.n))
        lowest = min(float(np.dot(p, bracket.plan.n)) for p in bracket.leg_bolts_mm) - level
        washer, radius = size.washer_outer_mm, bracket.inside_radius_mm
        plain = PlainL(bracket.material, t, radius, width, stand - t, lowest - t / 2.0, 2.0 * 9.0, washer)
        return plain_l_checks(part, case, plain, force)
    height, reach = bracket.gusset_mm
    shape = GussetedL(
        grade=bracket.material,
        thickness_mm=t,
        width_mm=width,
        foot_arm_mm=stand - t,
        edge_mm=bracket.foot_out_mm - stand,
        gussets=2,
        gusset_thickness_mm=bracket.gusset_thickness_mm,
        clear_mm=clear,
        reach_mm=reach,
        height_mm=height,
        nose_mm=TOE_MM,
        throat_mm=bracket.welds[0].throat_mm,
        notch_mm=bracket.inside_radius_mm + 3.0,
        washer_mm=size.washer_outer_mm,
        hole_mm=size.hole_medium_mm,
    )
    return gusseted_l_checks(part, case, shape, force)


def _overhang(bracket: BracketDesign, mount: PackMount, part: str, case: str, force: tuple[float, float, float]) -> list[Check]:
    """The whole angle as a beam along the bend from the mount to the nearest leg bolt, bent both ways and twisted."""
    plan = bracket.plan
    own = float(np.dot(mount.at_mm, plan.a))
    bolts = np.array([np.dot(p, plan.a) for p in bracket.leg_bolts_mm])
    arm = float(np.min(np.abs(bolts - own)))
    if arm <= GUSSET_CLEAR_MM:
        return []
    shape = AngleSection(bracket.material, bracket.thickness_mm, bracket.leg_top_mm, bracket.foot_out_mm)
    twist = abs(force[1]) * plan.stand_mm(mount) + abs(force[2]) * _height(bracket, mount)
    return angle_checks(part, case, shape, arm, force, twist)


def _height(bracket: BracketDesign, mount: PackMount) -> float:
    """From the mount's level to the middle of the leg bolts."""
    heights: Array = np.array([np.dot(p, bracket.plan.n) for p in bracket.leg_bolts_mm])
    return float(heights.mean() - np.dot(mount.at_mm, bracket.plan.n))
