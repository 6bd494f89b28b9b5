"""Removable covers in the walls, through which equipment in the box is reached: how large, where, and whether they fit.

From the wall outwards: a rim plate welded round the opening, with tapped holes; gasket; cover; screw heads. Nothing of it
reaches beyond the uprights' screw heads (Shell.side_mm), for which the search keeps the bay clear. Pack frame.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from layout.arrangement import Arrangement, PlacedEquipment
from layout.box.carriers import CarrierBar, Post
from layout.box.fixture import PAD_MM, feet_mm, standing_at
from layout.box.opening_room import NUT_MM, opening_place, room_mm
from layout.box.posts import bar_ends, leg_area
from layout.box.shell import GASKET_MM, Shell
from layout.box.walls import LOOKS, PANELS, along, wall_of
from layout.brackets.plan import BracketPlan
from layout.frames import Extent, Vec3
from layout.job.model import Job
from layout.tables import bolt

COVER_BOLT = "M5"
RIM_MM = 10.0
"""Thickness of the rim: M5 tapped 2 d deep in it, and it fits under the heads that the walls carry anyhow."""
LAND_MM = 12.0
"""From the opening's edge to the line of screws: 8 mm of gasket beside the screw (common practice, no source)."""
PLAY_MM = 5.0
"""Opening beyond the piece on each side."""
CORNER_MM = 8.0
"""Radius of the opening's corners: a sharp one would start a crack (common practice)."""
PITCH_MM = 75.0
LEAST_SHARE = 0.6
"""An opening smaller than this share of the piece, in either direction, is no access to it (our choice)."""

Rect = tuple[float, float, float, float]
"""Along the wall from, to; up from, to."""


@dataclass(frozen=True)
class Cover:
    """A cover for one piece. opening_mm: along the wall from, to, and up from, to (pack axes). feet_mm: where screws of the
    piece itself pass the cover, empty where the piece is not carried by it; pad_mm: from the cover's inner face to its feet.
    """

    number: str
    piece: PlacedEquipment
    wall: str
    opening_mm: Rect
    feet_mm: tuple[Vec3, ...] = ()
    pad_mm: float = 0.0

    @property
    def name(self) -> str:
        """Name of the piece behind it."""
        return self.piece.kind.name

    @property
    def size_mm(self) -> tuple[float, float]:
        """Opening along the wall and up."""
        u0, u1, z0, z1 = self.opening_mm
        return u1 - u0, z1 - z0


def rim_width_mm() -> float:
    """From the opening to the outer edge of rim and cover: land, and 1.5 hole diameters beyond the screws."""
    size = bolt(COVER_BOLT)
    return float(math.ceil(LAND_MM + max(1.5 * size.hole_medium_mm, size.washer_outer_mm / 2.0 + 2.0)))


def grown(rect: Rect, by: float) -> Rect:
    """The rectangle with every side moved outward."""
    return rect[0] - by, rect[1] + by, rect[2] - by, rect[3] + by


def served_at_wall(piece: PlacedEquipment, inside: Extent) -> str:
    """Wall that a piece in the box stands at and is served through, or nothing."""
    if piece.outside or piece.face not in piece.kind.service_from:
        return ""
    return standing_at(piece, inside)


