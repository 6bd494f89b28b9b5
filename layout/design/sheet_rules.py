"""Can it be cut and bent.

Every rule of the sheet metal shop against every hole, flange and bend, each with figure and limit.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Final

import numpy as np
import shapely

from layout.checks.rule import Source
from layout.design.flat import BendLine, Flat, develop, profile_of
from layout.design.geometry import hole_polygon, loop_points, polygon, require_valid
from layout.design.parts import FoldedPlate, Plate
from layout.design.profile import Profile

LEG_SHARE = 0.7
"""Least outside leg over the die opening."""


REMEDIES: Final[dict[str, str]] = {
    "least opening": "Make it larger, or drill it after cutting.",
    "opening to edge": "Move it inward, or drill it after cutting.",
    "web between openings": "Move them apart, or drill one after cutting.",
    "flat size": "Split the part, or order a larger sheet.",
    "least inside radius": "Use a larger radius, thinner sheet or a softer grade.",
    "least flange": "Make the flange longer, or bend it long and cut it back.",
    "hole to bend": "Move it away from the bend, or drill it after bending.",
    "cut-out to bend": "Move it away from the bend, or cut it after bending.",
    "bend relief": "Cut a relief beside the end of the bend, at least as wide as the sheet is thick.",
    "bend length": "Split the part, or find a longer press.",
    "tab width": "Make the tab wider.",
    "play of a slot": "Widen the slot.",
    "tab to its surroundings": "Move the tab along its edge.",
}


@dataclass(frozen=True, slots=True)
class Finding:
    """One rule applied at one place: the figure found, its limit, and whether it is kept.

    figure and limit in `unit`; at: what was measured, e.g. "hole BR1-H2 to bend 1". sense: "at least" or "at most".
    """

    part: str
    rule: str
    at: str
    figure: float
    limit: float
    unit: str
    source: Source
    sense: str = "at least"

    @property
    def ok(self) -> bool:
        """Whether the figure keeps the limit (to a thousandth of a millimetre)."""
        return self.figure >= self.limit - 1e-3 if self.sense == "at least" else self.figure <= self.limit + 1e-3

    @property
    def remedy(self) -> str:
        """What to do where the rule is broken."""
        return REMEDIES[self.rule]


@dataclass(frozen=True, slots=True)
class Shop:
    """What the shop can do beyond the general rules. Each None means: the general rule counts, or no limit is known.

    die_opening_mm: V of the die it would use; least_leg_mm: its least outside leg; press_length_mm: longest bend; sheet_mm:
    largest flat, length and width.
    """

    die_opening_mm: float | None = None
    least_leg_mm: float | None = None
    press_length_mm: float | None = None
    sheet_mm: tuple[float, float] | None = None


def check_sheet(part: Plate | FoldedPlate, shop: Shop | None = None) -> tuple[Finding, ...]:
    """Every sheet rule applied to a part. A broken rule is a finding, not an error.

    Raises:
        DesignError: the geometry is impossible (an outline that crosses itself, a flange that hangs on nothing).
    """
    shop = shop or Shop()
    if isinstance(part, Plate):
        require_valid(part.profile, part.number)
        flat = Flat(part.profile, (), part.thickness_mm)
        return tuple(_cut_findings(part.number, flat, shop))
    flat = develop(part)
    rows = [*_cut_findings(part.number, flat, shop), *_radius_findings(part)]
    for line in flat.bend_lines:
        rows += _bend_findings(part, flat, line, shop)
    return tuple(rows)


@cache
def _rows() -> tuple[dict[str, str], ...]:
    text = files("layout.design").joinpath("tables/sheet_rules.csv").read_text(encoding="utf-8")
    return tuple(csv.DictReader(text.splitlines()))


def limit_mm(rule: str, thickness_mm: float, inside_radius_mm: float = 0.0) -> tuple[float, Source]:
    """Limit of a rule of the table for a thickness (and radius), with its source."""
    for row in _rows():
        if row["rule"] == rule and float(row["over_t_mm"]) < thickness_mm <= float(row["up_to_t_mm"]):
            seen: Any = row["seen"]
            value = float(row["factor_t"]) * thickness_mm + float(row["plus_mm"]) + float(row["plus_radius"]) * inside_radius_mm
            return value, Source(row["source"], seen)
    msg = f"no sheet rule {rule!r} for {thickness_mm:g} mm"
    raise ValueError(msg)


def die_opening_mm(thickness_mm: float, shop: Shop | None = None) -> float:
    """Opening V of the die for a thickness: the shop's, else 8 t up to 8 mm, 10 t up to 10 mm, 12 t above."""
    if shop is not None and shop.die_opening_mm is not None:
        return shop.die_opening_mm
    return limit_mm("die opening", thickness_mm)[0]


