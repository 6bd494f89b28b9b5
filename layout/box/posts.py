"""Posts on the outer faces of the walls, where bars end; mounting bars serve as posts where they stand. Pack frame."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from layout.box.carriers import CarrierBar, Post
from layout.box.shell import END_SCREW, Shell
from layout.box.walls import Wall, along, walls_of
from layout.brackets.plan import BracketPlan
from layout.brackets.rows import leg_holes
from layout.frames import Extent
from layout.tables import bolt

POST_WIDTHS_MM = (40.0, 50.0, 60.0, 80.0, 100.0, 120.0, 150.0)
POST_EDGE_MM = 12.0
"""From the middle of an end screw to the edge of its post: washer and more than 1.5 d0."""
POSTS_APART_MM = 6.0
"""Between two upright bars: room for the fillets of both."""
HOLES_APART_MM = 15.0
"""Between the middles of an end screw and a leg bolt's thread on one bar."""
LEG_ROOM_MM = 12.0
"""From the middle of an end screw to a bracket's leg: its washer with room to turn it."""


@dataclass(frozen=True)
class BarEnd:
    """One end of a bar at its wall: u along it, z up."""

    bar: int
    which: int
    wall: str
    u_mm: float
    z_mm: float


class NoPost(Exception):
    """A bar's end finds no place on its wall: bar, and why."""

    def __init__(self, bar: int, why: str) -> None:
        super().__init__(why)
        self.bar = bar
        self.why = why


def bar_ends(bars: tuple[CarrierBar, ...]) -> list[BarEnd]:
    """Ends of the bars that are screwed."""
    found = []
    for i, bar in enumerate(bars):
        for which in (0, 1):
            if not bar.welded:
                wall, at = bar.wall(which), bar.end_mm(which)
                found.append(BarEnd(i, which, wall, at[along(wall)], at[2]))
    return found


def posts_for(
    prefix: str,
    bars: tuple[CarrierBar, ...],
    plans: tuple[BracketPlan, ...],
    inside: Extent,
    shell: Shell,
    least_mm: float = POST_WIDTHS_MM[0],
    keep_off: Mapping[str, list[tuple[float, float]]] | None = None,
    more: tuple[BarEnd, ...] = (),
) -> tuple[Post, ...]:
    """Posts for every screwed end, none narrower than least_mm. keep_off: by wall, middles and widths left to openings; more:
    places of other screws that posts must stand behind (their bar is below 0).

    Raises:
        NoPost: an end under a bracket's leg, too near an edge, a leg bolt or a mounting bar, or posts that crowd.
    """
    posts: list[Post] = []
    ends = [*bar_ends(bars), *more]
    for wall in walls_of(inside):
        mine = [e for e in ends if e.wall == wall.name]
        mounting = [(u, p.bar_width_mm) for p in plans if p.wall == wall.name for u in p.bars_u_mm]
        for end in mine:
            _check_end(end, wall, [p for p in plans if p.wall == wall.name], inside, shell)
        free = [e for e in mine if not _on_one(e, mounting)]
        stands = _Row(*wall.usable_mm(shell.side_mm), least_mm)
        for u, width in _clustered(free, [*mounting, *(keep_off or {}).get(wall.name, [])], stands):
            posts.append(Post(f"{prefix}-U{len(posts) + 1}", wall.name, u, width))
    return tuple(posts)


def _on_one(end: BarEnd, mounting: list[tuple[float, float]]) -> bool:
    return any(abs(end.u_mm - u) <= width / 2.0 - POST_EDGE_MM + 1e-6 for u, width in mounting)


