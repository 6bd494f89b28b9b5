"""The angle bracket: one bent plate, gussets welded into its corner, bolts to the bars and to the vehicle; on a rail, a saddle.

Frames of leg and foot: see layout.brackets.frame.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import shapely

from layout.box.shell import Shell
from layout.brackets.bolts import leg_bolt, mount_bolt
from layout.brackets.design import Body, BracketDesign, Sizes
from layout.brackets.frame import AngleFrame, slot_of
from layout.brackets.outline import FootOutline, flange_loop, foot_outline, free_along_bend, mount_places
from layout.brackets.plan import BracketPlan
from layout.brackets.rows import leg_holes
from layout.brackets.saddle import cheek_bodies, cheek_mm, saddle_parts
from layout.brackets.standoff import design_standoff
from layout.design import Bend, Flange, FoldedPlate, Hardware, Hole, Plate, Profile, Weld
from layout.design.late_holes import with_late_holes
from layout.errors import DesignError
from layout.frames import Extent, Pose, vec3
from layout.job.model import Job
from layout.tables import bolt, material

TOE_MM = 12.0
CLIP_MM = 10.0
K_FACTOR = 0.42
"""Neutral line of air-bent steel: 0.42 to 0.47 in the tables of Machinery's Handbook, 26th ed. (seen in a summary)."""
DEFAULT_SHEET_MM = 6.0
LEAST_REACH_MM = 25.0
"""A gusset with less reach along the foot than this is left out."""
CONTACT_MM = 0.01
"""Drawn off the foot's underside, which lies on the vehicle's metal."""
STRIPS = 3
HEAD_MM = 10.0
"""Room for bolt heads and washers on leg and foot."""


def design_bracket(
    job: Job, plan: BracketPlan, inside: Extent, shell: Shell, sheet_mm: float | None = None, sizes: Sizes | None = None
) -> BracketDesign:
    """The bracket of a plan. sheet_mm: plate thickness, or all sizes; the job's own sheet goes before both.

    Raises:
        DesignError: a mount hole that would lie in the bend, a foot or saddle without room, a standoff out of reach.
    """
    sizes = sizes or Sizes(sheet_mm or DEFAULT_SHEET_MM)
    if job.bracket.sheet_mm:
        sizes = Sizes(job.bracket.sheet_mm, sizes.gusset_mm, sizes.throat_mm)
    if plan.facing:
        return design_standoff(job, plan, sizes, leg_holes(plan, inside, shell))
    return _design_angle(job, plan, sizes, inside, shell)


def _design_angle(job: Job, plan: BracketPlan, sizes: Sizes, inside: Extent, shell: Shell) -> BracketDesign:
    t = sizes.sheet_mm
    slots = tuple(slot_of(job, plan, m) for m in plan.mounts)
    radius = material(job.bracket.material).min_bend_radius_mm(t)
    free = free_along_bend(job, plan, t)
    frame = AngleFrame(plan, sizes, radius, leg_holes(plan, inside, shell), slots, cheek_mm(plan, sizes), free)
    _check_foot(frame)
    outline = foot_outline(job, frame)
    angle = _angle(job, frame, outline)
    reaches, gussets = _gussets(job, frame, outline)
    cheeks, legs, leg_welds = saddle_parts(job, frame, outline)
    mount_bolts = tuple(_mount_bolt(job, frame, i) for i in range(len(plan.mounts)))
    leg_bolts = tuple(leg_bolt(job, plan, x, y, t, i) for i, (x, y) in enumerate(frame.leg))
    height = _gusset_height_mm(frame)
    return BracketDesign(
        number=plan.number,
        kind=plan.kind if plan.kind == "saddle" else "gusseted L" if gussets else "plain L",
        plan=plan,
        material=job.bracket.material,
        thickness_mm=t,
        inside_radius_mm=radius,
        angle=angle,
        gussets=(*gussets, *legs),
        hardware=(*mount_bolts, *leg_bolts),
        welds=(*_welds(frame, angle, gussets, reaches), *leg_welds),
        leg_bolts_mm=frame.holes_mm,
        leg_at_mm=frame.leg,
        mount_bolts=mount_bolts,
        mount_places=mount_places(outline, frame),
        a_mm=frame.a_mm,
        leg_top_mm=frame.leg_top_mm,
        foot_out_mm=frame.foot_out_mm,
        gusset_mm=(height, max(reaches, default=0.0)),
        gusset_thickness_mm=sizes.gusset_mm,
        gusset_places_mm=tuple(_middle_mm(plan, g) for g in gussets),
        gusset_reaches_mm=reaches,
        foot_depth_mm=_foot_depth_mm(frame, outline),
        bodies=(*_bodies(frame, outline, cheek_bodies(frame, outline)), *_gusset_bodies(plan, gussets)),
        cheeks=cheeks,
    )


