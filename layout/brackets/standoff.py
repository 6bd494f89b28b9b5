"""The standoff: for a mount that faces a wall of the box. A foot plate on the vehicle's metal, a box column of four plates, and
a spreader plate on the mounting bar, all welded.

It is bolted to the vehicle before the box goes in: the mount bolt's socket passes through the spreader and the column. Then the
box is set beside it and the leg bolts are turned in from the far side of the spreader. Leg frame: x along the wall (a), y up, z
outward from the bars' face; the mount lies at x = y = 0.
"""

from __future__ import annotations

import math

import numpy as np

from layout.brackets.bolts import leg_bolt, mount_bolt
from layout.brackets.design import Body, BracketDesign, Column, MountPlace, Sizes, Slot
from layout.brackets.frame import slot_of
from layout.brackets.planned import SOCKET_PLAY_MM, BracketPlan
from layout.design import Hardware, Hole, Plate, Profile, Weld, rectangle
from layout.errors import DesignError
from layout.frames import Extent, Pose, Vec3, vec3
from layout.job.model import Job
from layout.tables import bolt

LEDGE_MM = 9.0
"""End plates beyond the column all round: leg of the fillet and an edge to weld along (common practice, no source)."""
HEIGHT_MM = 64.0
"""Height of the column over its covers, where its width does not ask for more."""
SPANNER_MM = 22.0
"""Free way in front of a leg bolt's head, besides the bolt's own length, for fingers and a ring spanner (common practice)."""
CONTACT_MM = 0.01
HEAD_MM = 10.0
RECESS_MM = 6.0
"""Covers lie this far within the webs' edges, so that a fillet can be laid in the corner from outside."""


def design_standoff(job: Job, plan: BracketPlan, sizes: Sizes, holes_mm: tuple[Vec3, ...]) -> BracketDesign:
    """A standoff with end plates of the bracket's sheet and a column of the gussets' sheet.

    Raises:
        DesignError: the leg bolts' sockets do not pass the column, or there is no room to put these bolts in.
    """
    t, slot = sizes.sheet_mm, slot_of(job, plan, plan.mounts[0])
    leg = tuple((float(p[0]), float(p[1])) for p in plan.leg_pose.inverse_point(holes_mm))
    stand = plan.stand_mm(plan.mounts[0])
    column = _column(plan, sizes, slot, stand)
    mounted = mount_bolt(job, plan, 0, t, _in_pack(plan, (0.0, 0.0, stand - t - _washer_mm(plan))), f"{plan.number}-F")
    legs = tuple(leg_bolt(job, plan, x, y, t, i) for i, (x, y) in enumerate(leg))
    _check_room(plan, sizes, column, leg, stand, legs[0])
    spreader = _spreader(job, plan, t, column, leg)
    foot, half = _foot(job, plan, t, column, slot, stand)
    walls = _walls(job, plan, column, t)
    x = (column.clear_mm + column.sheet_mm) / 2.0
    bounds = _bounds(plan, column, leg)
    along_a, along_up = (slot.along_a_mm / 2.0, slot.along_out_mm / 2.0) if slot else (0.0, 0.0)
    edges = (half[1] - along_up, half[0] - along_a)
    return BracketDesign(
        number=plan.number,
        kind="standoff",
        plan=plan,
        material=job.bracket.material,
        thickness_mm=t,
        inside_radius_mm=0.0,
        angle=spreader,
        gussets=(foot, *walls),
        hardware=(mounted, *legs),
        welds=_welds(plan, column, sizes, stand),
        leg_bolts_mm=holes_mm,
        leg_at_mm=leg,
        mount_bolts=(mounted,),
        mount_places=(MountPlace(0.0, 0.0, (*edges, min(edges)), slot),),
        a_mm=(bounds[0], bounds[1]),
        leg_top_mm=bounds[3],
        foot_out_mm=half[1],
        gusset_mm=(column.height_mm, column.length_mm),
        gusset_thickness_mm=column.sheet_mm,
        gusset_places_mm=(-x, x),
        gusset_reaches_mm=(column.length_mm, column.length_mm),
        foot_depth_mm=2.0 * half[1],
        bodies=_bodies(plan, column, bounds, half, t, stand),
        column=column,
    )


def _washer_mm(plan: BracketPlan) -> float:
    return bolt(plan.mounts[0].entry.thread).washer_thickness_mm


def _in_pack(plan: BracketPlan, own: Vec3) -> Vec3:
    return vec3(plan.leg_pose.point(own))


