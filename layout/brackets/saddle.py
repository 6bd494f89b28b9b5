"""The two legs of a saddle: plates under the foot of an angle bracket that reach down both sides of the rail it sits on.

With the rail along the bend, foot and legs together are a channel that spans from gusset to gusset; with the rail across it,
the legs only keep the foot from turning on its bolt, and no strength is counted for them. They touch the rail without a fit: no
side load is counted on its flanks. Foot coordinates as in layout.brackets.frame.
"""

from __future__ import annotations

import math

import numpy as np
import shapely

from layout.brackets.design import Body, Cheeks, Sizes
from layout.brackets.frame import AngleFrame
from layout.brackets.outline import FootOutline
from layout.brackets.planned import BracketPlan
from layout.design import Plate, Profile, Weld
from layout.errors import DesignError
from layout.frames import DIRECTIONS, Extent, Pose, vec3
from layout.job.model import Job

GAP_MM = 1.0
"""Between a leg and the rail's side, so that the saddle goes on (common practice, no source)."""
DEPTH_MM = 30.0
"""How far the legs reach down the rail."""
LEDGE_MM = 8.0
"""Foot beyond a leg's outer face: leg of the fillet and an edge to weld along (common practice, no source)."""
BEND_CLEAR_MM = 3.0
LEAST_MM, MOST_MM = 30.0, 60.0
"""Least length of a leg, and how far it reaches along the rail to each side of the bolt at most."""
CORNER_MM = 8.0
CONTACT_MM = 0.01


def direction_of(plan: BracketPlan) -> tuple[float, float] | None:
    """Direction of the rail under a saddle in the foot's plane (along a, along out), unit; None for other kinds."""
    rail = plan.mounts[0].entry.rail
    if plan.kind != "saddle" or rail is None:
        return None
    axis = plan.frame.inverse_vector(DIRECTIONS[f"+{rail.along}"])
    across, along = float(np.dot(axis, plan.a)), float(np.dot(axis, plan.out))
    size = math.hypot(across, along)
    return (across / size, along / size)


def cheek_mm(plan: BracketPlan, sizes: Sizes) -> tuple[float, float]:
    """How far along the bend and along the foot a saddle's foot must reach from its mount; (0, 0) for other kinds."""
    direction = direction_of(plan)
    if direction is None:
        return (0.0, 0.0)
    off = _off_mm(plan) + sizes.sheet_mm + LEDGE_MM
    return (off * abs(direction[1]), off * abs(direction[0]))


def _off_mm(plan: BracketPlan) -> float:
    """From the middle of the rail to a leg's inner face."""
    rail = plan.mounts[0].entry.rail
    assert rail is not None
    return rail.width_mm / 2.0 + GAP_MM


def _spans(frame: AngleFrame, outline: FootOutline) -> list[tuple[float, float, float]]:
    """(side, start, end) of each leg of each mount: along the rail from the mount, under the foot on both of its faces."""
    direction = direction_of(frame.plan)
    if direction is None:
        return []
    (ca, co), t = direction, frame.thickness_mm
    under = outline.shape.intersection(shapely.box(*_flat_bounds(frame))).buffer(-LEDGE_MM / 2.0)
    found = []
    for x, z in frame.mounts:
        for side in (1.0, -1.0):
            reach: tuple[float, float] = (-1e4, 1e4)
            for off in (_off_mm(frame.plan), _off_mm(frame.plan) + t):
                px, pz = x - co * side * off, z + ca * side * off
                line = shapely.LineString([(px - 1e3 * ca, pz - 1e3 * co), (px + 1e3 * ca, pz + 1e3 * co)])
                cut = under.intersection(line)
                if cut.is_empty:
                    raise _no_room(frame)
                s = (shapely.get_coordinates(cut) - (px, pz)) @ np.array((ca, co))
                reach = (max(reach[0], float(s.min())), min(reach[1], float(s.max())))
            low, high = max(reach[0], -MOST_MM), min(reach[1], MOST_MM)
            if high - low < LEAST_MM or low > -LEAST_MM / 4.0 or high < LEAST_MM / 4.0:
                raise _no_room(frame)
            found.append((side, low, high))
    return found