def _check_foot(frame: AngleFrame) -> None:
    """Holes keep 2 thicknesses of metal between edge and bend, in foot and leg (common rule 2 to 2.5 t, no source)."""
    size, t = bolt(frame.plan.leg_bolt), frame.thickness_mm
    lowest = min(y for _, y in frame.leg) - size.hole_medium_mm / 2.0 - frame.setback_mm
    if lowest < 2.0 * t - 1e-6 and lowest < size.washer_outer_mm / 2.0:
        raise DesignError(
            f"bracket {frame.plan.number}",
            "the leg bolts keep clear of the bend",
            f"{lowest:.1f} mm between hole and bend",
            "Choose another arrangement or thinner bracket sheet.",
        )
    for mount, slot, (_, z) in zip(frame.plan.mounts, frame.slots, frame.mounts, strict=True):
        half = bolt(mount.entry.thread).hole_medium_mm / 2.0 + (slot.along_out_mm / 2.0 if slot else 0.0)
        clear = z - frame.setback_mm - half
        if clear < 2.0 * t - 1e-6:
            raise DesignError(
                f"bracket {frame.plan.number} at mount {mount.name!r}",
                "the mount hole keeps 2 sheet thicknesses from the bend",
                f"{clear:.1f} mm of {2.0 * t:.1f} mm",
                "Choose another arrangement, thinner bracket sheet or a larger mount envelope.",
            )


def _angle(job: Job, frame: AngleFrame, outline: FootOutline) -> FoldedPlate:
    """Leg as root flat, foot as its flange, bent outward from the wall."""
    plan, t, (low, high), start = frame.plan, frame.thickness_mm, frame.a_mm, frame.setback_mm
    number = plan.number
    size = bolt(plan.leg_bolt)
    holes = tuple(
        Hole(f"{number}-L{i + 1}", (x - low, y - start), size.hole_medium_mm, plan.leg_bolt)
        for i, (x, y) in enumerate(frame.leg)
    )
    root = Profile(_clipped(high - low, frame.leg_top_mm - start), holes)
    foot_holes = tuple(_mount_hole(frame, i) for i in range(len(plan.mounts)))
    foot = Flange(Profile(flange_loop(outline, frame), foot_holes), 0, Bend(0, plan.bend_deg, frame.radius_mm, K_FACTOR))
    pose = Pose(vec3(plan.leg_pose.point((low, start, 0.0))), plan.leg_pose.axes)
    return with_late_holes(FoldedPlate(number, "angle bracket", job.bracket.material, t, root, (foot,), pose, group="bracket"))


def _mount_hole(frame: AngleFrame, index: int) -> Hole:
    """A mount's hole in the flange's own plane, whose x runs against the bend's."""
    mount, (x, z), slot = frame.plan.mounts[index], frame.mounts[index], frame.slots[index]
    centre, diameter = (frame.a_mm[1] - x, z - frame.setback_mm), bolt(mount.entry.thread).hole_medium_mm
    name = f"{frame.plan.number}-H{index + 1}"
    if slot is None:
        return Hole(name, centre, diameter, mount.entry.thread)
    angle = float(np.degrees(np.arctan2(slot.along[1], -slot.along[0]))) % 180.0
    return Hole(name, centre, diameter, mount.entry.thread, slot.length_mm, 0.0 if abs(angle - 180.0) < 1e-9 else angle)


