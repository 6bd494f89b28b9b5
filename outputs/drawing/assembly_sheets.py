"""Sheets of an assembly: three views with overall sizes and an oblique one with balloons; another with every weld."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from layout.design import Assembly, Part
from layout.frames import Array, Extent, Vec3, vec3
from layout.study.hulls import body_of
from layout.study.study import Study
from outputs.drawing.assembly_tables import Item, assembly_panels, items_of, weld_panels
from outputs.drawing.block import Block, block_of, joined
from outputs.drawing.callouts import Callout, Seam, balloons, weld_symbols
from outputs.drawing.compose import CLEAR, Draft
from outputs.drawing.dimensions import FIRST, horizontal, vertical
from outputs.drawing.figures import Figures
from outputs.drawing.formats import Scale
from outputs.drawing.hidden_lines import view_of
from outputs.drawing.ink import Ink, Line, Pen, Point, Text, extent, moved
from outputs.drawing.letters import MIDDLE
from outputs.drawing.projection import VEHICLE_SIDE, Angle, ViewAxes, isometric
from outputs.drawing.sight import STAND_OFF_MM, Slab, seen, seen_point, slabs_of
from outputs.drawing.three_views import axes_mark, three_spots
from outputs.written import file_stem
from layout.frames import Pose
from shapes.assembly import tree_of
from shapes.build import located

GAPS = (20.0, 20.0)
OBLIQUE = (("seen from front, left, above", isometric(1, 1, 1)), ("seen from rear, right, below", isometric(-1, -1, -1)))
TITLES = ("Side, seen from the left", "Front", "Plan")


@dataclass(frozen=True)
class Seen:
    """An oblique view in mm of the model, with its slabs for asking what is visible."""

    title: str
    axes: ViewAxes
    inks: tuple[Ink, ...]


def assembly_drafts(study: Study, assembly: Assembly, figures: Figures, angle: Angle) -> list[Draft]:
    """Sheets of one assembly, in the pack's axes."""
    solids = [located(leaf.product.solid, pose) for leaf, pose in tree_of(assembly).all_leaves()]
    oblique = [Seen(title, axes, view_of(solids, axes, hidden=False)) for title, axes in OBLIQUE]
    drafts = [_views_draft(study, assembly, solids, oblique, figures, angle)]
    if assembly.welds:
        drafts.append(_weld_draft(study, assembly, oblique, figures))
    return drafts


def assembly_extent(assembly: Assembly) -> Extent:
    """What the parts take, fasteners left out, in the assembly's own axes."""
    points = np.concatenate([_points(p) for p in assembly.parts])
    return Extent(vec3(points.min(axis=0)), vec3(points.max(axis=0)))


def _points(part: Part) -> Array:
    return np.concatenate([p.triangles_mm.reshape(-1, 3) for p in body_of(part, Pose()).pieces])


def part_extent(part: Part) -> Extent:
    """What one part takes, in the assembly's own axes."""
    points = _points(part)
    return Extent(vec3(points.min(axis=0)), vec3(points.max(axis=0)))


def _views_draft(
    study: Study, assembly: Assembly, solids: Sequence[object], oblique: Sequence[Seen], figures: Figures, angle: Angle
) -> Draft:
    items = items_of(assembly)
    space = assembly_extent(assembly)
    axes = (VEHICLE_SIDE, VEHICLE_SIDE.seen_from("left"), VEHICLE_SIDE.seen_from("above"))
    flat = [view_of(solids, a, hidden=False) for a in axes]  # type: ignore[arg-type]
    calls = _callouts(assembly, items, oblique)

    def views(scale: Scale) -> Sequence[Block]:
        square = _square_views(space, flat, scale.ratio, angle, figures)
        slanted = [_ballooned(o, c, scale.ratio) for o, c in zip(oblique, calls, strict=True) if c]
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
        mass=figures.mass(sum(i.mass_kg * i.quantity for i in items)),
    )


def _title(name: str) -> str:
    ending = name.rsplit("-", 1)[-1]
    known = {"BOX": "Box", "LID": "Lid with gasket", "ASSY": "Bracket"}
    return known.get(ending, ending.capitalize())


def _ways(square: Block, slanted: Sequence[Block]) -> list[Block]:
    """Oblique views at the right of the three views, one above the other; or in a row above or below them."""
    column = [square]
    x, y = square.box[2] + CLEAR, square.box[3]
    for block in slanted:
        column.append(block.shifted((x - block.box[0], y - block.box[3])))
        y -= block.height + CLEAR
    row = [square]
    x, y = square.box[0], square.box[1] - CLEAR
    for block in slanted:
        row.append(block.shifted((x - block.box[0], y - block.box[3])))
        x += block.width + CLEAR
    line = [square]
    x, y = square.box[2] + CLEAR, square.box[3]
    for block in slanted:
        line.append(block.shifted((x - block.box[0], y - block.box[3])))
        x += block.width + CLEAR
    return [joined(column), joined(row), joined(line)]


