"""The angle bracket: one bent plate, gussets welded into its corner, bolts to the bars and to the vehicle.

Bracket frame: x along the bend (a), y along the mount's normal (n, 0 on the vehicle's metal), z outward from the wall
(w, 0 on the bar's face).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from layout.box.shell import Shell
from layout.brackets.design import BracketDesign
from layout.brackets.plan import COLUMN_MM, END_MM, BracketPlan, PackMount
from layout.brackets.rows import EDGE_MM, leg_holes
from layout.design import Bend, Flange, FoldedPlate, Hardware, Hole, Plate, Profile, Weld
from layout.design.lengths import next_length_mm
from layout.errors import DesignError
from layout.frames import Extent, Pose, Vec3, vec3
from layout.job.model import Job
from layout.tables import bolt, material

LEG_BOLT = "M8"
GUSSET_CLEAR_MM = 14.0
"""From a bar's middle, away from mounts, to a gusset's near face."""
GUSSET_MM = 6.0
SOCKET_PLAY_MM = 1.5
FAR_MM = 70.0
"""A bar further than this from every mount gets gussets of its own."""
SHIFT_MM = 35.0
"""How far a gusset may stand off its usual place to let sockets pass."""
BARE_MM = 20.0
"""A column of leg bolts further than this from the middle of every gusset gets one."""
TORCH_MM = 20.0
"""Between the faces of a gusset put beside bolts and its neighbour, so that both can be welded (common practice, no source)."""
END_PLAY_MM = 4.0
TOE_MM = 12.0
K_FACTOR = 0.42
"""Neutral line of air-bent steel: 0.42 to 0.47 in the tables of Machinery's Handbook, 26th ed. (seen in a summary)."""
DEFAULT_SHEET_MM = 6.0
ENGAGEMENT_D = 1.5
"""Thread engagement in the aluminium bar, in bolt diameters: 1.5 to 2 d, common practice, from memory."""


