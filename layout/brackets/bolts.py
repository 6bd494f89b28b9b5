"""Bolts of brackets: from the foot to the vehicle, from the leg to the bars."""

from __future__ import annotations

from layout.brackets.planned import BracketPlan
from layout.design import Hardware
from layout.design.lengths import next_length_mm
from layout.errors import DesignError
from layout.frames import Vec3, vec3
from layout.job.model import Job
from layout.tables import bolt, bolt_lengths_mm

ENGAGEMENT_D = 1.5
"""Thread engagement in the aluminium bar, in bolt diameters: 1.5 to 2 d, common practice, from memory."""


def mount_bolt(job: Job, plan: BracketPlan, index: int, t: float, head: Vec3, part: str) -> Hardware:
    """Bolt of a mount through a plate of thickness t, its head at a point on the washer."""
    mount = plan.mounts[index]
    size = bolt(mount.entry.thread)
    sheet = mount.entry.sheet.thickness_mm if mount.entry.sheet else 3.0
    grip = t + size.washer_thickness_mm
    through = mount.entry.fixing == "through hole"
    below = sheet + size.washer_thickness_mm + size.nut_height_mm + 2 * size.pitch_mm if through else 1.2 * size.diameter_mm
    grip += sheet + size.washer_thickness_mm if through else 0.0
    length = next_length_mm(size.size, t + size.washer_thickness_mm + below, f"bolt at mount {mount.name!r}")
    return Hardware(
        f"{plan.number}-MB{index + 1}",
        "hex screw",
        size.size,
        job.bracket.bolt_class,
        length,
        grip,
        head,
        vec3(-plan.n),
        washers=2 if through else 1,
        nuts=1 if through else 0,
        holes=(f"{part}-H{index + 1}",),
        joins=(part, mount.name),
        group="bracket",
    )


def leg_bolt(job: Job, plan: BracketPlan, x: float, y: float, t: float, index: int) -> Hardware:
    """Bolt through the leg into the bar, washer under the head, short enough not to reach the wall."""
    size = bolt(plan.leg_bolt)
    grip = t + size.washer_thickness_mm
    length = next_length_mm(plan.leg_bolt, grip + ENGAGEMENT_D * size.diameter_mm, f"leg bolt of {plan.number}")
    if length > grip + plan.bar_mm:  # it would meet the wall: the longest that does not; its thread's check judges it
        fitting = [v for v in bolt_lengths_mm(plan.leg_bolt, "hex screw") if v <= grip + plan.bar_mm]
        if not fitting:
            figure = f"{length:g} mm, at most {grip + plan.bar_mm:.1f} mm find room"
            raise DesignError(f"leg bolts of {plan.number}", f"{plan.leg_bolt} screws end within the mounting bar", figure,
                              "Use thicker bracket sheet or smaller leg bolts.")  # fmt: skip
        length = fitting[-1]
    return Hardware(
        f"{plan.number}-LB{index + 1}",
        "hex screw",
        plan.leg_bolt,
        job.bracket.bolt_class,
        length,
        grip,
        vec3(plan.leg_pose.point((x, y, grip))),
        vec3(-plan.w),
        washers=1,
        holes=(f"{plan.number}-L{index + 1}",),
        joins=(plan.number, "mounting bar"),
        group="bracket",
    )
