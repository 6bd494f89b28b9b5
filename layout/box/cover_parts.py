"""Rim, gasket, cover and screws of a removable cover, and spacers of the piece that it carries. Pack frame."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layout.box.cover import CORNER_MM, COVER_BOLT, LAND_MM, PITCH_MM, RIM_MM, Cover, Rect, grown, rim_width_mm
from layout.box.fixture import PAD_MM
from layout.box.fixture_parts import BOLT_CLASS, TAP_DRILL_MM
from layout.box.lid import bolt_line
from layout.box.shell import GASKET_MM, Shell
from layout.box.walls import LOOKS, along, wall_of
from layout.design import Hardware, Hole, Loop, Plate, Profile, Weld, rectangle
from layout.design.lengths import next_length_mm
from layout.frames import DIRECTIONS, Array, Extent, Pose, Vec3, vec3
from layout.tables import bolt, bolt_lengths_mm

GASKET_LAND_MM = LAND_MM - 4.0
"""Width of the gasket: from the opening to 1.5 mm short of the screws."""


@dataclass(frozen=True)
class CoverParts:
    """What covers add to the box. openings: by wall, rectangles cut from it (pack axes); cut: extents left free by the liner;
    screws_mm: places of the cover's own screws on its outer face, by cover.
    """

    plates: tuple[Plate, ...] = ()
    hardware: tuple[Hardware, ...] = ()
    welds: tuple[Weld, ...] = ()
    openings: tuple[tuple[str, Rect], ...] = ()
    cut: tuple[Extent, ...] = ()


def cover_parts(material: str, covers: tuple[Cover, ...], panels: dict[str, str], inside: Extent, shell: Shell) -> CoverParts:
    """Parts of every cover. panels: part numbers of the walls by name."""
    plates: list[Plate] = []
    hardware: list[Hardware] = []
    welds: list[Weld] = []
    for cover in covers:
        frame = _Frame(cover, inside, shell)
        own = [frame.plan((u, z)) for u, z in cover_screw_places(cover)]
        plates += [_rim(material, frame, own), _gasket(frame), _cover(material, frame, own), *_spacers(material, frame)]
        hardware += [*_screws(frame), *_piece_screws(frame)]
        welds.append(_weld(frame, panels[cover.wall]))
    return CoverParts(
        tuple(plates), tuple(hardware), tuple(welds), tuple((c.wall, c.opening_mm) for c in covers),
        tuple(_liner_cut(c, inside, shell) for c in covers),
    )  # fmt: skip


def cover_screw_places(cover: Cover) -> tuple[tuple[float, float], ...]:
    """Along the wall and up, of the cover's screws: one on each corner, evenly between."""
    u0, u1, z0, z1 = grown(cover.opening_mm, LAND_MM)
    return bolt_line(Extent((u0, z0, 0.0), (u1, z1, 0.0)), PITCH_MM)


@dataclass(frozen=True)
class _Frame:
    """Axes of a cover on its wall: u level (as the wall plate's own x), up, and out; levels along out."""

    cover: Cover
    inside: Extent
    shell: Shell

    @property
    def out(self) -> Array:
        """Outward normal."""
        return np.array(DIRECTIONS[LOOKS[self.cover.wall]])

    @property
    def across(self) -> Array:
        """Level along the wall: up x out."""
        return np.cross((0.0, 0.0, 1.0), self.out)

    @property
    def sign(self) -> float:
        """Whether own x runs with the pack's axis along the wall or against it."""
        return float(self.across[along(self.cover.wall)])

    @property
    def wall_mm(self) -> float:
        """Outer face of the wall."""
        return wall_of(self.cover.wall, self.inside).outer_mm(self.shell.sheet_mm)

    def point(self, u: float, z: float, level: float) -> Array:
        """A point by its place along the wall and up, and its level along out."""
        place = level * self.out + np.array((0.0, 0.0, z))
        place[along(self.cover.wall)] += u
        return place

    def corner(self) -> tuple[float, float]:
        """Along the wall and up, of the outer edge's corner at which own x and y begin."""
        u0, u1, z0, _ = grown(self.cover.opening_mm, rim_width_mm())
        return (u0 if self.sign > 0.0 else u1), z0

    def plan(self, place: tuple[float, float]) -> tuple[float, float]:
        """Own x and y of a place along the wall and up."""
        u, z = self.corner()
        return self.sign * (place[0] - u), place[1] - z

    def pose(self, level: float, inset: float = 0.0) -> Pose:
        """Own frame of a plate whose inner face lies at a level, its corner inset from that of the rim."""
        u, z = self.corner()
        origin = self.point(u + self.sign * inset, z + inset, level)
        return Pose(vec3(origin), (vec3(self.across), (0.0, 0.0, 1.0), vec3(self.out)))

    @property
    def size(self) -> tuple[float, float]:
        """Outer size of rim and cover."""
        w, h = self.cover.size_mm
        return w + 2.0 * rim_width_mm(), h + 2.0 * rim_width_mm()


