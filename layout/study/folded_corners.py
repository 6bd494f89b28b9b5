"""Upright corners of a folded box: what joins two walls when the modules' bars pull at them. Pack frame."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layout.checks import Check
from layout.checks.welds import effective_length_mm, weld_checks
from layout.frames import Array
from layout.study.held_modules import WALL_SHARE, Held

PEAK = 1.5
"""Peak of the shear in a rectangle over its mean."""


@dataclass(frozen=True, slots=True)
class CornerFlow:
    """Force per mm of a corner's height, N/mm, per case: along it, and square to it out of each of its two walls."""

    along: Array
    out_of_ends: Array
    out_of_sides: Array


def corner_flow(held: Held, height_mm: float) -> CornerFlow:
    """What one corner carries, floor and flange left aside.

    Of a force across two opposite walls one takes up to six tenths, and one of its two corners up to six tenths of that
    (WALL_SHARE: they share unevenly). Along the corner: what passes from wall to wall of a force up or down, and the shear of
    the two walls in their planes (peak 1.5 Q/l, by the equality of shears on planes at right angles).
    """
    sx, sy, _ = held.box.inside.size_mm
    mass = sum(one.module.kind.mass_kg for one in held.models[0])
    fx, fy, fz = (np.abs(held.specific) * mass).T
    one = WALL_SHARE * WALL_SHARE / height_mm
    along = one * fz + PEAK * WALL_SHARE * (fx / sx + fy / sy)
    return CornerFlow(along, one * fx, one * fy)


def foot_flow(held: Held) -> CornerFlow:
    """Force per mm of the seam along the foot of a wall of its own, floor to wall, as if corners and flange took nothing.

    Along it: the wall's shear in its own plane (a force along the wall, six tenths on one of two walls); square to it in the
    wall's plane: what the floor's bars bring up or down, on the four walls alike but one taking a quarter more than its
    share (our choice); square to the wall: six tenths of the force across it. The shorter wall's length counts.
    """
    sx, sy, _ = held.box.inside.size_mm
    mass = sum(one.module.kind.mass_kg for one in held.models[0])
    fx, fy, fz = (np.abs(held.specific) * mass).T
    length = effective_length_mm(min(sx, sy), held.box.shell.sheet_mm)
    level = np.maximum(fx, fy) * WALL_SHARE / length
    return CornerFlow(PEAK * level, level, 1.25 * fz / 4.0 / length)


def corner_checks(held: Held) -> list[Check]:
    """The welded seams between the sheets of a folded box in every case; nothing for a welded box."""
    box = held.box
    if box.folded is None or not held.models[0]:
        return []
    sheet, grade = box.shell.sheet_mm, box.material
    length = effective_length_mm(box.folded.corner_height_mm, sheet)
    flows = [("corner seams of the folded box", corner_flow(held, length))]
    if box.folded.form != "pan":
        flows.append(("seams along the feet of walls of their own", foot_flow(held)))
    found: list[Check] = []
    for part, flow in flows:
        for c, case in enumerate(held.cases):
            found += weld_checks(
                part, case.name, (grade, grade), (sheet, sheet), sheet, float(flow.along[c]), float(flow.out_of_sides[c]),
                float(flow.out_of_ends[c]),
            )  # fmt: skip
    return found
