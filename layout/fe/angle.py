"""An angle bracket as bricks: leg, bend and foot in one block, each gusset in a block of its own that shares their lines.

Bracket frame: x along the bend (a), y along the mount's normal (n, 0 on the vehicle's metal), z outward (w, 0 on the bar).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from layout.brackets.design import BracketDesign
from layout.fe.bricks import Block, Body, body_of_block, half_steps
from layout.fe.lines import filled, split_to
from layout.fe.tying import Seam
from layout.frames import Array, Pose, vec3
from layout.tables import bolt

ARC_CELLS = 3
PATCH = 0.8862
"""Half the side of the square as large as a circle, over its radius: sqrt(pi) / 2."""


@dataclass(frozen=True, eq=False)
class Patch:
    """The square under a washer: of which body, in which frame its middle at_mm (3,) and half its side count, and which of the
    frame's axes (0, 1, 2) stands square to the face.
    """

    body: str
    pose: Pose
    at_mm: Array
    half_mm: float
    off: int

    def covers(self, points_mm: Array) -> NDArray[np.bool_]:
        """Which points (n, 3), pack frame, lie in it."""
        own = np.abs(np.asarray(self.pose.inverse_point(points_mm)) - self.at_mm)
        plan = [axis for axis in range(3) if axis != self.off]
        return np.asarray((own[:, plan].max(axis=1) <= self.half_mm + 0.01) & (own[:, self.off] < 1e-6))


@dataclass(frozen=True, eq=False)
class BracketMesh:
    """Bodies of a bracket, the angle (the spreader) first. mounts: under the mount bolts' washers, on the face that lies on the
    vehicle; legs: under the leg bolts' washers, on the face that lies on the bars. seams: parts and paths that are to be tied,
    because their nodes do not lie in the same places; none where they do.
    """

    bodies: tuple[Body, ...]
    mounts: tuple[Patch, ...]
    legs: tuple[Patch, ...]
    seams: tuple[Seam, ...] = ()


def frame_of(bracket: BracketDesign) -> Pose:
    """The bracket's frame in the pack's."""
    plan = bracket.plan
    level = float(np.dot(plan.mounts[0].at_mm, plan.n))
    origin = level * plan.n + plan.bar_face_mm * plan.w
    return Pose(vec3(origin), (vec3(plan.a), vec3(plan.n), vec3(plan.w)))


def bracket_mesh(bracket: BracketDesign, mass_of: dict[str, float], step_mm: float) -> BracketMesh:
    """All bodies of one square bracket with even gussets. mass_of: kg by part number; step_mm: greatest size of an element."""
    pose = frame_of(bracket)
    legs = np.asarray(pose.inverse_point(bracket.leg_bolts_mm))
    mounts = np.array([pose.inverse_point(m.at_mm) for m in bracket.plan.mounts])
    washers = half_patch(bracket.hardware[-1].size), [half_patch(m.size) for m in bracket.mount_bolts]
    lines = _Lines(bracket, legs, mounts, washers[0], washers[1], step_mm)
    bodies = [_angle(bracket, pose, lines, mass_of)]
    bodies += [_gusset(bracket, pose, lines, i, mass_of) for i in range(len(bracket.gussets))]
    number = bracket.angle.number
    return BracketMesh(
        tuple(bodies),
        tuple(Patch(number, pose, np.array([m[0], 0.0, m[2]]), h, 1) for m, h in zip(mounts, washers[1], strict=True)),
        tuple(Patch(number, pose, np.array([b[0], b[1], 0.0]), washers[0], 2) for b in legs),
    )


def is_even(bracket: BracketDesign) -> bool:
    """Whether it is a square angle whose gussets all reach as far, on a foot that is a rectangle: its seams share nodes."""
    even = all(abs(reach - bracket.gusset_mm[1]) < 1e-6 for reach in bracket.gusset_reaches_mm)
    square = abs(bracket.plan.lean) < 1e-9 and abs(bracket.foot_depth_mm - bracket.foot_out_mm) < 1e-6  # no foot cut back
    return bracket.kind in ("plain L", "gusseted L") and even and square


def half_patch(size: str) -> float:
    """Half the side of the square as large as a bolt's washer."""
    return PATCH * bolt(size).washer_outer_mm / 2.0