def _openings(profile: Profile) -> Iterator[tuple[str, shapely.Polygon, bool]]:
    """Each opening: label, polygon, and whether it is a round hole."""
    for hole in profile.holes:
        yield (f"{'slot' if hole.slot_mm > 0.0 else 'hole'} {hole.name}", hole_polygon(hole, 0.001), hole.slot_mm <= 0.0)
    for index, cutout in enumerate(profile.cutouts, start=1):
        yield (f"cut-out {index}", shapely.Polygon(loop_points(cutout, 0.001)), False)


def _cutout_widths(profile: Profile) -> Iterator[tuple[str, float]]:
    """Short side of the least rectangle around each cut-out."""
    for index, cutout in enumerate(profile.cutouts, start=1):
        around = shapely.Polygon(loop_points(cutout, 0.001)).minimum_rotated_rectangle
        corners = shapely.get_coordinates(around)
        sides = np.hypot(*np.diff(corners[:3], axis=0).T)
        yield f"cut-out {index}", float(sides.min())


def _cut_findings(number: str, flat: Flat, shop: Shop) -> Iterator[Finding]:
    """Rules of laser cutting: least openings, webs, edges, and the size of the sheet."""
    t = flat.thickness_mm
    outer = shapely.LinearRing(loop_points(flat.profile.outline, 0.001))
    openings = list(_openings(flat.profile))
    least, least_source = limit_mm("least opening", t)
    floor, floor_source = limit_mm("least opening floor", t)
    for hole in flat.profile.holes:
        what, source = (least, least_source) if least >= floor else (floor, floor_source)
        yield Finding(number, "least opening", f"hole {hole.name}", hole.diameter_mm, what, "mm", source)
    for label, width in _cutout_widths(flat.profile):
        yield Finding(number, "least opening", label, width, max(least, floor), "mm", least_source)
    edge, edge_source = limit_mm("opening to edge", t)
    for label, shape, _ in openings:
        yield Finding(number, "opening to edge", label, float(outer.distance(shape)), edge, "mm", edge_source)
    web, web_source = limit_mm("web between openings", t)
    for index, (label, shape, _) in enumerate(openings):
        others = [(float(shape.distance(s)), other) for other, s, _ in openings[index + 1 :]]
        if others:
            gap, other = min(others)
            yield Finding(number, "web between openings", f"{label} to {other}", gap, web, "mm", web_source)
    if shop.sheet_mm is not None:
        yield from _size_findings(number, outer, shop.sheet_mm)


def _size_findings(number: str, outer: shapely.LinearRing, sheet_mm: tuple[float, float]) -> Iterator[Finding]:
    x0, y0, x1, y1 = outer.bounds
    source = Source("size of the shop's sheets or cutting table, as stated", "seen")
    for figure, most, name in zip(sorted((x1 - x0, y1 - y0)), sorted(sheet_mm), ("width", "length"), strict=True):
        yield Finding(number, "flat size", name, float(figure), most, "mm", source, "at most")


def _radius_findings(part: FoldedPlate) -> Iterator[Finding]:
    """Inside radius of every bend against the least that the material takes."""
    from layout.tables import material  # the tables are needed here only

    row = material(part.material)
    t = part.thickness_mm
    least = row.min_bend_radius_mm(t)
    source = next(band.source for band in row.radii if band.over_mm < t <= band.up_to_mm)
    for index, flange in enumerate(part.flanges, start=1):
        yield Finding(part.number, "least inside radius", f"bend {index}", flange.bend.inside_radius_mm, least, "mm", source)


def _bend_findings(part: FoldedPlate, flat: Flat, line: BendLine, shop: Shop) -> Iterator[Finding]:
    yield _leg_finding(part, line, shop)
    yield from _opening_findings(part, flat, line, shop)
    yield from _relief_findings(part, flat, line)
    if shop.press_length_mm is not None:
        source = Source("working length of the shop's press, as stated", "seen")
        at = f"bend {line.flange}"
        yield Finding(part.number, "bend length", at, line.length_mm, shop.press_length_mm, "mm", source, "at most")