def _clip_mm(height_mm: float) -> float:
    """How much is cut off the far corners of a leg."""
    return min(CLIP_MM, height_mm / 3.0)


def _clipped(length: float, height: float) -> tuple[tuple[float, float, float], ...]:
    """Rectangle whose two far corners are cut off at 45 degrees; its edge 0 is the bend."""
    c = _clip_mm(height)
    return (
        (0.0, 0.0, 0.0),
        (length, 0.0, 0.0),
        (length, height - c, 0.0),
        (length - c, height, 0.0),
        (c, height, 0.0),
        (0.0, height - c, 0.0),
    )


def _middle_mm(plan: BracketPlan, gusset: Plate) -> float:
    """Middle of a gusset's thickness along the bend."""
    return float(plan.leg_pose.inverse_point(gusset.pose.origin_mm)[0]) - gusset.thickness_mm / 2.0


def _gusset_height_mm(frame: AngleFrame) -> float:
    """Height on the leg's inner face above the inner corner."""
    return frame.leg_top_mm - frame.inner_mm - 12.0


def _gussets(job: Job, frame: AngleFrame, outline: FootOutline) -> tuple[tuple[float, ...], tuple[Plate, ...]]:
    """Gusset plates in the corner of leg and foot, each as far along the foot as the foot is deep there; and these reaches."""
    plan, t, wide = frame.plan, frame.thickness_mm, frame.sizes.gusset_mm
    margin = 4.0 if plan.kind == "saddle" else 12.0
    reaches: list[float] = []
    plates: list[Plate] = []
    for x in frame.gussets:
        depth = frame.foot_out_mm if outline.square else outline.depth_mm(x - 4.0, x + wide + 4.0)
        reach = depth - frame.inner_mm - margin
        if reach < LEAST_REACH_MM:
            continue
        origin = plan.foot_pose.point((x + wide, t, frame.inner_mm))
        pose = Pose(vec3(origin), (vec3(plan.out), vec3(plan.n), vec3(-plan.a)))  # own x along the foot, own y off it
        number = f"{plan.number}-G{len(plates) + 1}"
        profile = Profile(_gusset_loop(frame, reach))
        plates.append(Plate(number, f"gusset {len(plates) + 1}", job.bracket.material, wide, profile, pose, group="bracket"))
        reaches.append(reach)
    return tuple(reaches), tuple(plates)


def _gusset_loop(frame: AngleFrame, reach: float) -> tuple[tuple[float, float, float], ...]:
    """Along the foot, up the leg's inclined or upright face, with blunt ends and the corner cut out for the bend."""
    height, notch = _gusset_height_mm(frame), frame.setback_mm - frame.inner_mm + 3.0
    s = frame.plan.lean
    c = (1.0 - s * s) ** 0.5

    def on_leg(up: float, off: float) -> tuple[float, float, float]:
        return (off * c - up * s, up * c + off * s, 0.0)

    return ((notch, 0.0, 0.0), (reach, 0.0, 0.0), (reach, TOE_MM, 0.0), on_leg(height, TOE_MM), on_leg(height, 0.0),
            on_leg(notch, 0.0))  # fmt: skip


def _mount_bolt(job: Job, frame: AngleFrame, index: int) -> Hardware:
    """Bolt into the vehicle's thread or through its sheet, washer under the head; in the middle of a slot."""
    plan, (x, z) = frame.plan, frame.mounts[index]
    washer = bolt(plan.mounts[index].entry.thread).washer_thickness_mm
    head = plan.foot_pose.point((x, frame.thickness_mm + washer, z))
    return mount_bolt(job, plan, index, frame.thickness_mm, vec3(head), plan.number)


