"""A box folded from sheet: floor, walls and flange from as few flats as the press allows. Pack frame."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from layout.arrangement import Arrangement
from layout.box.bar_joining import WIDTHS_MM
from layout.box.between import parted
from layout.box.carrier_room import all_on_bars
from layout.box.carriers import Carriers
from layout.box.clamps import clamp_notes
from layout.box.cover import planned_covers
from layout.box.cover_parts import cover_parts, wall_cutouts
from layout.box.design import BoxDesign, Folding
from layout.box.folded_flats import Sizes
from layout.box.folded_parts import FoldedParts, Stock, folded_parts
from layout.box.folded_seams import WeldedOn, folded_seams
from layout.box.folding import (
    BENT,
    FORM_NAMES,
    Form,
    Limit,
    box_neutral_line,
    cannot_be_bent,
    depth_mm,
    shop_of,
    swing_limits,
)
from layout.box.held import CarrierParts, carrier_parts, carriers_for
from layout.box.lid import lid_parts
from layout.box.lid_fixture import lid_mounts
from layout.box.liner import liner_sheets
from layout.box.opening_room import check_openings
from layout.box.openings import opening_holes
from layout.box.posts import POST_WIDTHS_MM
from layout.box.ribs import NO_RIBS, rib_notes, rib_plan, rib_plates
from layout.box.rings import rings_of
from layout.box.shell import Shell
from layout.box.walls import WALLS
from layout.box.welded import mounting_bars
from layout.brackets.plan import BracketPlan
from layout.design import Hardware, Hole, Plate, Profile, rectangle
from layout.design.sheet_rules import check_sheet, limit_mm
from layout.errors import DesignError
from layout.frames import DIRECTIONS, Extent, Pose, vec3
from layout.job.model import Job
from layout.stepped import Stepped, outline_words
from layout.tables import bolt

LAND_PLAY_MM = 0.5
"""Between the flange's bend and the gasket."""