@dataclass(frozen=True)
class _Frame:
    """The bracket's own frame and main sizes."""

    plan: BracketPlan
    thickness_mm: float
    radius_mm: float
    holes_mm: tuple[Vec3, ...]

    @cached_property
    def pose(self) -> Pose:
        """Pose of the bracket frame; x origin at 0 of the pack's coordinate along a."""
        level = float(np.dot(self.plan.mounts[0].at_mm, self.plan.n))
        origin = level * self.plan.n + self.plan.bar_face_mm * self.plan.w
        return Pose(vec3(origin), (vec3(self.plan.a), vec3(self.plan.n), vec3(self.plan.w)))

    @cached_property
    def leg(self) -> tuple[tuple[float, float], ...]:
        """Leg bolts in the bracket's x, y."""
        return tuple((float(p[0]), float(p[1])) for p in self.pose.inverse_point(self.holes_mm))

    @cached_property
    def mounts(self) -> tuple[tuple[float, float], ...]:
        """Mounts in the bracket's x, z."""
        own = self.pose.inverse_point([m.at_mm for m in self.plan.mounts])
        return tuple((float(p[0]), float(p[2])) for p in own)

    @cached_property
    def bars(self) -> tuple[float, ...]:
        """Middles of the bars in the bracket's x."""
        return tuple(sum(x for x, _ in self.leg[i : i + 4]) / 4.0 for i in range(0, len(self.leg), 4))

    @cached_property
    def gussets(self) -> tuple[float, ...]:
        """Least x of each gusset: one on each side of every mount, and of every bar away from the mounts, past all sockets."""
        taken = self._sockets()
        stations = [(x, self.socket_mm(m)) for m, (x, _) in zip(self.plan.mounts, self.mounts, strict=True)]
        at_mounts = [x for x, _ in stations]
        stations += [(x, GUSSET_CLEAR_MM) for x in self.bars if all(abs(x - m) > FAR_MM for m in at_mounts)]
        places: list[float] = []
        for station, clear in stations:
            for start, step in ((station + clear, 1.0), (station - clear - GUSSET_MM, -1.0)):
                x = start
                while abs(x - start) <= SHIFT_MM and any(x < high and x + GUSSET_MM > low for low, high in taken):
                    x += step
                if abs(x - start) <= SHIFT_MM and all(abs(x - p) >= 2.0 * GUSSET_MM for p in places):
                    places.append(x)
        for start, step in self._bare_columns(places):
            x = start
            while abs(x - start) <= SHIFT_MM and not self._room(x, taken, places):
                x += step
            if abs(x - start) <= SHIFT_MM:
                places.append(x)
        return tuple(sorted(places))

    def _bare_columns(self, places: list[float]) -> list[tuple[float, float]]:
        """Where to start and which way to step, for a gusset beside each column of leg bolts that has none within reach.

        A leg that is pulled off its bar bends as a cantilever from the gusset: without one near it, it is the weakest place.
        """
        found = []
        for x in self.bars:
            for side in (1.0, -1.0):
                column = x + side * COLUMN_MM
                if all(abs(p + GUSSET_MM / 2.0 - column) > BARE_MM for p in places):
                    found.append((x + side * (GUSSET_CLEAR_MM + GUSSET_MM / 2.0) - GUSSET_MM / 2.0, side))
        return found

    @staticmethod
    def _room(x: float, taken: list[tuple[float, float]], places: list[float]) -> bool:
        """Whether a gusset from x on lets sockets pass and leaves its neighbours' welds within reach."""
        clear = all(x >= high or x + GUSSET_MM <= low for low, high in taken)
        return clear and all(abs(x - p) >= GUSSET_MM + TORCH_MM for p in places)

    def socket_mm(self, mount: PackMount) -> float:
        """Half the width that the socket of a mount's bolt needs."""
        return bolt(mount.entry.thread).socket_outside_mm / 2.0 + SOCKET_PLAY_MM

    def _sockets(self) -> list[tuple[float, float]]:
        """Stretches along x in which a socket must pass: over the mount bolts, and to the leg bolts."""
        found = []
        for mount, (x, _) in zip(self.plan.mounts, self.mounts, strict=True):
            found.append((x - self.socket_mm(mount), x + self.socket_mm(mount)))
        half = bolt(LEG_BOLT).socket_outside_mm / 2.0 + SOCKET_PLAY_MM
        return found + [(x - half, x + half) for x, _ in self.leg]

    @cached_property
    def a_mm(self) -> tuple[float, float]:
        """Ends along the bend: beyond mounts, leg bolts and gussets."""
        xs = [x for x, _ in self.mounts] + [x for x, _ in self.leg]
        inner = END_MM - 12.0
        low = min(min(x for x, _ in self.mounts) - END_MM, min(xs) - inner, min(self.gussets, default=0.0) - END_PLAY_MM)
        top = max(self.gussets, default=0.0) + GUSSET_MM + END_PLAY_MM
        high = max(max(x for x, _ in self.mounts) + END_MM, max(xs) + inner, top)
        return low, high

    @cached_property
    def leg_top_mm(self) -> float:
        """Free edge of the leg above the vehicle's metal."""
        return max(y for _, y in self.leg) + EDGE_MM

    def foot_out_mm(self, mount: PackMount) -> float:
        """Free edge of the foot from the bar's face."""
        size = bolt(mount.entry.thread)
        return max(z for _, z in self.mounts) + max(1.8 * size.hole_medium_mm, size.washer_outer_mm / 2.0 + 2.0)


def design_bracket(job: Job, plan: BracketPlan, inside: Extent, shell: Shell, sheet_mm: float | None = None) -> BracketDesign:
    """The angle bracket of a plan. sheet_mm: plate thickness; the job's own choice goes before it.

    Raises:
        DesignError: a mount hole that would lie in the bend.
    """
    t = job.bracket.sheet_mm or sheet_mm or DEFAULT_SHEET_MM
    radius = material(job.bracket.material).min_bend_radius_mm(t)
    frame = _Frame(plan, t, radius, leg_holes(plan, inside, shell))
    _check_foot(frame)
    angle = _angle(job, frame)
    gussets = _gussets(job, frame)
    mount_bolts = tuple(_mount_bolt(job, frame, i) for i in range(len(plan.mounts)))
    legs = tuple(_leg_bolt(job, frame, i) for i in range(len(frame.leg)))
    return BracketDesign(
        number=plan.number,
        kind="gusseted L" if gussets else "plain L",
        plan=plan,
        material=job.bracket.material,
        thickness_mm=t,
        inside_radius_mm=radius,
        angle=angle,
        gussets=gussets,
        hardware=(*mount_bolts, *legs),
        welds=_welds(frame, angle, gussets),
        leg_bolts_mm=frame.holes_mm,
        mount_bolts=mount_bolts,
        a_mm=frame.a_mm,
        leg_top_mm=frame.leg_top_mm,
        foot_out_mm=frame.foot_out_mm(plan.mounts[0]),
        gusset_mm=_gusset_size(frame),
        gusset_thickness_mm=GUSSET_MM,
        gusset_places_mm=tuple(x + GUSSET_MM / 2.0 for x in frame.gussets),
    )


