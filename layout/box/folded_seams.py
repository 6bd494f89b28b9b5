"""Welds of a folded box: corners, bars, ribs, each once. Pack frame."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layout.box.folded_flats import CLIP_MM, GAP_MM, STEP_MM
from layout.box.folded_parts import FoldedParts
from layout.box.folding import BENT
from layout.box.seams import Seam
from layout.box.shell import Shell
from layout.box.walls import WALLS
from layout.design import Plate, Weld
from layout.frames import DIRECTIONS, Extent, Vec3, vec3

CORNERS = (("fore", "left"), ("fore", "right"), ("aft", "left"), ("aft", "right"))

Noted = tuple[Seam, str]


@dataclass(frozen=True)
class WeldedOn:
    """What is welded to the folded sheet: uprights on the walls, ribs under the floor, bars on it."""

    uprights: tuple[Plate, ...]
    ribs: tuple[Plate, ...]
    floor_bars: tuple[Plate, ...]


def folded_seams(prefix: str, inside: Extent, shell: Shell, parts: FoldedParts, on: WeldedOn) -> tuple[Weld, ...]:
    """Every weld: corners, what stands on the sheet.

    Throat: of a corner or butt seam the sheet's thickness; of a fillet 0.7 of it (Shell.fillet_mm).
    """
    found: list[Noted] = [seam for pair in CORNERS for seam in _corner(pair, inside, shell, parts)]
    found += [_foot(wall, inside, shell, parts) for wall in WALLS if wall not in BENT[parts.form]]
    found += [(seam, "") for bar in on.uprights for seam in _bar(bar, inside, shell, parts)]
    found += [(seam, "") for rib in on.ribs for seam in _rib(rib, shell, parts)]
    found += [(seam, "") for bar in on.floor_bars for seam in _floor_bar(bar, shell, parts)]
    throats = {"corner": shell.sheet_mm, "square butt": shell.sheet_mm, "fillet": shell.fillet_mm}
    return tuple(
        Weld(f"{prefix}-W{i + 1}", kind, throats[kind], path, joins, note)
        for i, ((kind, path, joins), note) in enumerate(found)
    )


def _corner(pair: tuple[str, str], inside: Extent, shell: Shell, parts: FoldedParts) -> list[Noted]:
    """The upright seam of a corner, and the seam of the two flanges at 45 degrees."""
    t, r = shell.sheet_mm, shell.fold_radius_mm
    out = np.array([DIRECTIONS[WALLS[w]] for w in pair]).sum(axis=0)
    inner = np.where(out > 0, inside.max_mm, inside.min_mm)
    z0, z1 = inside.min_mm[2], inside.max_mm[2]
    joins = (parts.number(pair[0]), parts.number(pair[1]))

    def at(beyond: float, z: float) -> Vec3:
        return vec3((inner[0] + out[0] * beyond, inner[1] + out[1] * beyond, z))

    first = t + r + STEP_MM
    last = t + shell.flange_out_mm - CLIP_MM / 2.0
    upright: Noted = (("corner", (at(t, z0 + r), at(t, z1 - r), at(first, z1)), joins), "closes the corner under the flange")
    mitre: Noted = (("square butt", (at(first, z1), at(last, z1)), joins), f"gap {GAP_MM:g} mm; ground flush above: gasket")
    if parts.form == "pan":
        inset = parts.sizes.inset_mm
        relief = ("corner", (at(-inset, z0 - t), at(t, z0 + r)), joins)
        return [(relief, f"closes the corner relief, about {inset + t:.0f} mm across; filler piece"), upright, mitre]
    return [upright, mitre]


def _foot(wall: str, inside: Extent, shell: Shell, parts: FoldedParts) -> Noted:
    """The seam along the foot of a wall of its own, up into the bends that it stands in."""
    t, r, z0 = shell.sheet_mm, shell.fold_radius_mm, inside.min_mm[2]
    face = np.array(DIRECTIONS[WALLS[wall]])
    outer = np.where(face > 0, inside.max_mm, inside.min_mm) * np.abs(face) + t * face
    path: list[Vec3] = []
    for sign in (-1.0, 1.0):
        side = sign * np.cross((0.0, 0.0, 1.0), -face)
        neighbour = next(n for n, d in WALLS.items() if np.allclose(DIRECTIONS[d], side))
        corner = outer + np.where(side > 0, inside.max_mm, inside.min_mm) * np.abs(side)
        bent = neighbour in BENT[parts.form]
        ends = (
            [corner - r * side + np.array((0, 0, z0)), corner + np.array((0, 0, z0 + r))]
            if bent
            else [corner + np.array((0, 0, z0))]
        )
        path += [vec3(p) for p in (ends if sign > 0 else reversed(ends))]
    return ("corner", tuple(path), (parts.number(wall), parts.number("bottom"))), ""


def _bar(bar: Plate, inside: Extent, shell: Shell, parts: FoldedParts) -> list[Seam]:
    """Both long edges of a bar, where it lies on flat wall."""
    wall = next(name for name, d in WALLS.items() if np.allclose(bar.pose.axes[2], DIRECTIONS[d]))
    width, height = (max(v[i] for v in bar.profile.outline) for i in (0, 1))
    low = inside.min_mm[2] + shell.fold_radius_mm - bar.pose.origin_mm[2]
    return [
        ("fillet", tuple(vec3(bar.pose.point((x, y, 0.0))) for y in (low, height)), (bar.number, parts.number(wall)))
        for x in (0.0, width)
    ]


def _rib(rib: Plate, shell: Shell, parts: FoldedParts) -> list[Seam]:
    """Both sides of a rib, where it lies under flat floor."""
    length, height = (max(v[i] for v in rib.profile.outline) for i in (0, 1))
    back = shell.sheet_mm + shell.fold_radius_mm
    return [
        (
            "fillet",
            tuple(vec3(rib.pose.point((x, height, side))) for x in (back, length - back)),
            (rib.number, parts.number("bottom")),
        )
        for side in (0.0, rib.thickness_mm)
    ]


def _floor_bar(bar: Plate, shell: Shell, parts: FoldedParts) -> list[Seam]:
    """Both long edges where the floor is flat, and the upright edges of both ends above their chamfers."""
    length, width = (max(v[i] for v in bar.profile.outline) for i in (0, 1))
    back, low = shell.fold_radius_mm, shell.floor_chamfer_mm
    found: list[Seam] = [
        (
            "fillet",
            tuple(vec3(bar.pose.point((x, y, 0.0))) for x in (back, length - back)),
            (bar.number, parts.number("bottom")),
        )
        for y in (0.0, width)
    ]
    ends = ("aft", "fore") if abs(bar.pose.axes[0][0]) > 0.5 else ("right", "left")
    for x, wall in zip((0.0, length), ends, strict=True):
        for y in (0.0, width):
            path = tuple(vec3(bar.pose.point((x, y, z))) for z in (low, bar.thickness_mm))
            found.append(("fillet", path, (bar.number, parts.number(wall))))
    return found
