"""One sheet for each distinct part: plates from their profile, folded parts formed and flat, plain sheets by their size."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

from layout.box.finish import NONE_STATED, NOT_FINISHED
from layout.box.soft import density_kg_m3
from layout.design import Block as Body
from layout.design import FoldedPlate, Plate
from layout.design.bent_places import from_other_leg_mm
from layout.design.flat import Flat, develop
from layout.design.geometry import loop_extent_mm
from layout.design.mass import body_mass
from outputs.drawing.bend_radii import radius_inks
from outputs.drawing.block import Block, block_of, joined
from outputs.drawing.compose import CLEAR, Draft, Panel
from outputs.drawing.dimensions import FIRST, horizontal, vertical
from outputs.drawing.distinct import Distinct, number_ranges, own_name
from outputs.drawing.figures import Figures, trimmed
from outputs.drawing.flat_view import FlatView, flat_block
from outputs.drawing.formats import Scale
from outputs.drawing.hidden_lines import view_of
from outputs.drawing.ink import Ink, Pen, Point, Text, extent, moved, rectangle
from outputs.drawing.letters import width
from outputs.drawing.part_notes import bend_table, block_notes, cutout_table, flat_notes, hole_table, tapped_table
from outputs.drawing.projection import FACE, Angle, Side, ViewAxes, seen_from_of
from outputs.drawing.tables import notes
from outputs.written import file_stem
from shapes.build import solid_of

TELLING = 9.0
"""Least distance on paper between neighbouring holes."""
SIGHT = 90.0
"""Least size on paper of a part's longest side."""


def part_draft(item: Distinct, figures: Figures, angle: Angle, finish: str = NONE_STATED) -> Draft:
    """The sheet of a part before it is laid out. finish: in words. Raises DesignError where a fold cannot be developed."""
    part = item.part
    if isinstance(part, Body):
        return replace(_body_draft(item, part, figures), finish=NOT_FINISHED)
    flat = develop(part) if isinstance(part, FoldedPlate) else Flat(part.profile, (), part.thickness_mm)
    names = tuple(own_name(h, part.number) for h in flat.profile.holes)
    view = FlatView(flat, names, tuple(f"C{k + 1}" for k in range(len(flat.profile.cutouts))), figures)
    panels: list[Panel] = []
    if flat.profile.holes:
        bent = from_other_leg_mm(part) if isinstance(part, FoldedPlate) else None
        panels.append(hole_table(flat.profile.holes, part.number, view.datum, figures, bent))
    if flat.profile.cutouts:
        panels.append(cutout_table(flat.profile.cutouts, view.datum, figures))
    if isinstance(part, Plate) and part.tapped:
        panels.append(tapped_table(part, view.datum, figures))
    if flat.bend_lines:
        panels.append(bend_table(flat, view.datum, figures))
    panels.append(notes("Notes", flat_notes(part, flat, item.quantity, item.numbers, finish), 172.0))
    views = _folded_views(part, view, angle) if isinstance(part, FoldedPlate) else _plate_views(part, view, angle)
    x0, y0, x1, y1 = loop_extent_mm(flat.profile.outline)
    least = _least_ratio(flat, max(x1 - x0, y1 - y0))
    return replace(_draft(item, figures, views, tuple(panels), least), rough_mm=(x1 - x0, y1 - y0), finish=finish)


def _draft(
    item: Distinct, figures: Figures, views: Callable[[Scale], Sequence[Block]], panels: tuple[Panel, ...], least: float
) -> Draft:
    part = item.part
    thickness = min(part.extent.size_mm) if isinstance(part, Body) else part.thickness_mm
    return Draft(
        name=file_stem(part.number),
        title=item.name,
        supplement=f"{item.quantity} off" + (f": {number_ranges(item.numbers)}" if len(item.numbers) > 1 else ""),
        part_number=part.number,
        document_type="Part drawing",
        views=views,
        panels=panels,
        least_ratio=least,
        material=f"{part.material or 'as bought'}, {trimmed(thickness)} mm",
        mass=figures.mass(body_mass(part, density_kg_m3).mass_kg),
    )


def _least_ratio(flat: Flat, longest: float) -> float:
    """The scale at which neighbouring holes and the part itself are still good to see."""
    centres = sorted(h.centre_mm for h in flat.profile.holes)
    gaps = [math.dist(a, b) for k, a in enumerate(centres) for b in centres[k + 1 : k + 40]]
    return min(1.0, max(TELLING / min(gaps, default=1e9), SIGHT / longest))