def _check_foot(frame: _Frame) -> None:
    """Holes keep 2 thicknesses of metal between edge and bend, in foot and leg (common rule 2 to 2.5 t, no source)."""
    lowest = min(y for _, y in frame.leg) - bolt(LEG_BOLT).hole_medium_mm / 2.0 - frame.thickness_mm - frame.radius_mm
    if lowest < 2.0 * frame.thickness_mm - 1e-6 and lowest < bolt(LEG_BOLT).washer_outer_mm / 2.0:
        raise DesignError(
            f"bracket {frame.plan.number}",
            "the leg bolts keep clear of the bend",
            f"{lowest:.1f} mm between hole and bend",
            "Choose another arrangement or thinner bracket sheet.",
        )
    for mount, (_, z) in zip(frame.plan.mounts, frame.mounts, strict=True):
        clear = z - frame.thickness_mm - frame.radius_mm - bolt(mount.entry.thread).hole_medium_mm / 2.0
        if clear < 2.0 * frame.thickness_mm - 1e-6:
            raise DesignError(
                f"bracket {frame.plan.number} at mount {mount.name!r}",
                "the mount hole keeps 2 sheet thicknesses from the bend",
                f"{clear:.1f} mm of {2.0 * frame.thickness_mm:.1f} mm",
                "Choose another arrangement, thinner bracket sheet or a larger mount envelope.",
            )


def _angle(job: Job, frame: _Frame) -> FoldedPlate:
    """Leg as root flat, foot as its flange, bent outward from the wall."""
    t, r, (low, high) = frame.thickness_mm, frame.radius_mm, frame.a_mm
    number, length = frame.plan.number, high - low
    bend = t + r
    height = frame.leg_top_mm - bend
    holes = tuple(
        Hole(f"{number}-L{i + 1}", (x - low, y - bend), bolt(LEG_BOLT).hole_medium_mm, LEG_BOLT)
        for i, (x, y) in enumerate(frame.leg)
    )
    root = Profile(_clipped(length, height), holes)
    depth = frame.foot_out_mm(frame.plan.mounts[0]) - bend
    foot_holes = tuple(
        Hole(f"{number}-H{i + 1}", (high - x, z - bend), bolt(m.entry.thread).hole_medium_mm, m.entry.thread)
        for i, (m, (x, z)) in enumerate(zip(frame.plan.mounts, frame.mounts, strict=True))
    )
    foot = Flange(Profile(_clipped(length, depth), foot_holes), 0, Bend(0, 90.0, r, K_FACTOR))
    origin = frame.pose.point((low, bend, 0.0))
    pose = Pose(vec3(origin), frame.pose.axes)
    return FoldedPlate(number, "angle bracket", job.bracket.material, t, root, (foot,), pose, group="bracket")


def _clipped(length: float, height: float, clip: float = 10.0) -> tuple[tuple[float, float, float], ...]:
    """Rectangle whose two far corners are cut off at 45 degrees; its edge 0 is the bend."""
    c = min(clip, height / 3.0)
    return (
        (0.0, 0.0, 0.0),
        (length, 0.0, 0.0),
        (length, height - c, 0.0),
        (length - c, height, 0.0),
        (c, height, 0.0),
        (0.0, height - c, 0.0),
    )


def _gusset_size(frame: _Frame) -> tuple[float, float]:
    """Height on the leg's face above the foot, and reach on the foot beyond the leg's face."""
    t = frame.thickness_mm
    return frame.leg_top_mm - t - 12.0, frame.foot_out_mm(frame.plan.mounts[0]) - t - 12.0