def _column(plan: BracketPlan, sizes: Sizes, slot: Slot | None, stand: float) -> Column:
    """Webs past the mount bolt's socket and washer; covers between end plates."""
    size = bolt(plan.mounts[0].entry.thread)
    free = max(plan.socket_hole_mm, size.washer_outer_mm + 2.0 + (slot.along_a_mm if slot else 0.0))
    height = max(HEIGHT_MM, free + 2.0 * (sizes.gusset_mm + RECESS_MM))
    return Column(free, height, sizes.gusset_mm, stand - 2.0 * sizes.sheet_mm)


def _check_room(
    plan: BracketPlan, sizes: Sizes, column: Column, leg: tuple[tuple[float, float], ...], stand: float, first: Hardware
) -> None:
    """Sockets of the leg bolts pass beside the column or above it; the bolts can be put in past the vehicle's metal."""
    name, size = f"standoff {plan.number} at mount {plan.mounts[0].name!r}", bolt(plan.leg_bolt)
    radius = size.socket_outside_mm / 2.0 + SOCKET_PLAY_MM
    out_x = column.clear_mm / 2.0 + column.sheet_mm + sizes.throat_mm * math.sqrt(2.0)
    out_y = column.height_mm / 2.0 + sizes.throat_mm * math.sqrt(2.0)
    gap = min(math.hypot(max(abs(x) - out_x, 0.0), max(abs(y) - out_y, 0.0)) for x, y in leg)
    if gap < radius - 1e-6:
        figure = f"{gap:.1f} mm from a leg bolt to the column's weld, its socket needs {radius:.1f} mm"
        remedy = "Choose thinner webs or another kind of bracket at this mount."
        raise DesignError(name, "every leg bolt's socket passes the column", figure, remedy)
    need = first.length_mm + size.hex_height_mm + SPANNER_MM
    free = stand - sizes.sheet_mm - size.washer_thickness_mm
    if free < need:
        figure = f"{free:.0f} mm between spreader and vehicle, {need:.0f} mm needed"
        remedy = "Choose another arrangement with more room here."
        raise DesignError(name, "the leg bolts can be put in and turned", figure, remedy)


def _bounds(plan: BracketPlan, column: Column, leg: tuple[tuple[float, float], ...]) -> tuple[float, float, float, float]:
    """Spreader: least and greatest x, then y, around bolts and column."""
    edge = plan.pattern.edge_mm
    half_x, half_y = column.clear_mm / 2.0 + column.sheet_mm + LEDGE_MM, column.height_mm / 2.0 + LEDGE_MM
    xs, ys = [x for x, _ in leg], [y for _, y in leg]
    low_x, low_y = min(min(xs) - edge, -half_x), min(min(ys) - edge, -half_y)
    return (low_x, max(max(xs) + edge, half_x), low_y, max(max(ys) + edge, half_y))


def _spreader(job: Job, plan: BracketPlan, t: float, column: Column, leg: tuple[tuple[float, float], ...]) -> Plate:
    """On the bars' face: leg bolts, and the hole through which the mount bolt is tightened."""
    x0, x1, y0, y1 = _bounds(plan, column, leg)
    size, number = bolt(plan.leg_bolt), plan.number
    holes = [Hole(f"{number}-L{i + 1}", (x - x0, y - y0), size.hole_medium_mm, plan.leg_bolt) for i, (x, y) in enumerate(leg)]
    holes.append(Hole(f"{number}-T1", (-x0, -y0), plan.socket_hole_mm, "socket of the mount bolt"))
    pose = Pose(_in_pack(plan, (x0, y0, 0.0)), plan.leg_pose.axes)
    profile = Profile(rectangle(x1 - x0, y1 - y0), tuple(holes))
    return Plate(number, "standoff spreader", job.bracket.material, t, profile, pose, group="bracket")