def _leg_finding(part: FoldedPlate, line: BendLine, shop: Shop) -> Finding:
    """Least outside leg: the flange must reach over the die's shoulder.

    Figure: the shortest straight depth of the flange over the middle nine tenths of its width, and the bend's own outside
    setback (at most that of a right angle) on top.
    """
    t, ri = part.thickness_mm, line.inside_radius_mm
    depth = least_depth_mm(profile_of(part, line.flange), line.length_mm)
    setback = (ri + t) * min(1.0, math.tan(math.radians(line.angle_deg) / 2.0))
    if shop.least_leg_mm is not None:
        limit, source = shop.least_leg_mm, Source("least leg of the shop's press, as stated", "seen")
    else:
        limit = LEG_SHARE * die_opening_mm(t, shop)
        source = Source(
            "least outside leg 0.7 V: column b of an air bending force chart (0.69 to 0.73 V for V = 10 to 32 mm)", "seen"
        )
    return Finding(part.number, "least flange", f"flange {line.flange}", depth + setback, limit, "mm", source)


def least_depth_mm(profile: Profile, width_mm: float) -> float:
    """Least distance from the base edge (y = 0) to where the flange first ends, over the middle nine tenths of the width."""
    outline = shapely.Polygon(loop_points(profile.outline, 0.01))
    top = outline.bounds[3] + 1.0
    depths = []
    for x in np.linspace(0.05 * width_mm, 0.95 * width_mm, 37):
        inside = outline.intersection(shapely.LineString([(x, 0.0), (x, top)]))
        pieces = [p for p in shapely.get_parts(inside) if p.length > 0.0 and p.bounds[1] < 1e-6]
        depths.append(max((p.bounds[3] for p in pieces), default=0.0))
    return float(min(depths))


def room_to_bend_mm(
    thickness_mm: float, inside_radius_mm: float, is_round: bool, shop: Shop | None = None
) -> tuple[float, Source]:
    """Least distance in the flat from an opening's edge to the bend's middle line, with its source.

    Round holes: the larger of 2 t + Ri and V/2 - 1 mm; slots and cut-outs: of 3 t + Ri and V/2 + 1 mm.
    """
    limit, source = limit_mm("hole to bend" if is_round else "cut-out to bend", thickness_mm, inside_radius_mm)
    by_die = die_opening_mm(thickness_mm, shop) / 2.0 + (-1.0 if is_round else 1.0)
    if by_die <= limit:
        return limit, source
    text = f"opening to bend line at least V/2 {'-' if is_round else '+'} 1 mm: guide of a bending service"
    return by_die, Source(text, "seen")


def _opening_findings(part: FoldedPlate, flat: Flat, line: BendLine, shop: Shop) -> Iterator[Finding]:
    """Distance in the flat from every opening to the bend's middle line.

    Openings more than twice the limit away are left out, but for the nearest; so are holes made after bending.
    """
    segment = shapely.LineString([line.start_mm, line.end_mm])
    late = {f"{'slot' if h.slot_mm > 0.0 else 'hole'} {h.name}" for h in flat.profile.holes if h.after_bending}
    rows = []
    for label, shape, is_round in (o for o in _openings(flat.profile) if o[0] not in late):
        rule = "hole to bend" if is_round else "cut-out to bend"
        limit, source = room_to_bend_mm(flat.thickness_mm, line.inside_radius_mm, is_round, shop)
        rows.append(
            Finding(part.number, rule, f"{label} to bend {line.flange}", float(segment.distance(shape)), limit, "mm", source)
        )
    rows.sort(key=lambda f: f.figure - f.limit)
    yield from (f for i, f in enumerate(rows) if i == 0 or f.figure < 2.0 * f.limit)


def _relief_findings(part: FoldedPlate, flat: Flat, line: BendLine) -> Iterator[Finding]:
    """Metal beside each end of a bend, where it would tear: none may lie within t beyond the end, from t before the bend on.

    Figure: width free of metal beside the end, up to the limit.
    """
    t = flat.thickness_mm
    width, source = limit_mm("relief width", t)
    depth, _ = limit_mm("relief depth", t)
    start, end = np.array(line.start_mm), np.array(line.end_mm)
    along = (end - start) / line.length_mm
    out = np.array([-along[1], along[0]])  # away from the parent
    face = polygon(flat.profile, 0.01)
    for name, corner, away in (("start", start, -along), ("end", end, along)):
        near, far = corner - out * (line.allowance_mm / 2.0 + depth), corner + out * line.allowance_mm / 2.0
        strip = shapely.Polygon([near, near + away * width, far + away * width, far])
        metal = face.intersection(strip.buffer(-1e-4 * width))
        if metal.area <= 1e-3 * strip.area:
            free = width
        else:
            coords = shapely.get_coordinates(metal)
            free = max(0.0, float(((coords - corner) @ away).min()))
        at = f"bend {line.flange}, {name}"
        yield Finding(part.number, "bend relief", at, free, width, "mm", source)