def _rim(material: str, frame: _Frame, places: list[tuple[float, float]]) -> Plate:
    number, rim = f"{frame.cover.number}R", rim_width_mm()
    drill = TAP_DRILL_MM[COVER_BOLT]
    holes = tuple(Hole(f"{number}-H{i + 1}", p, drill, f"{COVER_BOLT} thread") for i, p in enumerate(places))
    opening = rectangle(*frame.cover.size_mm, (rim, rim), CORNER_MM)
    profile = Profile(rectangle(*frame.size), holes, (opening,))
    return Plate(number, f"rim, cover of {frame.cover.name}", material, RIM_MM, profile, frame.pose(frame.wall_mm))


def _gasket(frame: _Frame) -> Plate:
    w, h = frame.cover.size_mm
    land = GASKET_LAND_MM
    profile = Profile(rectangle(w + 2 * land, h + 2 * land, corner_mm=4.0), (), (rectangle(w, h, (land, land), CORNER_MM),))
    pose = frame.pose(frame.wall_mm + RIM_MM, rim_width_mm() - land)
    name = f"gasket, cover of {frame.cover.name}"
    return Plate(f"{frame.cover.number}G", name, "EPDM gasket", GASKET_MM, profile, pose, "cover")


def _cover(material: str, frame: _Frame, places: list[tuple[float, float]]) -> Plate:
    number, clear = f"{frame.cover.number}C", bolt(COVER_BOLT).hole_medium_mm
    holes = [Hole(f"{number}-H{i + 1}", p, clear, COVER_BOLT) for i, p in enumerate(places)]
    fixing = frame.cover.piece.kind.fixing
    if fixing is not None:
        axis, size = along(frame.cover.wall), bolt(fixing.bolt)
        for k, point in enumerate(frame.cover.feet_mm):
            holes.append(Hole(f"{number}-F{k + 1}", frame.plan((point[axis], point[2])), size.hole_medium_mm, size.size))
    profile = Profile(rectangle(*frame.size, corner_mm=CORNER_MM), tuple(holes))
    pose = frame.pose(frame.wall_mm + RIM_MM + GASKET_MM)
    return Plate(number, f"cover of {frame.cover.name}", material, frame.shell.sheet_mm, profile, pose, "cover")


def _spacers(material: str, frame: _Frame) -> list[Plate]:
    """Under the feet of a piece that the cover carries."""
    fixing, found = frame.cover.piece.kind.fixing, []
    for k, point in enumerate(frame.cover.feet_mm if fixing else ()):
        assert fixing is not None
        number = f"{frame.cover.number}S{k + 1}"
        hole = Hole(f"{number}-H1", (PAD_MM / 2.0, PAD_MM / 2.0), bolt(fixing.bolt).hole_medium_mm, fixing.bolt)
        corner = np.array(point) - PAD_MM / 2.0 * (frame.across + np.array((0.0, 0.0, 1.0)))
        pose = Pose(vec3(corner), (vec3(frame.across), (0.0, 0.0, 1.0), vec3(frame.out)))
        profile = Profile(rectangle(PAD_MM, PAD_MM), (hole,))
        found.append(Plate(number, f"spacer, {frame.cover.name}", material, frame.cover.pad_mm, profile, pose, "cover"))
    return found


