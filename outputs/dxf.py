"""Flat patterns as DXF: one file per plate from the very profile that makes the solid, audited and read back."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import shapely

from layout.design.bevels import wedges
from layout.design.flat import Flat, develop
from layout.design.geometry import loop_extent_mm, polygon, require_valid
from layout.design.parts import FoldedPlate, Plate
from outputs.dxf_document import BEND_DOWN, BEND_UP, CUT, MARK, add_profile, add_strokes, new_document, save, stamp
from outputs.dxf_reading import compare_flat
from outputs.strokes import Stroke, strokes, text_width_mm
from outputs.written import Written, plain_ascii, sha256_of

MARK_HEIGHTS_MM = (8.0, 6.0, 5.0, 4.0, 3.0)
MARK_CLEAR_MM = 2.0


@dataclass(frozen=True, slots=True)
class FlatMeta:
    """What goes into the file beside the geometry. date: text as given; job: title; quantity: pieces wanted."""

    job: str = ""
    date: str = ""
    quantity: int = 1


def flat_of(part: Plate | FoldedPlate) -> Flat:
    """Flat pattern of a folded part, or a plate as it is. Raises DesignError where it cannot be developed or cut."""
    if isinstance(part, FoldedPlate):
        return develop(part)
    require_valid(part.profile, part.number)
    return Flat(part.profile, (), part.thickness_mm)


def write_flat(path: Path, part: Plate | FoldedPlate, meta: FlatMeta | None = None) -> Written:
    """Write one flat pattern, drawn as seen from the part's +z side, read it back and compare. Raises ExportError.

    Cuts are drawn at their nominal place: the width of the beam is the cutting program's to allow for (common practice).

    The part number is drawn in single strokes, not as text: cutting programs replace or drop text whose font they lack.
    Where no place is free for it, it stands in the file's custom properties only, as it does in any case, with material,
    thickness and bends.
    """
    flat = flat_of(part)
    document = new_document((CUT, BEND_UP, BEND_DOWN, MARK))
    stamp(document, _facts(part, flat, meta or FlatMeta()))
    space = document.modelspace()
    add_profile(space, flat.profile)
    for line in flat.bend_lines:
        space.add_line(line.start_mm, line.end_mm, dxfattribs={"layer": BEND_UP if line.direction == "up" else BEND_DOWN})
    add_strokes(space, mark_strokes(flat, part.number), MARK)
    save(document, path, loop_extent_mm(flat.profile.outline))
    compare_flat(path, flat)
    return Written(path, sha256_of(path), True)


def _facts(part: Plate | FoldedPlate, flat: Flat, meta: FlatMeta) -> dict[str, str]:
    facts = {
        "PART": part.number,
        "NAME": part.name,
        "MATERIAL": part.material,
        "THICKNESS MM": f"{part.thickness_mm:g}",
        "QUANTITY": str(meta.quantity),
        "JOB": meta.job,
        "DATE": meta.date,
    }
    tapped = (h for h in flat.profile.holes if h.fastener.endswith("thread"))
    for number, hole in enumerate(tapped, start=1):
        x, y = hole.centre_mm
        facts[f"TAP {number}"] = f"{hole.fastener} in the {hole.diameter_mm:g} mm hole at {x:.3f}, {y:.3f} ({hole.name})"
    for number, hole in enumerate((h for h in flat.profile.holes if h.after_bending), start=1):
        where = " and ".join(f"{x:.3f}, {y:.3f}" for x, y in hole.ends_mm)
        kind = "mill a slot between holes" if hole.slot_mm > 0.0 else "drill"
        facts[f"AFTER BENDING {number}"] = f"{kind} of {hole.diameter_mm:g} mm at the cross {where} ({hole.name})"
    for number, wedge in enumerate(wedges(part) if isinstance(part, Plate) else (), start=1):
        (ax, ay), (bx, by) = wedge.start_mm, wedge.end_mm
        facts[f"CHAMFER {number}"] = (
            f"{wedge.leg_mm:g} mm x 45 deg on the far side, along the edge from {ax:.3f}, {ay:.3f} to {bx:.3f}, {by:.3f}"
        )
    for number, line in enumerate(flat.bend_lines, start=1):
        facts[f"BEND {number}"] = (
            f"{line.direction} {line.angle_deg:g} deg, inside radius {line.inside_radius_mm:g} mm, "
            f"K {line.k_factor:.4g}, allowance {line.allowance_mm:.3f} mm, width {line.length_mm:.3f} mm"
        )
    return facts


def mark_strokes(flat: Flat, text: str) -> list[Stroke]:
    """Strokes of the part number in a free place of the flat: largest letters first, lower left first, along x, else along y.

    Empty where no place clears every edge by 2 mm and every bend by its allowance.
    """
    label = plain_ascii(text)
    free = polygon(flat.profile, 0.1).buffer(-MARK_CLEAR_MM, join_style="mitre")
    for line in flat.bend_lines:
        free = free.difference(shapely.LineString([line.start_mm, line.end_mm]).buffer(line.allowance_mm / 2.0 + MARK_CLEAR_MM))
    if free.is_empty:
        return []
    shapely.prepare(free)
    for height in MARK_HEIGHTS_MM:
        width = text_width_mm(label, height)
        for w, h, upright in ((width, height, False), (height, width, True)):
            place = _free_place(free, w, h)
            if place is not None:
                return _placed_strokes(label, height, place, upright)
    return []


def _placed_strokes(label: str, height: float, place: tuple[float, float], upright: bool) -> list[Stroke]:
    x, y = place
    if not upright:
        return strokes(label, height, place)
    turned = strokes(label, height)
    return [tuple((x + height - v, y + u) for u, v in chain) for chain in turned]


def _free_place(free: shapely.Geometry, width: float, height: float) -> tuple[float, float] | None:
    """Lower left corner of the first free rectangle of a size, tried on a grid of 6 by 6 places, then of up to 40 by 40."""
    x0, y0, x1, y1 = free.bounds
    if x1 - x0 < width or y1 - y0 < height:
        return None
    return _on_grid(free, width, height, 6) or _on_grid(free, width, height, 40)


def _on_grid(free: shapely.Geometry, width: float, height: float, places: int) -> tuple[float, float] | None:
    x0, y0, x1, y1 = free.bounds
    nx, ny = (1 + min(places - 1, int(span / 2.0)) for span in (x1 - x0 - width, y1 - y0 - height))
    corners = [
        (x0 + (x1 - x0 - width) * i / max(nx - 1, 1), y0 + (y1 - y0 - height) * j / max(ny - 1, 1))
        for j in range(ny)
        for i in range(nx)
    ]
    boxes = shapely.box(*zip(*((x, y, x + width, y + height) for x, y in corners), strict=True))
    inside = shapely.contains(free, boxes)
    return next((corner for corner, ok in zip(corners, inside, strict=True) if ok), None)
