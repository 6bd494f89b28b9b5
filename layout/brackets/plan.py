"""Which wall each mount point is reached from, and where on that wall the bracket is bolted.

Everything in the pack's frame. A bracket is an angle: a foot on the vehicle's metal, a leg on a mounting bar of the box.
Its axes: n, the mount's normal; w, the outward normal of the wall; a = n x w, along the bend.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise, product

import numpy as np

from layout.box.shell import Shell
from layout.box.walls import LOOKS, WALLS, Wall, along, wall_of, walls_of
from layout.brackets.planned import BracketPlan, PackMount
from layout.errors import DesignError
from layout.frames import DIRECTIONS, Extent, Pose, Vec3, vec3
from layout.job.model import Job
from layout.stepped import Stepped

__all__ = [
    "WALLS",
    "BracketPlan",
    "PackMount",
    "along",
    "mounts_in_pack",
    "plan_for",
    "plan_options",
    "wall_face_mm",
    "ways_to",
    "with_bars",
]

BAR_WIDTHS_MM = (100.0, 120.0, 140.0, 160.0, 180.0, 200.0)
"""Widths of flat bar that are tried for the mounting bars: common sizes of stock, no source."""
END_MM = 40.0
"""Least way from a mount to the bracket's end along the bend: socket, gusset, weld and edge."""
CORNER_MM = 46.0
"""From the vehicle's metal to the middle of a bar that the leg runs to square off it: foot, bend, socket, column."""
REACH_MM = 260.0
"""Greatest distance from the bar's face to a mount that an angle bracket is offered for at first (our choice)."""
FAR_REACH_MM = 340.0
"""The same where nothing else is found: its checks decide."""
STANDOFF_MM = (45.0, 320.0)
"""Least and greatest distance from the bar's face to a mount that faces it, for a standoff: welds and a spanner in reach."""
MOST_LEAN = 0.3
"""Greatest sine of the angle between the mount's normal and the wall's plane for an angle bracket: 17 degrees (our choice)."""


MOST_OPTIONS = 24
WORTH_SAYING_MM = 300.0
"""A wall that misses a mount by more than this is not named beside others."""
OTHER_KIND_MM = 200.0
"""What a kind that is not the usual one at a place is put behind the usual ones, as if it were so much farther."""


def mounts_in_pack(job: Job, frame: Pose) -> tuple[PackMount, ...]:
    """The job's mount points in the pack's frame."""
    return tuple(
        PackMount(m, vec3(frame.inverse_point(m.at_mm)), vec3(np.round(frame.inverse_vector(DIRECTIONS[m.normal]), 12)))
        for m in job.mount_points
    )


def plan_options(
    job: Job,
    frame: Pose,
    inside: Extent,
    shell: Shell,
    leg_bolt: str = "M8",
    *,
    far: bool = False,
) -> Iterator[tuple[BracketPlan, ...]]:
    """Ways to reach every mount point, the shortest first. far: with feet that reach further and may be cut back along the
    bay's edge, which are offered only where no other way exists.

    Raises:
        DesignError: a mount point that no kind of bracket reaches; names the mount, the figure and the remedy.
    """
    mounts = mounts_in_pack(job, frame)
    choices: list[list[Way]] = []
    for mount in mounts:
        found, misses = ways_to(mount, inside, shell, FAR_REACH_MM if far else REACH_MM)
        if not found:
            raise no_way(mount, missed(mount, misses))
        choices.append(found)
    combinations = sorted(product(*choices), key=lambda c: (sum(way.cost_mm for way in c), [way.wall for way in c]))
    for combination in combinations[:MOST_OPTIONS]:
        plans = _plans(job, frame, mounts, combination, inside, shell, leg_bolt)
        yield tuple(replace(p, cut=far) for p in plans)


def plan_for(job: Job, frame: Pose, mount: PackMount, way: Way, inside: Extent, shell: Shell) -> BracketPlan:
    """The bracket that reaches one mount alone in a way, its foot cut back along the bay's edge where it must be."""
    (plan,) = _plans(job, frame, (mount,), (way,), inside, shell, "M8")
    return replace(plan, cut=True)