class _Lines:
    """Lines along the bend, up the leg and out along the foot; the last two have as many cells beside a gusset."""

    def __init__(
        self, bracket: BracketDesign, legs: Array, mounts: Array, leg_half: float, mount_half: list[float], step: float
    ) -> None:
        t, r = bracket.thickness_mm, bracket.inside_radius_mm
        least = 1.5
        self.notch, half = r + 3.0, bracket.gusset_thickness_mm / 2.0
        self.height, self.reach = bracket.gusset_mm
        along = [*bracket.a_mm, *(p + s * half for p in bracket.gusset_places_mm for s in (-1.0, 1.0))]
        along += [x + s * leg_half for x in legs[:, 0] for s in (-1.0, 1.0)]
        along += [x + s * h for x, h in zip(mounts[:, 0], mount_half, strict=True) for s in (-1.0, 1.0)]
        self.a = filled(firm_lines([p + s * half for p in bracket.gusset_places_mm for s in (-1.0, 1.0)], along, least), step)
        up = [y + s * leg_half for y in legs[:, 1] for s in (-1.0, 1.0)]
        out = [z + s * h for z, h in zip(mounts[:, 2], mount_half, strict=True) for s in (-1.0, 1.0)]
        self.up = _profile_lines((t + r, t + self.notch, t + self.height, bracket.leg_top_mm), up, least, step, bracket)
        self.out = _profile_lines((t + r, t + self.notch, t + self.reach, bracket.foot_out_mm), out, least, step, bracket)
        if bracket.gussets:
            cells = max(len(self.beside_leg(t)), len(self.beside_foot(t))) - 1
            self.up = self._refined(self.up, self.beside_leg(t), cells)
            self.out = self._refined(self.out, self.beside_foot(t), cells)

    def beside_leg(self, t: float) -> Array:
        """Lines of the leg along a gusset's edge."""
        return self.up[(self.up >= t + self.notch - 1e-6) & (self.up <= t + self.height + 1e-6)]

    def beside_foot(self, t: float) -> Array:
        """Lines of the foot along a gusset's edge."""
        return self.out[(self.out >= t + self.notch - 1e-6) & (self.out <= t + self.reach + 1e-6)]

    @staticmethod
    def _refined(lines: Array, part: Array, cells: int) -> Array:
        finer = split_to(part, cells)
        rest = lines[(lines < part[0] - 1e-6) | (lines > part[-1] + 1e-6)]
        return np.sort(np.concatenate([rest, finer]))


def firm_lines(firm: list[float], wanted: list[float], least_mm: float) -> Array:
    """All firm lines, and those wanted that keep off them and off each other; the first and last of all stay."""
    ends = [min(wanted), max(wanted)]
    kept = sorted({*firm, *ends})
    for value in sorted(wanted):
        if all(abs(value - k) >= least_mm for k in kept):
            kept.append(value)
    return np.array(sorted(kept))


def _profile_lines(
    firm: tuple[float, float, float, float], wanted: list[float], least: float, step: float, bracket: BracketDesign
) -> Array:
    """Lines of leg or foot from the bend's end to the free edge."""
    start, notch, end, edge = firm
    must = [start, edge, *((notch, end) if bracket.gussets else ())]
    inside = [v for v in wanted if start < v < edge]
    return filled(firm_lines(must, [start, edge, *inside], least), step)


