"""How a module without fixing holes is clamped, and the room that this takes around it.

Axes of a clamp: those of the module as it stands, z up, x along its own x (own y where that is upright), origin in its
middle.

A flat frame lies round the module's foot on the bars that carry it and stops it on all four sides. Bars lie over its top on
soft strips. Threaded rods beside the module pass from the bars over it through the frame and the bars under it. Rods stand
at two opposite sides without terminals; the bars, over it and under it, run from one of these sides to the other.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from layout.frames import DIRECTIONS, Axes, Extent, Pose, Vec3, vec3
from layout.job.crash import Crash
from layout.job.model import Job
from layout.job.module import ModuleType
from layout.tables import bolt, material

PLAY_MM = 0.5
"""Between the frame and each side of the module: laser cut and a module's own tolerance (common practice, no source)."""
ROD_CLASS = "8.8"
INSET_SHARE = 0.28
"""Rows of rods from the middle, over the side they stand along: support moments and span moments of the frame are alike."""
FRAME_MM = {"M6": 6.0, "M8": 8.0}
"""Plate of the frame: not thicker than the rods' holes and the metal beside them are wide, so that a laser cuts it."""
BARS_MM = (10.0, 12.0, 15.0, 20.0)
BAR_WIDTHS_MM = {"M6": 25.0, "M8": 30.0}
"""Stock of flat bar and plate: common practice, no source."""
WEBS_MM = (20.0, 25.0, 30.0, 35.0, 40.0, 50.0)
LEAST_WEB_MM = {"M6": 20.0, "M8": 25.0}
"""Width of the frame's webs with rods in them: 1.4 hole diameters and more from a rod's middle to either edge."""
LEAST_APART_MM = 6.0
"""Between the two bars over a module."""


@dataclass(frozen=True)
class Clamping:
    """Sizes of what clamps one kind of module.

    size_mm: of the module as it stands; centroid_mm: its centre of mass from its middle; axes: those of the clamp in the
    module's own; along: axis (0 or 1) of the bars; web_mm: width of the frame's two webs that hold the rods, at
    the ends of the bars; side_web_mm: of the two others.
    """

    size_mm: Vec3
    centroid_mm: Vec3
    axes: Axes
    along: int
    rod: str
    web_mm: float
    side_web_mm: float
    frame_mm: float
    frame_material: str
    bar_mm: float
    bar_width_mm: float
    bar_material: str
    pad_mm: float

    def stood(self, module: Pose) -> Pose:
        """The clamp's axes in the frame that a module's pose leads to."""
        return module.then(Pose((0.0, 0.0, 0.0), self.axes))

    @property
    def other(self) -> int:
        """Axis level and square to the bars."""
        return 1 - self.along

    @property
    def row_mm(self) -> float:
        """From the module's middle to the rows of rods, along the bars."""
        return self.size_mm[self.along] / 2.0 + PLAY_MM + self.web_mm / 2.0

    @property
    def inset_mm(self) -> float:
        """From the module's middle to the bars, square to them."""
        return INSET_SHARE * self.size_mm[self.other]

    @cached_property
    def points_mm(self) -> tuple[tuple[float, float], ...]:
        """The four rods in the plane of the base."""
        found = []
        for b in (-self.inset_mm, self.inset_mm):
            for s in (-self.row_mm, self.row_mm):
                found.append((s, b) if self.along == 0 else (b, s))
        return tuple(found)

    @property
    def over_mm(self) -> float:
        """From the module's top to the tips of the rods: pad, bar, washer, nut and two threads."""
        return self.pad_mm + self.bar_mm + stack_mm(self.rod)

    @property
    def margins_mm(self) -> tuple[Vec3, Vec3]:
        """Room beyond the module's body at the lower and the higher end of each axis, bars under it not counted."""
        edge = [PLAY_MM + self.side_web_mm, PLAY_MM + self.side_web_mm]
        edge[self.along] = PLAY_MM + self.web_mm
        return (edge[0], edge[1], 0.0), (edge[0], edge[1], self.over_mm)

    @property
    def whole(self) -> Extent:
        """The module with frame, bars over it and rods above the frame's underside."""
        x, y, z = (v / 2.0 for v in self.size_mm)
        low, high = self.margins_mm
        return Extent((-x - low[0], -y - low[1], -z), (x + high[0], y + high[1], z + high[2]))

    @property
    def foot(self) -> Extent:
        """The frame around the module's foot."""
        low, high = self.whole.min_mm, self.whole.max_mm
        return Extent(low, (high[0], high[1], low[2] + self.frame_mm))

    @property
    def bars(self) -> tuple[Extent, Extent]:
        """The bars over the module."""
        found = []
        for b in (-self.inset_mm, self.inset_mm):
            low, high = [0.0, 0.0, self.size_mm[2] / 2.0 + self.pad_mm], [0.0, 0.0, self.size_mm[2] / 2.0 + self.pad_mm]
            high[2] += self.bar_mm
            half = self.row_mm + self.web_mm / 2.0
            low[self.along], high[self.along] = -half, half
            low[self.other], high[self.other] = b - self.bar_width_mm / 2.0, b + self.bar_width_mm / 2.0
            found.append(Extent((low[0], low[1], low[2]), (high[0], high[1], high[2])))
        return found[0], found[1]


    @property
    def bodies(self) -> tuple[Extent, ...]:
        """Metal around the module: the frame's four webs, the bars over it, the rods."""
        low, high = self.foot.min_mm, self.foot.max_mm
        x, y, z = (v / 2.0 for v in self.size_mm)
        webs = (
            Extent(low, (-x, high[1], high[2])), Extent((x, low[1], low[2]), high),
            Extent(low, (high[0], -y, high[2])), Extent((low[0], y, low[2]), high),
        )  # fmt: skip
        r, top = bolt(self.rod).diameter_mm / 2.0, self.whole.max_mm[2]
        rods = tuple(Extent((a - r, b - r, -z), (a + r, b + r, top)) for a, b in self.points_mm)
        return (*webs, *self.bars, *rods)


