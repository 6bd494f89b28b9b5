"""Lifting points: tapped pads on uprights of two opposite walls, about the centre of mass and above it. Pack frame."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from layout.arrangement import Arrangement
from layout.box.carriers import CarrierBar, LiftingPoint, Post
from layout.box.fixture import PAD_MM, Fixture
from layout.box.fixture_parts import TAP_DRILL_MM, FixtureHole
from layout.box.posts import BarEnd, NoPost, bar_ends
from layout.box.shell import Shell
from layout.box.walls import LOOKS, along, wall_at, wall_of
from layout.brackets.plan import BracketPlan
from layout.design import Hole, Plate, Profile, Weld, rectangle
from layout.frames import DIRECTIONS, Array, Extent, Pose, vec3
from layout.job.model import Job
from layout.tables.lifting_eyes import lifting_eye

PostsFor = Callable[[tuple[BarEnd, ...]], tuple[Post, ...]]
STEP_MM = 10.0
LEAST_APART_MM = 120.0
"""Between two points of one wall (our choice): nearer to each other they do not steady the load."""
STOCK_MM = (2.0, 3.0, 4.0, 5.0, 6.0)


@dataclass(frozen=True)
class Lifted:
    """Points with the posts for them; or why there are none."""

    points: tuple[LiftingPoint, ...]
    posts: tuple[Post, ...]
    why: str


def pad_mm(size: str, bar_mm: float) -> float:
    """Thickness of the pad that makes the upright deep enough for the eye's whole thread; 0 where it is deep enough."""
    need = lifting_eye(size).thread_mm - bar_mm
    return 0.0 if need <= 0.0 else min(t for t in STOCK_MM if t >= need)


def pad_side_mm(size: str) -> float:
    """Side of the square that the eye's collar lies on."""
    return 2.0 * math.ceil(lifting_eye(size).collar_mm / 2.0 + 1.0)


def mass_centre_mm(arrangement: Arrangement) -> Array:
    """Centre of mass of modules and equipment, pack frame: what the box will weigh besides lies round its middle."""
    rows = [(m.kind.mass_kg, m.centroid_mm) for m in arrangement.modules]
    rows += [(e.kind.mass_kg, vec3(e.pose.point(e.kind.centroid_offset_mm))) for e in arrangement.equipment if e.face]
    return np.average([p for _, p in rows], axis=0, weights=[m for m, _ in rows])


def with_lifting(
    job: Job, arrangement: Arrangement, shell: Shell, plans: tuple[BracketPlan, ...], bars: tuple[CarrierBar, ...],
    fixtures: tuple[Fixture, ...], posts: tuple[Post, ...], posts_for: PostsFor,
) -> Lifted:  # fmt: skip
    """The widest place for four points on the longer pair of walls, then on the other pair, that uprights can stand behind."""
    if job.lifting is None:
        return Lifted((), posts, "")
    inside, centre = arrangement.inside, np.round(mass_centre_mm(arrangement))
    half = pad_side_mm(job.lifting.bolt) / 2.0
    up = inside.max_mm[2] - shell.flange_below_mm - 2.0 - half - 2.0
    if up <= centre[2]:
        return Lifted((), posts, f"under the lid flange, at z = {up:.0f} mm, they would lie below the centre of mass")
    why = "no two places on opposite walls leave room for them"
    for axis in sorted((0, 1), key=lambda a: -inside.size_mm[a]):
        walls = ("left", "right") if axis == 0 else ("fore", "aft")
        low, high = inside.min_mm[axis] + 20.0, inside.max_mm[axis] - 20.0
        reach = min(centre[axis] - low, high - centre[axis])
        while 2.0 * reach >= LEAST_APART_MM:
            points = _points(job, inside, walls, (float(centre[axis] - reach), float(centre[axis] + reach)), up)
            found, why = _settled(points, half, bars, fixtures, plans, posts_for)
            if found is not None:
                return Lifted(points, found, "")
            reach -= STEP_MM
    return Lifted((), posts, why)


def _points(
    job: Job, inside: Extent, walls: tuple[str, str], places: tuple[float, float], up: float
) -> tuple[LiftingPoint, ...]:
    """On the stretch of each wall that runs there."""
    assert job.lifting is not None
    found = []
    for name in walls:
        wall = wall_of(name, inside)
        found += [(wall_at(inside, wall.direction, wall.point(u, 0.0, up)).name, u) for u in places]
    size, prefix = job.lifting.bolt, job.job.drawing_number
    return tuple(LiftingPoint(f"{prefix}-Y{k + 1}", wall, u, up, size) for k, (wall, u) in enumerate(found))


