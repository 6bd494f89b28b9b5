"""Bars, posts, bolts and screws that hold the modules, as parts. Pack frame."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from layout.arrangement import Arrangement, PlacedModule
from layout.box.carrier_plan import END_PLAY_MM, Ground, planned
from layout.box.carriers import CarrierBar, Carriers, Level, Post
from layout.box.clamps import ClampParts, clamp_parts
from layout.box.cover import Cover, covers_keep_off, planned_covers
from layout.box.fixture import wanted_fixtures
from layout.box.fixture_parts import TAP_DRILL_MM, FixtureHole, FixtureParts, fixture_parts
from layout.box.fixture_plan import with_fixtures
from layout.box.lifting import LiftingParts, lifting_parts, with_lifting
from layout.box.notches import notched
from layout.box.opening_room import uprights_keep_off
from layout.box.posts import BarEnd, NoPost, posts_for
from layout.box.shell import END_SCREW, Shell
from layout.box.walls import LOOKS, UPPER_FLOOR, UPPER_FLOOR_NUMBER, along, wall_of, walls_of
from layout.brackets.plan import BracketPlan
from layout.design import Bevel, EndHole, Hardware, Hole, Plate, Profile, rectangle
from layout.design.lengths import next_length_mm
from layout.errors import DesignError
from layout.frames import DIRECTIONS, Axes, Extent, Pose, Vec3, vec3
from layout.job.model import Job
from layout.stepped import floors_of, two_floors
from layout.tables import bolt, bolt_lengths_mm

BOLT_CLASS = "8.8"
MODULE_ENGAGEMENT_D = 1.2
END_ENGAGEMENT_D = 2.0
"""Engagement of an end screw in its bar, in diameters (aluminium: 2 d, common practice)."""
LEAST_D = 1.3
"""The least where a module's bolt is near."""
RUN_OUT_MM = 3.0
"""From the end of the screw to the bottom of its hole: run-out of the tap (three pitches of M6; common practice)."""


def carriers_for(
    job: Job, arrangement: Arrangement, shell: Shell, plans: tuple[BracketPlan, ...], widths_mm: tuple[float, float]
) -> Carriers:
    """Bars for all modules that they can hold; the others with the reason why not. widths_mm: least, of bars and of posts.

    Where the end of a bar finds no place, either the other direction is tried for all bars of its level, or its modules are
    left out: whichever leaves out fewer in the end. Covers are left room where no module loses its hold by it. Equipment and
    lifting points come last.
    """
    ground = Ground(job, arrangement, shell, widths_mm[0])
    covers, _ = planned_covers(job, arrangement, shell, plans)
    tried: list[tuple[_Site, Carriers]] = []
    for leave_room in (covers, ()) if covers else ((),):
        site = _Site(ground, plans, widths_mm[1], leave_room)
        for turning in (True, False):
            tried.append((site, site.settled(turning=turning)))
            if not tried[-1][1].unheld:
                return site.fitted(tried[-1][1])
    site, best = min(tried, key=lambda t: len(t[1].unheld))
    return site.fitted(best)


@dataclass(frozen=True)
class _Site:
    ground: Ground
    plans: tuple[BracketPlan, ...]
    post_mm: float
    covers: tuple[Cover, ...] = ()

    @cached_property
    def keep_off(self) -> dict[str, list[tuple[float, float]]]:
        """By wall, what posts leave to openings and covers."""
        job, inside = self.ground.job, self.ground.arrangement.inside
        return {
            wall.name: [*uprights_keep_off(job, wall.name, inside), *covers_keep_off(self.covers, wall.name)]
            for wall in walls_of(inside)
        }

    def settled(self, *, turning: bool) -> Carriers:
        """Bars and posts; turning: whether a level's bars are turned before a module is left out."""
        job, inside, shell = self.ground.job, self.ground.arrangement.inside, self.ground.shell
        prefix = job.job.drawing_number
        banned: frozenset[Level] = frozenset()
        left_out: dict[str, str] = {}
        while True:
            bars, held, unheld = planned(self.ground, banned, left_out)
            numbered = tuple(replace(b, number=f"{prefix}-C{i + 1}") for i, b in enumerate(bars))
            try:
                _check_screws(numbered, shell)
                posts = posts_for(prefix, numbered, self.plans, inside, shell, self.post_mm, self.keep_off)
            except NoPost as lost:
                level = numbered[lost.bar].level
                clamped = any(held[b.module].clamped for b in numbered[lost.bar].bolts)  # their bars run one way
                if turning and not clamped and all((*level[:2], run) not in banned for run in (0, 1)):
                    banned |= {level}
                else:
                    left_out |= dict.fromkeys((b.module for b in numbered[lost.bar].bolts), lost.why)
                continue
            return Carriers(numbered, tuple(held.values()), posts, tuple(unheld.items()))

    def fitted(self, plain: Carriers) -> Carriers:
        """Equipment and lifting points on uprights besides."""
        job, shell, inside = self.ground.job, self.ground.shell, self.ground.arrangement.inside
        prefix = job.job.drawing_number

        def again(more: tuple[BarEnd, ...]) -> tuple[Post, ...]:
            return posts_for(prefix, plain.bars, self.plans, inside, shell, self.post_mm, self.keep_off, more)

        carried = frozenset(c.name for c in self.covers if c.feet_mm)
        wanted, lost = wanted_fixtures(job, self.ground.arrangement, shell, carried)
        screwed = with_fixtures(wanted, lost, plain.bars, plain.posts, again)
        lifted = with_lifting(
            job, self.ground.arrangement, shell, self.plans, plain.bars, screwed.fixtures, screwed.posts, again
        )
        return replace(
            plain, posts=lifted.posts, fixtures=screwed.fixtures, unfixed=screwed.unfixed, lifting=lifted.points,
            no_lifting=lifted.why,
        )  # fmt: skip