def _foot(
    job: Job, plan: BracketPlan, t: float, column: Column, slot: Slot | None, stand: float
) -> tuple[Plate, tuple[float, float]]:
    """On the vehicle's metal, around the column's end; and half its size along a and up."""
    size = bolt(plan.mounts[0].entry.thread)
    half_x = column.clear_mm / 2.0 + column.sheet_mm + LEDGE_MM
    half_y = column.height_mm / 2.0 + LEDGE_MM
    hole = Hole(f"{plan.number}-F-H1", (half_x, half_y), size.hole_medium_mm, plan.mounts[0].entry.thread)
    if slot is not None:
        angle = math.degrees(math.atan2(slot.along[1], slot.along[0])) % 180.0
        hole = Hole(hole.name, hole.centre_mm, hole.diameter_mm, hole.fastener, slot.length_mm, angle)
    pose = Pose(_in_pack(plan, (-half_x, -half_y, stand - t)), plan.leg_pose.axes)
    profile = Profile(rectangle(2.0 * half_x, 2.0 * half_y), (hole,))
    plate = Plate(f"{plan.number}-F", "standoff foot", job.bracket.material, t, profile, pose, group="bracket")
    return plate, (half_x, half_y)


def _walls(job: Job, plan: BracketPlan, column: Column, t: float) -> tuple[Plate, ...]:
    """Two webs of the column's full height, two covers between them."""
    g, half, tall = column.sheet_mm, column.clear_mm / 2.0, column.height_mm / 2.0
    axes = plan.leg_pose.axes
    x, y, z = (np.array(v) for v in axes)
    made = []
    web = Profile(rectangle(column.length_mm, column.height_mm))
    for i, at in enumerate((-half - g, half)):  # own x along the column, own y up
        pose = Pose(_in_pack(plan, (at + g, -tall, t)), (vec3(z), vec3(y), vec3(-x)))
        number = f"{plan.number}-G{i + 1}"
        made.append(Plate(number, f"standoff web {i + 1}", job.bracket.material, g, web, pose, group="bracket"))
    cover = Profile(rectangle(column.length_mm, column.clear_mm))
    for i, at in enumerate((-tall + RECESS_MM, tall - RECESS_MM - g)):
        pose = Pose(_in_pack(plan, (-half, at, t)), (vec3(z), vec3(x), vec3(y)))
        made.append(
            Plate(f"{plan.number}-C{i + 1}", f"standoff cover {i + 1}", job.bracket.material, g, cover, pose, group="bracket")
        )
    return tuple(made)


def _welds(plan: BracketPlan, column: Column, sizes: Sizes, stand: float) -> tuple[Weld, ...]:
    """A fillet all round the column at both ends, and one along each cover's edges from outside."""
    t, g = sizes.sheet_mm, column.sheet_mm
    x, y = column.clear_mm / 2.0 + g, column.height_mm / 2.0
    inner, low = x - g, y - RECESS_MM
    ring = ((-x, -y), (-x, y), (-inner, y), (-inner, low), (inner, low), (inner, y), (x, y), (x, -y), (inner, -y),
            (inner, -low), (-inner, -low), (-inner, -y), (-x, -y))  # fmt: skip
    number, throat = plan.number, sizes.throat_mm
    welds = []
    for k, (z, end) in enumerate(((t, number), (stand - t, f"{number}-F"))):
        path = tuple(_in_pack(plan, (u, v, z)) for u, v in ring)
        note = f"all round, webs {number}-G1, {number}-G2 and covers {number}-C1, {number}-C2"
        welds.append(Weld(f"{number}-W{k + 1}", "fillet", throat, path, (f"{number}-G1", end), note))
    for k, (u, v) in enumerate(((-inner, -low), (inner, -low), (inner, low), (-inner, low))):
        path = (_in_pack(plan, (u, v, t)), _in_pack(plan, (u, v, stand - t)))
        joins = (f"{number}-G{1 if u < 0.0 else 2}", f"{number}-C{1 if v < 0.0 else 2}")
        welds.append(Weld(f"{number}-W{k + 3}", "fillet", throat, path, joins, "outside, along the column"))
    return tuple(welds)


def _bodies(
    plan: BracketPlan, column: Column, bounds: tuple[float, float, float, float], half: tuple[float, float], t: float,
    stand: float,
) -> tuple[Body, ...]:  # fmt: skip
    """Spreader with its bolts' heads, column, foot."""
    x0, x1, y0, y1 = bounds
    x, y = column.clear_mm / 2.0 + column.sheet_mm, column.height_mm / 2.0
    number = plan.number
    return (
        (f"spreader of {number}", Extent((x0, y0, 0.0), (x1, y1, t + HEAD_MM)), plan.leg_pose),
        (f"column of {number}", Extent((-x, -y, t), (x, y, stand - t)), plan.leg_pose),
        (f"foot of {number}", Extent((-half[0], -half[1], stand - t), (half[0], half[1], stand - CONTACT_MM)), plan.leg_pose),
    )