def _plans(
    job: Job, frame: Pose, mounts: tuple[PackMount, ...], ways: tuple[Way, ...], inside: Extent, shell: Shell, leg_bolt: str
) -> tuple[BracketPlan, ...]:
    """Brackets for mounts whose walls are chosen: one each, or one rail for several on a line of the vehicle."""
    groups: dict[tuple[str, str, Vec3, float, float], list[PackMount]] = {}
    whys: dict[str, str] = {}
    for mount, way in zip(mounts, ways, strict=True):
        level = round(float(np.dot(mount.at_mm, mount.normal)), 3)
        line = round(mount.entry.at_mm[1 - along(way.wall)], 3)  # mounts on one rail of the vehicle, however the pack is turned
        groups.setdefault((way.wall, way.kind, mount.normal, level, line), []).append(mount)
        whys[mount.name] = way.why
    plans: list[BracketPlan] = []
    for (wall, kind, *_), members in sorted(groups.items(), key=lambda item: item[1][0].name):
        for run in _runs(members, wall_of(wall, inside), kind, shell):
            slots = [m.entry.slots if m.entry.slots != "as brackets" else job.bracket.slots for m in run]
            first = BracketPlan(
                f"{job.job.drawing_number}-R{len(plans) + 1}", wall, tuple(run), (), 0.0, 0.0, (), kind, leg_bolt, frame,
                0.0 if set(slots) == {"none"} else job.bracket.slot_length_mm, why="; ".join({whys[m.name]: 0 for m in run}),
            )  # fmt: skip
            plans.append(_placed(first, inside, shell))
    return tuple(plans)


def wall_face_mm(wall: str, inside: Extent, shell: Shell) -> float:
    """Coordinate of the wall's outer face along its outward normal."""
    return wall_of(wall, inside).outer_mm(shell.sheet_mm)


@dataclass(frozen=True, slots=True)
class Way:
    """One way to reach a mount: from which wall, with which kind of bracket, how far it is (cost_mm), why that kind."""

    cost_mm: float
    wall: str
    kind: str
    why: str = ""


@dataclass(frozen=True, slots=True)
class Miss:
    """A wall and kind that does not reach a mount: by how much it misses (mm; 0 where no length would help), in words."""

    by_mm: float
    words: str


def ways_to(
    mount: PackMount, inside: Extent, shell: Shell, reach_mm: float = REACH_MM
) -> tuple[list[Way], list[Miss]]:
    """Walls from which a bracket reaches this mount, each with the kind that follows from the mount's place; and what misses.

    An angle stands on a mount whose normal lies in (or near) the wall's plane, a standoff on one that faces the wall. A
    gusseted L unless the job names another kind (it comes out plain where none of its gussets finds room); a saddle first
    where the job gives the rail under the mount. The misses are sorted, the least first.
    """
    found: list[Way] = []
    misses: list[Miss] = []
    for wall in walls_of(inside):
        if _too_short(wall, inside, shell, BAR_WIDTHS_MM[0]):
            continue
        lean = float(np.dot(mount.normal, wall.w))
        stand = float(np.dot(mount.at_mm, wall.w)) - wall.outer_mm(shell.sheet_mm) - shell.bar_mm
        if abs(lean) <= MOST_LEAN:
            found += _by_angle(mount, wall, stand, shell, reach_mm, misses)
        elif lean < -1.0 + 1e-9:
            found += _by_standoff(mount, wall, stand, shell, misses)
        elif lean < -MOST_LEAN:
            off = math.degrees(math.acos(-lean))
            words = f"the mount faces it {off:.0f} degrees askew, a standoff stands square"
            misses.append(Miss(0.0, f"{wall.name} wall: {words}"))
    if not found and _beneath(mount, inside):
        where = "under" if mount.normal[2] > 0.0 else "over"
        misses.append(Miss(0.0, f"it lies {where} the box, whose floor and lid carry no bracket: the box must stand beside it"))
    return found, sorted(misses, key=lambda miss: (miss.by_mm == 0.0, miss.by_mm))


def _beneath(mount: PackMount, inside: Extent) -> bool:
    """Whether a mount that looks up or down lies within the box's plan."""
    within = all(inside.min_mm[a] <= mount.at_mm[a] <= inside.max_mm[a] for a in (0, 1))
    return within and abs(mount.normal[2]) > 0.5


def no_way(mount: PackMount, figure: str) -> DesignError:
    """The error for a mount that no kind of bracket reaches."""
    return DesignError(
        f"bracket at mount {mount.name!r}",
        f"a bracket ({mount.entry.bracket}) reaches this mount from a wall of the box",
        figure,
        "Choose another arrangement, move the box by other preferences or what is in the way, or give another mount point or"
        " kind of bracket.",
    )


