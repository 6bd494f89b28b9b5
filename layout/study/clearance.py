"""Brackets against the bay, the equipment and one another: they touch the vehicle only where they are bolted to it."""

from __future__ import annotations

from itertools import combinations

import numpy as np

from layout.arrangement import Arrangement
from layout.box.shell import Shell
from layout.box.walls import STEP_WALLS, walls_of
from layout.brackets.design import BracketDesign
from layout.frames import Extent, Pose, vec3
from layout.space.bay import Bay
from layout.space.judge import Violation, inside_free_space
from layout.stepped import Stepped, parts_of

CONTACT_MM = 0.01
"""Drawn off the foot's underside, which lies on the vehicle's metal."""


def bracket_bodies(bracket: BracketDesign) -> tuple[tuple[str, Extent, Pose], ...]:
    """Leg and foot (each with the gussets' reach) as boxes in the bracket's own frame, with its pose in the pack's frame."""
    plan, t = bracket.plan, bracket.thickness_mm
    level = float(np.dot(plan.mounts[0].at_mm, plan.n))
    pose = Pose(vec3(level * plan.n + plan.bar_face_mm * plan.w), (vec3(plan.a), vec3(plan.n), vec3(plan.w)))
    low, high = bracket.a_mm
    head = 10.0
    return (
        (f"leg of {bracket.number}", Extent((low, CONTACT_MM, 0.0), (high, bracket.leg_top_mm, t + head)), pose),
        (f"foot of {bracket.number}", Extent((low, CONTACT_MM, 0.0), (high, t + head, bracket.foot_out_mm)), pose),
    )


def bracket_conflicts(bay: Bay, arrangement: Arrangement, shell: Shell, brackets: tuple[BracketDesign, ...]) -> list[Violation]:
    """What the brackets run into: bounds of the bay, keep-outs, the lid flange, equipment outside the box, one another."""
    bodies = [body for bracket in brackets for body in bracket_bodies(bracket)]
    found: list[Violation] = []
    for name, extent, pose in bodies:
        found += inside_free_space(bay, extent, arrangement.frame.then(pose), 0.0, name)
    solid = [("the lid flange", slab) for slab in shell.slabs(arrangement.inside)]
    solid += [(e.kind.name, e.extent) for e in arrangement.equipment if e.outside]
    for name, extent, pose in bodies:
        seen = extent.seen_from(pose)
        found += [_overlap(name, other, seen, box) for other, box in solid if _meet(seen, box)]
    for bracket in brackets:
        beside = _beside_the_step(arrangement.inside, shell, bracket.plan.wall)
        for name, extent, pose in bracket_bodies(bracket):
            seen = extent.seen_from(pose)
            found += [_overlap(name, other, seen, box) for other, box in beside if _meet(seen, box)]
    for (name, extent, pose), (other, box, where) in combinations(bodies, 2):
        if name.split()[-1] != other.split()[-1] and _meet(extent.seen_from(pose), box.seen_from(where)):
            found.append(_overlap(name, other, extent.seen_from(pose), box.seen_from(where)))
    return found


def _beside_the_step(inside: Extent, shell: Shell, own: str) -> list[tuple[str, Extent]]:
    """What of a stepped box lies before one of its walls: the rest of the box, and uprights on the step's other wall."""
    if not isinstance(inside, Stepped):
        return []
    t = shell.sheet_mm
    found = [("the box beside its step", part.grown((t, t, 0.0))) for part in parts_of(inside)]
    for wall in walls_of(inside):
        if wall.elbow and wall.name in STEP_WALLS and wall.name != own:
            low, high = wall.usable_mm(shell.side_mm)
            a, b = wall.point(low, 0.0, wall.bottom_mm - t), wall.point(max(high, low), shell.side_mm, wall.top_mm)
            found.append((f"the uprights on the {wall.name}", Extent(vec3(np.minimum(a, b)), vec3(np.maximum(a, b)))))
    return found


def _meet(a: Extent, b: Extent) -> bool:
    low, high = np.maximum(a.min_mm, b.min_mm), np.minimum(a.max_mm, b.max_mm)
    return bool(np.all(high - low > 1e-6))


def _overlap(what: str, other: str, a: Extent, b: Extent) -> Violation:
    depth = float(np.min(np.minimum(a.max_mm, b.max_mm) - np.maximum(a.min_mm, b.min_mm)))
    return Violation(what, other, -depth, 0.0, a.centre_mm)
