"""Floor, walls, mounting bars, ribs and liner of a welded box. Pack frame."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layout.box.design import BoxDesign
from layout.box.lid import lid_parts
from layout.box.openings import opening_holes
from layout.box.ribs import rib_plan, rib_plates
from layout.box.seams import SeamParts, seams
from layout.box.shell import MOUNTING_BAR_MM, Shell
from layout.brackets.plan import WALLS, BracketPlan, along, wall_face_mm
from layout.brackets.rows import bar_holes
from layout.design import Block, Hole, Plate, Profile, rectangle
from layout.errors import DesignError
from layout.frames import DIRECTIONS, Extent, Pose, vec3
from layout.job.model import Job


@dataclass(frozen=True)
class _Panel:
    name: str
    plate: Plate


def design_box(job: Job, inside: Extent, shell: Shell, plans: tuple[BracketPlan, ...]) -> BoxDesign:
    """A welded box around `inside` with bars for the planned brackets.

    Raises:
        DesignError: a construction this version cannot make, or an opening that does not fit its panel.
    """
    if job.box.construction != "welded":
        got = f"construction = {job.box.construction!r}"
        raise DesignError("box", "only welded boxes can be designed", got, 'Use construction = "welded".')
    prefix, material = job.job.drawing_number, job.box.material
    panels = [_floor(prefix, material, inside, shell), *(_wall(job, wall, inside, shell) for wall in WALLS)]
    bars = [plate for plan in plans for plate in _bars(prefix, material, plan, plans, inside, shell)]
    ribs = rib_plan(inside, plans)
    rib_parts = rib_plates(prefix, material, inside, shell, ribs)
    lid, gasket, bolts, places = lid_parts(job, inside, shell)
    plates = (*(p.plate for p in panels), *bars, *rib_parts, *lid, gasket)
    return BoxDesign(
        inside=inside,
        shell=shell,
        material=material,
        plates=plates,
        blocks=_liner(prefix, inside, shell),
        hardware=bolts,
        welds=seams(prefix, inside, shell, SeamParts({p.name: p.plate for p in panels}, tuple(bars), rib_parts, lid[0])),
        panels={p.name: p.plate.number for p in panels} | {"top": lid[1].number},
        rib_axis=ribs.axis,
        rib_height_mm=ribs.height_mm,
        rib_thickness_mm=ribs.thickness_mm,
        rib_spacing_mm=ribs.clear_mm(inside),
        lid_bolts_mm=places,
    )


def wall_pose(wall: str, inside: Extent, shell: Shell) -> Pose:
    """Own frame of a wall: x along the wall, y up, z outward; origin at its lower corner on the inner face."""
    w = np.array(DIRECTIONS[WALLS[wall]])
    h = np.cross((0.0, 0.0, 1.0), w)
    face = wall_face_mm(wall, inside, shell) - shell.sheet_mm
    low, high = inside.min_mm, inside.max_mm
    start = np.where(h > 0, low, high) * np.abs(h)
    extra = shell.sheet_mm if wall in ("left", "right") else 0.0
    origin = start - extra * h + face * w + np.array((0.0, 0.0, low[2]))
    return Pose(vec3(origin), (vec3(h), (0.0, 0.0, 1.0), vec3(w)))


def wall_size_mm(wall: str, inside: Extent, shell: Shell) -> tuple[float, float]:
    """Length and height of a wall plate: left and right walls lap the ends of fore and aft walls."""
    sx, sy, sz = inside.size_mm
    return (sx + 2.0 * shell.sheet_mm, sz) if wall in ("left", "right") else (sy, sz)


def _floor(prefix: str, material: str, inside: Extent, shell: Shell) -> _Panel:
    t = shell.sheet_mm
    (x0, y0, z0), (sx, sy, _) = inside.min_mm, inside.size_mm
    outline = rectangle(sx + 2 * t, sy + 2 * t)
    return _Panel("bottom", Plate(f"{prefix}-B1", "floor", material, t, Profile(outline), Pose((x0 - t, y0 - t, z0 - t))))


def _wall(job: Job, wall: str, inside: Extent, shell: Shell) -> _Panel:
    number = f"{job.job.drawing_number}-B{2 + list(WALLS).index(wall)}"
    width, height = wall_size_mm(wall, inside, shell)
    pose = wall_pose(wall, inside, shell)
    holes = opening_holes(job, wall, number, pose, inside, (width, height))
    profile = Profile(rectangle(width, height), holes)
    return _Panel(wall, Plate(number, f"{wall} wall", job.box.material, shell.sheet_mm, profile, pose))


def _bars(
    prefix: str, material: str, plan: BracketPlan, plans: tuple[BracketPlan, ...], inside: Extent, shell: Shell
) -> list[Plate]:
    """Upright flat bars on the wall's outer face, from the floor's underside to the flange."""
    w = plan.w
    h = np.cross((0.0, 0.0, 1.0), w)
    bottom = inside.min_mm[2] - shell.sheet_mm
    height = inside.max_mm[2] - bottom
    index = plans.index(plan)
    first = sum(len(p.bars_u_mm) for p in plans[:index])
    bars = []
    for i, u in enumerate(plan.bars_u_mm):
        middle = np.zeros(3)
        middle[along(plan.wall)] = u
        origin = middle - plan.bar_width_mm / 2.0 * h + (plan.bar_face_mm - MOUNTING_BAR_MM) * w + np.array((0.0, 0.0, bottom))
        number = f"{prefix}-M{first + i + 1}"
        pose = Pose(vec3(origin), (vec3(h), (0.0, 0.0, 1.0), vec3(w)))
        holes = tuple(
            Hole(f"{number}-H{k + 1}", (plan.bar_width_mm / 2.0 + x, z - bottom), 6.8, "M8 thread")
            for k, (x, z) in enumerate(bar_holes(plan, i, inside, shell))
        )
        profile = Profile(rectangle(plan.bar_width_mm, height), holes)
        bars.append(Plate(number, f"mounting bar {first + i + 1}", material, MOUNTING_BAR_MM, profile, pose))
    return bars


def _liner(prefix: str, inside: Extent, shell: Shell) -> tuple[Block, ...]:
    """Insulating sheets on the floor and the four walls."""
    t = shell.liner_mm
    if t <= 0.0:
        return ()
    (x0, y0, z0), (x1, y1, z1) = inside.min_mm, inside.max_mm
    sheets = {
        "floor": Extent((x0, y0, z0), (x1, y1, z0 + t)),
        "left": Extent((x0, y1 - t, z0 + t), (x1, y1, z1)),
        "right": Extent((x0, y0, z0 + t), (x1, y0 + t, z1)),
        "fore": Extent((x1 - t, y0 + t, z0 + t), (x1, y1 - t, z1)),
        "aft": Extent((x0, y0 + t, z0 + t), (x0 + t, y1 - t, z1)),
    }
    return tuple(
        Block(
            f"{prefix}-L{i + 1}",
            f"liner, {name}",
            Extent((0.0, 0.0, 0.0), e.size_mm),
            Pose(e.min_mm),
            "insulating liner",
            group="liner",
        )
        for i, (name, e) in enumerate(sheets.items())
    )
