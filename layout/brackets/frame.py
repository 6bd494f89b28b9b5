"""The main sizes of an angle bracket: where its bolts, gussets and ends lie, in the frames of its leg and its foot.

Leg frame: x along the bend (a), y up the leg, z outward from the wall. Foot frame: x along the bend, y along the mounts' normal
(0 on the vehicle's metal), z out along the foot. Both start where the bars' face and the vehicle's metal would meet.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from layout.brackets.design import Sizes, Slot
from layout.brackets.planned import SOCKET_PLAY_MM, BracketPlan, PackMount
from layout.design.flat import outside_setback_mm
from layout.frames import DIRECTIONS, Vec3
from layout.job.model import Job
from layout.tables import bolt

END_MM = 40.0
"""Least way from a mount to the bracket's end along the bend: socket, gusset, weld and edge."""
GUSSET_CLEAR_MM = 14.0
"""From a bar's middle, away from mounts, to a gusset's near face."""
FAR_MM = 70.0
"""A bar further than this from every mount gets gussets of its own."""
SHIFT_MM = 35.0
"""How far a gusset may stand off its usual place to let sockets pass."""
BARE_MM = 20.0
"""A column of leg bolts further than this from the middle of every gusset gets one."""
TORCH_MM = 20.0
"""Between the faces of a gusset put beside bolts and its neighbour, so that both can be welded (common practice, no source)."""
END_PLAY_MM = 4.0
OUT_OF_PLANE = 0.5
"""Cosine between a slot's axis and the mount's normal above which there is no slot: it would run along the bolt."""


