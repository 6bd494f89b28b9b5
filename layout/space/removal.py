"""In which order the modules come out through the open lid: straight up, one lift after another, nothing else moved.

A module bolted to bars on the floor comes out by itself. Bars that are screwed between two walls come out with their
modules, and so do all modules that share one of them: that is one lift, and everything above its bars must be out first.
Where bars run under one another's modules, all of these are one lift.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from itertools import groupby

import numpy as np

from layout.arrangement import Arrangement, PlacedModule
from layout.box.carriers import CarrierBar, Carriers
from layout.box.shell import Shell
from layout.box.walls import PANELS
from layout.frames import Extent, vec3
from layout.space.judge import TOLERANCE_MM
from layout.stepped import parts_of

BARE = Carriers()


@dataclass(frozen=True)
class Lift:
    """What comes out together, straight up.

    modules: ids; bars: numbers of the bars that come with them; equipment: a piece in the box that lies over modules. undo:
    what is unscrewed for it, in words. blocked: it cannot be lifted, whatever else is out.
    """

    modules: tuple[str, ...]
    bars: tuple[str, ...] = ()
    equipment: str = ""
    undo: str = ""
    blocked: bool = False

    @property
    def what(self) -> str:
        """What comes out, in words."""
        modules = " + ".join([*self.modules, *([self.equipment] if self.equipment else [])])
        return f"{modules} with {' and '.join(self.bars)}" if self.bars else modules


@dataclass
class _Load:
    """A lift to be: the extents of all that belongs to it, and whether the lid opens over it."""

    lift: Lift
    bodies: list[Extent] = field(default_factory=list)
    free: bool = True

    @property
    def top_mm(self) -> float:
        return max(b.max_mm[2] for b in self.bodies)


def lifted(body: Extent, top_mm: float) -> Extent:
    """The room a body sweeps when it is lifted out, pack frame; drawn in at the sides by the judge's tolerance."""
    (x0, y0, z0), (x1, y1, z1) = body.min_mm, body.max_mm
    t = TOLERANCE_MM
    return Extent((x0 + t, y0 + t, z0 + t), (x1 - t, y1 - t, max(z1, top_mm)))


def meets(one: Extent, other: Extent) -> bool:
    """Whether two boxes of one frame overlap."""
    ends = zip(one.min_mm, one.max_mm, other.min_mm, other.max_mm, strict=True)
    return all(a1 > b0 and b1 > a0 for a0, a1, b0, b1 in ends)


def in_the_way(arrangement: Arrangement, shell: Shell) -> dict[str, list[str]]:
    """For each module the others that lie above it, so that it cannot be lifted while they are in."""
    top = arrangement.inside.max_mm[2] + shell.flange_above_mm
    return {
        m.id: [o.id for o in arrangement.modules if o is not m and meets(lifted(m.extent, top), o.extent)]
        for m in arrangement.modules
    }


def lifts(arrangement: Arrangement, shell: Shell, carriers: Carriers = BARE) -> tuple[Lift, ...]:
    """All lifts in the order in which they can be made; those that cannot come last, as blocked.

    The lid opens over the whole of the room within the walls; a module that stands out over the room's edge is blocked.
    Highest first among those that are free, so that a layer is emptied before the next one. Equipment in the box is named
    where it lies over a module and must come out before it.
    """
    top = arrangement.inside.max_mm[2] + shell.flange_above_mm
    waiting = _joined(_loads(arrangement, shell, carriers), top)
    over = _over_each(waiting, top)
    left = set(range(len(waiting)))
    order: list[Lift] = []
    while True:
        free = [i for i in left if waiting[i].free and not any(j in left for j in over[i])]
        if not free:
            break
        chosen = max(free, key=lambda i: (round(waiting[i].top_mm, 3), waiting[i].lift.modules))
        order.append(waiting[chosen].lift)
        left.discard(chosen)
    stuck = [waiting[i].lift for i in sorted(left)]
    needed = {j for i in range(len(waiting)) if waiting[i].lift.modules for j in over[i]}
    idle = {waiting[i].lift for i in range(len(waiting)) if not waiting[i].lift.modules and i not in needed}
    blocked = [Lift(s.modules, s.bars, s.equipment, s.undo, True) for s in stuck]
    return tuple(s for s in (*order, *blocked) if s not in idle)


def removal_words(order: Iterable[Lift]) -> str:
    """The lifts in a line; those in a row that take the same to undo share one mention of it."""
    said: list[str] = []
    for (undo, blocked), run in groupby(order, key=lambda s: (s.undo, s.blocked)):
        what = ", ".join(s.what for s in run)
        said.append(f"{'blocked: ' if blocked else ''}{what}{f' ({undo})' if undo else ''}")
    return "; ".join(said)


