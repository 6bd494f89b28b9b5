"""Spacers, screws and holes of equipment on the walls, as parts. Pack frame."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layout.box.fixture import PAD_MM, Fixture
from layout.box.shell import Shell
from layout.box.walls import along, wall_of
from layout.design import Hardware, Hole, Plate, Profile, rectangle
from layout.design.lengths import next_length_mm
from layout.errors import DesignError
from layout.frames import Array, Extent, Pose, Vec3, vec3
from layout.tables import bolt, bolt_lengths_mm
from layout.tables.fasteners import BoltSize

BOLT_CLASS = "8.8"
TAP_DRILL_MM = {"M4": 3.3, "M5": 4.2, "M6": 5.0, "M8": 6.8, "M10": 8.5, "M12": 10.2}
"""Tapping drills of ISO metric coarse threads, d - P (ISO 2306, from memory)."""
LEAST_D = 1.3
ENOUGH_D = 2.0


@dataclass(frozen=True)
class FixtureHole:
    """A hole for a fixture's screw. at_mm: a point of its axis; in_wall: also through the sheet, else in the upright alone."""

    name: str
    wall: str
    at_mm: Vec3
    diameter_mm: float
    size: str
    in_wall: bool


@dataclass(frozen=True)
class FixtureParts:
    """What the equipment's fixings add to the box. cut: extents that the liner leaves free."""

    plates: tuple[Plate, ...] = ()
    hardware: tuple[Hardware, ...] = ()
    holes: tuple[FixtureHole, ...] = ()
    cut: tuple[Extent, ...] = ()


def fixture_parts(material: str, fixtures: tuple[Fixture, ...], inside: Extent, shell: Shell) -> FixtureParts:
    """Parts of every fixture."""
    plates: list[Plate] = []
    screws: list[Hardware] = []
    holes: list[FixtureHole] = []
    cut: list[Extent] = []
    for one in fixtures:
        size = bolt(one.fixing.bolt)
        for k, point in enumerate(one.points_mm):
            pad = _pad(material, one, k, point, size)
            plates += [pad] if pad else []
            name = f"{one.number}-F{k + 1}"
            drill = TAP_DRILL_MM[size.size] if one.hung else size.hole_medium_mm
            text = f"{size.size} thread" if one.hung else size.size
            holes.append(FixtureHole(name, one.wall, point, drill, text, not one.hung))
            screws.append(_screw(one, name, point, inside, shell))
            if not one.hung:
                cut.append(_liner_cut(one, point, inside, shell))
    return FixtureParts(tuple(plates), tuple(screws), tuple(holes), tuple(cut))


def _pad(material: str, one: Fixture, k: int, point: Vec3, size: BoltSize) -> Plate | None:
    """A square spacer between metal and foot."""
    if one.pad_mm < 0.05:
        return None
    u, v, w = one.axes
    number = f"{one.number}-S{k + 1}"
    corner = np.array(point) - one.pad_mm * w - PAD_MM / 2.0 * (u + v)
    hole = Hole(f"{number}-H1", (PAD_MM / 2.0, PAD_MM / 2.0), size.hole_medium_mm, size.size)
    pose = Pose(vec3(corner), (vec3(u), vec3(v), vec3(w)))
    return Plate(number, f"spacer, {one.name}", material, one.pad_mm, Profile(rectangle(PAD_MM, PAD_MM), (hole,)), pose)


def engagement_mm(one: Fixture, bar_mm: float) -> float:
    """How deep a hung piece's screws reach into their upright: 2 d or the next standard length, at most its thickness
    bar_mm.

    Raises:
        DesignError: no standard length reaches 1.3 d into the upright without passing it.
    """
    size = bolt(one.fixing.bolt)
    grip = size.washer_thickness_mm + one.fixing.foot_mm + one.pad_mm
    usable = [
        v - grip for v in bolt_lengths_mm(size.size, "hex screw") if LEAST_D * size.diameter_mm <= v - grip <= bar_mm
    ]
    if not usable:
        raise DesignError(
            f"screws of {one.name}", f"a standard length that reaches {LEAST_D:g} d into its upright and not past it",
            f"grip {grip:.1f} mm, upright {bar_mm:g} mm", "Use another screw (equipment.fixing.bolt).",
        )  # fmt: skip
    enough = [v for v in usable if v >= ENOUGH_D * size.diameter_mm]
    return min(enough) if enough else max(usable)


def _screw(one: Fixture, name: str, point: Vec3, inside: Extent, shell: Shell) -> Hardware:
    """From the foot into the upright where it hangs; from outside through upright and wall with a nut on the foot inside."""
    size, w = bolt(one.fixing.bolt), one.axes[2]
    if one.hung:
        grip = size.washer_thickness_mm + one.fixing.foot_mm + one.pad_mm
        head = np.array(point) + (one.fixing.foot_mm + size.washer_thickness_mm) * w
        return Hardware(
            name, "hex screw", size.size, BOLT_CLASS, grip + engagement_mm(one, shell.bar_mm), grip, vec3(head), vec3(-w),
            holes=(f"{name}-P",), joins=(one.wall, one.name), group="fixture",
        )  # fmt: skip
    washer = size.washer_thickness_mm
    grip = washer + shell.bar_mm + shell.sheet_mm + one.pad_mm + one.fixing.foot_mm + washer
    length = next_length_mm(size.size, grip + size.nut_height_mm + 2.0 * size.pitch_mm, f"screw of {one.name}")
    head = _on_face(one, point, wall_of(one.wall, inside).outer_mm(shell.sheet_mm) + shell.bar_mm + washer)
    return Hardware(
        name, "hex screw", size.size, BOLT_CLASS, length, grip, vec3(head), vec3(w), washers=2, nuts=1,
        holes=(f"{name}-P", f"{name}-W"), joins=(one.wall, one.name), group="fixture",
    )  # fmt: skip


def _on_face(one: Fixture, point: Vec3, level_mm: float) -> Array:
    """The point of the screw's axis at a level along the wall's outward normal."""
    out = one.outward
    place = np.array(point) + (level_mm - float(np.dot(point, out))) * out
    return place


def _liner_cut(one: Fixture, point: Vec3, inside: Extent, shell: Shell) -> Extent:
    """Room of a spacer in the liner."""
    axis = along(one.wall)
    level = wall_of(one.wall, inside).outer_mm(0.0)
    a, b = _on_face(one, point, level), _on_face(one, point, level - max(shell.liner_mm, one.pad_mm))
    low, high = np.minimum(a, b), np.maximum(a, b)
    for i in (axis, 2):
        low[i] -= PAD_MM / 2.0
        high[i] += PAD_MM / 2.0
    return Extent(vec3(low), vec3(high))
