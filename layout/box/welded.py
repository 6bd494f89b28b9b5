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
from layout.box.outlines import plan_loop
from layout.box.posts import POST_WIDTHS_MM
from layout.box.ribs import RibPlan, rib_notes, rib_plan, rib_plates
from layout.box.rings import rings_of
from layout.box.seams import SeamParts, seams
from layout.box.shell import Shell
from layout.box.tabs import Located, with_tabs
from layout.box.walls import NUMBERS, along, wall_of, walls_of
from layout.brackets.plan import BracketPlan
from layout.brackets.rows import bar_holes
from layout.design import Hole, Plate, Profile, rectangle
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
    walls = (_wall(job, wall.name, inside, shell, held, covered) for wall in walls_of(inside))
    panels = [_floor(job, inside, shell, held), *walls]
    bars = [plate for plan in plans for plate in mounting_bars(prefix, material, plan, plans, inside, shell, held)]
    ribs = RibPlan(0, (), 0.0, 0.0) if all_on_bars(job) else rib_plan(inside, plans, shell.rib_pitch_mm)
    rib_parts = rib_plates(prefix, material, inside, shell, ribs)
    lid, gasket, bolts, places = lid_parts(job, inside, shell)
    floor_bars = tuple(p for p, b in zip(held.bars, carriers.bars, strict=True) if b.welded)
    welded = SeamParts({p.name: p.plate for p in panels}, (*bars, *held.posts), rib_parts, lid[0], floor_bars)
    panel_numbers = {p.name: p.plate.number for p in panels} | {"top": lid[1].number}
    on_lid = lid_mounts(job, arrangement, inside, shell, panel_numbers["top"])
    rings = rings_of(job, inside, shell, panel_numbers)
    top = (*lid, gasket, *on_lid.plates)
    ring_plates = tuple(r.plate for r in rings)
    liner = liner_sheets(prefix, inside, shell, carriers.bars, (*held.fixtures.cut, *covered.cut))
    located = Located({p.name: p.plate for p in panels}, ())
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
    """Own frame of a wall: x along the wall, y up, z outward; origin at its lower corner on the inner face."""
    one = wall_of(wall, inside)
    low, high = one.plate_mm(shell.sheet_mm)
    start = low if one.h.sum() > 0 else high
    return Pose(one.point(start, 0.0, one.bottom_mm), (vec3(one.h), (0.0, 0.0, 1.0), vec3(one.w)))


def wall_size_mm(wall: str, inside: Extent, shell: Shell) -> tuple[float, float]:
    """Length and height of a wall plate: walls along x lap the ends of walls along y."""
    one = wall_of(wall, inside)
    low, high = one.plate_mm(shell.sheet_mm)
    return high - low, one.top_mm - one.bottom_mm


def _floor(job: Job, inside: Extent, shell: Shell, held: CarrierParts) -> _Panel:
    t, number = shell.sheet_mm, f"{job.job.drawing_number}-B1"
    x0, y0, z0 = inside.min_mm
    outline = plan_loop(inside, t, t)
    pose = Pose((x0 - t, y0 - t, z0 - t))
    openings = opening_holes(job, "bottom", number, pose, inside, outline)
    holes = tuple(hole_at(pose, place) for place in held.floor_holes)
    return _Panel("bottom", Plate(number, "floor", job.box.material, t, Profile(outline, (*openings, *holes)), pose))


def hole_at(pose: Pose, place: HolePlace, ending: str = "") -> Hole:
    """A hole of the carriers in a plate's own plane."""
    x, y, _ = pose.inverse_point(place.at_mm)
    return Hole(place.name + ending, (float(x), float(y)), place.diameter_mm, place.size)


def _wall(job: Job, wall: str, inside: Extent, shell: Shell, held: CarrierParts, covers: CoverParts) -> _Panel:
    number = wall_numbers(job.job.drawing_number)[wall]
    width, height = wall_size_mm(wall, inside, shell)
    pose = wall_pose(wall, inside, shell)
    outline = rectangle(width, height)
    holes = opening_holes(job, wall, number, pose, inside, outline)
    screws = tuple(hole_at(pose, place, "-W") for place in held.wall_holes if place.wall == wall)
    profile = Profile(outline, (*holes, *screws), wall_cutouts(covers, wall, pose, inside))
    return _Panel(wall, Plate(number, f"{wall} wall", job.box.material, shell.sheet_mm, profile, pose))


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
    bottom = inside.min_mm[2] - shell.sheet_mm
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