def design_folded_box(
    job: Job,
    inside: Extent,
    shell: Shell,
    plans: tuple[BracketPlan, ...],
    arrangement: Arrangement | None = None,
    widths_mm: tuple[float, float] = (WIDTHS_MM[0], POST_WIDTHS_MM[0]),
) -> BoxDesign:
    """A folded box around `inside`; arguments as of layout.box.welded.design_box.

    Raises:
        DesignError: no form of it that the press can bend, or an opening that does not fit its panel.
    """
    if isinstance(inside, Stepped):
        figure = outline_words(inside)
        remedy = 'Use construction = "welded", or outline = "rectangular" (job file: box).'
        raise DesignError("box", "only boxes with a rectangular plan and a level floor are folded", figure, remedy)
    prefix, material = job.job.drawing_number, job.box.material
    carriers = carriers_for(job, arrangement, shell, plans, widths_mm) if arrangement else Carriers()
    check_openings(job, inside, shell, plans, arrangement, carriers)
    between = parted(job, arrangement, carriers)
    held = carrier_parts(job, carriers, inside, shell, plans, arrangement.modules if arrangement else ())
    covers, uncovered = planned_covers(job, arrangement, shell, plans, carriers.bars, carriers.posts)
    parts, folding = bent(job, inside, shell)
    parts = _with_openings(job, parts, inside)
    parts = _with_screws(parts, held)
    covered = cover_parts(material, covers, {wall: parts.number(wall) for wall in WALLS}, inside, shell)
    for wall in WALLS:
        parts = parts.with_cutouts(wall, wall_cutouts(covered, wall, parts.pose(wall), inside))
    bars = [plate for plan in plans for plate in mounting_bars(prefix, material, plan, plans, inside, shell, held)]
    ribs = NO_RIBS if all_on_bars(job) else rib_plan(inside, plans, shell.rib_pitch_mm)
    rib_parts = rib_plates(prefix, material, shell, ribs)
    (_, lid), gasket, bolts, places = lid_parts(job, inside, shell)
    parts, bolts = _with_lid_bolts(parts, bolts, inside, shell)
    uprights = (*bars, *held.posts)
    panel_numbers = {name: parts.number(name) for name in ("bottom", *WALLS)} | {"top": lid.number}
    on_lid = lid_mounts(job, arrangement, inside, shell, panel_numbers["top"])
    rings = rings_of(job, inside, shell, panel_numbers)
    on_floor = tuple(p for p, b in zip(held.bars, carriers.bars, strict=True) if b.welded)
    return BoxDesign(
        inside=inside,
        shell=shell,
        material=material,
        plates=(
            *parts.parts.values(), *uprights, *held.fixtures.plates, *held.lifting.plates, *rib_parts, *held.bars,
            *held.clamps, *between.plates, *(r.plate for r in rings), lid, _gasket(gasket, inside, shell), *on_lid.plates,
            *covered.plates,
            *liner_sheets(prefix, inside, shell, carriers.bars, (*held.fixtures.cut, *covered.cut)),
        ),
        blocks=(),
        hardware=(*bolts, *held.hardware, *covered.hardware, *on_lid.hardware),
        welds=(
            *folded_seams(prefix, inside, shell, parts, WeldedOn(uprights, rib_parts, on_floor)), *covered.welds,
            *held.lifting.welds, *(r.weld for r in rings), *on_lid.welds,
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
        folded=folding,
        notes=(*clamp_notes(carriers.held), *between.notes, *rib_notes(ribs)),
    )  # fmt: skip


def bent(job: Job, inside: Extent, shell: Shell) -> tuple[FoldedParts, Folding]:
    """The first form that the press can bend: four walls from one flat, else a pair of walls with the floor.

    Raises:
        DesignError: none of them can be bent; names the limits.
    """
    line = box_neutral_line(job)
    relief, _ = limit_mm("relief width", shell.sheet_mm)
    sizes = Sizes(shell.sheet_mm, shell.fold_radius_mm, relief, shell.flange_out_mm)
    broken: dict[Form, list[Limit]] = {}
    for form in BENT:
        parts = folded_parts(Stock(job.job.drawing_number, job.box.material, line.k_factor), form, inside, shell, sizes)
        limits = [limit for limit in _limits(job, form, parts, inside, shell) if not limit.kept]
        if limits:
            broken[form] = limits
            continue
        why = tuple(f"{FORM_NAMES[f]}: {limit}" for f, found in broken.items() for limit in found)
        height = inside.size_mm[2] - 2.0 * shell.fold_radius_mm
        return parts, Folding(form, why, "welded", height, line.k_factor, line.source, _notes(job, form, inside, shell))
    raise cannot_be_bent(broken)


def _limits(job: Job, form: Form, parts: FoldedParts, inside: Extent, shell: Shell) -> list[Limit]:
    """Every limit of the press against the bare parts of a form."""
    found = swing_limits(form, inside, shell, job.box.press.box_depth_mm)
    for part in parts.parts.values():
        for one in check_sheet(part, shop_of(job)):
            if one.rule in ("flat size", "bend length", "least flange"):
                what = f"{one.rule} of {part.name}, {one.at}"
                found.append(Limit(what, one.figure, one.limit, "at most" if one.sense == "at most" else "at least"))
    return found


def _notes(job: Job, form: Form, inside: Extent, shell: Shell) -> tuple[str, ...]:
    """What is not known of the press."""
    if form == "pan" and job.box.press.box_depth_mm is None:
        deep = depth_mm(inside, shell)
        return (
            f"The pan is bent from one flat, {deep:.0f} mm deep: ask the shop whether its sectioned punches reach over walls "
            "of that height (job file: box.press.box_depth).",
        )
    return ()


def _with_openings(job: Job, parts: FoldedParts, inside: Extent) -> FoldedParts:
    """Openings of floor and walls, in their own flats: none may reach into a bend."""
    for panel in ("bottom", *WALLS):
        x0, y0, x1, y1 = parts.extent_mm(panel)
        corner = parts.pose(panel).then(Pose((x0, y0, 0.0)))
        name = f"{parts.number(panel)}-{panel.upper()}"
        holes = opening_holes(job, panel, name, corner, inside, rectangle(x1 - x0, y1 - y0))
        parts = parts.with_holes(panel, tuple(replace(h, centre_mm=(h.centre_mm[0] + x0, h.centre_mm[1] + y0)) for h in holes))
    return parts


def _with_screws(parts: FoldedParts, held: CarrierParts) -> FoldedParts:
    """Holes of the screws into the ends of the modules' bars, and of the modules' bolts through the floor."""
    for place in held.floor_holes:
        hole = Hole(place.name, parts.own_point("bottom", place.at_mm), place.diameter_mm, place.size)
        parts = parts.with_holes("bottom", (hole,))
    for place in held.wall_holes:
        hole = Hole(f"{place.name}-W", parts.own_point(place.wall, place.at_mm), place.diameter_mm, place.size)
        parts = parts.with_holes(place.wall, (hole,))
    return parts


def _with_lid_bolts(
    parts: FoldedParts, bolts: tuple[Hardware, ...], inside: Extent, shell: Shell
) -> tuple[FoldedParts, tuple[Hardware, ...]]:
    """The lid bolts' holes in the flanges, and the bolts with these holes' names."""
    made: list[Hardware] = []
    for i, one in enumerate(bolts):
        panel = f"{_side(one.head_mm[0], one.head_mm[1], inside)} flange"
        number = parts.number(panel)
        name = f"{number}-F{i + 1}"
        hole = Hole(name, parts.own_point(panel, one.head_mm), bolt(shell.lid_bolt).hole_medium_mm, shell.lid_bolt)
        parts = parts.with_holes(panel, (hole,))
        made.append(replace(one, holes=(one.holes[0], name), joins=(one.joins[0], number)))
    return parts, tuple(made)


def _side(x: float, y: float, inside: Extent) -> str:
    """The wall that a place in plan lies furthest beyond."""
    point = np.array((x, y, 0.0))

    def beyond(wall: str) -> float:
        w = np.array(DIRECTIONS[WALLS[wall]])
        return float((point - np.where(w > 0, inside.max_mm, inside.min_mm)) @ w)

    return max(WALLS, key=beyond)


def _gasket(gasket: Plate, inside: Extent, shell: Shell) -> Plate:
    """The gasket with its inner edge beside the flange's bend, where the flange is flat."""
    low, (sx, sy, _) = np.array(inside.min_mm), inside.size_mm
    out = shell.sheet_mm + shell.fold_radius_mm + LAND_PLAY_MM
    x, y, _ = gasket.pose.inverse_point(vec3((low[0] - out, low[1] - out, gasket.pose.origin_mm[2])))
    inner = rectangle(sx + 2.0 * out, sy + 2.0 * out, (float(x), float(y)))
    return replace(gasket, profile=Profile(gasket.profile.outline, (), (inner,)))
