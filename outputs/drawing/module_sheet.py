"""Where the modules stand in the box: three views without walls, places, order of connection."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from layout.arrangement import PlacedModule
from layout.frames import DIRECTIONS, Array, Extent, bounding
from layout.space.removal import removal_words
from layout.stepped import outline_words, parts_of
from layout.study.assembly import module_blocks
from layout.study.study import Study
from outputs.drawing.block import Block, block_of
from outputs.drawing.compose import Draft, Panel
from outputs.drawing.dimensions import FIRST, arrow, horizontal, vertical
from outputs.drawing.figures import Figures
from outputs.drawing.formats import Scale
from outputs.drawing.hidden_lines import view_of
from outputs.drawing.ink import Ink, Line, Pen, Text
from outputs.drawing.letters import MIDDLE, SMALL
from outputs.drawing.places import Places
from outputs.drawing.projection import VEHICLE_SIDE, Angle
from outputs.drawing.tables import Table, notes
from outputs.drawing.three_views import Spot, axes_mark, stood_apart, three_spots
from outputs.written import file_stem
from shapes.build import located, solid_of

TITLES = ("Side, seen from the left", "Front", "Plan")
WIDTH = 162.0


def module_draft(study: Study, figures: Figures, angle: Angle) -> Draft:
    """The sheet of the modules before it is laid out, in the pack's axes."""
    inner = [e for e in study.arrangement.equipment if not e.outside and e.face]
    blocks = [
        *module_blocks(study),
        *(b for b, e in zip(study.equipment, study.arrangement.equipment, strict=False) if e in inner),
    ]
    solids = [located(solid_of(b), b.pose) for b in blocks]
    inside = study.arrangement.inside
    space = bounding([inside, *(m.extent for m in study.arrangement.modules)])
    axes = (VEHICLE_SIDE, VEHICLE_SIDE.seen_from("left"), VEHICLE_SIDE.seen_from("above"))
    drawn = [view_of(solids, a, hidden=False) for a in axes]

    def views(scale: Scale) -> Sequence[Block]:
        spots = three_spots(VEHICLE_SIDE, space, scale.ratio, angle, TITLES)
        out = [
            _view(study, spot, inks, inside, figures, k) for k, (spot, inks) in enumerate(zip(spots.all, drawn, strict=True))
        ]
        return [stood_apart(out, angle)]

    number = study.job.job.drawing_number
    return Draft(
        name=f"{file_stem(number)}-MODULES",
        title="Modules in the box",
        supplement="walls, floor and lid left out",
        part_number=f"{number}-MODULES",
        document_type="Assembly drawing",
        views=views,
        panels=_panels(study, figures),
        least_ratio=0.2,
        most_ratio=0.5,
        material="as bought",
        mass=figures.mass(sum(m.kind.mass_kg for m in study.arrangement.modules)),
    )


def _view(study: Study, spot: Spot, drawn: tuple[Ink, ...], inside: Extent, figures: Figures, number: int) -> Block:
    a, b = spot.put(inside.min_mm), spot.put(inside.max_mm)
    x0, x1, y0, y1 = *sorted((a[0], b[0])), *sorted((a[1], b[1]))
    mark = (spot.box[0] + 12.0, spot.box[3] + 13.0)
    inks: list[Ink] = [*spot.place(drawn), *_outline(spot, inside)]
    inks += [*axes_mark(spot, mark), Text((mark[0] + 14.0, mark[1]), spot.title, MIDDLE)]
    length, breadth, height = inside.size_mm
    say = figures.length
    if number == 0:
        inks.append(horizontal((x0, y0), (x1, y0), y0 - FIRST, length, say(length)))
        inks.append(vertical((x0, y0), (x0, y1), x0 - FIRST, height, say(height)))
    if number == 1:
        inks.append(horizontal((x0, y0), (x1, y0), y0 - FIRST, breadth, say(breadth)))
    inks += _names(study, spot, inks)
    return block_of(inks)


def _outline(spot: Spot, inside: Extent) -> list[Ink]:
    """What the inside covers in a view: a rectangle, or one with a step."""
    ends = [(spot.put(p.min_mm), spot.put(p.max_mm)) for p in parts_of(inside)]
    boxes = [shapely.box(min(a[0], b[0]), min(a[1], b[1]), max(a[0], b[0]), max(a[1], b[1])) for a, b in ends]
    around = shapely.unary_union(boxes).simplify(1e-6).exterior.coords
    return [Line(tuple((float(x), float(y)) for x, y in around), Pen.PHANTOM)]


