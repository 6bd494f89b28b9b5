"""The foot of a bracket at one mount, as checks and stiffness see it: a plain L or a gusseted one, and its root lines."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from layout.brackets.angle import GUSSET_CLEAR_MM, SHIFT_MM, TOE_MM
from layout.brackets.design import BracketDesign
from layout.brackets.plan import PackMount
from layout.checks.brackets import PlainL
from layout.checks.gussets import GussetedL
from layout.checks.prying import Flange
from layout.tables import bolt

BESIDE_MM = 15.0
"""Plate beyond a gusset that takes part with it (our choice, within the 30 degrees of spread of common practice)."""
LEAST_M_MM = 1.0
"""A bolt line nearer to its root than this is taken at this distance."""


def clear_between_gussets_mm(bracket: BracketDesign, mount: PackMount) -> float | None:
    """Clear width between the gussets on both sides of a mount's socket; None where one of them is missing."""
    own = _along(bracket, mount)
    most = 2.0 * GUSSET_CLEAR_MM + SHIFT_MM + bracket.gusset_thickness_mm
    above = [p - own for p in bracket.gusset_places_mm if 0.0 < p - own <= most]
    below = [own - p for p in bracket.gusset_places_mm if 0.0 < own - p <= most]
    if not above or not below:
        return None
    return min(above) + min(below) - bracket.gusset_thickness_mm


def foot_shape(bracket: BracketDesign, mount: PackMount) -> PlainL | GussetedL:
    """Sizes of the bracket at a mount, for layout.checks: gusseted where a gusset stands on both sides of the bolt."""
    size = bolt(mount.entry.thread)
    t, stand = bracket.thickness_mm, bracket.plan.stand_mm(mount)
    clear = clear_between_gussets_mm(bracket, mount)
    own = _along(bracket, mount)
    to_ends = min(own - bracket.a_mm[0], bracket.a_mm[1] - own)
    half = (clear or 2.0 * GUSSET_CLEAR_MM) / 2.0 + bracket.gusset_thickness_mm + BESIDE_MM
    width = 2.0 * min(half, to_ends)
    if clear is None:
        lowest = min(float(np.dot(p, bracket.plan.n)) for p in bracket.leg_bolts_mm) - level_mm(bracket, mount)
        washer, radius = size.washer_outer_mm, bracket.inside_radius_mm
        return PlainL(bracket.material, t, radius, width, stand - t, lowest - t / 2.0, 2.0 * 9.0, washer)
    height, reach = bracket.gusset_mm
    return GussetedL(
        grade=bracket.material,
        thickness_mm=t,
        width_mm=width,
        foot_arm_mm=stand - t,
        edge_mm=bracket.foot_out_mm - stand,
        gussets=2,
        gusset_thickness_mm=bracket.gusset_thickness_mm,
        clear_mm=clear,
        reach_mm=reach,
        height_mm=height,
        nose_mm=TOE_MM,
        throat_mm=bracket.welds[0].throat_mm,
        notch_mm=bracket.inside_radius_mm + 3.0,
        washer_mm=size.washer_outer_mm,
        hole_mm=size.hole_medium_mm,
    )


def foot_flange(bracket: BracketDesign, mount: PackMount) -> Flange:
    """The foot as a flange that levers on its free edge and hinges at the nearest root: the bend, or the gussets beside it."""
    shape = foot_shape(bracket, mount)
    m = shape.foot_arm_mm - 0.8 * bracket.inside_radius_mm
    if isinstance(shape, GussetedL):
        m = min(m, _nearest_gusset_mm(bracket, _along(bracket, mount)))
    edge = bracket.foot_out_mm - bracket.plan.stand_mm(mount)
    return Flange(
        shape.grade, shape.thickness_mm, max(m, LEAST_M_MM), edge, shape.width_mm, sides=1, welded=bool(bracket.gussets)
    )


@dataclass(frozen=True, slots=True)
class LegPlace:
    """The leg at one of its bolts. flange: as it hinges and levers there. clear_mm: of the strip between two gussets; where
    one gusset alone stands beside the bolt, of the strip with the same moment as the cantilever from it; None without
    gussets near. edges_mm: along the gussets, to the ends of the strip that takes part.
    """

    flange: Flange
    clear_mm: float | None
    cantilever: bool
    edges_mm: tuple[float, float]


def leg_place(bracket: BracketDesign, index: int, size: str, row_pitch_mm: float) -> LegPlace:
    """The leg at leg bolt `index` (from 0): m to the nearest of gussets and bend, n to the nearest free edge."""
    plan = bracket.plan
    places = np.array(bracket.leg_bolts_mm) @ np.array([plan.a, plan.n]).T
    a, level = places[index]
    up = float(level - level_mm(bracket, plan.mounts[0]))
    bend = up - bracket.thickness_mm - 0.8 * bracket.inside_radius_mm
    gusset = _nearest_gusset_mm(bracket, float(a))
    to_top = bracket.leg_top_mm - up
    edge = min(to_top, float(a) - bracket.a_mm[0], bracket.a_mm[1] - float(a))
    width = min(row_pitch_mm, to_top + row_pitch_mm / 2.0)
    flange = Flange(
        bracket.material, bracket.thickness_mm, max(min(gusset, bend), LEAST_M_MM), max(edge, LEAST_M_MM), width, sides=1,
        welded=bool(bracket.gussets),
    )  # fmt: skip
    clear, cantilever = _strip_clear_mm(bracket, float(a), bolt(size).washer_outer_mm, bend)
    return LegPlace(flange, clear, cantilever, (min(to_top, row_pitch_mm / 2.0), row_pitch_mm / 2.0))


def level_mm(bracket: BracketDesign, mount: PackMount) -> float:
    """Coordinate of a mount along its normal."""
    return float(np.dot(mount.at_mm, bracket.plan.n))


def _along(bracket: BracketDesign, mount: PackMount) -> float:
    return float(np.dot(mount.at_mm, bracket.plan.a))


def _nearest_gusset_mm(bracket: BracketDesign, at: float) -> float:
    """From a bolt line to the weld toe of the nearest gusset (0.8 of the weld's leg counts as root); infinite without one."""
    half, leg = bracket.gusset_thickness_mm / 2.0, bracket.welds[0].throat_mm * math.sqrt(2.0) if bracket.welds else 0.0
    return min((abs(at - p) - half - 0.8 * leg for p in bracket.gusset_places_mm), default=math.inf)


def _strip_clear_mm(bracket: BracketDesign, at: float, washer_mm: float, bend_mm: float) -> tuple[float | None, bool]:
    """Clear width of the strip under a leg bolt, and whether it stands for a cantilever from one gusset alone.

    The strip's rule gives 0.75 F (2 s - d_w)/8; the cantilever's moment is F g. Equal at s = (8 g/0.75 + d_w)/2. A second
    gusset farther off than that brings no relief that is counted; where the bend is nearer than any gusset the strip says
    nothing and the tee alone judges.
    """
    half = bracket.gusset_thickness_mm / 2.0
    above = min((p - half - at for p in bracket.gusset_places_mm if p > at), default=math.inf)
    below = min((at - p - half for p in bracket.gusset_places_mm if p <= at), default=math.inf)
    near = min(above, below)
    if near > bend_mm or not math.isfinite(near):
        return None, False
    alone = (8.0 * max(near, LEAST_M_MM) / 0.75 + washer_mm) / 2.0
    return (above + below, False) if above + below <= alone else (alone, True)