def removal_order(order: Iterable[Lift]) -> list[str]:
    """Modules one by one in the order of the lifts; those that cannot be lifted as "blocked: id"."""
    return [f"{'blocked: ' if s.blocked else ''}{m}" for s in order for m in s.modules]


def _loads(arrangement: Arrangement, shell: Shell, carriers: Carriers) -> list[_Load]:
    by_id = {m.id: m for m in arrangement.modules}
    room = shell.room(arrangement.inside)
    found = []
    for names in _together([m.id for m in arrangement.modules], carriers):
        bars = [b for b in carriers.bars if not b.welded and any(bolt.module in names for bolt in b.bolts)]
        lift = Lift(names, tuple(b.number for b in bars), undo=_undo(names, bars, carriers))
        bodies = [*(_body(by_id[n], carriers) for n in names), *(b.with_heads for b in bars)]
        found.append(_Load(lift, bodies, all(_under_the_lid(by_id[n], room) for n in names)))
    for piece in (e for e in arrangement.equipment if not e.outside):
        found.append(_Load(Lift((), equipment=piece.kind.name), [piece.extent]))
    return found


def _body(module: PlacedModule, carriers: Carriers) -> Extent:
    """A module with what clamps it, which must be clear of others though it is taken off first."""
    clamped = carriers.clamped(module.id)
    return clamped.whole.seen_from(clamped.stood(module.pose)) if clamped else module.extent


def _joined(loads: list[_Load], top_mm: float) -> list[_Load]:
    """Loads that lie over one another, directly or by way of others, made one."""
    reach = np.eye(len(loads), dtype=bool)
    for i, others in enumerate(_over_each(loads, top_mm)):
        reach[i, others] = True
    for k in range(len(loads)):
        reach |= reach[:, k, None] & reach[None, k, :]
    same = reach & reach.T
    first = same.argmax(axis=1)
    return [_one([loads[j] for j in np.flatnonzero(same[i])]) for i in range(len(loads)) if first[i] == i]


def _one(loads: list[_Load]) -> _Load:
    if len(loads) == 1:
        return loads[0]
    lifts = [load.lift for load in loads]
    whole = Lift(
        tuple(m for s in lifts for m in s.modules),
        tuple(b for s in lifts for b in s.bars),
        ", ".join(s.equipment for s in lifts if s.equipment),
        "; ".join(dict.fromkeys(s.undo for s in lifts if s.undo)),
    )
    return _Load(whole, [b for load in loads for b in load.bodies], all(load.free for load in loads))


def _over_each(loads: list[_Load], top_mm: float) -> list[list[int]]:
    """For each load the others that lie in its way."""
    return [[j for j, other in enumerate(loads) if j != i and _over(one, other, top_mm)] for i, one in enumerate(loads)]


def _together(ids: Iterable[str], carriers: Carriers) -> list[tuple[str, ...]]:
    """Modules in groups that share bars which are not welded in, in the order of the ids."""
    groups = [[i] for i in ids]
    for bar in carriers.bars:
        if bar.welded:
            continue
        names = {bolt.module for bolt in bar.bolts}
        mine = [g for g in groups if names & set(g)]
        if mine:
            groups = [g if g is not mine[0] else [n for one in mine for n in one] for g in groups if g not in mine[1:]]
    return [tuple(g) for g in groups]


def _undo(names: tuple[str, ...], bars: list[CarrierBar], carriers: Carriers) -> str:
    if bars:
        walls = sorted({PANELS[bar.wall(which)] for bar in bars for which in (0, 1)})
        return f"end screws, from outside the {' and '.join(walls)} walls"
    if any(carriers.clamped(n) for n in names):
        return "nuts of the bars over it, from above"
    on_floor = any(bolt.module in names for bar in carriers.bars if bar.welded for bolt in bar.bolts)
    return "bolts through the floor, from below" if on_floor else ""


def _over(one: _Load, other: _Load, top_mm: float) -> bool:
    """Whether something of the other lies in the way of the one when it is lifted."""
    return any(meets(lifted(body, top_mm), what) for body in one.bodies for what in other.bodies)


def _under_the_lid(module: PlacedModule, room: Extent) -> bool:
    body = module.extent
    for part in parts_of(room):
        low = vec3(np.subtract(body.min_mm, part.min_mm))
        high = vec3(np.subtract(part.max_mm, body.max_mm))
        if min(low[0], low[1], high[0], high[1]) >= -TOLERANCE_MM:
            return True
    return False
