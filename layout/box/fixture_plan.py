"""Which pieces of equipment find uprights for their screws, beside those of the modules' bars. Pack frame."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import combinations

from layout.box.carriers import CarrierBar, Post
from layout.box.fixture import PAD_MM, Fixture
from layout.box.posts import BarEnd, NoPost, bar_ends
from layout.box.shell import END_SCREW
from layout.tables import bolt

PostsFor = Callable[[tuple[BarEnd, ...]], tuple[Post, ...]]
"""Posts over the modules' bars and these places besides. Raises NoPost."""
PLAY_MM = 1.0


@dataclass(frozen=True)
class Screwed:
    """What is fixed, the posts for all, and why the rest is not."""

    fixtures: tuple[Fixture, ...]
    posts: tuple[Post, ...]
    unfixed: tuple[tuple[str, str], ...]


def with_fixtures(
    wanted: list[Fixture], lost: dict[str, str], bars: tuple[CarrierBar, ...], posts: tuple[Post, ...], posts_for: PostsFor
) -> Screwed:
    """Pieces in turn, each where uprights can stand for it without any module losing its bars."""
    taken: list[Fixture] = []
    unfixed = dict(lost)
    for one in wanted:
        why = crowded([*taken, one], bars)
        if not why:
            try:
                posts = posts_for(tuple(end for i, f in enumerate([*taken, one]) for end in ends_of(f, i)))
            except NoPost as no:
                why = no.why.replace("its end", "a screw")
                if no.bar >= 0:
                    why = f"with its uprights bar {no.bar + 1} of the modules loses its own: {no.why}"
        if why:
            unfixed[one.name] = why
        else:
            taken.append(one)
    return Screwed(tuple(taken), posts, tuple(unfixed.items()))


def ends_of(fixture: Fixture, index: int) -> list[BarEnd]:
    """Its screws as places that an upright must stand behind."""
    return [BarEnd(-1 - index, k, fixture.wall, u, z) for k, (u, z) in enumerate(fixture.places())]


def crowded(fixtures: list[Fixture], bars: tuple[CarrierBar, ...]) -> str:
    """What the spacers or heads of the last piece meet, or nothing."""
    last = fixtures[-1]
    head = bolt(END_SCREW).washer_outer_mm / 2.0
    taken = [(e.u_mm, e.z_mm, head, "an end screw of a module's bar") for e in bar_ends(bars) if e.wall == last.wall]
    for one in fixtures[:-1]:
        if one.wall == last.wall:
            taken += [(u, z, PAD_MM / 2.0, f"a screw of {one.name}") for u, z in one.places()]
    for u, z in last.places():
        for x, y, half, name in taken:
            gap = max(abs(u - x), abs(z - y)) - PAD_MM / 2.0 - half
            if gap < PLAY_MM:
                return f"a spacer under its foot meets {name} ({gap:.1f} mm between them)"
    for (u, z), (x, y) in combinations(last.places(), 2):
        if max(abs(u - x), abs(z - y)) < PAD_MM + PLAY_MM:
            return f"feet {max(abs(u - x), abs(z - y)):.0f} mm apart: spacers of {PAD_MM:g} mm meet"
    return ""