def _check_screws(bars: tuple[CarrierBar, ...], shell: Shell) -> None:
    """Raise NoPost for a bar whose end screws find no room beside a module's bolt."""
    for i, bar in enumerate(bars):
        try:
            if not bar.welded:
                end_engagement_mm(shell, bar)
        except DesignError as short:
            raise NoPost(i, f"the screws in its ends meet a bolt: {short.figure}") from short


@dataclass(frozen=True)
class HolePlace:
    """A hole that a carrier's bolt needs in a panel. at_mm: a point of its axis, pack frame; wall: "" for the floor, the deep
    one where there are two.
    """

    name: str
    wall: str
    at_mm: Vec3
    diameter_mm: float
    size: str


@dataclass(frozen=True)
class CarrierParts:
    """What the carriers add to the box. upright_holes: in posts and mounting bars alone, not in the wall."""

    bars: tuple[Plate, ...]
    posts: tuple[Plate, ...]
    hardware: tuple[Hardware, ...]
    floor_holes: tuple[HolePlace, ...]
    wall_holes: tuple[HolePlace, ...]
    upright_holes: tuple[HolePlace, ...] = ()
    clamps: tuple[Plate, ...] = ()
    fixtures: FixtureParts = field(default_factory=FixtureParts)
    lifting: LiftingParts = field(default_factory=LiftingParts)


def bar_plate(bar: CarrierBar, shell: Shell, engagement_mm: float = 0.0) -> Plate:
    """A bar as a plate: own x along it, own z out of the face that the modules touch.

    engagement_mm: how deep the screws reach into its ends, where it is screwed between walls. On the floor of a folded box
    the lower edges of its ends are chamfered, so that they clear the bend between floor and wall.
    """
    x, z = np.zeros(3), np.zeros(3)
    x[bar.run], z[bar.normal] = 1.0, bar.sign
    y = np.cross(z, x)
    start = np.array(bar.between(0.0, bar.thickness_mm).corners())
    own = np.array([start @ x, start @ y, start @ z]).min(axis=1)
    pose = Pose(vec3(own[0] * x + own[1] * y + own[2] * z), (vec3(x), vec3(y), vec3(z)))
    holes = tuple(
        Hole(f"{bar.number}-H{i + 1}", _plan(pose, b.at_mm), bolt(b.size).hole_medium_mm, b.size)
        for i, b in enumerate(bar.bolts)
    )
    name = "floor bar" if bar.welded else "cross bar"
    profile = Profile(rectangle(bar.ends_mm[1] - bar.ends_mm[0], bar.width_mm), holes)
    tapped = () if bar.welded else _tapped_ends(bar, engagement_mm)
    bevels = tuple(Bevel(edge, shell.floor_chamfer_mm) for edge in (1, 3)) if bar.welded and shell.folded else ()
    return Plate(bar.number, name, bar.material, bar.thickness_mm, profile, pose, tapped=tapped, bevels=bevels)


def _tapped_ends(bar: CarrierBar, engagement_mm: float) -> tuple[EndHole, ...]:
    """Tapped holes for the end screws: 3 mm deeper than these reach, but short of the bolt next to them."""
    length = bar.ends_mm[1] - bar.ends_mm[0]
    deep = min(engagement_mm + RUN_OUT_MM, _bolt_room_mm(bar) + 1.5)
    ends = ((0.0, 1.0), (length, -1.0))
    return tuple(
        EndHole(
            f"{bar.number}-E{which + 1}", (x, bar.width_mm / 2.0, bar.thickness_mm / 2.0), (way, 0.0, 0.0), END_SCREW,
            TAP_DRILL_MM[END_SCREW], deep, engagement_mm,
        )
        for which, (x, way) in enumerate(ends)
    )  # fmt: skip