def _square_views(space: Extent, flat: Sequence[tuple[Ink, ...]], ratio: float, angle: Angle, figures: Figures) -> Block:
    spots = three_spots(VEHICLE_SIDE, space, ratio, angle, (GAPS[0] + 8.0, GAPS[1] + 8.0), TITLES)
    low, high = np.array(space.min_mm), np.array(space.max_mm)
    size = [float(v) for v in high - low]
    say = figures.length
    blocks = []
    for k, (spot, drawn) in enumerate(zip(spots.all, flat, strict=True)):
        x0, y0, x1, y1 = spot.box
        inks: list[Ink] = [*spot.place(drawn), *axes_mark(spot, (x0 + 12.0, y1 + 9.0)), Text((x0 + 26.0, y1 + 9.0), spot.title, MIDDLE)]
        if k == 0:
            inks.append(horizontal((x0, y0), (x1, y0), y0 - FIRST, size[0], say(size[0])))
            inks.append(vertical((x0, y0), (x0, y1), x0 - FIRST, size[2], say(size[2])))
        if k == 1:
            inks.append(horizontal((x0, y0), (x1, y0), y0 - FIRST, size[1], say(size[1])))
        blocks.append(block_of(inks))
    return joined(blocks)


def _callouts(assembly: Assembly, items: Sequence[Item], oblique: Sequence[Seen]) -> list[list[tuple[Vec3, str, bool]]]:
    """For each oblique view: the points its balloons point at. Every item once, in the first view that shows one of its parts."""
    slabs = [s for p in assembly.parts for s in slabs_of(p)]
    out: list[list[tuple[Vec3, str, bool]]] = [[] for _ in oblique]
    for item in items:
        if not item.parts:
            continue
        for k, view in enumerate(oblique):
            point = next((p for part in item.parts if (p := seen_point(part, view.axes.towards, slabs)) is not None), None)
            if point is not None:
                out[k].append((point, str(item.number), False))
                break
        else:
            middle = part_extent(item.parts[0]).centre_mm
            out[0].append((middle, str(item.number), True))
    return out


def _placed(view: Seen, ratio: float) -> tuple[list[Ink], Callable[[Vec3], Point]]:
    x0, y0, _, _ = extent(view.inks)
    by = (-x0 * ratio, -y0 * ratio)

    def put(point: Vec3) -> Point:
        u, v = view.axes.flat(point)
        return (float(u) * ratio + by[0], float(v) * ratio + by[1])

    return [moved(i, ratio, by) for i in view.inks], put


def _ballooned(view: Seen, calls: Sequence[tuple[Vec3, str, bool]], ratio: float) -> Block:
    inks, put = _placed(view, ratio)
    box = extent(inks)
    inks += balloons([Callout(put(p), text, hidden) for p, text, hidden in calls], box)
    return _headed(inks, view.title)


def _headed(inks: Sequence[Ink], title: str) -> Block:
    block = block_of(inks)
    x = (block.box[0] + block.box[2]) / 2.0
    return block_of([*inks, Text((x, block.box[3] + 4.0), title, MIDDLE, "centre")])


def _weld_draft(study: Study, assembly: Assembly, oblique: Sequence[Seen], figures: Figures) -> Draft:
    slabs = [s for p in assembly.parts for s in slabs_of(p)]
    where = _weld_views(assembly, oblique, slabs)

    def views(scale: Scale) -> Sequence[Block]:
        blocks = [_welded(assembly, o, w, scale.ratio, figures) for o, w in zip(oblique, where, strict=True) if w]
        across, up = [blocks[0]], [blocks[0]]
        for block in blocks[1:]:
            across.append(block.shifted((across[-1].box[2] + CLEAR - block.box[0], across[0].box[3] - block.box[3])))
            up.append(block.shifted((up[0].box[0] - block.box[0], up[-1].box[1] - CLEAR - block.box[3])))
        return [joined(across), joined(up)]

    return Draft(
        name=f"{file_stem(assembly.name)}-WELDS",
        title=f"{_title(assembly.name)}: welds",
        supplement="welds, symbols by ISO 2553 system A",
        part_number=assembly.name,
        document_type="Welding drawing",
        views=views,
        panels=weld_panels(study, assembly, figures),
        least_ratio=0.2,
        most_ratio=0.5,
        material="see parts list",
        mass="",
    )


def _weld_views(assembly: Assembly, oblique: Sequence[Seen], slabs: Sequence[Slab]) -> list[dict[str, tuple[Vec3, bool]]]:
    """For each oblique view: the welds shown there, with the point to point at and whether it is hidden. Every weld once."""
    out: list[dict[str, tuple[Vec3, bool]]] = [{} for _ in oblique]
    for weld in assembly.welds:
        points = _along(weld.path_mm)
        for k, view in enumerate(oblique):
            clear = seen(points + STAND_OFF_MM * np.array(view.axes.towards), view.axes.towards, slabs)
            if np.any(clear):
                out[k][weld.number] = (vec3(points[clear][int(clear.sum()) // 2]), False)
                break
        else:
            out[0][weld.number] = (vec3(points[len(points) // 2]), True)
    return out


def _along(path: Sequence[Vec3]) -> Array:
    """Nine points on each piece of a path, its ends left out."""
    shares = np.linspace(0.1, 0.9, 9)[:, None]
    return np.concatenate([np.array(a) + shares * (np.array(b) - np.array(a)) for a, b in zip(path, path[1:], strict=False)])


def _welded(assembly: Assembly, view: Seen, shown: dict[str, tuple[Vec3, bool]], ratio: float, figures: Figures) -> Block:
    inks, put = _placed(view, ratio)
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
    return _headed(inks, view.title)
