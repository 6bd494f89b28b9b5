"""Brackets against the bay, the equipment and one another: they touch the vehicle only where they are bolted to it."""

from __future__ import annotations

from itertools import combinations, product

import numpy as np

from layout.arrangement import Arrangement
from layout.box.shell import Shell
from layout.brackets.design import BracketDesign
from layout.frames import Extent, Pose, bounding
from layout.space.bay import Bay
from layout.space.judge import Violation, inside_free_space


def bracket_bodies(bracket: BracketDesign) -> tuple[tuple[str, Extent, Pose], ...]:
    """Boxes that hold all of a bracket, each in its own frame, with its pose in the pack's frame."""
    return bracket.bodies


def bracket_conflicts(bay: Bay, arrangement: Arrangement, shell: Shell, brackets: tuple[BracketDesign, ...]) -> list[Violation]:
    """What the brackets run into: bounds of the bay, keep-outs, the lid flange, equipment outside the box, one another."""
    bodies = [body for bracket in brackets for body in bracket_bodies(bracket)]
    found: list[Violation] = []
    for name, extent, pose in bodies:
        found += inside_free_space(bay, extent, arrangement.frame.then(pose), 0.0, name)
    solid = [("the lid flange", shell.slab(arrangement.inside))]
    solid += [(e.kind.name, e.extent) for e in arrangement.equipment if e.outside]
    around = {bracket.number: [(n, e.seen_from(pose)) for n, e, pose in bracket_bodies(bracket)] for bracket in brackets}
    for mine in around.values():
        found += [_overlap(name, other, seen, box) for name, seen in mine for other, box in solid if _meet(seen, box)]
    for one, two in combinations(around.values(), 2):
        if _meet(bounding([seen for _, seen in one]), bounding([seen for _, seen in two])):
            pairs = product(one, two)
            found += [_overlap(name, other, seen, box) for (name, seen), (other, box) in pairs if _meet(seen, box)]
    return found


def _meet(a: Extent, b: Extent) -> bool:
    low, high = np.maximum(a.min_mm, b.min_mm), np.minimum(a.max_mm, b.max_mm)
    return bool(np.all(high - low > 1e-6))


def _overlap(what: str, other: str, a: Extent, b: Extent) -> Violation:
    depth = float(np.min(np.minimum(a.max_mm, b.max_mm) - np.maximum(a.min_mm, b.min_mm)))
    return Violation(what, other, -depth, 0.0, a.centre_mm)
