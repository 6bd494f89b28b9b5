"""The foot of a bracket at one mount, as checks and stiffness see it, and the root lines of foot and leg."""

from __future__ import annotations

import math
from dataclasses import dataclass

from layout.brackets.angle import TOE_MM
from layout.brackets.design import BracketDesign
from layout.brackets.frame import GUSSET_CLEAR_MM, SHIFT_MM
from layout.brackets.plan import PackMount
from layout.brackets.standoff import RECESS_MM
from layout.checks.box_column import BoxColumn
from layout.checks.brackets import PlainL
from layout.checks.gussets import RESTRAINT, GussetedL
from layout.checks.prying import Flange
from layout.checks.saddles import HELD, SaddleLegs
from layout.tables import bolt

BESIDE_MM = 15.0
"""Plate beyond a gusset that takes part with it (our choice, within the 30 degrees of spread of common practice)."""
LEAST_M_MM = 1.0
"""A bolt line nearer to its root than this is taken at this distance."""
WELD_LEG = 0.8 * math.sqrt(2.0)
"""Of a throat: 0.8 of the fillet's leg counts as root."""

Shape = PlainL | GussetedL | BoxColumn


def mount_index(bracket: BracketDesign, mount: PackMount) -> int:
    """Which of the bracket's mounts it is."""
    return bracket.plan.mounts.index(mount)


def gussets_beside(bracket: BracketDesign, mount: PackMount) -> tuple[int, int] | None:
    """The gussets nearest below and above a mount's socket along the bend; None where one of them is missing."""
    place = bracket.mount_places[mount_index(bracket, mount)]
    slot = place.slot.along_a_mm if place.slot else 0.0
    most = 2.0 * GUSSET_CLEAR_MM + SHIFT_MM + bracket.gusset_thickness_mm + slot / 2.0
    off = [p - place.x_mm for p in bracket.gusset_places_mm]
    above = [i for i, d in enumerate(off) if 0.0 < d <= most]
    below = [i for i, d in enumerate(off) if 0.0 < -d <= most]
    if not above or not below:
        return None
    return max(below, key=lambda i: off[i]), min(above, key=lambda i: off[i])


def clear_between_gussets_mm(bracket: BracketDesign, mount: PackMount) -> float | None:
    """Clear width between the gussets on both sides of a mount's socket; None where one of them is missing."""
    pair = gussets_beside(bracket, mount)
    if pair is None:
        return None
    low, high = (bracket.gusset_places_mm[i] for i in pair)
    return high - low - bracket.gusset_thickness_mm


def foot_shape(bracket: BracketDesign, mount: PackMount) -> Shape:
    """Sizes of the bracket at a mount, for layout.checks: gusseted where a gusset stands on both sides of the bolt.

    A slot counts as a hole that is longer by it, and the mount's arm as the longer by half of it.
    """
    size = bolt(mount.entry.thread)
    place = bracket.mount_places[mount_index(bracket, mount)]
    longer = place.slot.along_out_mm if place.slot else 0.0
    wider = place.slot.along_a_mm if place.slot else 0.0
    t, stand = bracket.thickness_mm, place.z_mm + longer / 2.0
    if bracket.column is not None:
        column = bracket.column
        return BoxColumn(
            bracket.material, t, column.clear_mm, column.height_mm, column.sheet_mm, RECESS_MM, column.length_mm,
            bracket.throat_mm, size.washer_outer_mm, size.hole_medium_mm + longer,
        )  # fmt: skip
    pair, lean = gussets_beside(bracket, mount), abs(bracket.plan.lean)
    clear = clear_between_gussets_mm(bracket, mount)
    to_ends = min(place.x_mm - bracket.a_mm[0], bracket.a_mm[1] - place.x_mm)
    half = (clear or 2.0 * GUSSET_CLEAR_MM) / 2.0 + bracket.gusset_thickness_mm + BESIDE_MM
    width = 2.0 * min(half, to_ends)
    arm = stand - _inner_mm(bracket)
    if clear is None or pair is None:
        lowest = min(y for _, y in bracket.leg_at_mm)
        holes = 2.0 * bolt(bracket.plan.leg_bolt).hole_medium_mm
        return PlainL(
            bracket.material, t, bracket.inside_radius_mm, width, arm, lowest - t / 2.0, holes, size.washer_outer_mm,
            welded=bool(bracket.gusset_places_mm), lean=lean,
        )  # fmt: skip
    reach = min(bracket.gusset_reaches_mm[i] for i in pair)
    return GussetedL(
        grade=bracket.material,
        thickness_mm=t,
        width_mm=width,
        foot_arm_mm=arm,
        edge_mm=max(place.edges_mm[0], 0.0),
        gussets=2,
        gusset_thickness_mm=bracket.gusset_thickness_mm,
        clear_mm=clear,
        reach_mm=reach,
        height_mm=bracket.gusset_mm[0] * (1.0 - lean**2),
        nose_mm=TOE_MM,
        throat_mm=bracket.throat_mm,
        notch_mm=_setback_mm(bracket) - _inner_mm(bracket) + 3.0,
        washer_mm=size.washer_outer_mm,
        hole_mm=size.hole_medium_mm + max(longer, wider),
        restraint=RESTRAINT if saddle_legs(bracket) is None else HELD,
    )