def _gussets(job: Job, frame: _Frame) -> tuple[Plate, ...]:
    """Gusset plates in the corner of leg and foot."""
    height, reach = _gusset_size(frame)
    notch = frame.radius_mm + 3.0
    outline = (
        (notch, 0.0, 0.0),
        (reach, 0.0, 0.0),
        (reach, TOE_MM, 0.0),
        (TOE_MM, height, 0.0),
        (0.0, height, 0.0),
        (0.0, notch, 0.0),
    )
    t, plan = frame.thickness_mm, frame.plan
    plates = []
    for i, x in enumerate(frame.gussets):  # own x = w, own y = n, own z = -a
        origin = frame.pose.point((x + GUSSET_MM, t, t))
        pose = Pose(vec3(origin), (vec3(plan.w), vec3(plan.n), vec3(-plan.a)))
        number = f"{plan.number}-G{i + 1}"
        material_name, profile = job.bracket.material, Profile(outline)
        plates.append(Plate(number, f"gusset {i + 1}", material_name, GUSSET_MM, profile, pose, group="bracket"))
    return tuple(plates)


def _mount_bolt(job: Job, frame: _Frame, index: int) -> Hardware:
    """Bolt into the vehicle's thread or through its sheet, washer under the head."""
    mount, (x, z) = frame.plan.mounts[index], frame.mounts[index]
    size, t = bolt(mount.entry.thread), frame.thickness_mm
    sheet = mount.entry.sheet.thickness_mm if mount.entry.sheet else 3.0
    grip = t + size.washer_thickness_mm
    through = mount.entry.fixing == "through hole"
    below = sheet + size.washer_thickness_mm + size.nut_height_mm + 2 * size.pitch_mm if through else 1.2 * size.diameter_mm
    grip += sheet + size.washer_thickness_mm if through else 0.0
    length = next_length_mm(size.size, t + size.washer_thickness_mm + below, f"bolt at mount {mount.name!r}")
    head = frame.pose.point((x, t + size.washer_thickness_mm, z))
    return Hardware(
        f"{frame.plan.number}-MB{index + 1}",
        "hex screw",
        size.size,
        job.bracket.bolt_class,
        length,
        grip,
        vec3(head),
        vec3(-frame.plan.n),
        washers=2 if through else 1,
        nuts=1 if through else 0,
        holes=(f"{frame.plan.number}-H{index + 1}",),
        joins=(frame.plan.number, mount.name),
        group="bracket",
    )


def _leg_bolt(job: Job, frame: _Frame, index: int) -> Hardware:
    """Bolt through the leg into the bar, washer under the head, short enough not to reach the wall."""
    x, y = frame.leg[index]
    size, t = bolt(LEG_BOLT), frame.thickness_mm
    grip = t + size.washer_thickness_mm
    length = next_length_mm(LEG_BOLT, grip + ENGAGEMENT_D * size.diameter_mm, f"leg bolt of {frame.plan.number}")
    head = frame.pose.point((x, y, grip))
    return Hardware(
        f"{frame.plan.number}-LB{index + 1}",
        "hex screw",
        LEG_BOLT,
        job.bracket.bolt_class,
        length,
        grip,
        vec3(head),
        vec3(-frame.plan.w),
        washers=1,
        holes=(f"{frame.plan.number}-L{index + 1}",),
        joins=(frame.plan.number, "mounting bar"),
        group="bracket",
    )


def _welds(frame: _Frame, angle: FoldedPlate, gussets: tuple[Plate, ...]) -> tuple[Weld, ...]:
    """Double fillets of each gusset along leg and foot."""
    height, reach = _gusset_size(frame)
    notch, t = frame.radius_mm + 3.0, frame.thickness_mm
    welds = []
    for i, gusset in enumerate(gussets):
        x = float(frame.pose.inverse_point(gusset.pose.origin_mm)[0]) - GUSSET_MM / 2.0
        for j, ends in enumerate((((x, t + notch, t), (x, t + height, t)), ((x, t, t + notch), (x, t, t + reach)))):
            path = tuple(vec3(p) for p in frame.pose.point(ends))
            number = f"{frame.plan.number}-W{2 * i + j + 1}"
            welds.append(Weld(number, "double fillet", 3.5, path, (gusset.number, angle.number)))
    return tuple(welds)