def planned_covers(
    job: Job, arrangement: Arrangement | None, shell: Shell, plans: tuple[BracketPlan, ...],
    bars: tuple[CarrierBar, ...] = (), posts: tuple[Post, ...] = (),
) -> tuple[tuple[Cover, ...], tuple[tuple[str, str], ...]]:  # fmt: skip
    """Covers, and for each piece without one the reason with its figures."""
    covers: list[Cover] = []
    lost: list[tuple[str, str]] = []
    flat = no_depth(shell)
    for piece in arrangement.equipment if arrangement else ():
        assert arrangement is not None
        wall = served_at_wall(piece, arrangement.inside)
        if not wall:
            continue
        if flat:
            lost.append((piece.kind.name, f"on the {wall} wall {flat}"))
            continue
        obstacles = _obstacles(job, arrangement, shell, plans, bars, posts, wall)
        for other in covers:
            if other.wall == wall:
                obstacles.append((f"the cover of {other.name}", grown(other.opening_mm, rim_width_mm())))
        want = _wanted(piece, wall)
        got, why = clipped(want, _field(arrangement.inside, shell, wall), obstacles, shell.sheet_mm + 2.0)
        number = f"{job.job.drawing_number}-V{len(covers) + 1}"
        share = min((got[1] - got[0]) / (want[1] - want[0]), (got[3] - got[2]) / (want[3] - want[2]))
        if share < LEAST_SHARE:
            lost.append((piece.kind.name, _too_small(wall, want, got, why)))
            continue
        covers.append(_with_feet(Cover(number, piece, wall, got), want, arrangement.inside, shell))
    return tuple(covers), tuple(lost)


def no_depth(shell: Shell) -> str:
    """Why a cover would reach beyond what the bay keeps clear of the walls, or nothing."""
    size = bolt(COVER_BOLT)
    need = RIM_MM + GASKET_MM + shell.sheet_mm + size.washer_thickness_mm + size.hex_height_mm
    have = shell.side_mm - shell.sheet_mm
    if need <= have + 1e-6:
        return ""
    return f"rim, gasket, cover and screw heads take {need:.1f} mm and the box keeps {have:.1f} mm clear outside it"


def _too_small(wall: str, want: Rect, got: Rect, why: str) -> str:
    left = f"{max(got[1] - got[0], 0.0):.0f} x {max(got[3] - got[2], 0.0):.0f} mm"
    return (
        f"a cover of {want[1] - want[0]:.0f} x {want[3] - want[2]:.0f} mm clear does not fit the {wall} wall: {left} is left "
        f"beside {why}, with a rim of {rim_width_mm():.0f} mm"
    )


def _wanted(piece: PlacedEquipment, wall: str) -> Rect:
    """The piece seen square to its wall, with play; wide enough for the spacers under its feet."""
    low, high, axis = piece.extent.min_mm, piece.extent.max_mm, along(wall)
    rect = grown((low[axis], high[axis], low[2], high[2]), PLAY_MM)
    if piece.kind.fixing is not None:
        for point in feet_mm(piece, piece.kind.fixing):
            u, z, half = point[axis], point[2], PAD_MM / 2.0 + 3.0
            rect = min(rect[0], u - half), max(rect[1], u + half), min(rect[2], z - half), max(rect[3], z + half)
    return rect


def _field(inside: Extent, shell: Shell, wall: str) -> Rect:
    """Where the rim's outer edge may lie on the wall: off corners, floor and lid flange with their welds and nuts."""
    one = wall_of(wall, inside)
    low, high = one.usable_mm(shell.side_mm)
    weld, top = shell.sheet_mm + 2.0, inside.max_mm[2] - shell.flange_below_mm - 2.0
    return low + weld, high - weld, one.bottom_mm + weld, top