def _plate_views(part: Plate, view: FlatView, angle: Angle) -> Callable[[Scale], Sequence[Block]]:
    """The face, and the edge beside it at the right."""
    solid = solid_of(part)
    axes = FACE.seen_from(seen_from_of(angle, "right"))
    edge = view_of([solid], axes, hidden=False)

    def views(scale: Scale) -> Sequence[Block]:
        face = flat_block(view, scale.ratio)
        x0, _y0, x1, _ = extent(edge)
        size = loop_extent_mm(view.flat.profile.outline)
        gap = max(face.box[2], (size[2] - size[0]) * scale.ratio) + 14.0
        by = (gap - x0 * scale.ratio, -size[1] * scale.ratio)
        side = [moved(i, scale.ratio, by) for i in edge]
        top = (size[3] - size[1]) * scale.ratio
        a, b = (gap, top), (gap + (x1 - x0) * scale.ratio, top)
        thick = horizontal(a, b, top + FIRST, part.thickness_mm, view.figures.length(x1 - x0))
        return [joined([face, block_of([*side, thick])])]

    return views


def _folded_views(part: FoldedPlate, view: FlatView, angle: Angle) -> Callable[[Scale], Sequence[Block]]:
    """The formed part in three views that stand by the rule, and the flat pattern above them or at their left."""
    solid = solid_of(part)
    spots: tuple[Side, ...] = ("right", "below")
    axes: dict[str, ViewAxes] = {"main": FACE, **{s: FACE.seen_from(seen_from_of(angle, s)) for s in spots}}
    drawn = {k: view_of([solid], a) for k, a in axes.items()}

    def views(scale: Scale) -> Sequence[Block]:
        flat = _titled(flat_block(view, scale.ratio), "Flat pattern")
        formed = _titled(_formed_block(part, axes, drawn, scale.ratio, view.figures), "Formed")
        above = joined([formed, flat.shifted((formed.box[0] - flat.box[0], formed.box[3] + CLEAR - flat.box[1]))])
        beside = joined([formed, flat.shifted((formed.box[0] - CLEAR - flat.box[2], formed.box[3] - flat.box[3]))])
        return [above, beside]

    return views


def _titled(block: Block, title: str) -> Block:
    """A block with its name above it."""
    x0, y0, x1, y1 = block.box
    text = Text(((x0 + x1) / 2.0, y1 + 4.0), title, 3.5, "centre")
    return Block((*block.inks, text), (x0, y0, max(x1, x0 + width(title, 3.5)), y1 + 9.0))


def _formed_block(
    part: FoldedPlate, axes: dict[str, ViewAxes], drawn: dict[str, tuple[Ink, ...]], ratio: float, figures: Figures
) -> Block:
    """Main view with the views that stand to its right and below it, each with its overall sizes and its bend radii."""
    boxes = {k: extent(v) for k, v in drawn.items()}
    mx0, my0, mx1, my1 = (v * ratio for v in boxes["main"])
    gap = FIRST + 12.0
    # what stands at the right shares the heights, what stands below shares the widths
    rx0, _, rx1, _ = (v * ratio for v in boxes["right"])
    _, by0, _, by1 = (v * ratio for v in boxes["below"])
    by: dict[str, Point] = {"main": (0.0, 0.0), "right": (mx1 + gap - rx0, 0.0), "below": (0.0, my0 - gap - by1)}
    inks: list[Ink] = [moved(i, ratio, by[k]) for k, found in drawn.items() for i in found]
    say = figures.length
    long, high = boxes["main"][2] - boxes["main"][0], boxes["main"][3] - boxes["main"][1]
    deep = boxes["right"][2] - boxes["right"][0]
    foot = by0 + by["below"][1]
    inks.append(horizontal((mx0, foot), (mx1, foot), foot - FIRST, long, say(long)))
    inks.append(vertical((mx0, my0), (mx0, my1), mx0 - FIRST, high, say(high)))
    top, right = boxes["right"][3] * ratio, by["right"][0]
    inks.append(horizontal((rx0 + right, top), (rx1 + right, top), top + FIRST, deep, say(deep)))
    for name, place in by.items():
        inks += radius_inks(part, axes[name], ratio, place, inks, figures)
    return block_of(inks)


def _body_draft(item: Distinct, part: Body, figures: Figures) -> Draft:
    """A rectangular sheet: its two long sides in the view, its thickness beside it."""
    size = part.extent.size_mm
    order = sorted(range(3), key=lambda i: (-size[i], i))
    long, high, thin = (size[i] for i in order)

    def views(scale: Scale) -> Sequence[Block]:
        w, h, t = long * scale.ratio, high * scale.ratio, thin * scale.ratio
        face = [rectangle((0.0, 0.0, w, h), Pen.VISIBLE), rectangle((w + 14.0, 0.0, w + 14.0 + t, h), Pen.VISIBLE)]
        dims = [
            horizontal((0.0, 0.0), (w, 0.0), -FIRST, long, figures.length(long)),
            vertical((0.0, 0.0), (0.0, h), -FIRST, high, figures.length(high)),
            horizontal((w + 14.0, h), (w + 14.0 + t, h), h + FIRST, thin, figures.length(thin)),
        ]
        return [block_of([*face, *dims])]

    panel = notes("Notes", block_notes(part, item.quantity, item.numbers), 172.0)
    return _draft(item, figures, views, (panel,), SIGHT / long)
