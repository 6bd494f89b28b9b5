"""From spots in a site to an arrangement: bodies slid, equipment in its place, connected, scored."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from layout.arrangement import Arrangement, PlacedEquipment, PlacedModule
from layout.box.shell import Shell
from layout.frames import DIRECTIONS, Extent, Pose, vec3
from layout.job.model import Job
from layout.job.module import ModuleType
from layout.packing.between import between_mounts
from layout.packing.bodies import Body
from layout.packing.goal import Spot
from layout.packing.hung import PLATE_MM
from layout.packing.scores import scores_of
from layout.packing.series import wire
from layout.packing.sites import Site
from layout.packing.slide import Frame, Layout, slide


@dataclass(frozen=True)
class Draft:
    """Spots found in a site for an order of wishes, before they are slid. strict: the first wish gives nothing up."""

    site: Site
    bodies: tuple[Body, ...]
    spots: tuple[Spot, ...]
    order: tuple[str, ...]
    strict: bool = False


def built(job: Job, shell: Shell, draft: Draft) -> Arrangement | None:
    """The arrangement of a draft; None where the bodies cannot be slid into place within the limits."""
    site = draft.site
    frame = Frame(site.pose, site.limit, shell.liner_mm, site.pockets, shell.beside_mm)
    layout = slide(Layout(draft.spots, site.limit), draft.bodies, frame, draft.order, draft.strict)
    if layout is None:
        return None
    layout = between_mounts(job, layout, draft.bodies, frame, draft.order)
    modules, inside_box = _placed(layout.spots, draft.bodies)
    equipment = (*inside_box, *_hung(site, layout), *_in_bay(job, site.pose))
    one = Arrangement(site.pose, modules, layout.inside, equipment, wire(modules, job.pack.series, job.pack.parallel))
    return replace(one, scores=scores_of(one))


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
