"""Bend allowance, the frames of a folded part's flats, and its developed flat pattern.

Frames. A flat has its profile in its own xy plane and its metal from z = 0 to z = thickness. A flange hangs on the parent's
outline edge from A (vertex `edge`) to B (the next). Its own x runs from B to A, its own y away from the parent, its own z
to the parent's +z side when flat; y = 0 is the line where the bend ends and the flange begins. In the flat pattern it lies one
bend allowance outside the edge; folded, it is turned about its own x by the bend's angle, positive towards +z.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from layout.design.geometry import SAME_MM, problems, require_valid, turned
from layout.design.parts import Flange, FoldedPlate
from layout.design.profile import Hole, Loop, Profile
from layout.errors import DesignError
from layout.frames import Pose, pose_from_rotation


def bend_allowance_mm(angle_deg: float, inside_radius_mm: float, thickness_mm: float, k_factor: float) -> float:
    """Length of the neutral line in the bend: BA = angle (Ri + K t), the angle turned through in radians.

    Source: the general formula of sheet metal work, as published by several calculators and handbooks (seen).
    """
    return math.radians(abs(angle_deg)) * (inside_radius_mm + k_factor * thickness_mm)


def outside_setback_mm(angle_deg: float, inside_radius_mm: float, thickness_mm: float) -> float:
    """From the bend's tangent line to the corner of the outer faces: OSSB = (Ri + t) tan(angle / 2).

    Source: as bend_allowance_mm.
    """
    return (inside_radius_mm + thickness_mm) * math.tan(math.radians(abs(angle_deg)) / 2.0)


def bend_deduction_mm(angle_deg: float, inside_radius_mm: float, thickness_mm: float, k_factor: float) -> float:
    """What the flat is shorter than the sum of the outside lengths: BD = 2 OSSB - BA. Source: as bend_allowance_mm."""
    setback = outside_setback_mm(angle_deg, inside_radius_mm, thickness_mm)
    return 2.0 * setback - bend_allowance_mm(angle_deg, inside_radius_mm, thickness_mm, k_factor)


def din6935_k_factor(inside_radius_mm: float, thickness_mm: float) -> float:
    """K = k / 2 with k = 0.65 + 0.5 log10(Ri / t), at most 1 (reached at Ri = 5 t). Source: DIN 6935 (from memory; a public
    maker's manual page gives the same formula).

    Raises ValueError where the formula gives no positive K (Ri below about t / 20).
    """
    k = min(1.0, 0.65 + 0.5 * math.log10(inside_radius_mm / thickness_mm))
    if k <= 0.0:
        msg = f"DIN 6935 gives no neutral line for an inside radius of {inside_radius_mm:g} mm in {thickness_mm:g} mm sheet"
        raise ValueError(msg)
    return k / 2.0


def k_factor_from_allowance(allowance_mm: float, angle_deg: float, inside_radius_mm: float, thickness_mm: float) -> float:
    """The K-factor that reproduces an allowance measured by the shop: K = (BA / angle - Ri) / t."""
    return (allowance_mm / math.radians(abs(angle_deg)) - inside_radius_mm) / thickness_mm


def k_factor_from_deduction(deduction_mm: float, angle_deg: float, inside_radius_mm: float, thickness_mm: float) -> float:
    """The K-factor that reproduces a bend deduction measured by the shop."""
    allowance = 2.0 * outside_setback_mm(angle_deg, inside_radius_mm, thickness_mm) - deduction_mm
    return k_factor_from_allowance(allowance, angle_deg, inside_radius_mm, thickness_mm)


@dataclass(frozen=True, slots=True)
class BendLine:
    """The middle of one bend in the flat pattern.

    start_mm to end_mm along the flange's own x. angle_deg is how far the flange turns (positive), direction the side it
    turns to as the flat is drawn. flange: its index, from 1 (0 is the root).
    """

    start_mm: tuple[float, float]
    end_mm: tuple[float, float]
    angle_deg: float
    direction: Literal["up", "down"]
    inside_radius_mm: float
    k_factor: float
    allowance_mm: float
    flange: int

    @property
    def length_mm(self) -> float:
        """Width of the bend."""
        return math.dist(self.start_mm, self.end_mm)


@dataclass(frozen=True, slots=True)
class Flat:
    """A flat pattern: what is cut, and where it is bent. Axes: those of the root flat."""

    profile: Profile
    bend_lines: tuple[BendLine, ...]
    thickness_mm: float


@dataclass(frozen=True, slots=True)
class BendFrame:
    """Where one bend lies, in the part's own frame.

    pose: frame at the parent's edge: origin at B on the parent's z = 0, x from B to A, y away from the parent, z its +z.
    The metal of the bend fills x from 0 to length_mm and, about an axis parallel to x through z = centre_z_mm, radii from
    Ri to Ri + t over angle_rad (signed, positive towards +z).
    """

    pose: Pose
    length_mm: float
    angle_rad: float
    inside_radius_mm: float
    thickness_mm: float

    @property
    def centre_z_mm(self) -> float:
        """Height of the bend's axis above the parent's z = 0."""
        return self.thickness_mm + self.inside_radius_mm if self.angle_rad > 0.0 else -self.inside_radius_mm

    @property
    def end_pose(self) -> Pose:
        """The flange's own frame: the bend's frame turned about the bend's axis."""
        c, s, z = math.cos(self.angle_rad), math.sin(self.angle_rad), self.centre_z_mm
        return self.pose.then(pose_from_rotation((0.0, s * z, z - c * z), [[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]]))


def parent_edge(part: FoldedPlate, index: int) -> tuple[tuple[float, float], tuple[float, float]]:
    """End points A and B, in the parent's plane, of the edge that flange `index` (from 1) hangs on.

    Raises DesignError where parent or edge do not exist, the edge is bent or the flange's own outline has no matching edge.
    """
    flange = part.flanges[index - 1]
    label = f"{part.number} flange {index}"
    if not 0 <= flange.parent < index:
        raise DesignError(label, "hangs on a flange that comes later", f"parent {flange.parent}", "List parents first.")
    outline = profile_of(part, flange.parent).outline
    if not 0 <= flange.bend.edge < len(outline):
        raise DesignError(
            label, "hangs on an edge that does not exist", f"edge {flange.bend.edge} of {len(outline)}", "Name an edge."
        )
    a, b = outline[flange.bend.edge], outline[(flange.bend.edge + 1) % len(outline)]
    if a[2] != 0.0:
        raise DesignError(label, "a bend line must be straight", f"bulge {a[2]:g}", "Hang the flange on a straight edge.")
    _check_bend(label, flange, part.thickness_mm)
    return (a[0], a[1]), (b[0], b[1])


def _check_bend(label: str, flange: Flange, thickness_mm: float) -> None:
    bend = flange.bend
    if not 0.0 < abs(bend.angle_deg) < 180.0:
        raise DesignError(
            label, "the bend angle must lie between 0 and 180 deg", f"{bend.angle_deg:g} deg", "Change the angle."
        )
    if not 0.0 < bend.k_factor <= 0.5:
        raise DesignError(
            label, "the K-factor must lie above 0 and at most at 0.5", f"K = {bend.k_factor:g}", "Measure a test bend."
        )
    if not (bend.inside_radius_mm >= 0.0 and thickness_mm > 0.0):
        figure = f"Ri = {bend.inside_radius_mm:g} mm, t = {thickness_mm:g} mm"
        raise DesignError(label, "radius and thickness must be positive", figure, "State both.")


def profile_of(part: FoldedPlate, index: int) -> Profile:
    """Profile of the root (0) or of a flange (from 1)."""
    return part.root if index == 0 else part.flanges[index - 1].profile


def base_edge(part: FoldedPlate, index: int, length_mm: float) -> int:
    """Index of the flange's outline edge from (0, 0) to (length, 0). Raises DesignError where there is none."""
    outline = profile_of(part, index).outline
    for i, (x, y, bulge) in enumerate(outline):
        nx, ny, _ = outline[(i + 1) % len(outline)]
        if bulge == 0.0 and max(abs(x), abs(y), abs(nx - length_mm), abs(ny)) < SAME_MM:
            return i
    raise DesignError(
        f"{part.number} flange {index}",
        "its outline has no straight edge from (0, 0) to the end of the parent's edge",
        f"parent's edge {length_mm:.6g} mm",
        "Give the flange the length of the edge it hangs on.",
    )


def bend_frames(part: FoldedPlate) -> tuple[BendFrame, ...]:
    """One frame per flange, in the part's own frame, folded.

    Raises DesignError for a flange that cannot hang where it should.
    """
    poses, frames = [Pose()], []
    for index, flange in enumerate(part.flanges, start=1):
        a, b = parent_edge(part, index)
        length = math.dist(a, b)
        base_edge(part, index, length)
        ux, uy = (a[0] - b[0]) / length, (a[1] - b[1]) / length
        start = pose_from_rotation((b[0], b[1], 0.0), [[ux, -uy, 0.0], [uy, ux, 0.0], [0.0, 0.0, 1.0]])
        angle = math.radians(flange.bend.angle_deg)
        frame = BendFrame(poses[flange.parent].then(start), length, angle, flange.bend.inside_radius_mm, part.thickness_mm)
        frames.append(frame)
        poses.append(frame.end_pose)
    return tuple(frames)


def flat_poses(part: FoldedPlate) -> tuple[Pose, ...]:
    """Frames of root and flanges in the part's own frame, folded."""
    return (Pose(), *(f.end_pose for f in bend_frames(part)))


@dataclass(frozen=True, slots=True)
class _Place:
    """Where a flat's own plane lies in the flat pattern: its x axis along a unit vector, then moved."""

    along: tuple[float, float] = (1.0, 0.0)
    shift_mm: tuple[float, float] = (0.0, 0.0)

    def point(self, x: float, y: float) -> tuple[float, float]:
        x, y, _ = turned(((x, y, 0.0),), self.along, self.shift_mm)[0]
        return (x, y)


def _place(part: FoldedPlate, index: int, places: list[_Place]) -> tuple[_Place, BendLine]:
    """Place of a flange in the flat pattern, and its bend line."""
    flange = part.flanges[index - 1]
    bend = flange.bend
    ends = parent_edge(part, index)
    outer = places[flange.parent]
    a, b = (outer.point(*p) for p in ends)
    allowance = bend_allowance_mm(bend.angle_deg, bend.inside_radius_mm, part.thickness_mm, bend.k_factor)
    length = math.dist(a, b)
    ux, uy = (a[0] - b[0]) / length, (a[1] - b[1]) / length
    half = (-uy * allowance / 2.0, ux * allowance / 2.0)  # away from the parent
    place = _Place((ux, uy), (b[0] + 2.0 * half[0], b[1] + 2.0 * half[1]))
    start, end = (b[0] + half[0], b[1] + half[1]), (a[0] + half[0], a[1] + half[1])
    side: Literal["up", "down"] = "up" if bend.angle_deg > 0.0 else "down"
    line = BendLine(start, end, abs(bend.angle_deg), side, bend.inside_radius_mm, bend.k_factor, allowance, index)
    return place, line


def _spliced(part: FoldedPlate, index: int, places: list[_Place]) -> Loop:
    """Outline of one flat, in the flat pattern, with all that hangs on it spliced into its edges.

    A flange's outline starts at the end of its base edge and ends at the start of it, so that it fits between A and B.
    """
    outline = profile_of(part, index).outline
    placed = turned(outline, places[index].along, places[index].shift_mm)
    hung = {f.bend.edge: i for i, f in enumerate(part.flanges, start=1) if f.parent == index}
    base = -1 if index == 0 else base_edge(part, index, math.dist(*parent_edge(part, index)))
    if base in hung:
        raise DesignError(
            f"{part.number} flange {hung[base]}", "hangs on the bend of its parent", f"edge {base}", "Name another edge."
        )
    out: list[tuple[float, float, float]] = []
    for step in range(len(outline)):
        edge = (base + 1 + step) % len(outline)
        out.append(placed[edge])
        if edge in hung:
            out.extend(_spliced(part, hung[edge], places))
    return tuple(out)


def without_collinear(loop: Loop) -> Loop:
    """The loop without vertices that lie on a straight line between two straight edges running the same way."""
    kept: list[tuple[float, float, float]] = []
    n = len(loop)
    for i, (x, y, bulge) in enumerate(loop):
        px, py, before = loop[i - 1]
        nx, ny, _ = loop[(i + 1) % n]
        if bulge == 0.0 and before == 0.0:
            ax, ay, bx, by = x - px, y - py, nx - x, ny - y
            size = math.hypot(ax, ay) * math.hypot(bx, by)
            if abs(ax * by - ay * bx) <= 1e-10 * size and ax * bx + ay * by > 0.0:
                continue
        kept.append((x, y, bulge))
    return tuple(kept)


def _moved_hole(hole: Hole, place: _Place) -> Hole:
    angle = (
        hole.slot_angle_deg + math.degrees(math.atan2(place.along[1], place.along[0]))
        if hole.slot_mm > 0.0
        else hole.slot_angle_deg
    )
    return replace(hole, centre_mm=place.point(*hole.centre_mm), slot_angle_deg=angle)


def _require_clear_of_bends(part: FoldedPlate, index: int) -> None:
    """Raise DesignError where an opening of one flat reaches beyond it: into a bend, or beyond the edge."""
    found = problems(profile_of(part, index))
    if found:
        remedy = "Move the opening away from the bend, or resize what is named."
        raise DesignError(f"{part.number} flat {index}", "an opening reaches into a bend or an edge", "; ".join(found), remedy)


def develop(part: FoldedPlate) -> Flat:
    """The flat pattern: outlines spliced vertex by vertex, so that arcs stay arcs; holes and cut-outs moved along.

    Raises DesignError where two flanges share an edge, a flange cannot hang where it should, an opening reaches into a bend,
    or the pattern overlaps itself.
    """
    taken = [(f.parent, f.bend.edge) for f in part.flanges]
    if len(set(taken)) < len(taken):
        raise DesignError(part.number, "two flanges hang on one edge", f"{len(taken)} flanges", "Split the edge.")
    places, lines = [_Place()], []
    for index in range(1, len(part.flanges) + 1):
        place, line = _place(part, index, places)
        places.append(place)
        lines.append(line)
    holes, cutouts = [], []
    for index, place in enumerate(places):
        own = profile_of(part, index)
        holes += [_moved_hole(h, place) for h in own.holes]
        cutouts += [turned(c, place.along, place.shift_mm) for c in own.cutouts]
    profile = Profile(without_collinear(_spliced(part, 0, places)), tuple(holes), tuple(cutouts))
    require_valid(profile, part.number)
    for index in range(len(places)):
        _require_clear_of_bends(part, index)
    return Flat(profile, tuple(lines), part.thickness_mm)