def missed(mount: PackMount, misses: list[Miss], tried: list[str] | None = None) -> str:
    """Every kind that does not reach a mount with the figure it missed by, in words. tried: what was said of those that do."""
    normal = tuple(round(v, 3) for v in mount.normal)
    said = [miss.words for k, miss in enumerate(misses) if miss.by_mm <= WORTH_SAYING_MM or (k == 0 and not tried)]
    if not said and not tried:
        said = [f"no wall beside or before its normal {normal}"]
    if mount.entry.bracket == "by position":
        known = " ".join([*said, *(tried or [])])
        said += [f"{kind}: {why}" for kind, words, why in _KINDS if not any(word in known for word in words)]
    return "; ".join(said)


_KINDS = (
    ("plain L, gusseted L or saddle", ("an angle", "gusseted L", "plain L", "saddle"), "no wall lies along its normal"),
    ("standoff", ("standoff",), "no wall is faced by it"),
)


def _by_angle(
    mount: PackMount, wall: Wall, stand: float, shell: Shell, reach_mm: float, misses: list[Miss]
) -> list[Way]:
    wanted, least = mount.entry.bracket, shell.mount_room_mm
    if wanted == "standoff":
        misses.append(Miss(0.0, f"{wall.name} wall: a standoff needs a mount that faces the wall"))
        return []
    if not least - 1e-6 <= stand <= reach_mm:
        short = max(least - stand, stand - reach_mm)
        what = "too near" if stand < least else "too far"
        side = "outside" if stand >= 0.0 else "behind"
        text = f"{abs(stand):.0f} mm {side} its bar's face, an angle reaches {least:g} to {reach_mm:g} mm"
        misses.append(Miss(short, f"{wall.name} wall: {text}: {short:.0f} mm {what}"))
        return []
    cost = stand + 2.0 * _miss(mount, wall, shell)
    if wanted != "by position":
        return [Way(cost, wall.name, wanted, f'the job asks for it (bracket = "{wanted}")')]
    beside = f"beside the {wall.name} wall, {stand:.0f} mm outside its bars"
    usual = Way(cost, wall.name, "gusseted L", f"{beside}, and no other kind is asked for")
    rail = mount.entry.rail
    if rail is None:
        return [usual]
    other = replace(usual, cost_mm=cost + OTHER_KIND_MM, why=f"{beside}; the saddle its rail asks for was passed over")
    return [Way(cost, wall.name, "saddle", f"{beside}, on a rail {rail.width_mm:g} mm wide"), other]


def _by_standoff(mount: PackMount, wall: Wall, stand: float, shell: Shell, misses: list[Miss]) -> list[Way]:
    least, most = STANDOFF_MM
    if mount.entry.bracket not in ("by position", "standoff"):
        misses.append(Miss(0.0, f"{wall.name} wall: the mount faces it, where only a standoff fits"))
    elif not least <= stand <= most:
        text = f"{stand:.0f} mm before its bar's face, a standoff reaches {least:g} to {most:g} mm"
        short = max(least - stand, stand - most)
        misses.append(Miss(short, f"{wall.name} wall: {text}: {short:.0f} mm {'too near' if stand < least else 'too far'}"))
    elif _miss(mount, wall, shell) > 0.0 or not wall.bottom_mm <= mount.at_mm[2] <= wall.top_mm:
        off = max(_miss(mount, wall, shell), wall.bottom_mm - mount.at_mm[2], mount.at_mm[2] - wall.top_mm)
        misses.append(Miss(off, f"{wall.name} wall: the mount faces it for a standoff, but lies {off:.0f} mm beyond its edge"))
    else:
        why = f"it faces the {wall.name} wall, {stand:.0f} mm before its bars, where no angle stands"
        if mount.entry.bracket == "standoff":
            why = 'the job asks for it (bracket = "standoff")'
        return [Way(stand + OTHER_KIND_MM, wall.name, "standoff", why)]
    return []


def _too_short(wall: Wall, inside: Extent, shell: Shell, bar_mm: float) -> bool:
    """Whether a wall of a stepped box is too short for a bar, clear of what stands in the elbow of the step."""
    low, high = wall.usable_mm(shell.side_mm)
    return isinstance(inside, Stepped) and high - low < bar_mm - 1e-6


def _usable(wall: Wall, shell: Shell, bar_mm: float = BAR_WIDTHS_MM[0]) -> tuple[float, float]:
    low, high = wall.usable_mm(shell.side_mm)
    half = bar_mm / 2.0
    return (low + half, high - half) if high - low >= bar_mm else ((low + high) / 2.0, (low + high) / 2.0)


def _miss(mount: PackMount, wall: Wall, shell: Shell) -> float:
    """How far along the wall the mount lies beyond the range in which a bar can stand."""
    low, high = _usable(wall, shell)
    u = mount.at_mm[wall.along]
    return max(low - u, u - high, 0.0)


