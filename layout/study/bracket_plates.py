"""The bracket's own plates and welds: foot, gussets, leg; and the angle between mount and bars. Pack frame."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from layout.brackets.design import BracketDesign
from layout.brackets.foot import Shape, foot_shape, mount_index, saddle_legs
from layout.brackets.frame import GUSSET_CLEAR_MM
from layout.brackets.plan import PackMount
from layout.checks import Check
from layout.checks.angle_rails import AngleSection, angle_checks
from layout.checks.box_column import BoxColumn, box_column_checks
from layout.checks.brackets import PlainL, plain_l_checks
from layout.checks.gussets import gusseted_l_checks
from layout.checks.saddles import SaddleLegs, saddle_checks
from layout.frames import Array
from layout.loads.cases import LoadCase


@dataclass(frozen=True, eq=False)
class Foot:
    """A bracket at one mount. overhang_mm: from the mount along the bend to the nearest leg bolt (0: the bolts stand there);
    stand_mm, height_mm: of the mount from the bar's face and below the middle of the leg bolts, the levers that twist the
    angle; saddle: its legs, where they count.
    """

    part: str
    shape: Shape
    angle: AngleSection
    overhang_mm: float
    stand_mm: float
    height_mm: float
    saddle: SaddleLegs | None = None


def bracket_feet(bracket: BracketDesign) -> tuple[Foot, ...]:
    """One per mount of a bracket, in the order of its plan."""
    welded = bool(bracket.gusset_places_mm)
    angle = AngleSection(bracket.material, bracket.thickness_mm, bracket.leg_top_mm, bracket.foot_depth_mm, welded)
    return tuple(_foot(bracket, mount, angle) for mount in bracket.plan.mounts)


def _foot(bracket: BracketDesign, mount: PackMount, angle: AngleSection) -> Foot:
    place = bracket.mount_places[mount_index(bracket, mount)]
    bolts: Array = np.array(bracket.leg_at_mm)
    arm = float(np.min(np.abs(bolts[:, 0] - place.x_mm)))
    part = f"{bracket.number} at {mount.name}"
    overhang = arm if arm > GUSSET_CLEAR_MM and bracket.column is None else 0.0
    height = float(bolts[:, 1].mean())
    return Foot(part, foot_shape(bracket, mount), angle, overhang, place.z_mm, height, saddle_legs(bracket))


def bracket_plate_checks(foot: Foot, case: LoadCase, forces_n: Array) -> list[Check]:
    """Foot with its gussets, and the angle as a beam from mount to nearest bar. forces_n: (..., 3) on the mount along a, n, w.

    All of these checks take forces by their size. case: one of a kind of cases (see `Loads`).
    """
    sizes = np.abs(forces_n)
    return foot_checks(foot, case, (sizes[..., 0], sizes[..., 1], sizes[..., 2]))


def foot_checks(foot: Foot, case: LoadCase, force_n: tuple[Any, Any, Any]) -> list[Check]:
    """All checks of the bracket at one mount under one force (along a, n, out), or arrays of them."""
    if isinstance(foot.shape, PlainL):
        found = plain_l_checks(foot.part, case.name, foot.shape, force_n)
    elif isinstance(foot.shape, BoxColumn):
        found = box_column_checks(foot.part, case.name, foot.shape, force_n)
    elif foot.saddle is not None:
        found = saddle_checks(foot.part, case.name, foot.shape, foot.saddle, force_n)
    else:
        found = gusseted_l_checks(foot.part, case.name, foot.shape, force_n)
    if foot.overhang_mm > 0.0:
        twist = abs(force_n[1]) * foot.stand_mm + abs(force_n[2]) * foot.height_mm
        found += angle_checks(foot.part, case.name, foot.angle, foot.overhang_mm, force_n, twist)
    return found
