"""Lid flange, gasket, lid and lid bolts. Pack frame."""

from __future__ import annotations

import math

from layout.box.carrier_room import fold_radius_mm
from layout.box.openings import opening_holes
from layout.box.outlines import plan_loop
from layout.box.shell import GASKET_MM, Shell, lid_bolt_length_mm
from layout.design import FoldedPlate, Hardware, Hole, Loop, Plate, Profile, rectangle
from layout.frames import Extent, Pose, Vec3
from layout.job.model import Job
from layout.stepped import drawn_in, plan_of
from layout.tables import bolt

LID_PITCH_MM = 75.0
"""Greatest distance of lid bolts along the gasket: common practice for foam gaskets on thin flanges, no source."""


def lid_parts(
    job: Job, inside: Extent, shell: Shell
) -> tuple[tuple[Plate, Plate | FoldedPlate], Plate, tuple[Hardware, ...], tuple[Vec3, ...]]:
    """Flange ring and lid, gasket, bolts with washers and nuts, and the bolts' places (on top of the lid)."""
    prefix, t = job.job.drawing_number, shell.sheet_mm
    out = shell.sheet_mm + shell.flange_out_mm
    (x0, y0, _), (_, _, z1) = inside.min_mm, inside.max_mm
    places = lid_bolt_places(inside, shell)
    size = bolt(shell.lid_bolt)
    own = [(x - x0 + out, y - y0 + out) for x, y in places]
    outline = plan_loop(inside, out, out, corner_mm=8.0)
    ring_number, lid_number = f"{prefix}-B6", f"{prefix}-B7"
    ring = Plate(
        ring_number,
        "lid flange",
        job.box.material,
        t,
        Profile(outline, _holes(ring_number, own, shell, size.hole_medium_mm), (plan_loop(inside, 0.0, out),)),
        Pose((x0 - out, y0 - out, z1)),
    )
    lid = _lid(job, inside, shell, lid_number, outline, places)
    top = z1 + 2 * t + GASKET_MM + size.washer_thickness_mm
    grip = 2 * t + GASKET_MM + 2 * size.washer_thickness_mm
    length = lid_bolt_length_mm(shell.lid_bolt, t)
    bolts = tuple(
        Hardware(
            f"{prefix}-LB{i + 1}",
            "hex screw",
            shell.lid_bolt,
            "8.8",
            length,
            grip,
            (x, y, top),
            (0.0, 0.0, -1.0),
            washers=2,
            nuts=1,
            holes=(f"{lid_number}-H{i + 1}", f"{ring_number}-H{i + 1}"),
            joins=(lid_number, ring_number),
            group="lid",
        )
        for i, (x, y) in enumerate(places)
    )
    return (ring, lid), _gasket(prefix, inside, shell), bolts, tuple((x, y, top) for x, y in places)


def _lid(
    job: Job, inside: Extent, shell: Shell, number: str, outline: Loop, places: tuple[tuple[float, float], ...]
) -> Plate | FoldedPlate:
    """The lid: flat as the flange, or with its edges turned down."""
    t, out = shell.sheet_mm, shell.sheet_mm + shell.flange_out_mm
    pose = Pose((inside.min_mm[0] - out, inside.min_mm[1] - out, inside.max_mm[2] + t + GASKET_MM))
    within = plan_loop(inside, out, out)
    if shell.lid_skirt_mm > 0.0:
        from layout.box.skirt import lid_pose, lid_sides_mm, skirted_lid  # sheet rules are needed for folded parts only

        pose, (_, sx, sy) = lid_pose(inside, shell), lid_sides_mm(inside, shell)
        r = fold_radius_mm(job)
        within = rectangle(sx - 2.0 * r, sy - 2.0 * r, (r, r))
    own = [(x - pose.origin_mm[0], y - pose.origin_mm[1]) for x, y in places]
    holes = _holes(number, own, shell, bolt(shell.lid_bolt).hole_medium_mm)
    holes = (*holes, *opening_holes(job, "top", number, pose, inside, within))
    if shell.lid_skirt_mm > 0.0:
        return skirted_lid(job, inside, shell, number, holes)
    return Plate(number, "lid", job.box.material, t, Profile(outline, holes), pose, group="lid")


def lid_bolt_places(inside: Extent, shell: Shell) -> tuple[tuple[float, float], ...]:
    """Where the lid bolts stand in plan, around the box outside its walls."""
    line = shell.sheet_mm + shell.bolt_line_mm
    if shell.folded:
        return _off_the_corners(inside, shell, line)
    return bolt_line(drawn_in(inside, (-line, -line, 0.0), (-line, -line, 0.0)))


def _off_the_corners(inside: Extent, shell: Shell, line: float) -> tuple[tuple[float, float], ...]:
    """Rows along the four flanges of a folded box, their ends clear of the seams that run into its corners at 45 degrees."""
    (x0, y0, _), (x1, y1, _) = inside.min_mm, inside.max_mm
    back = math.ceil((bolt(shell.lid_bolt).washer_outer_mm / 2.0 + shell.sheet_mm + 1.0) * 2.0**0.5)
    ends = (
        ((x0 - line + back, y0 - line), (x1 + line - back, y0 - line)),
        ((x1 + line, y0 - line + back), (x1 + line, y1 + line - back)),
        ((x1 + line - back, y1 + line), (x0 - line + back, y1 + line)),
        ((x0 - line, y1 + line - back), (x0 - line, y0 - line + back)),
    )
    places: list[tuple[float, float]] = []
    for (ax, ay), (bx, by) in ends:
        n = max(1, math.ceil(math.hypot(bx - ax, by - ay) / LID_PITCH_MM - 1e-9))
        places.extend((ax + (bx - ax) * k / n, ay + (by - ay) * k / n) for k in range(n + 1))
    return tuple(places)


def bolt_line(outer: Extent, pitch_mm: float = LID_PITCH_MM) -> tuple[tuple[float, float], ...]:
    """Evenly spaced places on the edge of a plan, one on each corner, anticlockwise from its first corner."""
    corners = list(plan_of(outer))
    places: list[tuple[float, float]] = []
    for (ax, ay), (bx, by) in zip(corners, corners[1:] + corners[:1], strict=True):
        n = max(1, math.ceil(math.hypot(bx - ax, by - ay) / pitch_mm - 1e-9))
        places.extend((ax + (bx - ax) * k / n, ay + (by - ay) * k / n) for k in range(n))
    return tuple(places)


def _holes(number: str, places: list[tuple[float, float]], shell: Shell, diameter_mm: float) -> tuple[Hole, ...]:
    return tuple(Hole(f"{number}-H{i + 1}", p, diameter_mm, shell.lid_bolt) for i, p in enumerate(places))


def _gasket(prefix: str, inside: Extent, shell: Shell, corner_mm: float = 4.0) -> Plate:
    """Gasket strip on the flange, between its inner edge and the bolt holes."""
    t = shell.sheet_mm
    width = t + shell.bolt_line_mm - float(shell.lid_bolt[1:]) / 2.0 - 1.0
    (x0, y0, _), (_, _, z1) = inside.min_mm, inside.max_mm
    outline = plan_loop(inside, width, width, corner_mm=corner_mm)
    profile = Profile(outline, (), (plan_loop(inside, 0.0, width),))
    pose = Pose((x0 - width, y0 - width, z1 + t))
    return Plate(f"{prefix}-G1", "lid gasket", "EPDM gasket", GASKET_MM, profile, pose, group="gasket")