def _runs(members: list[PackMount], wall: Wall, kind: str, shell: Shell) -> list[list[PackMount]]:
    """One bracket per mount, or one rail for all mounts of a line where one of them lies beyond the wall's end."""
    ordered = sorted(members, key=lambda m: m.at_mm[wall.along])
    upright = abs(members[0].normal[2]) > 0.5
    if kind != "standoff" and len(members) > 1 and upright and any(_miss(m, wall, shell) > 0.0 for m in members):
        return [ordered]
    return [[m] for m in ordered]


def _placed(plan: BracketPlan, inside: Extent, shell: Shell, bar_mm: float | None = None) -> BracketPlan:
    """The plan with its bars: as near to its mounts as the wall allows, the leg bolts on them nearer still."""
    pattern, wall = plan.pattern, wall_of(plan.wall, inside)
    bar_mm = bar_mm or next(b for b in BAR_WIDTHS_MM if b >= pattern.least_bar_mm)
    low, high = _usable(wall, shell, bar_mm)
    plan = replace(plan, bar_face_mm=wall.outer_mm(shell.sheet_mm) + shell.bar_mm, bar_width_mm=bar_mm, bar_mm=shell.bar_mm)
    wanted = [_wanted_u(plan, m) for m in plan.mounts]
    bars: list[float] = []
    for place in sorted(min(max(u, low), high) for u in wanted):
        if not bars or place - bars[-1] >= bar_mm + 10.0:
            bars.append(place)
    if len(plan.mounts) > 1 and len(bars) == 1:
        bars = [low, high] if high - low >= bar_mm + 10.0 else bars
    play = bar_mm / 2.0 - pattern.column_mm - pattern.edge_mm
    wished = [min(wanted, key=lambda u: abs(u - bar)) for bar in bars]
    bolts = [min(max(u, bar - play), bar + play) for u, bar in zip(wished, bars, strict=True)]
    return replace(plan, bars_u_mm=tuple(bars), bolts_u_mm=tuple(bolts))


def _wanted_u(plan: BracketPlan, mount: PackMount) -> float:
    """Where along the wall a mount wants its bar: beside it, or where a leg that runs along the wall squares off it."""
    axis = along(plan.wall)
    if plan.facing or plan.upright:
        return mount.at_mm[axis]
    return float(plan.origin_mm[axis]) + CORNER_MM * mount.normal[axis]


def with_bars(
    plans: tuple[BracketPlan, ...], bar_mm: float, inside: Extent, shell: Shell, leg_bolt: str | None = None,
    leg_rows: int | None = None,
) -> tuple[BracketPlan, ...]:
    """The same plans with mounting bars of another width, and leg bolts of another size or in other rows where these are named.

    Raises:
        DesignError: the bars are too narrow for their bolts, or those of neighbouring brackets would run into one another.
    """
    found = []
    for plan in plans:
        changed = replace(plan, leg_bolt=leg_bolt or plan.leg_bolt, leg_rows=leg_rows or plan.leg_rows)
        least = next((b for b in BAR_WIDTHS_MM if b >= changed.pattern.least_bar_mm), None)
        if least is None:
            raise DesignError(f"mounting bars on the {plan.wall} wall", f"bars take two columns of {changed.leg_bolt}",
                              f"{changed.pattern.least_bar_mm:g} mm needed", "Use smaller leg bolts.")  # fmt: skip
        width = max(bar_mm, least)
        wall = wall_of(plan.wall, inside)
        if _too_short(wall, inside, shell, width):
            raise DesignError(
                f"mounting bar of {plan.number} on the {plan.wall} wall",
                f"a bar of {width:g} mm stands between the wall's corners, clear of the step",
                f"{np.subtract(*wall.usable_mm(shell.side_mm)[::-1]):.0f} mm of wall",
                "Choose another arrangement, or another mount point.",
            )
        found.append(_placed(changed, inside, shell, width))
    for name in LOOKS:
        places = sorted((u, p.bar_width_mm) for p in found if p.wall == name for u in p.bars_u_mm)
        for (a, first), (b, second) in pairwise(places):
            if b - a < (first + second) / 2.0 + 10.0:
                raise DesignError(
                    f"mounting bars on the {name} wall",
                    f"bars of {first:g} and {second:g} mm keep 10 mm between them",
                    f"{b - a:.0f} mm between their middles",
                    "Choose another arrangement, or mount points further apart.",
                )
    return tuple(found)
