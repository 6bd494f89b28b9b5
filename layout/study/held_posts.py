"""Posts and mounting bars under the ends of the bars that hold the modules, and the lid that ties the walls' tops."""

from __future__ import annotations

import numpy as np

from layout.box.carriers import CarrierBar
from layout.box.design import BoxDesign
from layout.box.posts import bar_ends
from layout.box.shell import END_SCREW, MOUNTING_BAR_MM
from layout.brackets.plan import along
from layout.checks import Check
from layout.checks.bars import MountingBar, mounting_bar_checks
from layout.checks.bolts import Ply, bolt_checks, ply_checks
from layout.checks.held import UNEVEN
from layout.frames import Array
from layout.study.held_modules import WALL_SHARE, Held
from layout.tables import bolt

Pull = tuple[float, float]
"""Height above the floor's underside, and force out of the wall in N."""


def pulls_on(held: Held, case: int, wall: str, low_mm: float, high_mm: float) -> tuple[tuple[Pull, ...], tuple[float, float]]:
    """What the bars' ends do to the upright between two places along a wall: pulls by height, and forces in the wall's plane.

    Both ends of a bar share the force along it; one takes up to six tenths (see WALL_SHARE). in plane: along the wall, up.
    """
    bottom = held.box.inside.min_mm[2] - held.box.shell.sheet_mm
    pulls: list[Pull] = []
    in_plane = np.zeros(2)
    for end in bar_ends(held.box.carriers.bars):
        if end.wall == wall and low_mm <= end.u_mm <= high_mm:
            bar = held.box.carriers.bars[end.bar]
            force = held.reactions[end.bar, case, end.which]
            outward = float(force[0]) * (1.0 if end.which else -1.0) * WALL_SHARE
            pulls.append((end.z_mm - bottom, outward))
            in_plane += np.abs(_in_wall(bar, force))
    return tuple(pulls), (float(in_plane[0]), float(in_plane[1]))


def _in_wall(bar: CarrierBar, force: Array) -> Array:
    """Components of an end's force level in the wall, and up."""
    w = np.zeros(3)
    w[bar.normal] = bar.sign
    u = np.zeros(3)
    u[bar.run] = 1.0
    vector = force[1] * np.cross(w, u) + force[2] * w
    level = vector[1 - bar.run]
    return np.array([level, vector[2]])


def post_checks(held: Held) -> list[Check]:
    """Every post as a beam from floor to flange, its welds and the wall beside it: the worst of each case."""
    box = held.box
    found: list[Check] = []
    for c, case in enumerate(held.cases):
        best: dict[str, tuple[float, list[Check]]] = {}
        for post in box.carriers.posts:
            half = post.width_mm / 2.0
            pulls, in_plane = pulls_on(held, c, post.wall, post.u_mm - half, post.u_mm + half)
            for kind, measure in (("bent", _moment(pulls)), ("in plane", sum(in_plane) / post.width_mm)):
                if measure > best.get(kind, (-1.0, []))[0]:
                    best[kind] = (measure, [])
                    best[kind][1].extend(
                        mounting_bar_checks(
                            f"post {post.number}", case.name, _bar(box, post.width_mm), pulls, 0.0, _height(box) / 2.0, in_plane
                        )
                    )
        seen: dict[tuple[str, str], Check] = {}
        for _, checks in best.values():
            for check in checks:
                seen.setdefault((check.name, check.part), check)
        found += seen.values()
    return found


def _moment(pulls: tuple[Pull, ...]) -> float:
    """A measure of bending to choose the worst post by: the sum of all moments as if of one sign."""
    return sum(abs(f) * z for z, f in pulls)


def _height(box: BoxDesign) -> float:
    return box.inside.max_mm[2] - box.inside.min_mm[2] + box.shell.sheet_mm


def _bar(box: BoxDesign, width_mm: float) -> MountingBar:
    sheet = box.shell.sheet_mm
    hole = bolt(END_SCREW).hole_medium_mm
    return MountingBar(box.material, width_mm, MOUNTING_BAR_MM, _height(box), sheet, box.material, sheet, hole)


def lid_tie_checks(held: Held) -> list[Check]:
    """The lid's bolts along one wall carry what the uprights of that wall bring to the flange."""
    box = held.box
    size, sheet = bolt(box.shell.lid_bolt), box.shell.sheet_mm
    edge = box.shell.flange_out_mm - box.shell.bolt_line_mm
    places = np.array(box.lid_bolts_mm)
    found: list[Check] = []
    for c, case in enumerate(held.cases):
        worst = (0.0, "")
        for wall in ("left", "right", "fore", "aft"):
            pulls, _ = pulls_on(held, c, wall, -np.inf, np.inf)
            top = abs(sum(f * z for z, f in pulls)) / _height(box)
            axis = 1 - along(wall)
            limit = places[:, axis].max() if wall in ("left", "fore") else places[:, axis].min()
            count = int((np.abs(places[:, axis] - limit) < 1.0).sum())
            worst = max(worst, (UNEVEN * top / count, wall))
        shear, wall = worst
        if not wall:
            continue
        part = f"lid bolt at the {wall} wall, tying its top"
        ply = Ply(box.material, sheet, size.hole_medium_mm, edge, edge)
        found += bolt_checks(part, case.name, box.shell.lid_bolt, "8.8", 0.0, shear, hole_mm=size.hole_medium_mm)
        found += ply_checks(part, case.name, box.shell.lid_bolt, "8.8", ply, shear)
    return found