def cover_engagement_mm(shell: Shell) -> float:
    """How deep a cover's screws reach into the rim: the longest standard length that does not pass it."""
    grip = bolt(COVER_BOLT).washer_thickness_mm + shell.sheet_mm + GASKET_MM
    return max((v - grip for v in bolt_lengths_mm(COVER_BOLT, "hex screw") if v - grip <= RIM_MM), default=0.0)


def _screws(frame: _Frame) -> list[Hardware]:
    size, number = bolt(COVER_BOLT), frame.cover.number
    grip = size.washer_thickness_mm + frame.shell.sheet_mm + GASKET_MM
    level = frame.wall_mm + RIM_MM + grip
    found = []
    for i, (u, z) in enumerate(cover_screw_places(frame.cover)):
        found.append(
            Hardware(
                f"{number}B{i + 1}", "hex screw", COVER_BOLT, BOLT_CLASS, grip + cover_engagement_mm(frame.shell), grip,
                vec3(frame.point(u, z, level)), vec3(-frame.out), holes=(f"{number}C-H{i + 1}", f"{number}R-H{i + 1}"),
                joins=(f"{number}C", f"{number}R"), group="cover",
            )
        )  # fmt: skip
    return found


def _piece_screws(frame: _Frame) -> list[Hardware]:
    """From outside through the cover, its spacers and the feet, nuts on the feet."""
    cover, fixing = frame.cover, frame.cover.piece.kind.fixing
    found: list[Hardware] = []
    for k, point in enumerate(cover.feet_mm if fixing else ()):
        assert fixing is not None
        size = bolt(fixing.bolt)
        washer = size.washer_thickness_mm
        grip = washer + frame.shell.sheet_mm + cover.pad_mm + fixing.foot_mm + washer
        length = next_length_mm(size.size, grip + size.nut_height_mm + 2.0 * size.pitch_mm, f"screw of {cover.name}")
        level = frame.wall_mm + RIM_MM + GASKET_MM + frame.shell.sheet_mm + washer
        head: Vec3 = vec3(frame.point(point[along(cover.wall)], point[2], level))
        found.append(
            Hardware(
                f"{cover.number}F{k + 1}", "hex screw", size.size, BOLT_CLASS, length, grip, head, vec3(-frame.out), washers=2,
                nuts=1, holes=(f"{cover.number}C-F{k + 1}", f"{cover.number}S{k + 1}-H1"),
                joins=(f"{cover.number}C", cover.name), group="cover",
            )
        )  # fmt: skip
    return found


def _weld(frame: _Frame, panel: str) -> Weld:
    """Round the rim's outer edge on the wall's outer face."""
    u0, u1, z0, z1 = grown(frame.cover.opening_mm, rim_width_mm())
    ring = ((u0, z0), (u1, z0), (u1, z1), (u0, z1), (u0, z0))
    path = tuple(vec3(frame.point(u, z, frame.wall_mm)) for u, z in ring)
    number = f"{frame.cover.number}W"
    return Weld(number, "fillet", frame.shell.fillet_mm, path, (f"{frame.cover.number}R", panel))


def _liner_cut(cover: Cover, inside: Extent, shell: Shell) -> Extent:
    """Room of the opening in the liner."""
    frame = _Frame(cover, inside, shell)
    u0, u1, z0, z1 = cover.opening_mm
    level = frame.wall_mm - shell.sheet_mm
    a, b = frame.point(u0, z0, level), frame.point(u1, z1, level - shell.liner_mm)
    return Extent(vec3(np.minimum(a, b)), vec3(np.maximum(a, b)))


def wall_cutouts(parts: CoverParts, wall: str, pose: Pose, inside: Extent) -> tuple[Loop, ...]:
    """Openings of a wall in its own plane. pose: of the wall plate."""
    loops = []
    for where, (u0, u1, z0, z1) in parts.openings:
        if where == wall:
            ends = []
            for u, z in ((u0, z0), (u1, z1)):
                point = np.array(inside.centre_mm)
                point[along(wall)], point[2] = u, z
                x, y, _ = pose.inverse_point(point)
                ends.append((float(x), float(y)))
            (xa, ya), (xb, yb) = ends
            loops.append(rectangle(abs(xb - xa), abs(yb - ya), (min(xa, xb), min(ya, yb)), CORNER_MM))
    return tuple(loops)
