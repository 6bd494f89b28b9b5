"""Brackets against the bay, the equipment and one another: they touch the vehicle only where they are bolted to it."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations, product

import numpy as np

from layout.arrangement import Arrangement
from layout.box.shell import Shell
from layout.box.walls import STEP_WALLS, walls_of
from layout.brackets.angle import design_bracket
from layout.brackets.design import BracketDesign, Sizes
from layout.brackets.plan import BracketPlan
from layout.frames import Extent, Pose, bounding, vec3
from layout.job.model import Job
from layout.space.bay import Bay
from layout.space.judge import Violation, inside_free_space, too_near
from layout.stepped import Stepped, parts_of


def clear_bracket(
    job: Job, bay: Bay, arrangement: Arrangement, shell: Shell, plan: BracketPlan, sizes: Sizes
) -> BracketDesign:
    """The bracket of a plan without the gussets that would run into what is in the bay, the lid flange or equipment.

    Raises:
        DesignError: as layout.brackets.angle.design_bracket.
    """
    bracket = design_bracket(job, plan, arrangement.inside, shell, sizes=sizes)
    if bracket.plan.facing:
        return bracket
    found = [_gusset_meets(bay, arrangement, shell, bracket, k) for k in range(len(bracket.gusset_places_mm))]
    met = {k: name for k, name in enumerate(found) if name}
    if not met:
        return bracket
    half = bracket.gusset_thickness_mm / 2.0
    without = tuple((bracket.gusset_places_mm[k] - half, bracket.gusset_places_mm[k] + half) for k in met)
    some = "1 gusset" if len(met) == 1 else f"{len(met)} gussets"
    why = f"{plan.why}; {some} left out that would run into {', '.join(dict.fromkeys(met.values()))}"
    return design_bracket(job, replace(plan, without=without, why=why), arrangement.inside, shell, sizes=sizes)


def _gusset_meets(bay: Bay, arrangement: Arrangement, shell: Shell, bracket: BracketDesign, index: int) -> str:
    """What one gusset of a bracket runs into; "" where nothing."""
    bodies = [(e, pose) for name, e, pose in bracket.bodies if name.startswith(f"gusset {index + 1} ")]
    solid = [("the lid flange", slab) for slab in shell.slabs(arrangement.inside)]
    solid += [(e.kind.name, e.extent) for e in arrangement.equipment if e.outside]
    for extent, pose in bodies:
        seen = extent.seen_from(pose)
        name = next((other for other, box in solid if _meet(seen, box)), "") or too_near(
            bay, extent, arrangement.frame.then(pose), 0.0
        )
        if name:
            return name
    return ""


def bracket_bodies(bracket: BracketDesign) -> tuple[tuple[str, Extent, Pose], ...]:
    """Boxes that hold all of a bracket, each in its own frame, with its pose in the pack's frame."""
    return bracket.bodies


def bracket_conflicts(bay: Bay, arrangement: Arrangement, shell: Shell, brackets: tuple[BracketDesign, ...]) -> list[Violation]:
    """What the brackets run into: bounds of the bay, keep-outs, the lid flange, equipment outside the box, one another."""
    found = [fault for bracket in brackets for fault in bay_conflicts(bay, arrangement, bracket)]
    return [*found, *crowding(arrangement, shell, brackets)]


def bay_conflicts(bay: Bay, arrangement: Arrangement, bracket: BracketDesign) -> list[Violation]:
    """What in the bay one bracket runs into."""
    bodies = [(name, extent, arrangement.frame.then(pose)) for name, extent, pose in bracket_bodies(bracket)]
    return [fault for name, extent, pose in bodies for fault in inside_free_space(bay, extent, pose, 0.0, name)]


def met_in_bay(bay: Bay, arrangement: Arrangement, bracket: BracketDesign) -> str:
    """Name of the first thing in the bay that one bracket runs into; "" where there is none."""
    for name, extent, pose in bracket_bodies(bracket):
        placed = arrangement.frame.then(pose)
        met = too_near(bay, extent, placed, 0.0)
        if not met and bay.scan is not None:  # beyond the scanned surface?
            met = next((fault.with_what for fault in inside_free_space(bay, extent, placed, 0.0, name)), "")
        if met:
            return met
    return ""


def crowding(arrangement: Arrangement, shell: Shell, brackets: tuple[BracketDesign, ...]) -> list[Violation]:
    """Where brackets meet the lid flange, equipment outside the box, or one another."""
    found: list[Violation] = []
    solid = [("the lid flange", slab) for slab in shell.slabs(arrangement.inside)]
    solid += [(e.kind.name, e.extent) for e in arrangement.equipment if e.outside]
    around = {bracket.number: [(n, e.seen_from(pose)) for n, e, pose in bracket_bodies(bracket)] for bracket in brackets}
    for mine in around.values():
        found += [_overlap(name, other, seen, box) for name, seen in mine for other, box in solid if _meet(seen, box)]
    for bracket in brackets:
        beside = _beside_the_step(arrangement.inside, shell, bracket.plan.wall)
        mine = around[bracket.number]
        found += [_overlap(name, other, seen, box) for name, seen in mine for other, box in beside if _meet(seen, box)]
    for one, two in combinations(around.values(), 2):
        if _meet(bounding([seen for _, seen in one]), bounding([seen for _, seen in two])):
            pairs = product(one, two)
            found += [_overlap(name, other, seen, box) for (name, seen), (other, box) in pairs if _meet(seen, box)]
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
