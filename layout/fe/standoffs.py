"""Standoffs as bricks: spreader on the bars, box column of webs and covers, foot on the vehicle, all tied along their welds.

The hole for the socket is cut as the square between the webs.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np

from layout.brackets.design import BracketDesign
from layout.brackets.standoff import RECESS_MM
from layout.design import Plate, Profile
from layout.fe.angle import BracketMesh, Patch, half_patch
from layout.fe.bricks import Body
from layout.fe.loose_plates import plate_block
from layout.fe.tying import Seam
from layout.frames import Array

LEAST_STEP_MM = 6.0


def standoff_mesh(bracket: BracketDesign, mass_of: dict[str, float], step_mm: float) -> BracketMesh:
    """All bodies of a standoff; its seams are tied. mass_of: kg by part number; step_mm: greatest size of an element."""
    assert isinstance(bracket.angle, Plate)
    assert bracket.column is not None
    plan, spreader = bracket.plan, bracket.angle
    foot = next(p for p in bracket.gussets if p.name == "standoff foot")
    walls = [p for p in bracket.gussets if p is not foot]
    legs = [np.array([x, y, 0.0]) for x, y in bracket.leg_at_mm]
    mount = np.asarray(plan.leg_pose.inverse_point(plan.mounts[0].at_mm))
    halves = half_patch(bracket.hardware[-1].size), half_patch(bracket.mount_bolts[0].size)
    step = min(step_mm, max(LEAST_STEP_MM, bracket.column.clear_mm / 3.0))
    patches = [(p[:2], halves[0]) for p in legs], [(mount[:2], halves[1])]
    bodies = [_end(part, bracket, places, mass_of, step) for part, places in zip((spreader, foot), patches, strict=True)]
    bodies += [plate_block(p, mass_of[p.number], step) for p in walls]
    return BracketMesh(
        tuple(bodies), (Patch(foot.number, plan.leg_pose, mount, halves[1], 2),),
        tuple(Patch(spreader.number, plan.leg_pose, at, halves[0], 2) for at in legs), _seams(bracket, walls),
    )  # fmt: skip


def _end(
    part: Plate, bracket: BracketDesign, patches: list[tuple[Array, float]], mass_of: dict[str, float], step_mm: float
) -> Body:
    """An end plate on lines through the column's walls and the washers' edges; the spreader with its socket hole."""
    assert bracket.column is not None
    column, hole = bracket.column, part is bracket.angle
    x0, y0, _ = (float(v) for v in bracket.plan.leg_pose.inverse_point(part.pose.origin_mm))
    inner, tall = column.clear_mm / 2.0, column.height_mm / 2.0
    at = [inner, inner + column.sheet_mm], [tall, tall - RECESS_MM, tall - RECESS_MM - column.sheet_mm, inner]
    xs, ys = ([s * v - off for s, v in product((-1.0, 1.0), own)] for own, off in zip(at, (x0, y0), strict=True))
    xs += [float(p[0]) + s * half - x0 for p, half in patches for s in (-1.0, 1.0)]
    ys += [float(p[1]) + s * half - y0 for p, half in patches for s in (-1.0, 1.0)]
    square = tuple((sx * inner - x0, sy * inner - y0, 0.0) for sx, sy in ((-1, -1), (1, -1), (1, 1), (-1, 1)))
    bare = replace(part, profile=Profile(part.profile.outline, (), (square,) if hole else ()))
    return plate_block(bare, mass_of[part.number], step_mm, (tuple(xs), tuple(ys)))


def _seams(bracket: BracketDesign, walls: list[Plate]) -> tuple[Seam, ...]:
    """Every wall to both end plates along the weld all round; covers to webs along theirs."""
    found: list[Seam] = []
    for weld in bracket.welds:
        path = np.array(weld.path_mm)
        if len(weld.path_mm) > 2:
            found += [((wall.number, weld.joins[1]), path) for wall in walls]
        else:
            found.append(((weld.joins[1], weld.joins[0]), path))
    return tuple(found)