def _check_end(end: BarEnd, wall: Wall, plans: list[BracketPlan], inside: Extent, shell: Shell) -> None:
    axis = wall.along
    edge = min(end.u_mm - wall.low_mm, wall.high_mm - end.u_mm)
    if edge < 8.0:
        raise NoPost(end.bar, f"its end lies {edge:.0f} mm from the corner of the box")
    below, above = end.z_mm - wall.bottom_mm, inside.max_mm[2] - shell.flange_below_mm - end.z_mm
    if min(below, above) < bolt(END_SCREW).washer_outer_mm / 2.0 + 4.0:
        raise NoPost(end.bar, "its end lies too near to the floor or the lid flange")
    for plan in plans:
        u0, u1, z0, z1 = leg_area(plan, inside, shell)
        if u0 < end.u_mm < u1 and z0 < end.z_mm < z1:
            raise NoPost(end.bar, f"its end lies under the leg of bracket {plan.number}")
        for hole in leg_holes(plan, inside, shell):
            if ((hole[axis] - end.u_mm) ** 2 + (hole[2] - end.z_mm) ** 2) ** 0.5 < HOLES_APART_MM:
                raise NoPost(end.bar, f"its end meets a leg bolt of bracket {plan.number}")


def leg_area(
    plan: BracketPlan, inside: Extent, shell: Shell, room_mm: float = LEG_ROOM_MM
) -> tuple[float, float, float, float]:
    """Bounds (u least, u greatest, z least, z greatest) of a bracket's leg on its wall, with room around it."""
    axis = along(plan.wall)
    points = [*leg_holes(plan, inside, shell), *(m.at_mm for m in plan.mounts)]
    us, zs = [p[axis] for p in points], [p[2] for p in points]
    out = 34.0 + room_mm
    return min(us) - out, max(us) + out, min(zs) - 16.0 - room_mm, max(zs) + 16.0 + room_mm


@dataclass(frozen=True)
class _Row:
    """Where posts may stand on a wall, and how wide they are at least."""

    low_mm: float
    high_mm: float
    width_mm: float


def _clustered(ends: list[BarEnd], mounting: list[tuple[float, float]], row: _Row) -> list[tuple[float, float]]:
    """Middles and widths of posts over the ends: ends share a post where two would crowd each other.

    Raises:
        NoPost: no stock is wide enough, or nothing finds room between mounting bars and corners.
    """
    groups = [[end] for end in sorted(ends, key=lambda e: e.u_mm)]
    for group in groups:
        if _placed(group, mounting, row) is None:
            raise _crowded(group)
    while True:
        placed: list[tuple[float, float]] = []
        for group in groups:
            found = _placed(group, [*mounting, *placed], row)
            if found is None:
                break
            placed.append(found)
        else:
            return placed
        i = len(placed)
        if i == 0 and len(groups) == 1:
            raise _crowded(groups[0])
        first = i - 1 if i > 0 and (i + 1 == len(groups) or _gap(groups, i - 1) <= _gap(groups, i)) else i
        if _gap(groups, first) > POST_WIDTHS_MM[-1]:
            raise _crowded(groups[i])
        groups[first : first + 2] = [[*groups[first], *groups[first + 1]]]


def _gap(groups: list[list[BarEnd]], i: int) -> float:
    return groups[i + 1][0].u_mm - groups[i][-1].u_mm


def _crowded(group: list[BarEnd]) -> NoPost:
    end = group[-1]
    return NoPost(end.bar, f"no upright bar finds room behind its end, {end.u_mm:.0f} mm along the {end.wall} wall")


def _placed(group: list[BarEnd], taken: list[tuple[float, float]], row: _Row) -> tuple[float, float] | None:
    """A post over a group of ends: the narrowest stock, moved along the wall as its ends allow until it is clear."""
    low, high = group[0].u_mm, group[-1].u_mm
    middle = (low + high) / 2.0
    for width in (w for w in POST_WIDTHS_MM if w >= row.width_mm):
        play = (width - (high - low)) / 2.0 - POST_EDGE_MM
        if play < -1e-6:
            continue
        for step in range(int(play) + 1):
            for u in (middle + step, middle - step):
                apart = all(abs(u - t) >= (width + w) / 2.0 + POSTS_APART_MM - 1e-6 for t, w in taken)
                if apart and row.low_mm <= u - width / 2.0 and u + width / 2.0 <= row.high_mm:
                    return u, width
        return None
    return None
