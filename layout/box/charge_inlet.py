"""The angled flange of a charge inlet: a part of its own, cut and bent from one sheet. Where it is mounted stays open.

Own frame of the part: the face is the root, x level, y up from the bend, its front on the side of +z; the foot turns to -z.
"""

from __future__ import annotations

import math

from layout.design import Bend, Flange, FoldedPlate, Hole, Loop, Profile
from layout.design.flat import din6935_k_factor, outside_setback_mm
from layout.design.sheet_rules import Finding, check_sheet
from layout.errors import DesignError
from layout.frames import Pose
from layout.job.fixtures import ChargeInlet
from layout.job.model import Job
from layout.tables import bend_radius_mm, bolt
from layout.tables.fasteners import BoltSize

EDGE_MM = 12.0
"""Sheet left between the opening and the edge (common practice, no source)."""
CORNER_MM = 8.0
QUARTER = math.tan(math.pi / 8.0)
MOST_MM = 80.0
"""How far the pattern is moved off the bend before it is given up."""


def loose_parts(job: Job) -> tuple[FoldedPlate, ...]:
    """Parts that the job asks for and that are no part of the pack: the flange of the charge inlet.

    Raises:
        DesignError: it cannot be cut or bent; names the rule, the figure and what to change in the job file.
    """
    return () if job.charge_inlet is None else (inlet_flange(job.job.drawing_number, job.charge_inlet),)


def inlet_flange(prefix: str, inlet: ChargeInlet) -> FoldedPlate:
    """Face and foot. The face stands no further off the bend than the rules of the press ask.

    Raises:
        DesignError: as loose_parts.
    """
    number = f"{prefix}-K1"
    radius = bend_radius_mm(inlet.material, inlet.sheet_mm)
    depth = inlet.foot_mm - outside_setback_mm(inlet.angle_deg, radius, inlet.sheet_mm)
    if depth <= _edge_mm(bolt(inlet.foot_bolt)) + bolt(inlet.foot_bolt).hole_medium_mm / 2.0:
        figure = f"{depth:.1f} mm of foot beyond the bend of {radius:g} mm inside radius"
        raise DesignError(number, "a foot with room for its holes", figure, "Make it deeper (job file: charge_inlet.foot).")
    start = 1.0 + max(inlet.opening_mm / 2.0, (inlet.pitch_circle_mm + bolt(inlet.bolt).hole_medium_mm) / 2.0)
    rise = 0.0
    broken: tuple[Finding, ...] = ()
    while rise <= MOST_MM:
        part = _part(number, inlet, radius, depth, start + rise)
        broken = tuple(f for f in check_sheet(part) if not f.ok)
        if not broken:
            return part
        if not any(_of_face(f) for f in broken):
            break
        rise += 1.0
    worst = next((f for f in broken if not _of_face(f)), broken[0])
    figure = f"{worst.at}: {worst.figure:.1f} mm, {worst.sense} {worst.limit:.1f} mm"
    raise DesignError(number, f"flange of the charge inlet: {worst.rule}", figure, f"{worst.remedy} Job file: [charge_inlet].")


def _of_face(finding: Finding) -> bool:
    """Whether moving the pattern off the bend mends it."""
    return finding.rule in ("hole to bend", "cut-out to bend") and "-F" not in finding.at


def _edge_mm(size: BoltSize) -> float:
    """Least edge distance of a screw: 1.5 hole diameters, or half a washer and 2 mm."""
    return max(1.5 * size.hole_medium_mm, size.washer_outer_mm / 2.0 + 2.0)


def _part(number: str, inlet: ChargeInlet, radius: float, depth: float, middle: float) -> FoldedPlate:
    size, foot = bolt(inlet.bolt), bolt(inlet.foot_bolt)
    reach = max(inlet.pitch_circle_mm / 2.0 + _edge_mm(size), inlet.opening_mm / 2.0 + EDGE_MM)
    width = 2.0 * math.ceil(reach)
    holes = [Hole(f"{number}-O1", (width / 2.0, middle), inlet.opening_mm, "charge inlet")]
    for k in range(inlet.holes):
        turn = math.radians(inlet.first_hole_deg + 360.0 * k / inlet.holes)
        at = (
            width / 2.0 + inlet.pitch_circle_mm / 2.0 * math.cos(turn),
            middle + inlet.pitch_circle_mm / 2.0 * math.sin(turn),
        )
        holes.append(Hole(f"{number}-H{k + 1}", at, size.hole_medium_mm, size.size))
    root = Profile(_tongue(width, middle + width / 2.0), tuple(holes))
    edge = _edge_mm(foot)
    step = (width - 2.0 * edge) / (inlet.foot_holes - 1)
    feet = tuple(
        Hole(f"{number}-F{k + 1}", (edge + k * step, depth - edge), foot.hole_medium_mm, foot.size)
        for k in range(inlet.foot_holes)
    )
    k_factor = din6935_k_factor(radius, inlet.sheet_mm)
    flange = Flange(Profile(_tongue(width, depth), feet), 0, Bend(0, -inlet.angle_deg, radius, k_factor))
    return FoldedPlate(number, "charge inlet flange", inlet.material, inlet.sheet_mm, root, (flange,), Pose(), "bracket")


def _tongue(width: float, height: float) -> Loop:
    """Rectangle whose two far corners are rounded; its edge 0 is the bend."""
    r = min(CORNER_MM, height / 3.0, width / 3.0)
    return (
        (0.0, 0.0, 0.0), (width, 0.0, 0.0), (width, height - r, QUARTER), (width - r, height, 0.0),
        (r, height, QUARTER), (0.0, height - r, 0.0),
    )  # fmt: skip
