"""Angle brackets of any shape as bricks: leaned bends, feet cut back, gussets of different reach, the legs of saddles.

Leg, bend and foot are one block that follows the frames of leg and foot; every other plate is a block of its own, tied to what
it is welded to. The clipped corners of the leg are left on; a foot that is no rectangle loses the cells whose middle lies
outside it.
"""

from __future__ import annotations

import numpy as np
import shapely
from numpy.typing import NDArray

from layout.brackets.design import BracketDesign
from layout.design import FoldedPlate, Plate
from layout.design.flat import outside_setback_mm
from layout.design.geometry import loop_points
from layout.fe.angle import ARC_CELLS, BracketMesh, Patch, firm_lines, half_patch, halved, transfinite
from layout.fe.bricks import Block, Body, body_of_block, half_steps
from layout.fe.lines import filled
from layout.fe.loose_plates import plate_block
from layout.frames import Array

LEAST_MM = 1.5
GUSSET_CELLS = 5


def bent_mesh(bracket: BracketDesign, mass_of: dict[str, float], step_mm: float) -> BracketMesh:
    """All bodies of a bent bracket; its seams are tied. mass_of: kg by part number; step_mm: greatest size of an element."""
    assert isinstance(bracket.angle, FoldedPlate)
    plan = bracket.plan
    legs = [np.array([x, y, 0.0]) for x, y in bracket.leg_at_mm]
    mounts = [np.asarray(plan.foot_pose.inverse_point(m.at_mm)) for m in plan.mounts]
    leg_half = half_patch(bracket.hardware[-1].size)
    mount_half = [half_patch(m.size) for m in bracket.mount_bolts]
    bodies = [_angle(bracket, legs, leg_half, mounts, mount_half, mass_of, step_mm)]
    for part in bracket.gussets:
        made = _gusset(part, mass_of) if part.name.startswith("gusset") else plate_block(part, mass_of[part.number], step_mm)
        bodies.append(made)
    number = bracket.angle.number
    return BracketMesh(
        tuple(bodies),
        tuple(Patch(number, plan.foot_pose, at * (1.0, 0.0, 1.0), h, 1) for at, h in zip(mounts, mount_half, strict=True)),
        tuple(Patch(number, plan.leg_pose, at, leg_half, 2) for at in legs),
        tuple((w.joins, np.array(w.path_mm)) for w in bracket.welds),
    )


def _angle(
    bracket: BracketDesign, legs: list[Array], leg_half: float, mounts: list[Array], mount_half: list[float],
    mass_of: dict[str, float], step_mm: float,
) -> Body:  # fmt: skip
    """Leg from its free edge down, round the bend, and out along the foot; third direction: from the outer face inward."""
    t, plan = bracket.thickness_mm, bracket.plan
    start = outside_setback_mm(plan.bend_deg, bracket.inside_radius_mm, t) if plan.lean else t + bracket.inside_radius_mm
    foot = _foot_outline(bracket, start)
    along = [*bracket.a_mm, *bracket.gusset_places_mm, *(float(p[0]) for p in legs)]
    along += [p[0] + s * leg_half for p in legs for s in (-1.0, 1.0)]
    along += [m[0] + s * h for m, h in zip(mounts, mount_half, strict=True) for s in (-1.0, 1.0)]
    along += [float(x) for x, _ in foot if bracket.a_mm[0] < x < bracket.a_mm[1]]
    must = [m[0] + s * h for m, h in zip(mounts, mount_half, strict=True) for s in (-1.0, 1.0)]
    a = filled(firm_lines(must, along, LEAST_MM), step_mm)
    up = _between(start, bracket.leg_top_mm, [p[1] + s * leg_half for p in legs for s in (-1.0, 1.0)], step_mm)
    wanted = [m[2] + s * h for m, h in zip(mounts, mount_half, strict=True) for s in (-1.0, 1.0)]
    out = _between(start, bracket.foot_out_mm, [*wanted, *(float(z) for _, z in foot)], step_mm)
    block = Block(_points(bracket, a, up, out, start), _keep(a, up, out, foot))
    return body_of_block(bracket.angle.number, bracket.material, t, mass_of[bracket.angle.number], block, "bracket")


