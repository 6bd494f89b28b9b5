"""Floor, walls, mounting bars, ribs and liner of a welded box. Pack frame."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layout.arrangement import Arrangement
from layout.box.bar_joining import WIDTHS_MM
from layout.box.between import parted
from layout.box.carrier_room import all_on_bars
from layout.box.carriers import Carriers
from layout.box.clamps import clamp_notes
from layout.box.cover import planned_covers
from layout.box.cover_parts import CoverParts, cover_parts, wall_cutouts
from layout.box.design import BoxDesign
from layout.box.held import CarrierParts, HolePlace, carrier_parts, carriers_for
from layout.box.lid import lid_parts
from layout.box.lid_fixture import lid_mounts
from layout.box.liner import liner_sheets
from layout.box.notches import notched
from layout.box.opening_room import check_openings
from layout.box.openings import opening_holes
from layout.box.outlines import floor_plates
from layout.box.posts import POST_WIDTHS_MM
from layout.box.ribs import NO_RIBS, rib_notes, rib_plan, rib_plates
from layout.box.rings import rings_of
from layout.box.seams import SeamParts, seams
from layout.box.shell import Shell
from layout.box.tabs import Located, with_tabs
from layout.box.walls import NUMBERS, PANELS, UPPER_FLOOR_NUMBER, along, panel_walls, wall_of, walls_of
from layout.brackets.plan import BracketPlan
from layout.brackets.rows import bar_holes
from layout.design import Hole, Loop, Plate, Profile, rectangle
from layout.frames import Extent, Pose, vec3
from layout.job.model import Job


@dataclass(frozen=True)
class _Panel:
    name: str
    plate: Plate


def design_box(
    job: Job,
    inside: Extent,
    shell: Shell,
    plans: tuple[BracketPlan, ...],
    arrangement: Arrangement | None = None,
    widths_mm: tuple[float, float] = (WIDTHS_MM[0], POST_WIDTHS_MM[0]),
) -> BoxDesign:
    """A welded box around `inside` with bars for the planned brackets, and bars for the modules of an arrangement.

    Without an arrangement the box holds no module. widths_mm: least widths of the bars under the modules and
    of the posts at their ends.

    Raises:
        DesignError: an opening that does not fit its panel.
    """
    prefix, material = job.job.drawing_number, job.box.material
    carriers = carriers_for(job, arrangement, shell, plans, widths_mm) if arrangement else Carriers()
    check_openings(job, inside, shell, plans, arrangement, carriers)
    between = parted(job, arrangement, carriers)
    held = carrier_parts(job, carriers, inside, shell, plans, arrangement.modules if arrangement else ())
    covers, uncovered = planned_covers(job, arrangement, shell, plans, carriers.bars, carriers.posts)
    covered = cover_parts(material, covers, wall_numbers(prefix), inside, shell)
    names = dict.fromkeys(wall.panel for wall in walls_of(inside))
    walls = (_wall(job, name, inside, shell, held, covered) for name in names)
    panels = [*_floors(job, inside, shell, held), *walls]
    bars = [plate for plan in plans for plate in mounting_bars(prefix, material, plan, plans, inside, shell, held)]
    ribs = NO_RIBS if all_on_bars(job) else rib_plan(inside, plans, shell.rib_pitch_mm)
    rib_parts = rib_plates(prefix, material, shell, ribs)
    lid, gasket, bolts, places = lid_parts(job, inside, shell)
    floor_bars = tuple(p for p, b in zip(held.bars, carriers.bars, strict=True) if b.welded)
    by_name = {p.name: p.plate for p in panels}
    every = {**by_name, **{w.name: by_name[w.panel] for w in walls_of(inside)}}
    welded = SeamParts(every, (*bars, *held.posts), rib_parts, lid[0], floor_bars)
    panel_numbers = {p.name: p.plate.number for p in panels} | {"top": lid[1].number}
    on_lid = lid_mounts(job, arrangement, inside, shell, panel_numbers["top"])
    rings = rings_of(job, inside, shell, panel_numbers)
    top = (*lid, gasket, *on_lid.plates)
    ring_plates = tuple(r.plate for r in rings)
    liner = liner_sheets(prefix, inside, shell, carriers.bars, (*held.fixtures.cut, *covered.cut))
    located = Located(by_name, ())
    if job.box.locating == "tabs":
        others = (*bars, *held.posts, *rib_parts, *floor_bars, *held.lifting.plates)
        located = with_tabs(located.panels, others, inside, shell)
    metal = (*located.panels.values(), *bars, *held.posts, *held.fixtures.plates, *held.lifting.plates, *rib_parts)
    return BoxDesign(
        inside=inside,
        shell=shell,
        material=material,
        plates=(*metal, *held.bars, *held.clamps, *between.plates, *ring_plates, *top, *covered.plates, *liner),
        blocks=(),
        hardware=(*bolts, *held.hardware, *covered.hardware, *on_lid.hardware),
        welds=(
            *seams(prefix, inside, shell, welded), *covered.welds, *held.lifting.welds, *(r.weld for r in rings), *on_lid.welds
        ),
        panels=panel_numbers,
        rib_axis=ribs.axis,
        rib_height_mm=ribs.height_mm,
        rib_thickness_mm=ribs.thickness_mm,
        rib_spacing_mm=ribs.clear_mm(inside),
        lid_bolts_mm=places,
        carriers=carriers,
        between=between,
        rings=rings,
        lid_mounts=on_lid,
        covers=covers,
        uncovered=uncovered,
        notes=(*located.notes, *clamp_notes(carriers.held), *between.notes, *rib_notes(ribs)),
        tab_findings=located.findings,
    )


def wall_numbers(prefix: str) -> dict[str, str]:
    """Part numbers of the walls by name."""
    return {wall: f"{prefix}-B{number}" for wall, number in NUMBERS.items()}


def wall_pose(wall: str, inside: Extent, shell: Shell) -> Pose:
    """Own frame of a wall: x along the wall, y up, z outward; origin at its lower corner on the inner face (of an L, of what
    bounds it)."""
    one, (low, high, bottom, _) = wall_of(wall, inside), wall_bounds_mm(wall, inside, shell)
    start = low if one.h.sum() > 0 else high
    return Pose(one.point(start, 0.0, bottom), (vec3(one.h), (0.0, 0.0, 1.0), vec3(one.w)))


def wall_bounds_mm(panel: str, inside: Extent, shell: Shell) -> tuple[float, float, float, float]:
    """Ends of a wall plate along the wall, and its lower and upper edge: walls along x lap the ends of walls along y."""
    walls = panel_walls(panel, inside)
    ends = [end for wall in walls for end in wall.plate_mm(shell.sheet_mm)]
    return min(ends), max(ends), min(w.bottom_mm for w in walls), max(w.top_mm for w in walls)


def wall_outline(panel: str, inside: Extent, shell: Shell) -> Loop:
    """Outline of a wall plate in its own frame: a rectangle, or an L with a square inner corner beside an upper floor."""
    low, high, bottom, top = wall_bounds_mm(panel, inside, shell)
    width, height = high - low, top - bottom
    walls = panel_walls(panel, inside)
    if len(walls) == 1:
        return rectangle(width, height)
    deep, upper = walls
    up, (a, b) = upper.bottom_mm - bottom, upper.plate_mm(shell.sheet_mm)
    first, last = (a - low, b - low) if deep.h.sum() > 0 else (high - b, high - a)
    if first > 0.0:
        points = [(0.0, 0.0), (first, 0.0), (first, up), (width, up), (width, height), (0.0, height)]
    else:
        points = [(last, 0.0), (width, 0.0), (width, height), (0.0, height), (0.0, up), (last, up)]
    return tuple((x, y, 0.0) for x, y in points)


def _floors(job: Job, inside: Extent, shell: Shell, held: CarrierParts) -> list[_Panel]:
    """The floor, or both where there are two."""
    t, prefix = shell.sheet_mm, job.job.drawing_number
    found = []
    for floor in floor_plates(inside, t):
        number = f"{prefix}-B{1 if floor.panel == 'bottom' else UPPER_FLOOR_NUMBER}"
        openings = opening_holes(job, floor.panel, number, floor.pose, inside, floor.outline)
        mine = "" if floor.panel == "bottom" else floor.panel
        holes = tuple(hole_at(floor.pose, place) for place in held.floor_holes if place.wall == mine)
        plate = Plate(number, floor.name, job.box.material, t, Profile(floor.outline, (*openings, *holes)), floor.pose)
        found.append(_Panel(floor.panel, plate))
    return found


def hole_at(pose: Pose, place: HolePlace, ending: str = "") -> Hole:
    """A hole of the carriers in a plate's own plane."""
    x, y, _ = pose.inverse_point(place.at_mm)
    return Hole(place.name + ending, (float(x), float(y)), place.diameter_mm, place.size)