def _plan(pose: Pose, at_mm: Vec3) -> tuple[float, float]:
    x, y, _ = pose.inverse_point(at_mm)
    return (float(x), float(y))


def carrier_parts(
    job: Job,
    carriers: Carriers,
    inside: Extent,
    shell: Shell,
    plans: tuple[BracketPlan, ...] = (),
    modules: tuple[PlacedModule, ...] = (),
) -> CarrierParts:
    """Plates and fasteners of the carriers, of the clamps of modules, and of equipment and lifting points on the uprights."""
    bolts, floor_holes = _module_bolts(job, carriers, inside, shell)
    clamps = _clamps(job, carriers, modules, shell, floor_holes)
    screws, wall_holes = _end_screws(job, carriers, shell)
    equipment = fixture_parts(job.box.material, carriers.fixtures, inside, shell)
    wall_holes += [_place(h) for h in equipment.holes if h.in_wall]
    number = UprightNumbers(job.job.drawing_number, carriers.posts, plans)
    lifting = lifting_parts(job.box.material, carriers.lifting, inside, shell, number)
    upright_holes = [_place(h) for h in (*equipment.holes, *lifting.holes) if not h.in_wall]
    posts = tuple(_post(job, p, inside, shell, [*wall_holes, *upright_holes]) for p in carriers.posts)
    bars = tuple(bar_plate(b, shell, 0.0 if b.welded else end_engagement_mm(shell, b)) for b in carriers.bars)
    return CarrierParts(
        bars, posts, (*bolts, *(r for c in clamps for r in c.rods), *screws, *equipment.hardware), tuple(floor_holes),
        tuple(wall_holes), tuple(upright_holes), tuple(p for c in clamps for p in c.plates), equipment, lifting,
    )  # fmt: skip


@dataclass(frozen=True)
class UprightNumbers:
    """Part numbers of posts and mounting bars by where they stand."""

    prefix: str
    posts: tuple[Post, ...]
    plans: tuple[BracketPlan, ...]

    def __call__(self, wall: str, u_mm: float) -> str:
        """Number of the upright at a place along a wall; nothing where none stands there."""
        for post in self.posts:
            if post.wall == wall and abs(post.u_mm - u_mm) <= post.width_mm / 2.0:
                return post.number
        bars = [(plan, u) for plan in self.plans for u in plan.bars_u_mm]
        for i, (plan, u) in enumerate(bars):
            if plan.wall == wall and abs(u - u_mm) <= plan.bar_width_mm / 2.0:
                return f"{self.prefix}-P{i + 1}"
        return ""


def _place(hole: FixtureHole) -> HolePlace:
    return HolePlace(hole.name, hole.wall, hole.at_mm, hole.diameter_mm, hole.size)


def _module_bolts(
    job: Job, carriers: Carriers, inside: Extent, shell: Shell
) -> tuple[list[Hardware], list[HolePlace]]:
    """A bolt from below (or behind) each bar into the module's own thread; through the floor where the bar lies on it.

    The rods of clamped modules come with their clamps; here they get their holes in the floor.
    """
    prefix = job.job.drawing_number
    clamped = {h.id for h in carriers.held if h.clamped}
    found: list[Hardware] = []
    floor: list[HolePlace] = []
    upper = floors_of(inside)[-1].min_mm[2] if two_floors(inside) else math.inf
    for bar in carriers.bars:
        w = np.zeros(3)
        w[bar.normal] = bar.sign
        on_upper = bar.extent.min_mm[2] > upper - 1e-6
        for i, one in enumerate(bar.bolts):
            row = bolt(one.size)
            if one.module in clamped:
                name = f"{prefix}-B{UPPER_FLOOR_NUMBER if on_upper else 1}-H{len(floor) + 1}"
                mine = HolePlace(name, UPPER_FLOOR if on_upper else "", one.at_mm, row.hole_medium_mm, one.size)
                floor += [mine] if bar.welded else []
                continue
            through = bar.thickness_mm + (shell.sheet_mm if bar.welded else 0.0)
            grip = through + row.washer_thickness_mm
            length = next_length_mm(one.size, grip + MODULE_ENGAGEMENT_D * row.diameter_mm, f"bolt of {one.module}")
            head = np.array(one.at_mm) - grip * w
            holes: tuple[str, ...] = (f"{bar.number}-H{i + 1}",)
            if bar.welded:
                name = f"{prefix}-B{UPPER_FLOOR_NUMBER if on_upper else 1}-H{len(floor) + 1}"
                floor.append(HolePlace(name, UPPER_FLOOR if on_upper else "", one.at_mm, row.hole_medium_mm, one.size))
                holes = (name, *holes)
            found.append(
                Hardware(
                    f"{prefix}-CB{len(found) + 1}", "hex screw", one.size, BOLT_CLASS, length, grip, vec3(head), vec3(w),
                    holes=holes, joins=(bar.number, one.module), group="carrier",
                )
            )  # fmt: skip
    return found, floor