def _settled(
    points: tuple[LiftingPoint, ...], half: float, bars: tuple[CarrierBar, ...], fixtures: tuple[Fixture, ...],
    plans: tuple[BracketPlan, ...], posts_for: PostsFor,
) -> tuple[tuple[Post, ...] | None, str]:  # fmt: skip
    """Posts behind all points, wide enough that each pad lies on its upright; or the reason why not."""
    for point in points:
        met = _met(point, half, bars, fixtures)
        if met:
            return None, f"on the {point.wall} wall a lifting point would meet {met}"
    ends = [BarEnd(-1, k, p.wall, p.u_mm, p.z_mm) for k, p in enumerate(points)]
    for i, one in enumerate(fixtures):
        ends += [BarEnd(-1 - i, k, one.wall, u, z) for k, (u, z) in enumerate(one.places())]
    try:
        posts = posts_for(tuple(ends))
    except NoPost as no:
        return None, no.why.replace("its end", "a lifting point")
    for point in points:
        uprights = [(p.u_mm, p.width_mm) for p in posts if p.wall == point.wall]
        uprights += [(u, p.bar_width_mm) for p in plans if p.wall == point.wall for u in p.bars_u_mm]
        if not any(abs(point.u_mm - u) + half <= width / 2.0 + 1e-6 for u, width in uprights):
            return None, f"on the {point.wall} wall no upright is wide enough for the collar of a lifting eye"
    return posts, ""


def _met(point: LiftingPoint, half: float, bars: tuple[CarrierBar, ...], fixtures: tuple[Fixture, ...]) -> str:
    taken = [(e.u_mm, e.z_mm, 6.0, "an end screw of a module's bar") for e in bar_ends(bars) if e.wall == point.wall]
    taken += [(u, z, PAD_MM / 2.0, f"a foot of {f.name}") for f in fixtures if f.wall == point.wall for u, z in f.places()]
    for u, z, size, name in taken:
        if max(abs(point.u_mm - u), abs(point.z_mm - z)) < half + size + 1.0:
            return name
    for one in fixtures:
        low, high = one.piece.extent.min_mm, one.piece.extent.max_mm
        axis = along(point.wall)
        inside = low[axis] - half < point.u_mm < high[axis] + half and low[2] - half < point.z_mm < high[2] + half
        if one.hung and one.wall == point.wall and inside:
            return one.name
    return ""


@dataclass(frozen=True)
class LiftingParts:
    """Pads, their welds, and the tapped holes in the uprights behind them."""

    plates: tuple[Plate, ...] = ()
    welds: tuple[Weld, ...] = ()
    holes: tuple[FixtureHole, ...] = ()


def lifting_parts(
    material: str, points: tuple[LiftingPoint, ...], inside: Extent, shell: Shell, uprights: Callable[[str, float], str]
) -> LiftingParts:
    """Parts of every point. uprights: part number of the upright at a place along a wall."""
    plates: list[Plate] = []
    welds: list[Weld] = []
    holes: list[FixtureHole] = []
    for one in points:
        drill, text = TAP_DRILL_MM[one.size], f"{one.size} thread, lifting eye"
        out = np.array(DIRECTIONS[LOOKS[one.wall]])
        level = wall_of(one.wall, inside).outer_mm(shell.sheet_mm) + shell.bar_mm
        at = level * out + np.array((0.0, 0.0, one.z_mm))
        at[along(one.wall)] += one.u_mm
        holes.append(FixtureHole(one.number, one.wall, vec3(at), drill, text, False))
        thick, side = pad_mm(one.size, shell.bar_mm), pad_side_mm(one.size)
        if thick <= 0.0:
            continue
        across, up = np.cross((0.0, 0.0, 1.0), out), np.array((0.0, 0.0, 1.0))
        corner = at - side / 2.0 * (across + up)
        hole = Hole(f"{one.number}-H1", (side / 2.0, side / 2.0), drill, text)
        profile = Profile(rectangle(side, side), (hole,))
        pose = Pose(vec3(corner), (vec3(across), vec3(up), vec3(out)))
        plates.append(Plate(one.number, "lifting pad", material, thick, profile, pose))
        ring = [corner + side * (a * across + b * up) for a, b in ((0, 0), (1, 0), (1, 1), (0, 1), (0, 0))]
        joins = (one.number, uprights(one.wall, one.u_mm))
        welds.append(Weld(f"{one.number}W", "fillet", pad_throat_mm(thick), tuple(vec3(p) for p in ring), joins))
    return LiftingParts(tuple(plates), tuple(welds), tuple(holes))


def pad_throat_mm(thick_mm: float) -> float:
    """Throat of the fillet round a pad: 0.7 of its thickness, as elsewhere on thin metal."""
    return math.floor(7.0 * thick_mm + 1e-9) / 10.0
