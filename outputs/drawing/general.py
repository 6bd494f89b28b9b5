"""General arrangement: the pack in the bay from the side, from the front and from above, in vehicle axes."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import shapely

from layout.design import Assembly, Part
from layout.design.parts import Hardware
from layout.frames import Extent, Vec3, bounding, vec3
from layout.several.study import AnyStudy, boxes_of, whole_assembly
from layout.space.bay import Bay, bay_of
from layout.stepped import two_floors
from layout.study.hulls import body_of
from layout.study.study import Study
from outputs.drawing.block import Block, block_of
from outputs.drawing.bodies import scene_of
from outputs.drawing.bolt_marks import bolt_marks
from outputs.drawing.compose import Draft
from outputs.drawing.dimensions import FIRST, horizontal, row_below, row_left, vertical
from outputs.drawing.figures import Figures
from outputs.drawing.formats import Scale
from outputs.drawing.general_tables import general_panels
from outputs.drawing.ink import Arc, Ink, Line, Pen, Point, Text
from outputs.drawing.letters import MIDDLE, SMALL, width
from outputs.drawing.places import Places
from outputs.drawing.projection import VEHICLE_SIDE, Angle, ViewAxes
from outputs.drawing.silhouettes import outline_inks, silhouette
from outputs.drawing.three_views import Spot, Spots, axes_mark, centroid_mark, stood_apart, three_spots
from outputs.written import file_stem

SHOWN = ("box", "lid", "bracket", "equipment")
TITLES = ("Side, seen from the left", "Front", "Plan")
NEAR_MM = 150.0
"""How far outside the bay an axle line is still drawn."""


@dataclass(frozen=True)
class Scene:
    """What the sheet shows, in mm of the model. inks: lines of the pack, the bay and the keep-outs for each of the three views.

    box: extents of the pack as drawn, boxes: of each box in it; extent: of all that is drawn; names: of keep-outs with their
    middle, per view.
    """

    inks: tuple[tuple[Ink, ...], ...]
    names: tuple[tuple[tuple[str, Point], ...], ...]
    box: Extent
    extent: Extent
    boxes: tuple[Extent, ...]


def general_draft(study: AnyStudy, figures: Figures, angle: Angle) -> Draft:
    """The general arrangement before it is laid out."""
    scene = _scene(study)

    def views(scale: Scale) -> Sequence[Block]:
        return [_block(study, scene, scale.ratio, figures, angle)]

    job = study.job.job
    return Draft(
        name=f"{file_stem(job.drawing_number)}-GA",
        title="Pack in the bay",
        supplement=job.title,
        part_number=job.drawing_number,
        document_type="General arrangement",
        views=views,
        panels=general_panels(study, figures),
        least_ratio=0.2,
        most_ratio=0.5,
        material="see assemblies",
        finish="see assemblies",
        mass=figures.mass(study.pack.mass_kg),
    )


def _scene(study: AnyStudy) -> Scene:
    bay = bay_of(study.job, study.job.folder or Path())
    frame = study.arrangement.frame
    bodies = scene_of(_without_hardware(whole_assembly(study)), frame, _is_shown)
    boxes = tuple(_extent(one) for one in boxes_of(study))
    box = bounding(list(boxes))
    high = bounding([box, bay.extent, *(Extent(m.at_mm, m.at_mm) for m in study.job.mount_points)])
    axes = (VEHICLE_SIDE, VEHICLE_SIDE.seen_from("left"), VEHICLE_SIDE.seen_from("above"))
    found = [_surroundings(bay, a) for a in axes]
    inks = tuple((*bodies.view(a), *around) for a, (around, _) in zip(axes, found, strict=True))
    return Scene(inks, tuple(names for _, names in found), box, high, boxes)


def _is_shown(group: str) -> bool:
    return group in SHOWN


def _without_hardware(assembly: Assembly) -> Assembly:
    children = tuple(_without_hardware(c) for c in assembly.children)
    return Assembly(assembly.name, assembly.parts, (), assembly.welds, children)


def _extent(study: Study) -> Extent:
    """What box, lid, brackets and outer equipment take, in vehicle axes, by the corners of their bodies."""
    parts: list[Part] = [*study.box.plates, *study.equipment]
    for bracket in study.brackets:
        parts += [bracket.angle, *bracket.gussets]
    points = np.concatenate([
        p.triangles_mm.reshape(-1, 3) for part in parts for p in body_of(part, study.arrangement.frame).pieces
    ])  # fmt: skip
    return Extent(vec3(points.min(axis=0)), vec3(points.max(axis=0)))


def _surroundings(bay: Bay, axes: ViewAxes) -> tuple[tuple[Ink, ...], tuple[tuple[str, Point], ...]]:
    """Outlines of bay and keep-outs in one view, and where their names belong."""
    free = silhouette(bay.wall_triangles, axes)
    inks = list(outline_inks(free))
    names: list[tuple[str, Point]] = []
    for number, keep_out in enumerate(bay.keep_outs, start=1):
        shape = silhouette(keep_out.triangles, axes)
        inks += outline_inks(shape)
        spot = shapely.point_on_surface(shape)
        names.append((f"K{number}", (float(spot.x), float(spot.y))))
    return tuple(inks), tuple(names)


def _block(study: AnyStudy, scene: Scene, ratio: float, figures: Figures, angle: Angle) -> Block:
    spots = three_spots(VEHICLE_SIDE, scene.extent, ratio, angle, TITLES)
    dims = _dimensions(study, scene, spots, figures)
    blocks = []
    for spot, drawn, names, around in zip(spots.all, scene.inks, scene.names, dims, strict=True):
        inks = [*spot.place(drawn), *_lines(spot, scene.extent), *_bolts(study, spot), *_heading(spot), *around]
        blocks.append(block_of([*inks, *_labels(study, spot, names, inks)]))
    return stood_apart(blocks, angle)


def _heading(spot: Spot) -> list[Ink]:
    x, y = spot.box[0] + 14.0, spot.box[3] + 17.0
    return [*axes_mark(spot, (x, y)), Text((x + 14.0, y), spot.title, MIDDLE)]


def _lines(spot: Spot, extent: Extent) -> list[Ink]:
    """Axle line (x = 0) and centre plane (y = 0) where the view shows them as lines."""
    inks: list[Ink] = []
    middle = np.array(extent.centre_mm)
    for axis, name in ((0, "axle (x = 0)"), (1, "centre plane (y = 0)")):
        low, high = extent.min_mm[axis], extent.max_mm[axis]
        along = spot.axes.flat(np.eye(3)[axis])
        if abs(float(along[0])) < 1e-9 or not low - NEAR_MM <= 0.0 <= high + NEAR_MM:
            continue
        at = middle.copy()
        at[axis] = 0.0
        x = spot.put(at)[0]
        inks.append(Line(((x, spot.box[1] - 3.0), (x, spot.box[3] + 4.0)), Pen.CENTRE))
        inks.append(Text((x + 1.2, spot.box[3] + 1.5), name, SMALL))
    return inks


def _bolts(study: AnyStudy, spot: Spot) -> list[Ink]:
    """Fasteners of the brackets in every view, those of the lid only where their heads look to the viewer."""
    frame = study.arrangement.frame
    bolts: list[Hardware] = []
    for one in boxes_of(study):
        bolts += [h for h in one.box.hardware if abs(np.dot(frame.vector(h.axis), spot.axes.towards)) > 0.9]
        bolts += [h for b in one.brackets for h in b.hardware]
    return bolt_marks(bolts, frame, spot)


def _mount_points(study: AnyStudy) -> list[tuple[str, Vec3]]:
    return [(f"P{k}", m.at_mm) for k, m in enumerate(study.job.mount_points, start=1)]


def _labels(study: AnyStudy, spot: Spot, names: Sequence[tuple[str, Point]], drawn: Sequence[Ink]) -> list[Ink]:
    """Marks and names of mount points and centroid; names of keep-outs in the side view and the plan."""
    box = (spot.box[0] - 6.0, spot.box[1] - 1.0, spot.box[2] + 9.0, spot.box[3] + 3.0)
    places = Places(drawn, box)
    inks: list[Ink] = []
    at = spot.put(study.pack.centroid_mm)
    inks += centroid_mark(at)
    inks += places.name(at, 2.2, "centroid")
    together: dict[tuple[int, int], list[str]] = {}
    for name, point in _mount_points(study):
        x, y = spot.put(point)
        together.setdefault((round(x * 2.0), round(y * 2.0)), []).append(name)
    for (x, y), listed in together.items():
        inks.append(Arc((x / 2.0, y / 2.0), 1.5, pen=Pen.DIMENSION))
        inks += places.name((x / 2.0, y / 2.0), 1.5, ", ".join(listed))
    for name, (u, v) in names:
        inks += places.name((u * spot.ratio + spot.by[0], v * spot.ratio + spot.by[1]), 0.3, name)
    return inks


def _dimensions(study: AnyStudy, scene: Scene, spots: Spots, figures: Figures) -> tuple[list[Ink], list[Ink], list[Ink]]:
    """Overall sizes of the pack, and places from axle, centre plane and ground in rows of figures; per view."""
    low, high = np.array(scene.box.min_mm), np.array(scene.box.max_mm)
    length, breadth, height = (float(v) for v in high - low)
    say = figures.length
    main, side, plan = spots.all
    top = main.box[3] + 9.0
    a, b = main.put(low), main.put(high)
    c, d = side.put(low), side.put(high)
    x = side.box[2] + 12.0
    over = horizontal((a[0], b[1]), (b[0], b[1]), top, length, say(length))
    across = horizontal((c[0], d[1]), (d[0], d[1]), top, breadth, say(breadth))
    up = vertical((max(c[0], d[0]), c[1]), (max(c[0], d[0]), d[1]), x, height, say(height))
    ends = [end for one in scene.boxes for end in (one.min_mm, one.max_mm)]
    stations = [study.pack.centroid_mm, *ends, *(m.at_mm for m in study.job.mount_points), *_elbows(study)]
    heights = _heights(main, stations, say)
    along = _row(plan, stations, 0, "x from the axle", say)
    apart = _row(side, stations, 1, "y from the centre plane", say)
    return [over, *heights], [across, up, *apart], along


def _elbows(study: AnyStudy) -> list[Vec3]:
    return [at for one in boxes_of(study) for at in _elbow(one)]


def _elbow(study: Study) -> list[Vec3]:
    """Where the riser's outer face meets the underside of the upper floor, beside the centroid, vehicle axes; nothing where the
    floor is level."""
    step = two_floors(study.arrangement.inside)
    if step is None:
        return []
    t, at = study.box.shell.sheet_mm, np.array(study.arrangement.frame.inverse_point(study.pack.centroid_mm))
    for axis in step.axes:
        at[axis] = step.line_mm(axis) + (t if step.at_high(axis) else -t)
    return [vec3(study.arrangement.frame.point(at))]


def _row(spot: Spot, stations: Sequence[Vec3], axis: int, caption: str, say: Callable[[float], str]) -> list[Ink]:
    """A row of figures below a view, along a model axis that runs across it."""
    foot = spot.box[1] - 2.0
    found = _distinct([(s[axis], spot.put(s)) for s in stations])
    features = [((p[0], foot), value, say(value)) for value, p in found]
    y = spot.box[1] - FIRST - 4.0
    row, _, _ = row_below((spot.put(np.zeros(3))[0], foot), features, y)
    longest = max(width(t, SMALL) for _, _, t in features)
    return [*row, Text((spot.box[0], y - longest - 5.0), caption, SMALL)]


def _heights(spot: Spot, stations: Sequence[Vec3], say: Callable[[float], str]) -> list[Ink]:
    """A row of figures at the left of a view: heights above the ground."""
    edge = spot.box[0] - 1.0
    found = _distinct([(s[2], spot.put(s)) for s in stations])
    features = [((edge, p[1]), value, say(value)) for value, p in found]
    ground = spot.put((stations[0][0], stations[0][1], 0.0))[1]
    x = spot.box[0] - FIRST - 4.0
    row, _, _ = row_left((edge, ground), features, x)
    longest = max(width(t, SMALL) for _, _, t in features)
    return [*row, Text((x - longest - 3.0, spot.box[1]), "z from the ground", SMALL, "left", 90.0)]


def _distinct(found: Sequence[tuple[float, Point]]) -> list[tuple[float, Point]]:
    out: list[tuple[float, Point]] = []
    for value, point in sorted(found):
        if not out or value - out[-1][0] > 0.005:
            out.append((value, point))
    return out
