"""Lifting points in the load list: working load of the eyes, thread, pad weld and upright behind them, slings past the lid."""

from __future__ import annotations

import math

from layout.arrangement import Arrangement
from layout.balance.items import MassProperties
from layout.box.carriers import LiftingPoint
from layout.box.design import BoxDesign
from layout.box.lifting import pad_mm, pad_side_mm, pad_throat_mm
from layout.box.walls import wall_of
from layout.checks import Check, not_checked
from layout.checks.bars import MountingBar, mounting_bar_checks
from layout.checks.bolts import Ply, bearing_checks
from layout.checks.lifting import ABOVE, METAL_FACTOR, eye_checks, leg_share
from layout.checks.threads import thread_checks
from layout.checks.welds import weld_checks
from layout.job.model import Job
from layout.tables import bolt, bolt_class
from layout.tables.lifting_eyes import LiftingEye, lifting_eye

G0_M_S2 = 9.80665
EYE_CLASS = "4.6"
"""Forged eyes of C15E: strength no less than that of class 4.6 (400 MPa; EN 10084, from memory)."""


def lifting_checks(job: Job, box: BoxDesign, arrangement: Arrangement, pack: MassProperties) -> list[Check]:
    """Every check of the eyes; not checked where they were asked for and found no place."""
    if job.lifting is None:
        return []
    points = box.carriers.lifting
    if not points:
        why = f"no place for them: {box.carriers.no_lifting}"
        return [not_checked("lifting points", "box", "lifting", why, unit="kg", demand=pack.mass_kg)]
    eye = lifting_eye(job.lifting.bolt)
    centre = arrangement.frame.inverse_point(pack.centroid_mm)
    places = [_ring_mm(box, p, eye) for p in points]
    share = leg_share([float(v) for v in centre[:2]], [p[:2] for p in places])
    lid = box.inside.max_mm[2] + box.shell.flange_above_mm - points[0].z_mm
    beyond = _reach_mm(box, eye) - box.shell.slab_out_mm
    part = f"lifting eye {eye.size}"
    found = eye_checks(part, eye, pack.mass_kg, share, job.lifting.sling_angle_deg, lid, beyond)
    found.append(ABOVE.check(part, "lifting", z_g=float(centre[2]), z_l=points[0].z_mm))
    leg_n = METAL_FACTOR * pack.mass_kg * G0_M_S2 * share
    return found + _metal(box, eye, points, leg_n, leg_n * math.tan(math.radians(job.lifting.sling_angle_deg)))


def _reach_mm(box: BoxDesign, eye: LiftingEye) -> float:
    """From the inside of the wall out to the middle of the ring."""
    return box.shell.sheet_mm + box.shell.bar_mm + pad_mm(eye.size, box.shell.bar_mm) + eye.ring_centre_mm


def _ring_mm(box: BoxDesign, point: LiftingPoint, eye: LiftingEye) -> tuple[float, float, float]:
    return wall_of(point.wall, box.inside).point(point.u_mm, _reach_mm(box, eye), point.z_mm)


def _metal(box: BoxDesign, eye: LiftingEye, points: tuple[LiftingPoint, ...], up_n: float, level_n: float) -> list[Check]:
    """Thread, bearing, pad weld and upright at twice the working load of a leg.

    The pull at the ring tips the eye about the edge of its collar: tension in the thread is its moment over the collar's
    radius. The level part of a slanting leg acts out of the wall and along it, whole in both.
    """
    size, bar_mm = bolt(eye.size), box.shell.bar_mm
    pad = pad_mm(eye.size, bar_mm)
    part, note = f"lifting eye {eye.size}", f"at {METAL_FACTOR:g} times the working load"
    tension = up_n * eye.ring_centre_mm / (eye.collar_mm / 2.0) + level_n
    deep, shear = min(eye.thread_mm, bar_mm + pad), math.hypot(up_n, level_n)
    found = thread_checks(
        part, "lifting", eye.size, EYE_CLASS, box.material, deep, tension, welded=True, metal_mm=bar_mm
    )
    half = pad_side_mm(eye.size) / 2.0
    ply = Ply(box.material, min(deep, 2.5 * size.diameter_mm), size.diameter_mm, half, half, welded=True)
    found += bearing_checks(part, "lifting", size, bolt_class(EYE_CLASS), ply, shear)
    if pad > 0.0:
        side = pad_side_mm(eye.size)
        grades, sheets = (box.material, box.material), (pad, bar_mm)
        # in the pad the thread holds its share by depth; its fillets carry the shear of all four sides and nothing of the pull
        found += weld_checks(
            "lifting pad weld", "lifting", grades, sheets, pad_throat_mm(pad), shear / (4.0 * side), shear / (4.0 * side), 0.0
        )
    for point in points:
        found += _upright(box, point, eye, up_n, level_n)
    return [_noted(c, note) for c in found]


def _upright(box: BoxDesign, point: LiftingPoint, eye: LiftingEye, up_n: float, level_n: float) -> list[Check]:
    width = next(
        (p.width_mm for p in box.carriers.posts if p.wall == point.wall and abs(p.u_mm - point.u_mm) <= p.width_mm / 2.0), 100.0
    )
    bottom = wall_of(point.wall, box.inside).bottom_mm - box.shell.sheet_mm
    span = box.inside.max_mm[2] - bottom
    hole = bolt(eye.size).diameter_mm
    bar = MountingBar(
        box.material, width, box.shell.bar_mm, span, box.shell.fillet_mm, box.material, box.shell.sheet_mm, hole
    )
    height = point.z_mm - bottom
    couple = up_n * (box.shell.bar_mm / 2.0 + pad_mm(eye.size, box.shell.bar_mm) + eye.ring_centre_mm)
    part = f"upright at lifting point {point.number}"
    return mounting_bar_checks(part, "lifting", bar, ((height, level_n),), couple, height, (level_n, up_n))


def _noted(check: Check, note: str) -> Check:
    made = object.__new__(Check)
    made.__dict__.update(check.__dict__, note=f"{check.note}; {note}" if check.note else note)
    return made
