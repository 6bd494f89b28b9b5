"""Sheets of an assembly: three views with overall sizes and an oblique one with balloons; another with every weld."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from layout.design import Assembly, Hardware, Part, Plate
from layout.frames import Array, Extent, Pose, Vec3, vec3
from layout.study.hulls import body_of
from layout.study.study import Study
from outputs.drawing.assembly_tables import Item, assembly_panels, items_of, weld_panels
from outputs.drawing.block import Block, block_of, joined
from outputs.drawing.bodies import Scene, scene_of
from outputs.drawing.bolt_marks import bolt_marks
from outputs.drawing.callouts import Callout, Seam, balloons, weld_symbols
from outputs.drawing.compose import CLEAR, Draft
from outputs.drawing.dimensions import FIRST, horizontal, vertical
from outputs.drawing.figures import Figures
from outputs.drawing.formats import Scale
from outputs.drawing.ink import Ink, Line, Pen, Point, Text, extent, moved
from outputs.drawing.letters import MIDDLE
from outputs.drawing.oblique import OBLIQUE, Shown, chosen_views
from outputs.drawing.projection import VEHICLE_SIDE, Angle
from outputs.drawing.sight import slabs_of, surface_points
from outputs.drawing.three_views import axes_mark, stood_apart, three_spots
from outputs.written import file_stem

CLEARLY = 0.25
"""Share of a weld that a view has to show before it is preferred for naming it."""
TITLES = ("Side, seen from the left", "Front", "Plan")

MOST_FASTENERS = 16
"""With more of them, fasteners are shown by their centre lines."""


class Oblique:
    """Oblique views of some bodies, each worked out when first asked for."""

    def __init__(self, scene: Scene) -> None:
        self.scene = scene
        self.done: dict[int, tuple[Ink, ...]] = {}

    def inks(self, number: int) -> tuple[Ink, ...]:
        """Lines of a view, mm of the model."""
        if number not in self.done:
            self.done[number] = self.scene.view(OBLIQUE[number][1])
        return self.done[number]


def assembly_drafts(study: Study, assembly: Assembly, figures: Figures, angle: Angle) -> list[Draft]:
    """Sheets of one assembly, in the pack's axes."""
    few = len(assembly.hardware) <= MOST_FASTENERS
    drawn = assembly if few else replace(assembly, hardware=())
    oblique = Oblique(scene_of(drawn))
    drafts = [_views_draft(study, assembly, oblique, figures, angle)]
    if assembly.welds:
        welded = welded_only(assembly)
        drafts.append(_weld_draft(welded, Oblique(scene_of(welded)), figures))
    return drafts


def welded_only(assembly: Assembly) -> Assembly:
    """The assembly as the welder has it: no fasteners, no liners or gaskets, nothing that no weld joins."""
    joined_numbers = {number for w in assembly.welds for number in w.joins}
    return replace(assembly, parts=tuple(p for p in assembly.parts if p.number in joined_numbers), hardware=(), children=())


def assembly_extent(assembly: Assembly) -> Extent:
    """What the parts take, fasteners left out, in the assembly's own axes."""
    points = np.concatenate([_points(p) for p in assembly.parts])
    return Extent(vec3(points.min(axis=0)), vec3(points.max(axis=0)))


def _points(part: Part) -> Array:
    return np.concatenate([p.triangles_mm.reshape(-1, 3) for p in body_of(part, Pose()).pieces])


def _views_draft(study: Study, assembly: Assembly, oblique: Oblique, figures: Figures, angle: Angle) -> Draft:
    items = items_of(assembly, study.job)
    space = assembly_extent(assembly)
    axes = (VEHICLE_SIDE, VEHICLE_SIDE.seen_from("left"), VEHICLE_SIDE.seen_from("above"))
    flat = [oblique.scene.view(a) for a in axes]
    calls = chosen_views(_item_samples(items), [s for p in assembly.parts for s in slabs_of(p)], 0.02)
    bolts = assembly.hardware if len(assembly.hardware) > MOST_FASTENERS else ()

    def views(scale: Scale) -> Sequence[Block]:
        square = _square_views(space, flat, bolts, scale.ratio, angle, figures)
        slanted = [_ballooned(oblique, k, c, scale.ratio) for k, c in enumerate(calls) if c]
        return _ways(square, slanted)

    return Draft(
        name=file_stem(assembly.name),
        title=_title(assembly.name),
        supplement="assembly",
        part_number=assembly.name,
        document_type="Assembly drawing",
        views=views,
        panels=assembly_panels(study, assembly, items, space, figures),
        least_ratio=0.2,
        most_ratio=0.5,
        material="see parts list",
        finish="see parts list",
        mass=figures.mass(sum(i.mass_kg * i.quantity for i in items)),
    )


