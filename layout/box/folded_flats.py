"""Flats of a folded box: floor, walls, outward flanges, end walls, as profiles in their own planes.

A wall's own frame: x along it from its inner corner at the start, y up, z inward; mm. A bent wall begins (y = 0) where the
floor's bend ends, a wall of its own on the floor's upper face. A flange's own frame: x along its wall as the wall's own x,
y outward from where its bend ends.
"""

from __future__ import annotations

from dataclasses import dataclass

from layout.design import Loop, Profile

STEP_MM = 1.0
"""From a bend's end to metal that reaches beyond the bend's length: common practice, no source."""
GAP_MM = 0.3
"""Between edges that come together when the box is folded: common practice, no source."""
CLIP_MM = 6.0
"""Cut off the flange's outer corners."""
_QUARTER = 0.41421356237309503  # tan(90 deg / 4)


@dataclass(frozen=True)
class Sizes:
    """What the flats are made from: thickness, inside radius, corner relief, flange beyond the wall's outer face."""

    thickness_mm: float
    radius_mm: float
    relief_mm: float
    flange_out_mm: float

    @property
    def inset_mm(self) -> float:
        """From an inner corner to the end of a bend beside a corner relief."""
        return self.radius_mm + self.relief_mm


@dataclass(frozen=True)
class WallForm:
    """length_mm: of the inside along the wall; beyond_mm: how far the wall reaches beyond its inner corners (negative: ends
    short of them); height_mm: flat height; inset_mm: from the inner corners to the ends of its bend from the floor, None where
    the bend is as long as the wall.
    """

    length_mm: float
    beyond_mm: float
    height_mm: float
    inset_mm: float | None = None

    @property
    def base_mm(self) -> float:
        """Own x at which the bend from the floor begins."""
        return -self.beyond_mm if self.inset_mm is None else self.inset_mm


def bent_wall(form: WallForm) -> tuple[Loop, int]:
    """Outline of a wall that is bent from the floor, and the index of its top edge. Base edge: 0."""
    length, e, h = form.length_mm, form.beyond_mm, form.height_mm
    if form.inset_mm is None:
        return _points((-e, 0.0), (length + e, 0.0), (length + e, h), (-e, h)), 2
    a, s = form.inset_mm, STEP_MM
    outline = _points(
        (a, 0.0), (length - a, 0.0), (length - a, s), (length + e, s), (length + e, h), (-e, h), (-e, s), (a, s)
    )  # fmt: skip
    return outline, 4


def own_wall(form: WallForm, radius_mm: float, in_bend: tuple[bool, bool]) -> tuple[Loop, int]:
    """Outline of a wall of its own, a lower corner rounded where it stands in a bend (at the start, at the end); index of its
    top edge."""
    length, e, h, rho = form.length_mm, form.beyond_mm, form.height_mm, radius_mm + 0.5
    first, last = ((-e, 0.0, 0.0),), ((length + e, 0.0, 0.0),)
    start: Loop = ((-e, rho, _QUARTER), (-e + rho, 0.0, 0.0)) if in_bend[0] else first
    end: Loop = ((length + e - rho, 0.0, _QUARTER), (length + e, rho, 0.0)) if in_bend[1] else last
    return (*start, *end, (length + e, h, 0.0), (-e, h, 0.0)), len(start) + len(end)


def flange(form: WallForm, sizes: Sizes) -> Profile:
    """Flange on a wall's top edge, its ends cut along the diagonals of the box's corners. Base edge: 0, from (0, 0)."""
    width = form.length_mm + 2.0 * form.beyond_mm
    depth = sizes.flange_out_mm - sizes.radius_mm
    first = sizes.thickness_mm + sizes.radius_mm  # from the wall's inner face to where the flange is flat
    gap = GAP_MM / 2.0 * 2.0**0.5

    def end(y: float) -> float:
        return first + y - form.beyond_mm - gap

    s, clip = STEP_MM, CLIP_MM
    right = [(width, s), (width + end(s), s), (width + end(depth) - clip / 2.0, depth - clip / 2.0)]
    right.append((width + end(depth) - clip, depth))
    left = [(width - x, y) for x, y in reversed(right)]
    return Profile(_points((0.0, 0.0), (width, 0.0), *right, *left))


def pan_floor(sx: float, sy: float, sizes: Sizes) -> tuple[Loop, dict[str, int]]:
    """Floor between four bends, a square corner relief at each corner; edges by wall. Own origin: the inner corner."""
    r, a = sizes.radius_mm, sizes.inset_mm
    outline = _points(
        (a, r), (sx - a, r), (sx - a, a), (sx - r, a), (sx - r, sy - a), (sx - a, sy - a),
        (sx - a, sy - r), (a, sy - r), (a, sy - a), (r, sy - a), (r, a), (a, a),
    )  # fmt: skip
    return outline, {"right": 0, "fore": 3, "left": 6, "aft": 9}


def plain_floor(sx: float, sy: float, sizes: Sizes, bent: tuple[str, ...]) -> tuple[Loop, dict[str, int]]:
    """Floor that ends in a bend at the walls that are bent, and reaches to the outer face of the others; edges by wall."""
    r, t = sizes.radius_mm, sizes.thickness_mm
    right, fore, left, aft = (r if wall in bent else -t for wall in ("right", "fore", "left", "aft"))
    outline = _points((aft, right), (sx - fore, right), (sx - fore, sy - left), (aft, sy - left))
    return outline, {"right": 0, "fore": 1, "left": 2, "aft": 3}


def shifted(loop: Loop, by_mm: float) -> Loop:
    """The loop moved along x."""
    return tuple((x + by_mm, y, b) for x, y, b in loop)


def _points(*points: tuple[float, float]) -> Loop:
    return tuple((float(x), float(y), 0.0) for x, y in points)