def stack_mm(size: str) -> float:
    """Washer, nut and two threads beyond it."""
    row = bolt(size)
    return row.washer_thickness_mm + row.nut_height_mm + 2.0 * row.pitch_mm


def standing(up: str) -> Axes:
    """Axes of a clamp in the own axes of a module whose face `up` looks up."""
    z = np.array(DIRECTIONS[up])
    x = np.array((0.0, 1.0, 0.0) if up[1] == "x" else (1.0, 0.0, 0.0))
    return vec3(x), vec3(np.cross(z, x)), vec3(z)


def why_not_clamped(kind: ModuleType, up: str = "") -> str:
    """Why a kind of module that asks for it cannot be clamped with a face up, in words; "" where it can.

    Without a face: "" where it can with any that it may stand on.
    """
    if kind.clamp is None:
        return "its type names no clamp"
    if not up:
        reasons = [why_not_clamped(kind, one) for one in kind.up]
        return "" if "" in reasons else reasons[0]
    if kind.terminal_face[1] == up[1]:
        return f"with its face {up} up its terminals lie where its bars press or where it stands"
    size, looks = _stood(kind, up)
    apart, need = 2.0 * INSET_SHARE * size[looks], BAR_WIDTHS_MM[kind.clamp.rod] + LEAST_APART_MM
    if apart < need:
        return f"two bars over it would lie {apart:.0f} mm apart and need {need:.0f} mm"
    return ""


def _stood(kind: ModuleType, up: str) -> tuple[Vec3, int]:
    """Size of a module as it stands, and the clamp's axis that its terminals look along."""
    axes = np.array(standing(up))
    looks = int(np.abs(axes @ np.array(DIRECTIONS[kind.terminal_face])).argmax())
    return vec3(np.abs(axes) @ np.array(kind.size_mm)), looks


def clamping_of(job: Job, kind: ModuleType, up: str) -> Clamping | None:
    """How a kind of module is clamped with a face up; None where it is not, or cannot be."""
    if kind.clamp is None or why_not_clamped(kind, up):
        return None
    metal = material(job.box.material)
    bars = "6082-T6" if metal.family == "aluminium" else "S235" if metal.group == "carbon steel" else metal.name
    size, other = _stood(kind, up)
    along, centroid = 1 - other, vec3(np.array(standing(up)) @ np.array(kind.centroid_offset_mm))
    pull_n = kind.mass_kg * 9.80665 * greatest_g(job.crash) / job.crash.target_utilisation
    rod, frame = kind.clamp.rod, FRAME_MM[kind.clamp.rod]
    hole, span, side = bolt(rod).hole_medium_mm, size[along] + 2.0 * PLAY_MM, size[other]
    need = pull_n * metal.gamma_m0 / metal.strength(frame).proof_mpa / frame
    over = side * (0.5 - INSET_SHARE)
    rows = [w for w in WEBS_MM if w >= LEAST_WEB_MM[rod]]
    web = _first(rows, lambda w: (w**3 - hole**3) / (6.0 * w) >= need * over**2 / (2.0 * side))
    side_web = _first(WEBS_MM, lambda w: w**2 / 6.0 >= need * (span + web) / 8.0)
    lever = min(2.0 * INSET_SHARE * side, 2.0 * size[along])
    moment = pull_n * max(0.5, (size[2] / 2.0 + abs(centroid[2])) / lever) * (span + web) / 4.0
    width, flat = BAR_WIDTHS_MM[rod], material(bars)
    bar = _first(BARS_MM, lambda t: moment * 6.0 / (width * t**2) <= flat.strength(t).proof_mpa / flat.gamma_m0)
    return Clamping(
        size, centroid, standing(up), along, rod, web, side_web, frame, job.box.material, bar, width, bars, kind.clamp.pad_mm
    )  # fmt: skip


def _first(listed: Sequence[float], holds: Callable[[float], bool]) -> float:
    """The least of rising sizes that holds, else the greatest (then a check says so)."""
    return next((v for v in listed if holds(v)), listed[-1])


def greatest_g(crash: Crash) -> float:
    """Greatest length of a specific force that the job's factors and road loads make, g; 20 at least with a rule set.

    For first sizes alone: what holds is decided by the checks of every case.
    """
    road = crash.road if crash.road_loads else None
    found = [road.bump, road.rebound, road.braking, road.cornering] if road else [0.0]
    if crash.factors is not None:
        f = crash.factors
        found += [f.forward, f.rearward, f.left, f.right, f.up, f.down]
    if crash.rule_set is not None:
        found.append(20.0)
    return math.hypot(max(found), 1.0)