@dataclass(frozen=True)
class AngleFrame:
    """Main sizes. holes_mm: leg bolts on the bars' face, pack frame; slots: of each mount; cheek_mm: from a mount to the outer
    face of a saddle's legs, along and across the bend (0 without); free_mm: between which x the bay lets the bend run.
    """

    plan: BracketPlan
    sizes: Sizes
    radius_mm: float
    holes_mm: tuple[Vec3, ...]
    slots: tuple[Slot | None, ...]
    cheek_mm: tuple[float, float] = (0.0, 0.0)
    free_mm: tuple[float, float] = (-math.inf, math.inf)

    @property
    def thickness_mm(self) -> float:
        """Of leg and foot."""
        return self.sizes.sheet_mm

    @cached_property
    def setback_mm(self) -> float:
        """From the corner of the outer faces to where bend and flats meet."""
        if self.plan.lean == 0.0:
            return self.thickness_mm + self.radius_mm
        return outside_setback_mm(self.plan.bend_deg, self.radius_mm, self.thickness_mm)

    @cached_property
    def inner_mm(self) -> float:
        """From the corner of the outer faces to that of the inner ones, along leg and foot alike: t tan(bend/2)."""
        return self.thickness_mm * (1.0 if self.plan.lean == 0.0 else math.tan(math.radians(self.plan.bend_deg) / 2.0))

    @cached_property
    def leg(self) -> tuple[tuple[float, float], ...]:
        """Leg bolts in the leg's x, y."""
        return tuple((float(p[0]), float(p[1])) for p in self.plan.leg_pose.inverse_point(self.holes_mm))

    @cached_property
    def mounts(self) -> tuple[tuple[float, float], ...]:
        """Mounts in the foot's x, z."""
        own = self.plan.foot_pose.inverse_point([m.at_mm for m in self.plan.mounts])
        return tuple((float(p[0]), float(p[2])) for p in own)

    @cached_property
    def bars(self) -> tuple[float, ...]:
        """Middles of each bar's leg bolts along the bend."""
        many = self.plan.bolts_on_bar
        return tuple(sum(x for x, _ in self.leg[i : i + many]) / many for i in range(0, len(self.leg), many))

    @cached_property
    def gussets(self) -> tuple[float, ...]:
        """Least x of each gusset: one on each side of every mount, and of every bar away from the mounts, past all sockets."""
        if self.plan.kind == "plain L" or self.sizes.gusset_mm <= 0.0:
            return ()
        wide, taken = self.sizes.gusset_mm, self._sockets()
        stations = [(x, self.socket_mm(i)) for i, (x, _) in enumerate(self.mounts)]
        at_mounts = [x for x, _ in stations]
        stations += [(x, GUSSET_CLEAR_MM) for x in self.bars if all(abs(x - m) > FAR_MM for m in at_mounts)]
        places: list[float] = []
        for station, clear in stations:
            for start, step in ((station + clear, 1.0), (station - clear - wide, -1.0)):
                x = start
                while abs(x - start) <= SHIFT_MM and any(x < high and x + wide > low for low, high in taken):
                    x += step
                if abs(x - start) <= SHIFT_MM and all(abs(x - p) >= 2.0 * wide for p in places):
                    places.append(x)
        for start, step in self._bare_columns(places):
            x = start
            while abs(x - start) <= SHIFT_MM and not self._room(x, taken, places):
                x += step
            if abs(x - start) <= SHIFT_MM:
                places.append(x)
        kept = (x for x in places if all(x >= high or x + wide <= low for low, high in self.plan.without))
        return tuple(sorted(kept))

    def _bare_columns(self, places: list[float]) -> list[tuple[float, float]]:
        """Where to start and which way to step, for a gusset beside each column of leg bolts that has none within reach.

        A leg that is pulled off its bar bends as a cantilever from the gusset: without one near it, it is the weakest place.
        """
        half, found = self.sizes.gusset_mm / 2.0, []
        for x in self.bars:
            for side in (1.0, -1.0):
                column = x + side * self.plan.pattern.column_mm
                if all(abs(p + half - column) > BARE_MM for p in places):
                    found.append((x + side * (GUSSET_CLEAR_MM + half) - half, side))
        return found

    def _room(self, x: float, taken: list[tuple[float, float]], places: list[float]) -> bool:
        """Whether a gusset from x on lets sockets pass and leaves its neighbours' welds within reach."""
        wide = self.sizes.gusset_mm
        clear = all(x >= high or x + wide <= low for low, high in taken)
        return clear and all(abs(x - p) >= wide + TORCH_MM for p in places)

    def socket_mm(self, index: int) -> float:
        """Half the width along the bend that the socket of a mount's bolt needs, anywhere in its slot."""
        slot = self.slots[index]
        own = bolt(self.plan.mounts[index].entry.thread).socket_outside_mm / 2.0 + SOCKET_PLAY_MM
        return own + (slot.along_a_mm / 2.0 if slot else 0.0)

    def _sockets(self) -> list[tuple[float, float]]:
        """Stretches along x in which a socket must pass: over the mount bolts, and to the leg bolts."""
        found = [(x - self.socket_mm(i), x + self.socket_mm(i)) for i, (x, _) in enumerate(self.mounts)]
        half = bolt(self.plan.leg_bolt).socket_outside_mm / 2.0 + SOCKET_PLAY_MM
        return found + [(x - half, x + half) for x, _ in self.leg]

    def end_mm(self, index: int) -> float:
        """Least way along the bend from a mount to the bracket's end."""
        slot = self.slots[index]
        return max(END_MM + (slot.along_a_mm / 2.0 if slot else 0.0), self.cheek_mm[0])

    @cached_property
    def a_mm(self) -> tuple[float, float]:
        """Ends along the bend: beyond mounts, leg bolts and gussets."""
        xs = [x for x, _ in self.mounts] + [x for x, _ in self.leg]
        inner = END_MM - 12.0 + self.plan.pattern.edge_mm - 16.0
        ends = [(x - self.end_mm(i), x + self.end_mm(i)) for i, (x, _) in enumerate(self.mounts)]
        first = min(self.gussets, default=math.inf) - END_PLAY_MM
        last = max(self.gussets, default=-math.inf) + self.sizes.gusset_mm + END_PLAY_MM
        low = min(min(a for a, _ in ends), min(xs) - inner, first)
        high = max(max(b for _, b in ends), max(xs) + inner, last)
        # where the bay is narrower: down to what sockets, gussets and edges need
        rim, sockets = self.plan.pattern.edge_mm, self._sockets()
        least = min(min(a for a, _ in sockets), min(x for x, _ in self.leg) - rim, first)
        most = max(max(b for _, b in sockets), max(x for x, _ in self.leg) + rim, last)
        return max(low, min(self.free_mm[0], least)), min(high, max(self.free_mm[1], most))

    @cached_property
    def leg_top_mm(self) -> float:
        """Free edge of the leg above the corner of the outer faces."""
        return max(y for _, y in self.leg) + self.plan.pattern.edge_mm

    def edge_mm(self, index: int) -> float:
        """From a mount to the foot's free edge: 1.8 hole diameters, washer and 2 mm, half its slot, a saddle's outer leg."""
        size, slot = bolt(self.plan.mounts[index].entry.thread), self.slots[index]
        own = max(1.8 * size.hole_medium_mm, size.washer_outer_mm / 2.0 + 2.0) + (slot.along_out_mm / 2.0 if slot else 0.0)
        return max(own, self.cheek_mm[1])

    @cached_property
    def foot_out_mm(self) -> float:
        """Free edge of the foot from the corner of the outer faces, where it is deepest."""
        return max(z + self.edge_mm(i) for i, (_, z) in enumerate(self.mounts))


def slot_of(job: Job, plan: BracketPlan, mount: PackMount) -> Slot | None:
    """The slot at a mount, where the job asks for one and the mount's plane holds that direction."""
    wanted = job.bracket.slots if mount.entry.slots == "as brackets" else mount.entry.slots
    if wanted == "none":
        return None
    axis = plan.frame.inverse_vector(DIRECTIONS[f"+{wanted}"])
    across, along = float(np.dot(axis, plan.a)), float(np.dot(axis, plan.out))
    size = math.hypot(across, along)
    if abs(float(np.dot(axis, plan.n))) > OUT_OF_PLANE:
        return None
    return Slot(job.bracket.slot_length_mm, (across / size, along / size))