def _inner_mm(bracket: BracketDesign) -> float:
    """From the corner of the outer faces to the inner face of leg or foot, along the other."""
    if bracket.plan.lean == 0.0:
        return bracket.thickness_mm
    return bracket.thickness_mm * math.tan(math.radians(bracket.plan.bend_deg) / 2.0)


def _setback_mm(bracket: BracketDesign) -> float:
    return _inner_mm(bracket) * (1.0 + bracket.inside_radius_mm / bracket.thickness_mm)


def saddle_legs(bracket: BracketDesign) -> SaddleLegs | None:
    """The legs of a saddle that count: those along the bend."""
    cheeks = bracket.cheeks
    if cheeks is None or not cheeks.along_bend:
        return None
    return SaddleLegs(cheeks.thickness_mm, cheeks.depth_mm, cheeks.span_mm, cheeks.length_mm)


def foot_flange(bracket: BracketDesign, mount: PackMount) -> Flange:
    """The foot as a flange that levers on its free edge and hinges at the nearest root: the bend, or the gussets beside it."""
    shape, place = foot_shape(bracket, mount), bracket.mount_places[mount_index(bracket, mount)]
    if isinstance(shape, BoxColumn):
        m = max(shape.clear_mm / 2.0 - WELD_LEG * bracket.throat_mm, LEAST_M_MM)
        return Flange(shape.grade, shape.plate_mm, m, max(place.edges_mm[2], LEAST_M_MM), shape.height_mm, sides=1, welded=True)
    m = shape.foot_arm_mm - 0.8 * bracket.inside_radius_mm
    if isinstance(shape, GussetedL):
        shifted = place.slot.along_a_mm / 2.0 if place.slot else 0.0
        m = min(m, _nearest_gusset_mm(bracket, place.x_mm) + shifted)
    return Flange(
        shape.grade, shape.thickness_mm, max(m, LEAST_M_MM), max(place.edges_mm[0], LEAST_M_MM), shape.width_mm, sides=1,
        welded=bool(bracket.gusset_places_mm),
    )  # fmt: skip


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
    a, up = bracket.leg_at_mm[index]
    # a standoff has no bend: its webs alone hold the spreader, and bolts beyond their ends are farther from them
    bend = math.inf if bracket.column else up - _inner_mm(bracket) - 0.8 * bracket.inside_radius_mm
    beyond = max(abs(up) - bracket.column.height_mm / 2.0, 0.0) if bracket.column else 0.0
    gusset = math.hypot(_nearest_gusset_mm(bracket, a), beyond)
    to_top = bracket.leg_top_mm - up
    edge = min(to_top, a - bracket.a_mm[0], bracket.a_mm[1] - a)
    width = min(row_pitch_mm, to_top + row_pitch_mm / 2.0)
    flange = Flange(
        bracket.material, bracket.thickness_mm, max(min(gusset, bend), LEAST_M_MM), max(edge, LEAST_M_MM), width, sides=1,
        welded=bool(bracket.gusset_places_mm),
    )  # fmt: skip
    clear, cantilever = _strip_clear_mm(bracket, a, bolt(size).washer_outer_mm, bend, beyond)
    return LegPlace(flange, clear, cantilever, (min(to_top, row_pitch_mm / 2.0), row_pitch_mm / 2.0))


def _nearest_gusset_mm(bracket: BracketDesign, at: float) -> float:
    """From a bolt line to the weld toe of the nearest gusset (0.8 of the weld's leg counts as root); infinite without one."""
    half = bracket.gusset_thickness_mm / 2.0
    return min((abs(at - p) - half - WELD_LEG * bracket.throat_mm for p in bracket.gusset_places_mm), default=math.inf)


def _strip_clear_mm(
    bracket: BracketDesign, at: float, washer_mm: float, bend_mm: float, beyond_mm: float
) -> tuple[float | None, bool]:
    """Clear width of the strip under a leg bolt, and whether it stands for a cantilever from one gusset alone.

    The strip's rule gives 0.75 F (2 s - d_w)/8; the cantilever's moment is F g. Equal at s = (8 g/0.75 + d_w)/2. A second
    gusset farther off than that brings no relief that is counted; where the bend is nearer than any gusset the strip says
    nothing and the tee alone judges.
    """
    half = bracket.gusset_thickness_mm / 2.0
    above = min((p - half - at for p in bracket.gusset_places_mm if p > at), default=math.inf)
    below = min((at - p - half for p in bracket.gusset_places_mm if p <= at), default=math.inf)
    near = math.hypot(min(above, below), beyond_mm)
    if near > bend_mm or not math.isfinite(near):
        return None, False
    alone = (8.0 * max(near, LEAST_M_MM) / 0.75 + washer_mm) / 2.0
    return (above + below, False) if above + below <= alone else (alone, True)