def _wall(job: Job, wall: str, inside: Extent, shell: Shell, held: CarrierParts, covers: CoverParts) -> _Panel:
    """A wall plate; of an L both stretches in one."""
    number = wall_numbers(job.job.drawing_number)[wall]
    pose = wall_pose(wall, inside, shell)
    outline = wall_outline(wall, inside, shell)
    holes = opening_holes(job, wall, number, pose, inside, outline)
    screws = tuple(hole_at(pose, place, "-W") for place in held.wall_holes if PANELS[place.wall] == wall)
    cutouts = [loop for w in panel_walls(wall, inside) for loop in wall_cutouts(covers, w.name, pose, inside)]
    profile = Profile(outline, (*holes, *screws), tuple(cutouts))
    name = "riser" if wall_of(wall, inside).riser else f"{wall} wall"
    return _Panel(wall, Plate(number, name, job.box.material, shell.sheet_mm, profile, pose))


def mounting_bars(
    prefix: str,
    material: str,
    plan: BracketPlan,
    plans: tuple[BracketPlan, ...],
    inside: Extent,
    shell: Shell,
    held: CarrierParts,
) -> list[Plate]:
    """Upright flat bars on the wall's outer face, from the floor's underside to the flange or its bend."""
    w = plan.w
    h = np.cross((0.0, 0.0, 1.0), w)
    bottom = wall_of(plan.wall, inside).bottom_mm - shell.sheet_mm
    height = inside.max_mm[2] - shell.fold_radius_mm - bottom
    index = plans.index(plan)
    first = sum(len(p.bars_u_mm) for p in plans[:index])
    bars = []
    for i, u in enumerate(plan.bars_u_mm):
        middle = np.zeros(3)
        middle[along(plan.wall)] = u
        origin = middle - plan.bar_width_mm / 2.0 * h + (plan.bar_face_mm - shell.bar_mm) * w + np.array((0.0, 0.0, bottom))
        number = f"{prefix}-P{first + i + 1}"
        pose = Pose(vec3(origin), (vec3(h), (0.0, 0.0, 1.0), vec3(w)))
        drill = plan.pattern.drill_mm
        holes = tuple(
            Hole(f"{number}-H{k + 1}", (plan.bar_width_mm / 2.0 + x, z - bottom), drill, f"{plan.leg_bolt} thread")
            for k, (x, z) in enumerate(bar_holes(plan, i, inside, shell))
        )
        screws = tuple(
            hole_at(pose, place, "-P")
            for place in (*held.wall_holes, *held.upright_holes)
            if place.wall == plan.wall and abs(place.at_mm[along(plan.wall)] - u) <= plan.bar_width_mm / 2.0
        )
        profile = Profile(notched(plan.bar_width_mm, height, pose, inside, shell), (*holes, *screws))
        bars.append(Plate(number, f"mounting bar {first + i + 1}", material, shell.bar_mm, profile, pose))
    return bars