def _flat_bounds(frame: AngleFrame) -> tuple[float, float, float, float]:
    """Flat part of the foot: past the bend."""
    return (frame.a_mm[0], frame.setback_mm + BEND_CLEAR_MM, frame.a_mm[1], frame.foot_out_mm)


def _no_room(frame: AngleFrame) -> DesignError:
    rail = frame.plan.mounts[0].entry.rail
    width = rail.width_mm if rail else 0.0
    return DesignError(
        f"saddle {frame.plan.number} at mount {frame.plan.mounts[0].name!r}",
        "both legs of a saddle stand under the flat of its foot",
        f"rail {width:g} mm wide, mount {frame.mounts[0][1]:.0f} mm from the bars' face",
        'Choose another arrangement, or bracket = "gusseted L" at this mount.',
    )


def saddle_parts(
    job: Job, frame: AngleFrame, outline: FootOutline
) -> tuple[Cheeks | None, tuple[Plate, ...], tuple[Weld, ...]]:
    """The legs of a saddle as plates with their welds (one fillet each, on the outer side: the rail is in the way inside)."""
    plan, t = frame.plan, frame.thickness_mm
    spans, direction = _spans(frame, outline), direction_of(frame.plan)
    if not spans or direction is None:
        return None, (), ()
    d = direction[0] * plan.a + direction[1] * plan.out
    plates, welds = [], []
    for k, (side, low, high) in enumerate(spans):
        mount = np.array(plan.mounts[k // 2].at_mm)
        e = side * np.cross(d, plan.n)  # from the rail outward through the leg
        base = mount + e * _off_mm(plan)
        long, c = high - low, CORNER_MM
        outline_ = ((0.0, 0.0, 0.0), (long, 0.0, 0.0), (long, DEPTH_MM - c, 0.0), (long - c, DEPTH_MM, 0.0), (c, DEPTH_MM, 0.0),
                    (0.0, DEPTH_MM - c, 0.0))  # fmt: skip
        x = d if float(np.dot(np.cross(d, -plan.n), e)) > 0.0 else -d
        start = base + (low if x is d else -high) * x
        number = f"{plan.number}-S{k + 1}"
        pose = Pose(vec3(start), (vec3(x), vec3(-plan.n), vec3(e)))
        plates.append(Plate(number, f"saddle leg {k + 1}", job.bracket.material, t, Profile(outline_), pose, group="bracket"))
        outer = base + t * e
        path = (vec3(outer + low * d), vec3(outer + high * d))
        throat = frame.sizes.throat_mm
        welds.append(Weld(f"{plan.number}-WS{k + 1}", "fillet", throat, path, (number, plan.number)))
    along = abs(direction[0]) > 0.9
    least = min(high - low for _, low, high in spans)
    return Cheeks(t, DEPTH_MM, 2.0 * _off_mm(plan), least, along), tuple(plates), tuple(welds)


def cheek_bodies(frame: AngleFrame, outline: FootOutline) -> tuple[Body, ...]:
    """The legs as boxes, to look for what they run into."""
    found: list[Body] = []
    direction = direction_of(frame.plan)
    if direction is None:
        return ()
    plan, t = frame.plan, frame.thickness_mm
    d = direction[0] * plan.a + direction[1] * plan.out
    for k, (side, low, high) in enumerate(_spans(frame, outline)):
        axes = (vec3(d), vec3(plan.n), vec3(np.cross(d, plan.n)))
        off = _off_mm(plan)
        near, far = (off, off + t) if side > 0.0 else (-off - t, -off)
        pose = Pose(plan.mounts[k // 2].at_mm, axes)
        found.append((f"saddle leg {k + 1} of {plan.number}", Extent((low, -DEPTH_MM, near), (high, -CONTACT_MM, far)), pose))
    return tuple(found)