def _between(start: float, end: float, wanted: list[float], step_mm: float) -> Array:
    inside = [v for v in wanted if start < v < end]
    return filled(firm_lines([start, end], [start, end, *inside], LEAST_MM), step_mm)


def _points(bracket: BracketDesign, a: Array, up: Array, out: Array, start: float) -> Array:
    """Lattice of the angle in the pack's frame."""
    plan, t = bracket.plan, bracket.thickness_mm
    along, deep = half_steps(a), np.array([0.0, t / 2.0, t])
    leg_axes, foot_axes = (np.array(pose.axes) for pose in (plan.leg_pose, plan.foot_pose))
    section: list[Array] = []  # each (3 depths, 3) at 0 along a
    for y in half_steps(up)[::-1]:
        section.append(np.asarray(plan.leg_pose.point(np.column_stack([np.zeros(3), np.full(3, y), deep]))))
    inward, out_of_foot = leg_axes[2], foot_axes[1]
    turn = float(np.arccos(np.clip(inward @ out_of_foot, -1.0, 1.0)))
    centre = np.asarray(plan.leg_pose.point((0.0, start, t + bracket.inside_radius_mm)))
    for share in np.linspace(0.0, 1.0, 2 * ARC_CELLS + 1)[1:-1]:
        way = (np.sin((1.0 - share) * turn) * inward + np.sin(share * turn) * out_of_foot) / np.sin(turn)
        section.append(centre - (bracket.inside_radius_mm + t - deep)[:, None] * way)
    for z in half_steps(out):
        section.append(np.asarray(plan.foot_pose.point(np.column_stack([np.zeros(3), deep, np.full(3, z)]))))
    return np.asarray(along[:, None, None, None] * leg_axes[0] + np.array(section)[None])


def _foot_outline(bracket: BracketDesign, start: float) -> Array:
    """The foot's outline in its frame, along a and out, (n, 2)."""
    assert isinstance(bracket.angle, FoldedPlate)
    own = loop_points(bracket.angle.flanges[0].profile.outline)
    return np.column_stack([bracket.a_mm[1] - own[:, 0], own[:, 1] + start])


def _keep(a: Array, up: Array, out: Array, foot: Array) -> NDArray[np.bool_]:
    """Which cells are metal: all of leg and bend, and those of the foot whose middle lies within its outline."""
    rows = len(up) - 1 + ARC_CELLS
    keep = np.ones((len(a) - 1, rows + len(out) - 1, 1), dtype=bool)
    x, z = (a[1:] + a[:-1]) / 2.0, (out[1:] + out[:-1]) / 2.0
    inside = shapely.contains_xy(shapely.Polygon(foot), *np.meshgrid(x, z, indexing="ij"))
    keep[:, rows:, 0] = inside
    return keep


def _gusset(part: Plate, mass_of: dict[str, float]) -> Body:
    """A gusset from its own outline: lines fan out from its cut-out corner along foot and leg to its free edges."""
    corner = [np.array(v[:2]) for v in part.profile.outline]  # notch on the foot, reach, nose, nose on the leg, height, notch
    foot, leg = (np.linspace(p, q, 2 * GUSSET_CELLS + 1) for p, q in ((corner[0], corner[1]), (corner[5], corner[4])))
    middle = max(2, round(float(np.linalg.norm(corner[3] - corner[2])) / 14.0))
    slope = [corner[2] + (corner[3] - corner[2]) * k / middle for k in range(middle + 1)]
    shares = np.concatenate([[0.0], np.linspace(0.2, 0.8, middle + 1), [1.0]])
    inner = corner[0] + shares[:, None] * (corner[5] - corner[0])
    face = transfinite(halved(inner), halved(np.vstack([corner[1], *slope, corner[4]])), foot, leg)
    t = part.thickness_mm
    points = np.empty((*face.shape[:2], 3, 3))
    points[..., :2] = face[:, :, None, :]
    points[..., 2] = np.array([0.0, t / 2.0, t])
    keep = np.ones(tuple((n - 1) // 2 for n in points.shape[:3]), dtype=bool)
    block = Block(np.asarray(part.pose.point(points)), keep)
    return body_of_block(part.number, part.material, t, mass_of[part.number], block, "bracket")