def _title(name: str) -> str:
    ending = name.rsplit("-", 1)[-1]
    known = {"BOX": "Box", "LID": "Lid with gasket", "ASSY": "Bracket"}
    return known.get(ending, ending.capitalize())


def _ways(square: Block, slanted: Sequence[Block]) -> list[Block]:
    """The three views, then the oblique ones, in rows of any length, and the oblique ones in columns at the right."""
    out = []
    if slanted:
        for columns in range(1, len(slanted) + 1):
            grid = _grid(slanted, columns)
            out.append(joined([square, grid.shifted((square.box[2] + CLEAR - grid.box[0], square.box[3] - grid.box[3]))]))
    blocks = [square, *slanted]
    cuts = range(1, len(blocks))
    for count in range(len(blocks)):
        for at in itertools.combinations(cuts, count):
            ends = (0, *at, len(blocks))
            out.append(_rows([blocks[a:b] for a, b in itertools.pairwise(ends)]))
    return out


def _rows(rows: Sequence[Sequence[Block]]) -> Block:
    """Blocks side by side in rows, row below row."""
    out, top = [], 0.0
    for row in rows:
        x = 0.0
        for block in row:
            out.append(block.shifted((x - block.box[0], top - block.box[3])))
            x += block.width + CLEAR
        top -= max(b.height for b in row) + CLEAR
    return joined(out)


def _square_views(
    space: Extent, flat: Sequence[tuple[Ink, ...]], bolts: Sequence[Hardware], ratio: float, angle: Angle, figures: Figures
) -> Block:
    spots = three_spots(VEHICLE_SIDE, space, ratio, angle, TITLES)
    low, high = np.array(space.min_mm), np.array(space.max_mm)
    size = [float(v) for v in high - low]
    say = figures.length
    blocks = []
    for k, (spot, drawn) in enumerate(zip(spots.all, flat, strict=True)):
        x0, y0, x1, y1 = spot.box
        mark = (x0 + 12.0, y1 + 13.0)
        inks: list[Ink] = [*spot.place(drawn), *axes_mark(spot, mark), Text((x0 + 26.0, mark[1]), spot.title, MIDDLE)]
        inks += bolt_marks(bolts, Pose(), spot)
        if k == 0:
            inks.append(horizontal((x0, y0), (x1, y0), y0 - FIRST, size[0], say(size[0])))
            inks.append(vertical((x0, y0), (x0, y1), x0 - FIRST, size[2], say(size[2])))
        if k == 1:
            inks.append(horizontal((x0, y0), (x1, y0), y0 - FIRST, size[1], say(size[1])))
        blocks.append(block_of(inks))
    return stood_apart(blocks, angle)


def _item_samples(items: Sequence[Item]) -> dict[str, Array]:
    """Points on the surfaces of the bodies of each item; for fasteners on top of the head."""
    out = {}
    for item in items:
        if item.parts:
            out[str(item.number)] = np.concatenate([surface_points(p) for p in item.parts])
        elif item.bolts:
            out[str(item.number)] = np.array([np.array(b.head_mm) - 6.0 * np.array(b.axis) for b in item.bolts[:6]])
    return out


def _placed(oblique: Oblique, number: int, ratio: float) -> tuple[list[Ink], Callable[[Vec3], Point]]:
    drawn, axes = oblique.inks(number), OBLIQUE[number][1]
    x0, y0, _, _ = extent(drawn)
    by = (-x0 * ratio, -y0 * ratio)

    def put(point: Vec3) -> Point:
        u, v = axes.flat(point)
        return (float(u) * ratio + by[0], float(v) * ratio + by[1])

    return [moved(i, ratio, by) for i in drawn], put


