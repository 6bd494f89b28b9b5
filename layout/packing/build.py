"""From spots in a site to an arrangement: bodies slid, equipment in its place, connected, scored."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from layout.arrangement import Arrangement, PlacedEquipment, PlacedModule
from layout.box.carrier_room import carrier_mm, whole_of
from layout.box.shell import Shell
from layout.frames import DIRECTIONS, Extent, Pose, vec3
from layout.job.model import Job
from layout.job.module import ModuleType
from layout.packing.between import between_mounts
from layout.packing.bodies import Body
from layout.packing.equipment_fit import gap_mm
from layout.packing.goal import Spot
from layout.packing.hung import PLATE_MM
from layout.packing.reach import is_reached, nearest_ways, ways_to_reach
from layout.packing.scores import scores_of
from layout.packing.series import wire
from layout.packing.sites import Site
from layout.packing.slide import Frame, Layout, slide
from layout.space.judge_arrangement import zone_of
from layout.stepped import corner_out, floor_under, floors_of

MOST_TRIED = 4
"""Ways to reach the mounts that are tried for one draft."""


@dataclass(frozen=True)
class Draft:
    """Spots found in a site for an order of wishes, before they are slid. strict: the first wish gives nothing up.

    layers: modules that stand level stay level.
    """

    site: Site
    bodies: tuple[Body, ...]
    spots: tuple[Spot, ...]
    order: tuple[str, ...]
    strict: bool = False
    layers: bool = False


def built(job: Job, shell: Shell, draft: Draft) -> Arrangement | None:
    """The arrangement of a draft; None where the bodies cannot be slid into place within the limits."""
    return next(built_ways(job, shell, draft), None)


def built_ways(job: Job, shell: Shell, draft: Draft) -> Iterator[Arrangement]:
    """The arrangement of a draft; then the same with its walls where brackets reach the mounts in other ways."""
    site = draft.site
    for layout in _slid(job, shell, draft):
        modules, inside_box = _placed(layout.spots, draft.bodies)
        inside_box = off_the_floor(job, inside_box, modules, layout.inside, shell)
        equipment = (*inside_box, *_hung(site, layout), *_in_bay(job, site.pose))
        one = Arrangement(site.pose, modules, layout.inside, equipment, wire(modules, job.pack.series, job.pack.parallel))
        yield replace(one, scores=scores_of(one))


def _slid(job: Job, shell: Shell, draft: Draft) -> Iterator[Layout]:
    """The draft's bodies slid; with the walls where brackets reach every mount, if there are such places.

    First where they come to lie of themselves if brackets reach them there, then in other ways, the nearest first. A box with
    a corner of its plan left out is left where it is: it has more walls that brackets may reach from.
    """
    site = draft.site
    frame = Frame(site.pose, site.limit, shell.liner_mm, site.pockets, beside_mm=shell.beside_mm)
    start = Layout(draft.spots, site.limit, level=draft.layers)
    free = slide(start, draft.bodies, frame, draft.order, draft.strict)
    if free is None:
        return
    ways = [] if corner_out(site.limit) else ways_to_reach(job, site.pose, shell, site.limit)
    middle = between_mounts(job, free, draft.bodies, frame, draft.order)
    at_once = not ways or is_reached(ways, middle.inside)
    if at_once:
        yield middle
    other = [way for way in nearest_ways(ways, middle.inside) if not is_reached([way], middle.inside)]
    for way in other[:MOST_TRIED]:
        reached = slide(start, draft.bodies, replace(frame, faces=way), draft.order, draft.strict)
        if reached is not None:
            moved = between_mounts(job, reached, draft.bodies, frame, draft.order)
            yield moved if is_reached([way] if at_once else ways, moved.inside) else reached
    if not at_once:
        yield middle


def _placed(spots: tuple[Spot, ...], bodies: tuple[Body, ...]) -> tuple[tuple[PlacedModule, ...], tuple[PlacedEquipment, ...]]:
    """Modules, named M1, M2 ... from the lowest, foremost, rightmost on, and equipment in the box."""
    modules: list[PlacedModule] = []
    equipment: list[PlacedEquipment] = []
    for spot in sorted(spots, key=lambda s: (round(s.low_mm[2]), -round(s.low_mm[0]), round(s.low_mm[1]))):
        body = bodies[spot.body]
        stand = body.stands[spot.stand]
        pose = Pose(vec3(np.array(spot.low_mm) + np.array(stand.size_mm) / 2.0 + np.array(stand.module_mm)), stand.axes)
        if isinstance(body.kind, ModuleType):
            modules.append(PlacedModule(f"M{len(modules) + 1}", body.kind, pose, stand.up, stand.terminals))
        else:
            equipment.append(PlacedEquipment(body.kind, pose, stand.wall, False))
    return tuple(modules), tuple(equipment)


def off_the_floor(
    job: Job, pieces: tuple[PlacedEquipment, ...], modules: tuple[PlacedModule, ...], inside: Extent, shell: Shell
) -> tuple[PlacedEquipment, ...]:
    """Equipment that lies in the way of the bars on the floor put above them, where there is room for it."""
    within = shell.room(inside)
    floors = [floor.min_mm[2] for floor in floors_of(within)]
    bars = max((carrier_mm(job, kind) for kind in job.modules), default=0.0)
    found: list[PlacedEquipment] = []
    for piece in pieces:
        on = floor_under(within, piece.extent)
        up = floors[-1 if on is None else on] + bars + shell.liner_mm - piece.extent.min_mm[2]
        raised = replace(piece, pose=Pose(vec3(np.add(piece.pose.origin_mm, (0.0, 0.0, up))), piece.pose.axes))
        others = [o.extent for o in pieces if o is not piece]
        others += [body for m in modules for body in (whole_of(job, m).grown(m.kind.gap_mm), _zone(m)) if body is not None]
        room = raised.extent.max_mm[2] <= inside.max_mm[2] - 1e-6
        clear = all(gap_mm(raised.extent, o) >= -1e-6 for o in others)
        found.append(raised if bars > 0.0 and up > 0.0 and room and clear else piece)
    return tuple(found)


def _zone(module: PlacedModule) -> Extent | None:
    own = zone_of(module)
    return None if own is None else own.seen_from(module.pose)


def _hung(site: Site, layout: Layout) -> tuple[PlacedEquipment, ...]:
    out = []
    for low, pocket in zip(layout.hung_mm, site.pockets, strict=True):
        middle = vec3(np.array(low) + np.array(pocket.size_mm) / 2.0)
        out.append(PlacedEquipment(pocket.kind, Pose(middle, pocket.axes), pocket.face, True, PLATE_MM))
    return tuple(out)


def _in_bay(job: Job, frame: Pose) -> tuple[PlacedEquipment, ...]:
    """Equipment at a stated place in the bay: its pose in the pack's frame."""
    out = []
    for kind in job.equipment:
        if kind.where == "bay" and kind.at_mm is not None:
            axes = [vec3(frame.inverse_vector(v)) for v in (DIRECTIONS["+x"], DIRECTIONS["+y"], DIRECTIONS["+z"])]
            pose = Pose(vec3(frame.inverse_point(kind.at_mm)), (axes[0], axes[1], axes[2]))
            out.append(PlacedEquipment(kind, pose, "", True))
    return tuple(out)


def stated_extent(size_mm: tuple[float, float, float], at_mm: tuple[float, float, float]) -> Extent:
    """Box of a size about a middle."""
    half = np.array(size_mm) / 2.0
    return Extent(vec3(np.array(at_mm) - half), vec3(np.array(at_mm) + half))