def _angle(bracket: BracketDesign, pose: Pose, lines: _Lines, mass_of: dict[str, float]) -> Body:
    """Leg from its free edge down, round the bend, and out along the foot; third direction: from the outer face inward."""
    t, r = bracket.thickness_mm, bracket.inside_radius_mm
    along, deep = half_steps(lines.a), np.array([0.0, t / 2.0, t])
    leg = half_steps(lines.up)[::-1]
    turn = np.linspace(0.0, np.pi / 2.0, 2 * ARC_CELLS + 1)[1:-1]
    rows = [np.column_stack([np.full(3, y), deep]) for y in leg]
    centre = t + r
    for angle in turn:
        radius = r + t - deep
        rows.append(np.column_stack([centre - radius * np.sin(angle), centre - radius * np.cos(angle)]))
    rows += [np.column_stack([deep, np.full(3, z)]) for z in half_steps(lines.out)]
    section = np.array(rows)  # (rows, 3, 2): y, z
    points = np.empty((len(along), len(section), 3, 3))
    points[..., 0] = along[:, None, None]
    points[..., 1:] = section[None]
    keep = np.ones(tuple((n - 1) // 2 for n in points.shape[:3]), dtype=bool)
    number = bracket.angle.number
    block = Block(pose.point(points), keep)
    return body_of_block(number, bracket.material, t, mass_of[number], block, "bracket")


def _gusset(bracket: BracketDesign, pose: Pose, lines: _Lines, index: int, mass_of: dict[str, float]) -> Body:
    """A gusset between its notch and its free edges: lines fan out from leg and foot to nose, slope and nose."""
    t, part = bracket.thickness_mm, bracket.gussets[index]
    leg, foot = lines.beside_leg(t) - t, lines.beside_foot(t) - t
    nose = max(v[1] for v in part.profile.outline if abs(v[0] - lines.reach) < 1e-6)
    corners = np.array([(lines.reach, 0.0), (lines.reach, nose), (nose, lines.height), (0.0, lines.height)])
    ways = [float(np.linalg.norm(b - a)) for a, b in pairwise(corners)]
    middle = max(2, round(ways[1] / 14.0))
    shares = np.concatenate([[0.0], np.linspace(0.2, 0.8, middle + 1), [1.0]])
    slope = [corners[1] + (corners[2] - corners[1]) * k / middle for k in range(middle + 1)]
    outer = np.vstack([corners[0], *slope, corners[3]])
    notch = np.array([(lines.notch, 0.0), (0.0, lines.notch)])
    inner = notch[0] + shares[:, None] * (notch[1] - notch[0])
    on_foot, on_leg = (half_steps(lines)[:, None] * np.eye(2)[k] for k, lines in enumerate((foot, leg)))
    face = transfinite(halved(inner), halved(outer), on_foot, on_leg)
    x = bracket.gusset_places_mm[index]
    half = bracket.gusset_thickness_mm / 2.0
    points = np.empty((*face.shape[:2], 3, 3))
    points[..., 0] = x + np.array([-half, 0.0, half])
    points[..., 1] = face[:, :, None, 1] + t
    points[..., 2] = face[:, :, None, 0] + t
    keep = np.ones(tuple((n - 1) // 2 for n in points.shape[:3]), dtype=bool)
    block = Block(pose.point(points), keep)
    return body_of_block(part.number, part.material, part.thickness_mm, mass_of[part.number], block, "bracket")


def halved(points: Array) -> Array:
    """Corner points along a side, with the middles between them."""
    out = np.empty((2 * len(points) - 1, 2))
    out[::2] = points
    out[1::2] = (points[1:] + points[:-1]) / 2.0
    return out


def transfinite(inner: Array, outer: Array, foot: Array, leg: Array) -> Array:
    """Points (i, j, 2) between four sides (Gordon and Hall 1973, from memory), each a row of points (n, 2): inner to outer
    along foot (i = 0) and leg.
    """
    u = np.linspace(0.0, 1.0, len(inner))[:, None, None]
    share, other = (_run(side)[None, :, None] for side in (foot, leg))
    v = (1.0 - u) * share + u * other
    sides = (1.0 - u) * foot[None] + u * leg[None]
    across = (1.0 - v) * inner[:, None, :] + v * outer[:, None, :]
    corner = (1.0 - u) * ((1.0 - v) * inner[0] + v * outer[0]) + u * ((1.0 - v) * inner[-1] + v * outer[-1])
    return np.asarray(sides + across - corner)


def _run(side: Array) -> Array:
    """Way along a straight side, 0 to 1."""
    way = np.linalg.norm(side - side[0], axis=1)
    return np.asarray(way / way[-1])