def _ballooned(oblique: Oblique, number: int, calls: dict[str, Shown], ratio: float) -> Block:
    inks, put = _placed(oblique, number, ratio)
    box = extent(inks)
    inks += balloons([Callout(put(p), text, hidden) for text, (p, hidden) in calls.items()], box)
    return _headed(inks, OBLIQUE[number][0])


def _headed(inks: Sequence[Ink], title: str) -> Block:
    block = block_of(inks)
    x = (block.box[0] + block.box[2]) / 2.0
    return block_of([*inks, Text((x, block.box[3] + 4.0), title, MIDDLE, "centre")])


def _weld_draft(assembly: Assembly, oblique: Oblique, figures: Figures) -> Draft:
    slabs = [s for p in assembly.parts for s in slabs_of(p)]
    where = chosen_views(_weld_samples(assembly), slabs, CLEARLY)

    def views(scale: Scale) -> Sequence[Block]:
        blocks = [_welded(assembly, oblique, k, w, scale.ratio, figures) for k, w in enumerate(where) if w]
        return [_grid(blocks, columns) for columns in range(1, len(blocks) + 1)]

    return Draft(
        name=f"{file_stem(assembly.name)}-WELDS",
        title=f"{_title(assembly.name)}: welds",
        supplement="welds, symbols by ISO 2553 system A",
        part_number=assembly.name,
        document_type="Welding drawing",
        views=views,
        panels=weld_panels(assembly, figures),
        least_ratio=0.2,
        most_ratio=0.5,
        material="see parts list",
        mass="",
    )


def _grid(blocks: Sequence[Block], columns: int) -> Block:
    """Blocks in rows of so many."""
    rows = [blocks[k : k + columns] for k in range(0, len(blocks), columns)]
    wide = [max(b.width for b in blocks[k::columns]) for k in range(columns)]
    out, top = [], 0.0
    for row in rows:
        x = 0.0
        for block, width in zip(row, wide, strict=False):
            out.append(block.shifted((x - block.box[0], top - block.box[3])))
            x += width + CLEAR
        top -= max(b.height for b in row) + CLEAR
    return joined(out)


def _weld_samples(assembly: Assembly) -> dict[str, Array]:
    """Points along each weld; where the path runs in the middle of a plate that is welded on both sides, beside its faces."""
    out = {}
    plates = {p.number: p for p in assembly.parts if isinstance(p, Plate)}
    for weld in assembly.welds:
        points = _along(weld.path_mm)
        plate = plates.get(weld.joins[0])
        if weld.kind == "double fillet" and plate is not None:
            beside = plate.pose.vector((0.0, 0.0, plate.thickness_mm / 2.0 + 1.0))
            points = np.concatenate([points + beside, points - beside])
        out[weld.number] = points
    return out


def _along(path: Sequence[Vec3]) -> Array:
    """Nine points on each piece of a path, its ends left out."""
    shares = np.linspace(0.1, 0.9, 9)[:, None]
    return np.concatenate([np.array(a) + shares * (np.array(b) - np.array(a)) for a, b in itertools.pairwise(path)])


def _welded(
    assembly: Assembly, oblique: Oblique, number: int, shown: dict[str, Shown], ratio: float, figures: Figures
) -> Block:
    inks, put = _placed(oblique, number, ratio)
    box = extent(inks)
    seams = []
    for weld in assembly.welds:
        if weld.number not in shown:
            continue
        point, hidden = shown[weld.number]
        inks.append(Line(tuple(put(p) for p in weld.path_mm), Pen.HIDDEN if hidden else Pen.WELD))
        short = weld.number.rsplit("-", 1)[-1]
        throat, length = f"a{figures.length(weld.throat_mm)}", figures.length(weld.length_mm)
        seams.append(Seam(put(point), short, weld.kind, throat, length, hidden))
    inks += weld_symbols(seams, box)
    return _headed(inks, OBLIQUE[number][0])
