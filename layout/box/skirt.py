"""A lid whose edges are turned down outside the flange, folded from one flat with open corners. Pack frame.

The skirt stiffens the lid's edges and sheds water; no check gives it credit.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from layout.box.carrier_room import fold_radius_mm
from layout.box.folded_flats import Sizes, pan_floor
from layout.box.folding import box_neutral_line, hole_room_mm, least_leg_mm
from layout.box.shell import GASKET_MM, Shell
from layout.design import Bend, Flange, FoldedPlate, Hole, Profile, rectangle
from layout.design.sheet_rules import limit_mm
from layout.errors import DesignError
from layout.frames import Extent, Pose
from layout.job.model import Job
from layout.stepped import corner_out
from layout.tables import bolt

LEAST_PLAY_MM = 2.0
"""Between the flange's edge and the skirt, so that the lid goes on (common practice, no source)."""
COVER_MM = 2.0
"""By how much the skirt reaches below the flange's underside, at least (common practice, no source)."""


@dataclass(frozen=True)
class Skirt:
    """play_mm: from the flange's edge to the skirt's inner face; leg_mm: its height from the lid's upper face."""

    play_mm: float
    leg_mm: float


def skirt_of(job: Job, edge_mm: float) -> Skirt:
    """The skirt of a job's lid. edge_mm: from the line of the lid's bolts to the flange's edge.

    Its bend keeps the distance from the bolts' holes that holes keep from bends, and its leg is long enough to be bent.
    """
    t, r = job.box.sheet_mm, fold_radius_mm(job)
    need = bolt(job.box.lid_bolt).hole_medium_mm / 2.0 + hole_room_mm(job) + r - edge_mm
    play = max(LEAST_PLAY_MM, math.ceil(2.0 * need) / 2.0)
    leg = max(least_leg_mm(job), 2.0 * t + GASKET_MM + COVER_MM, t + r + 1.0)
    return Skirt(play, math.ceil(2.0 * leg) / 2.0)


def lid_sides_mm(inside: Extent, shell: Shell) -> tuple[float, float, float]:
    """From the inside to the skirt's inner face, and both lengths between opposite inner faces."""
    off = shell.slab_out_mm - shell.sheet_mm
    return off, inside.size_mm[0] + 2.0 * off, inside.size_mm[1] + 2.0 * off


def skirted_lid(job: Job, inside: Extent, shell: Shell, number: str, holes: tuple[Hole, ...]) -> FoldedPlate:
    """The lid with its edges turned down. holes: in its own plane (see `lid_pose`).

    Raises:
        DesignError: a box that is not rectangular, or uprights that stand out so far that they meet the skirt.
    """
    if corner_out(inside):
        raise DesignError(
            "lid", "edges are turned down on rectangular lids", "a corner of the plan is left out",
            'Use lid_edges = "flat" (job file: box).',
        )  # fmt: skip
    off, sx, sy = lid_sides_mm(inside, shell)
    if shell.sheet_mm + shell.bar_mm > off - 1.0:
        raise DesignError(
            "lid", "its edges are turned down outside the mounting bars and posts",
            f"bars reach {shell.sheet_mm + shell.bar_mm:.1f} mm from the inside, the edges hang {off:.1f} mm from it",
            'Use lid_edges = "flat" or a thinner box.bar.',
        )  # fmt: skip
    t, r = shell.sheet_mm, fold_radius_mm(job)
    relief, _ = limit_mm("relief width", t)
    sizes = Sizes(t, r, relief, shell.flange_out_mm)
    outline, edges = pan_floor(sx, sy, sizes)
    flat = shell.lid_skirt_mm - t - r
    lengths = {"right": sx, "left": sx, "fore": sy, "aft": sy}
    k = box_neutral_line(job).k_factor
    flanges = tuple(
        Flange(Profile(rectangle(lengths[side] - 2.0 * sizes.inset_mm, flat)), 0, Bend(edge, -90.0, r, k))
        for side, edge in edges.items()
    )
    return FoldedPlate(
        number, "lid", job.box.material, t, Profile(outline, holes), flanges, lid_pose(inside, shell), group="lid"
    )  # fmt: skip


def lid_pose(inside: Extent, shell: Shell) -> Pose:
    """Own frame of the lid: its corner between two inner faces of the skirt, on its underside."""
    off, _, _ = lid_sides_mm(inside, shell)
    x, y, _ = inside.min_mm
    return Pose((x - off, y - off, inside.max_mm[2] + shell.sheet_mm + GASKET_MM))
