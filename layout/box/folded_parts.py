"""Parts of a folded box from their flats, and holes put into them where they are in the pack. Pack frame."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from layout.box.folded_flats import (
    GAP_MM,
    Sizes,
    WallForm,
    bent_wall,
    flange,
    own_wall,
    pan_floor,
    plain_floor,
    shifted,
)
from layout.box.folding import BENT, FORM_NAMES, Form, laps
from layout.box.shell import Shell
from layout.box.walls import WALLS, along
from layout.design import Bend, Flange, FoldedPlate, Hole, Loop, Profile
from layout.design.flat import flat_poses, profile_of
from layout.design.geometry import loop_extent_mm
from layout.frames import DIRECTIONS, Extent, Pose, Vec3, vec3


@dataclass(frozen=True)
class Stock:
    """Number before the parts' own, material and neutral line."""

    prefix: str
    material: str
    k_factor: float


@dataclass(frozen=True)
class FoldedParts:
    """Folded parts by number; flats: where each panel ("bottom", "left" ...) and each flange ("left flange" ...) lies: part
    and index of its flat.
    """

    form: Form
    sizes: Sizes
    parts: dict[str, FoldedPlate]
    flats: dict[str, tuple[str, int]]

    def number(self, panel: str) -> str:
        """Number of the part that a panel belongs to."""
        return self.flats[panel][0]

    def pose(self, panel: str) -> Pose:
        """A panel's own frame: z = 0 on its outer face (the flange's: its underside)."""
        number, index = self.flats[panel]
        part = self.parts[number]
        return part.pose.then(flat_poses(part)[index])

    def extent_mm(self, panel: str) -> tuple[float, float, float, float]:
        """Bounds of a panel in its own plane."""
        number, index = self.flats[panel]
        return loop_extent_mm(profile_of(self.parts[number], index).outline)

    def with_holes(self, panel: str, holes: tuple[Hole, ...]) -> FoldedParts:
        """The same parts with holes added to a panel, in its own plane."""
        number, index = self.flats[panel]
        own = profile_of(self.parts[number], index)
        return self._changed(panel, replace(own, holes=(*own.holes, *holes)))

    def _changed(self, panel: str, filled: Profile) -> FoldedParts:
        number, index = self.flats[panel]
        part = self.parts[number]
        if index == 0:
            made = replace(part, root=filled)
        else:
            changed = replace(part.flanges[index - 1], profile=filled)
            made = replace(part, flanges=(*part.flanges[: index - 1], changed, *part.flanges[index:]))
        return replace(self, parts={**self.parts, number: made})

    def with_cutouts(self, panel: str, cutouts: tuple[Loop, ...]) -> FoldedParts:
        """The same parts with openings cut from a panel, in its own plane."""
        number, index = self.flats[panel]
        own = profile_of(self.parts[number], index)
        return self._changed(panel, replace(own, cutouts=(*own.cutouts, *cutouts)))

    def own_point(self, panel: str, at_mm: Vec3) -> tuple[float, float]:
        """A point of the pack's frame in a panel's own plane."""
        x, y, _ = self.pose(panel).inverse_point(at_mm)
        return (float(x), float(y))


def wall_form(wall: str, form: Form, inside: Extent, sizes: Sizes) -> WallForm:
    """Sizes of a wall, bent from the floor or of its own."""
    size, r = inside.size_mm, sizes.radius_mm
    height = size[2] - (2.0 * r if wall in BENT[form] else r)
    beyond = sizes.thickness_mm if laps(form, wall) else -GAP_MM
    return WallForm(size[along(wall)], beyond, height, sizes.inset_mm if form == "pan" else None)


def folded_parts(stock: Stock, form: Form, inside: Extent, shell: Shell, sizes: Sizes) -> FoldedParts:
    """All parts of the box without lid, without holes."""
    number = f"{stock.prefix}-B1"
    sx, sy, _ = inside.size_mm
    outline, edge_of = pan_floor(sx, sy, sizes) if form == "pan" else plain_floor(sx, sy, sizes, BENT[form])
    flanges: list[Flange] = []
    flats = {"bottom": (number, 0)}
    for wall in BENT[form]:
        own = wall_form(wall, form, inside, sizes)
        loop, top = bent_wall(own)
        flats[wall] = (number, len(flanges) + 1)
        flats[f"{wall} flange"] = (number, len(flanges) + 2)
        parent = len(flanges) + 1
        flanges.append(Flange(Profile(shifted(loop, -own.base_mm)), 0, _bend(edge_of[wall], 90.0, stock, sizes)))
        flanges.append(Flange(flange(own, sizes), parent, _bend(top, -90.0, stock, sizes)))
    low = inside.min_mm
    pose = Pose((low[0], low[1], low[2] - shell.sheet_mm))
    name = "pan" if form == "pan" else FORM_NAMES[form].removesuffix(" from one flat")
    body = FoldedPlate(number, name, stock.material, sizes.thickness_mm, Profile(outline), tuple(flanges), pose)
    parts = {number: body}
    for wall in WALLS:
        if wall not in BENT[form]:
            end = _end(stock, wall, form, inside, sizes)
            parts[end.number] = end
            flats[wall], flats[f"{wall} flange"] = (end.number, 0), (end.number, 1)
    return FoldedParts(form, sizes, parts, flats)


def _bend(edge: int, angle_deg: float, stock: Stock, sizes: Sizes) -> Bend:
    return Bend(edge, angle_deg, sizes.radius_mm, stock.k_factor)


def _end(stock: Stock, wall: str, form: Form, inside: Extent, sizes: Sizes) -> FoldedPlate:
    """A wall of its own with its flange."""
    own = wall_form(wall, form, inside, sizes)
    w = np.array(DIRECTIONS[WALLS[wall]])
    x = np.cross((0.0, 0.0, 1.0), -w)
    neighbours = [next(n for n, d in WALLS.items() if np.allclose(DIRECTIONS[d], s * x)) for s in (-1.0, 1.0)]
    loop, top = own_wall(own, sizes.radius_mm, (neighbours[0] in BENT[form], neighbours[1] in BENT[form]))
    number = f"{stock.prefix}-B{2 + list(WALLS).index(wall)}"
    hung = Flange(flange(own, sizes), 0, _bend(top, -90.0, stock, sizes))
    return FoldedPlate(
        number, f"{wall} wall", stock.material, sizes.thickness_mm, Profile(loop), (hung,), _end_pose(wall, inside, sizes)
    )


def _end_pose(wall: str, inside: Extent, sizes: Sizes) -> Pose:
    """x along the wall, y up, z inward; origin at its inner corner on its outer face, on the floor."""
    w = np.array(DIRECTIONS[WALLS[wall]])
    x = np.cross((0.0, 0.0, 1.0), -w)
    low, high = np.array(inside.min_mm), np.array(inside.max_mm)
    start = np.where(x > 0, low, high) * np.abs(x)
    face = np.where(w > 0, high, low) * np.abs(w) + sizes.thickness_mm * w
    return Pose(vec3(start + face + np.array((0.0, 0.0, low[2]))), (vec3(x), (0.0, 0.0, 1.0), vec3(-w)))