def _clamps(
    job: Job, carriers: Carriers, modules: tuple[PlacedModule, ...], shell: Shell, floor: list[HolePlace]
) -> list[ClampParts]:
    """What clamps each module that has a clamp."""
    by_id, found, rods = {m.id: m for m in modules}, [], 0
    for held in (h for h in carriers.held if h.clamped):
        names = tuple(next((p.name for p in floor if p.at_mm == b.at_mm), "") for b in held.bolts)
        prefix = job.job.drawing_number
        found.append(clamp_parts(prefix, held, by_id[held.id], carriers.bars, shell.sheet_mm, names, rods + 1))
        rods += len(held.bolts)
    return found


def _end_screws(job: Job, carriers: Carriers, shell: Shell) -> tuple[list[Hardware], list[HolePlace]]:
    """A screw through post and wall into each end of a bar that is not welded."""
    prefix, row = job.job.drawing_number, bolt(END_SCREW)
    found: list[Hardware] = []
    holes: list[HolePlace] = []
    for bar in carriers.bars:
        for which in () if bar.welded else (0, 1):
            wall = bar.wall(which)
            w = np.array(DIRECTIONS[LOOKS[wall]])
            grip = shell.bar_mm + shell.sheet_mm + END_PLAY_MM + row.washer_thickness_mm
            length = grip + end_engagement_mm(shell, bar)
            at = bar.end_mm(which)
            name = f"{bar.number}-E{which + 1}"
            holes.append(HolePlace(name, wall, at, row.hole_medium_mm, END_SCREW))
            found.append(
                Hardware(
                    f"{prefix}-CS{len(found) + 1}", "hex screw", END_SCREW, BOLT_CLASS, length, grip,
                    vec3(np.array(at) + grip * w), vec3(-w), holes=(f"{name}-P", f"{name}-W"), joins=(wall, bar.number),
                    group="carrier",
                )
            )  # fmt: skip
    return found, holes


def end_engagement_mm(shell: Shell, bar: CarrierBar) -> float:
    """How deep the end screws of a bar reach into it: 2 d or the next standard length, but short of the nearest bolt.

    Raises:
        DesignError: no standard length between 1.5 d and that bolt.
    """
    row = bolt(END_SCREW)
    grip = shell.bar_mm + shell.sheet_mm + END_PLAY_MM + row.washer_thickness_mm
    most = min(_bolt_room_mm(bar), 3.0 * row.diameter_mm)
    lengths = [v for v in bolt_lengths_mm(END_SCREW, "hex screw") if LEAST_D * row.diameter_mm <= v - grip <= most]
    if not lengths:
        figure = f"{most:.1f} mm to the nearest bolt"
        raise DesignError(f"end screw of {bar.number}", f"engagement of at least {LEAST_D:g} d", figure, "Use another sheet.")
    enough = [v for v in lengths if v - grip >= END_ENGAGEMENT_D * row.diameter_mm]
    return (enough[0] if enough else lengths[-1]) - grip


def _bolt_room_mm(bar: CarrierBar) -> float:
    """From a bar's end to the nearest module bolt in it, less half that bolt and 2 mm."""
    return min(abs(b.at_mm[bar.run] - end) - bolt(b.size).hole_medium_mm / 2.0 - 2.0 for b in bar.bolts for end in bar.ends_mm)


def _post(job: Job, post: Post, inside: Extent, shell: Shell, holes: list[HolePlace]) -> Plate:
    pose, height = post_pose(post, inside, shell)
    half = post.width_mm / 2.0
    mine = tuple(
        Hole(f"{h.name}-P", _plan(pose, h.at_mm), h.diameter_mm, h.size)
        for h in holes
        if h.wall == post.wall and abs(h.at_mm[along(h.wall)] - post.u_mm) <= half
    )
    profile = Profile(notched(post.width_mm, height, pose, inside, shell), mine)
    return Plate(post.number, "post", job.box.material, shell.bar_mm, profile, pose)


def post_pose(post: Post, inside: Extent, shell: Shell) -> tuple[Pose, float]:
    """Pose and height of a post: own x along the wall, y up, z outward, as a mounting bar."""
    wall = wall_of(post.wall, inside)
    bottom = wall.bottom_mm - shell.sheet_mm
    origin = np.array(wall.point(post.u_mm, shell.sheet_mm, bottom)) - post.width_mm / 2.0 * wall.h
    axes: Axes = (vec3(wall.h), (0.0, 0.0, 1.0), vec3(wall.w))
    return Pose(vec3(origin), axes), inside.max_mm[2] - shell.fold_radius_mm - bottom