def _welds(frame: AngleFrame, angle: FoldedPlate, gussets: tuple[Plate, ...], reaches: tuple[float, ...]) -> tuple[Weld, ...]:
    """Double fillets of each gusset along leg and foot."""
    plan, t, inner = frame.plan, frame.thickness_mm, frame.inner_mm
    height, notch = _gusset_height_mm(frame), frame.setback_mm - frame.inner_mm + 3.0
    welds = []
    for i, (gusset, reach) in enumerate(zip(gussets, reaches, strict=True)):
        x = float(plan.foot_pose.inverse_point(gusset.pose.origin_mm)[0]) - frame.sizes.gusset_mm / 2.0
        on_leg = plan.leg_pose.point(((x, inner + notch, t), (x, inner + height, t)))
        on_foot = plan.foot_pose.point(((x, t, inner + notch), (x, t, inner + reach)))
        for j, ends in enumerate((on_leg, on_foot)):
            path = tuple(vec3(p) for p in ends)
            number = f"{plan.number}-W{2 * i + j + 1}"
            welds.append(Weld(number, "double fillet", frame.sizes.throat_mm, path, (gusset.number, angle.number)))
    return tuple(welds)


def _foot_depth_mm(frame: AngleFrame, outline: FootOutline) -> float:
    """Least depth of the foot between its mounts and the leg bolts nearest to them."""
    xs = [x for x, _ in frame.mounts]
    near = [min((b for b, _ in frame.leg), key=lambda b: abs(b - x)) for x in xs]
    return min(frame.foot_out_mm, outline.depth_mm(min(xs + near), max(xs + near)))


def _gusset_bodies(plan: BracketPlan, gussets: tuple[Plate, ...]) -> tuple[Body, ...]:
    """Each gusset as boxes, STRIPS of them along the foot, so that its slope counts nearly as it is."""
    found: list[Body] = []
    for k, gusset in enumerate(gussets):
        outline = shapely.Polygon([(x, y) for x, y, _ in gusset.profile.outline])
        low, _, high, _ = outline.bounds
        for a, b in pairwise(np.linspace(low, high, STRIPS + 1)):
            x0, y0, x1, y1 = outline.intersection(shapely.box(a, -1e4, b, 1e4)).bounds
            extent = Extent((x0, y0, 0.0), (x1, y1, gusset.thickness_mm))
            found.append((f"gusset {k + 1} of {plan.number}", extent, gusset.pose))
    return tuple(found)


def _bodies(frame: AngleFrame, outline: FootOutline, legs: tuple[Body, ...]) -> tuple[Body, ...]:
    """Leg and foot, each with the gussets' reach, as boxes; a foot that is no rectangle as strips; a saddle's legs with it."""
    plan, (low, high) = frame.plan, frame.a_mm
    number, thick = plan.number, frame.thickness_mm + HEAD_MM
    start = CONTACT_MM + thick * abs(plan.lean)
    clip = _clip_mm(frame.leg_top_mm - frame.setback_mm)
    shoulder = frame.leg_top_mm - clip
    found = [(f"leg of {number}", Extent((low, start, 0.0), (high, shoulder, thick)), plan.leg_pose)]
    for k in range(STRIPS):  # past the clipped corners
        off, step = clip * k / STRIPS, clip / STRIPS
        strip = Extent((low + off, shoulder + off, 0.0), (high - off, shoulder + off + step, thick))
        found.append((f"leg of {number}", strip, plan.leg_pose))
    edges = [(low, 0.0, high, frame.foot_out_mm)] if outline.square else outline.boxes()
    inner = thick * max(-plan.lean, 0.0)
    found += [
        (f"foot of {number}", Extent((a, CONTACT_MM, max(c, inner)), (b, thick, d)), plan.foot_pose) for a, c, b, d in edges
    ]
    return (*found, *legs)