def _obstacles(
    job: Job, arrangement: Arrangement, shell: Shell, plans: tuple[BracketPlan, ...], bars: tuple[CarrierBar, ...],
    posts: tuple[Post, ...], wall: str,
) -> list[tuple[str, Rect]]:  # fmt: skip
    """What a rim must keep clear of on a wall."""
    inside, axis = arrangement.inside, along(wall)
    z0, z1 = wall_of(wall, inside).bottom_mm, inside.max_mm[2]
    found: list[tuple[str, Rect]] = []
    for plan in (p for p in plans if p.wall == wall):
        half = plan.bar_width_mm / 2.0
        found += [(f"a mounting bar of {plan.number}", (u - half, u + half, z0, z1)) for u in plan.bars_u_mm]
        found.append((f"the leg of bracket {plan.number}", leg_area(plan, inside, shell, 0.0)))
    found += [(f"post {p.number}", (p.u_mm - p.width_mm / 2, p.u_mm + p.width_mm / 2, z0, z1)) for p in posts if p.wall == wall]
    found += [
        (f"the end of bar {bars[e.bar].number}", (e.u_mm - 12.0, e.u_mm + 12.0, e.z_mm - 12.0, e.z_mm + 12.0))
        for e in bar_ends(bars)
        if e.wall == wall
    ]
    for bar in (b for b in bars if b.welded and b.run != axis):
        low, high = bar.extent.min_mm, bar.extent.max_mm
        found.append((f"floor bar {bar.number}", (low[axis], high[axis], low[2], high[2])))
    for opening in (o for o in job.box.openings if o.panel == PANELS[wall]):
        u, z = opening_place(opening, inside)
        r = room_mm(opening, job.box.sheet_mm) + NUT_MM
        found.append((f"opening {opening.name!r}", (u - r, u + r, z - r, z + r)))
    for other in arrangement.equipment:
        if other.outside and other.face == LOOKS[wall]:
            low, high = other.extent.min_mm, other.extent.max_mm
            found.append((other.kind.name, (low[axis], high[axis], low[2], high[2])))
    return found


def clipped(want: Rect, field: Rect, obstacles: list[tuple[str, Rect]], weld_mm: float) -> tuple[Rect, str]:
    """The opening cut back until its rim lies in the field and clear of every obstacle, and what cut it back most.

    Of the four ways to cut it clear of an obstacle the one that leaves most of its area is taken.
    """
    rim = rim_width_mm()
    u0, u1, z0, z1 = grown(field, -rim)
    got = max(want[0], u0), min(want[1], u1), max(want[2], z0), min(want[3], z1)
    lost, why = _area(want) - _area(got), "the edges of the wall"
    for name, body in obstacles:
        a0, a1, b0, b1 = grown(body, rim + weld_mm)
        if got[0] >= a1 or got[1] <= a0 or got[2] >= b1 or got[3] <= b0:
            continue
        ways = [
            (got[0], min(got[1], a0), got[2], got[3]), (max(got[0], a1), got[1], got[2], got[3]),
            (got[0], got[1], got[2], min(got[3], b0)), (got[0], got[1], max(got[2], b1), got[3]),
        ]  # fmt: skip
        best = max(ways, key=_area)
        if _area(got) - _area(best) > lost:
            lost, why = _area(got) - _area(best), name
        got = best
    return got, why


def _area(rect: Rect) -> float:
    return max(rect[1] - rect[0], 0.0) * max(rect[3] - rect[2], 0.0)


def _with_feet(cover: Cover, want: Rect, inside: Extent, shell: Shell) -> Cover:
    """The cover with the piece's screws in it, where the piece has feet on that wall and the opening takes them all."""
    fixing = cover.piece.kind.fixing
    if fixing is None or cover.opening_mm != want:
        return cover
    size = bolt(fixing.bolt)
    limit = bolt(COVER_BOLT)
    if size.hex_height_mm + size.washer_thickness_mm > limit.hex_height_mm + limit.washer_thickness_mm:
        return cover
    feet = feet_mm(cover.piece, fixing)
    wall = wall_of(cover.wall, inside)
    pad = wall.outer_mm(shell.sheet_mm) + RIM_MM + GASKET_MM - float(np.dot(feet[0], wall.w))
    return Cover(cover.number, cover.piece, cover.wall, cover.opening_mm, feet, pad)


def covers_keep_off(covers: tuple[Cover, ...], wall: str) -> list[tuple[float, float]]:
    """Middles and widths along a wall that posts leave to covers."""
    found = []
    for cover in covers:
        if cover.wall == wall:
            u0, u1, _, _ = grown(cover.opening_mm, rim_width_mm())
            found.append(((u0 + u1) / 2.0, u1 - u0))
    return found
