"""What the press makes of a folded box: radius, neutral line, flange, and from how few flats the pan can be bent.

Heights and widths are those of the finished box, mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from layout.box.carrier_room import fold_radius_mm
from layout.box.shell import Shell
from layout.design.allowance import BendRow, NeutralLine, neutral_line
from layout.design.flat import bend_allowance_mm
from layout.design.sheet_rules import LEG_SHARE, Shop, die_opening_mm, limit_mm
from layout.errors import DesignError
from layout.frames import Extent
from layout.job.model import Job
from layout.tables import bolt

LAND_MM = 8.0
"""Width of the gasket's land between the flange's bend and the lid bolts: common practice for foam strip, no source."""
PUNCH_MM = 15.0
"""Half the punch with room beside it, where a wall bent before swings past: common practice, no source."""

Form = Literal["pan", "left and right", "fore and aft", "left", "fore"]
"""Which walls are bent from the floor: all four, one pair, or one; the others are plates of their own."""
BENT: dict[Form, tuple[str, ...]] = {
    "pan": ("fore", "aft", "right", "left"),
    "left and right": ("right", "left"),
    "fore and aft": ("fore", "aft"),
    "left": ("left",),
    "fore": ("fore",),
}
"""From fewest parts to most; walls in the order in which they are bent."""
FORM_NAMES: dict[Form, str] = {
    "pan": "floor and four walls from one flat",
    "left and right": "floor with left and right walls from one flat",
    "fore and aft": "floor with fore and aft walls from one flat",
    "left": "floor with left wall from one flat",
    "fore": "floor with fore wall from one flat",
}


def laps(form: Form, wall: str) -> bool:
    """Whether a wall laps the ends of its neighbours: left and right in a pan, else those on the axis of the bent ones."""
    lengthwise = form == "pan" or "left" in BENT[form]
    return wall in (("left", "right") if lengthwise else ("fore", "aft"))


@dataclass(frozen=True)
class FoldedFlange:
    """Inside radius of the bends, bolt line and edge of the flange beyond the wall's outer face."""

    radius_mm: float
    line_mm: float
    out_mm: float


def test_bends(job: Job) -> tuple[BendRow, ...]:
    """The job's test bends as rows for the box's own sheet."""
    box = job.box
    return tuple(
        BendRow(box.material, box.sheet_mm, b.radius_mm, b.angle_deg, b.allowance_mm, b.deduction_mm, b.k_factor)
        for b in box.press.test_bends
    )


def box_neutral_line(job: Job) -> NeutralLine:
    """Neutral line of the box's right-angled bends: the job's test bends first, else DIN 6935.

    Raises:
        DesignError: a test bend that leads to no neutral line within the sheet.
    """
    return neutral_line(job.box.material, job.box.sheet_mm, fold_radius_mm(job), 90.0, test_bends(job))


def shop_of(job: Job) -> Shop:
    """The press as the sheet rules take it."""
    press = job.box.press
    return Shop(press.die_mm, press.least_flange_mm, press.bend_length_mm, press.flat_mm)


def least_leg_mm(job: Job) -> float:
    """Least outside leg: the shop's, else 0.7 of the die's opening."""
    shop = shop_of(job)
    return shop.least_leg_mm or LEG_SHARE * die_opening_mm(job.box.sheet_mm, shop)


def hole_room_mm(job: Job) -> float:
    """From a round hole's edge to the tangent line of a right-angled bend, at least (see sheet_rules)."""
    t, r = job.box.sheet_mm, fold_radius_mm(job)
    limit = max(limit_mm("hole to bend", t, r)[0], die_opening_mm(t, shop_of(job)) / 2.0 - 1.0)
    return limit - bend_allowance_mm(90.0, r, t, box_neutral_line(job).k_factor) / 2.0


def folded_flange(job: Job, edge_mm: float) -> FoldedFlange:
    """The bent flange: room for the gasket beside the bend, bolts clear of it, long enough to be bent.

    edge_mm: from the bolts to the flange's edge, at least.
    """
    t, r, size = job.box.sheet_mm, fold_radius_mm(job), bolt(job.box.lid_bolt)
    land = r + LAND_MM + size.diameter_mm / 2.0 + 1.0
    washer = r + size.washer_outer_mm / 2.0 + 1.0
    line = max(land, washer, r + hole_room_mm(job) + size.hole_medium_mm / 2.0)
    line = math.ceil(2.0 * line) / 2.0
    return FoldedFlange(r, line, max(line + edge_mm, math.ceil(2.0 * (least_leg_mm(job) - t)) / 2.0))


@dataclass(frozen=True)
class Limit:
    """One limit of the press against a form: what is measured, figure and limit, "at most" or "at least"; mm."""

    what: str
    figure_mm: float
    limit_mm: float
    sense: Literal["at most", "at least"] = "at most"

    @property
    def kept(self) -> bool:
        """Whether the figure keeps the limit."""
        over = self.figure_mm - self.limit_mm
        return over <= 1e-6 if self.sense == "at most" else over >= -1e-6

    def __str__(self) -> str:
        return f"{self.what}: {self.figure_mm:.0f} mm, {self.sense} {self.limit_mm:.0f} mm"


def depth_mm(inside: Extent, shell: Shell) -> float:
    """From the floor's underside to the top of the flange."""
    return inside.size_mm[2] + 2.0 * shell.sheet_mm


def swing_limits(form: Form, inside: Extent, shell: Shell, box_depth_mm: float | None) -> list[Limit]:
    """Limits of how deep walls may be.

    At the end of a bend floor and wall stand at 45 degrees; the wall opposite, bent before, then ends (W - H)/sqrt(2) beside
    the punch's plane (W: distance of the two, H: their height; derived from the geometry). With four walls the two bent
    first stand up beside the punch, which must reach over them: the deepest box that the shop's punches bend.
    """
    height, (sx, sy, _) = depth_mm(inside, shell), inside.size_mm
    apart = {"left and right": sy, "fore and aft": sx}
    found = [
        Limit(f"depth beside the punch, {pair} walls opposite", height, width - math.sqrt(2.0) * PUNCH_MM)
        for pair, width in apart.items()
        if form in ("pan", pair)
    ]
    if form == "pan" and box_depth_mm is not None:
        found.append(Limit("depth of a box with four bent walls", height, box_depth_mm))
    return found


def cannot_be_bent(broken: dict[Form, list[Limit]]) -> DesignError:
    """The error where no form can be bent: the first limit that each breaks."""
    figure = "; ".join(f"{FORM_NAMES[form]}: {limits[0]}" for form, limits in broken.items())
    return DesignError(
        "box", "floor and walls folded from as few flats as can be bent", figure,
        'Use construction = "welded", or a press and tools with other limits (job file: box.press).',
    )  # fmt: skip