def _names(study: Study, spot: Spot, drawn: Sequence[Ink]) -> list[Ink]:
    """Names of the modules that stand nearest to the viewer, each with an arrow to where its terminals look."""
    towards = np.array(spot.axes.towards)
    modules = sorted(study.arrangement.modules, key=lambda m: -float(np.array(m.extent.centre_mm) @ towards))
    places = Places(drawn)
    out: list[Ink] = []
    taken: list[tuple[float, float, float, float]] = []
    for m in modules:
        u, v = (np.sort(spot.axes.flat(m.extent.corners())[:, k])[[0, -1]] for k in (0, 1))
        box = (float(u[0]) + 1.0, float(v[0]) + 1.0, float(u[1]) - 1.0, float(v[1]) - 1.0)
        if any(box[0] < t[2] and t[0] < box[2] and box[1] < t[3] and t[1] < box[3] for t in taken):
            continue
        taken.append(box)
        centre, quarter = spot.put(m.extent.centre_mm), (box[2] - box[0]) * spot.ratio / 4.0
        shifts = (0.0, -quarter, quarter, -1.6 * quarter, 1.6 * quarter)
        middle = next(
            (
                p
                for p in ((centre[0] + d, centre[1]) for d in shifts)
                if places.free((p[0] - 6.0, p[1] - 4.0, p[0] + 6.0, p[1] + 4.0))
            ),
            centre,
        )
        named: list[Ink] = [Text((middle[0], middle[1] + 0.8), m.id, SMALL, "centre"), *_terminals(spot, m, middle)]
        places.take((middle[0] - 5.0, middle[1] - 3.0, middle[0] + 5.0, middle[1] + 4.0))
        out += named
    for equipment in study.equipment:
        if equipment.number in _inner_numbers(study):
            out += places.name(
                spot.put(equipment.pose.point(equipment.extent.centre_mm)), 0.3, equipment.number.rsplit("-", 1)[-1]
            )
    return out


def _inner_numbers(study: Study) -> set[str]:
    pairs = zip(study.equipment, study.arrangement.equipment, strict=False)
    return {b.number for b, e in pairs if not e.outside and e.face}


def _terminals(spot: Spot, module: PlacedModule, middle: tuple[float, float]) -> list[Ink]:
    along: Array = spot.axes.flat(DIRECTIONS[module.terminals])
    if float(np.abs(along).sum()) < 1e-6:
        return []
    start = (middle[0] - 4.0 * float(along[0]), middle[1] - 2.6 - 4.0 * float(along[1]))
    tip = (start[0] + 8.0 * float(along[0]), start[1] + 8.0 * float(along[1]))
    return [Line((start, tip), Pen.DIMENSION), arrow(tip, start)]


def _panels(study: Study, figures: Figures) -> tuple[Panel, ...]:
    low = np.array(study.arrangement.inside.min_mm)
    rows = []
    for m in study.arrangement.modules:
        x, y, z = (figures.length(float(v)) for v in np.array(m.extent.centre_mm) - low)
        rows.append((m.id, m.kind.name, x, y, z, m.up, m.terminals, figures.mass(m.kind.mass_kg)))
    head = ("Module", "Type", "x", "y", "z", "Up", "Terminals", "Mass")
    panels: list[Panel] = [Table(f"Modules ({len(rows)})", head, tuple(rows), frozenset({2, 3, 4, 7}), WIDTH)]
    inner = [b for b in study.equipment if b.number in _inner_numbers(study)]
    if inner:
        found = []
        for b in inner:
            x, y, z = (figures.length(float(v)) for v in b.pose.point(b.extent.centre_mm) - low)
            found.append((b.number, b.name, x, y, z, figures.mass(b.mass_kg or 0.0)))
        panels.append(
            Table("Equipment in the box", ("Part", "Name", "x", "y", "z", "Mass"), tuple(found), frozenset({2, 3, 4, 5}), WIDTH)
        )
    wiring = study.arrangement.wiring
    if wiring is not None:
        strings = tuple((str(k), " - ".join(s)) for k, s in enumerate(wiring.strings, start=1))
        title = "Series strings, from positive to negative"
        title = "Modules of the series strings in this box, from positive to negative" if study.neighbours else title
        panels.append(Table(title, ("String", "Order"), strings, frozenset(), WIDTH))
    order = study.fit.lifts[study.fit.number - 1] if len(study.fit.lifts) >= study.fit.number else ()
    lines = [
        "x, y, z: middle of the body, counted from the inner corner of least x, y, z between the walls and on the floor plate, "
        "pack axes. Dash-dotted: inside of the walls.",
        *([f"The inside is {outline}."] if (outline := outline_words(study.arrangement.inside)) else []),
        "Up: the module's own face that points up. Terminals: the direction its terminal face looks to; arrows show it.",
        *([f"Order in which they come out: {removal_words(order)}."] if order else []),
        *study.neighbours,
        "High voltage: live at rest. Insulated tools and gloves, terminals covered until the last link; links last.",
    ]
    return (*panels, notes("Notes", lines, WIDTH))
