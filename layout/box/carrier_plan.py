"""Which bars hold which modules: rows of each module's pattern, run direction, what stands in the way. Pack frame."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from layout.arrangement import Arrangement, PlacedModule
from layout.box.arms import Arm, arms_of
from layout.box.bar_joining import APART_MM, WIDTHS_MM, joined
from layout.box.carrier_room import CROSS_BAR_MM, can_be_bolted, carrier_mm, floor_bar_mm, under_mm, whole_of
from layout.box.carriers import BarBolt, CarrierBar, HeldModule, Level
from layout.box.clamp_room import Clamping, clamping_of, why_not_clamped
from layout.box.shell import Shell
from layout.frames import DIRECTIONS, Extent, vec3
from layout.job.model import Job
from layout.stepped import Stepped, floor_under, floors_of, two_floors

SAME_MM = 0.5
HOLE_EDGE_MM = 8.0
"""From a bolt's middle to the edge of a bar that a step pushes aside: 1.2 d0 of M6 (EN 1993-1-8:2005 Table 3.3)."""
END_PLAY_MM = 0.3
"""A bar that is screwed between two walls is shorter than their distance by this at each end, so that it goes in."""


@dataclass(frozen=True)
class Ground:
    """What bars are planned in. width_mm: the least they are made."""

    job: Job
    arrangement: Arrangement
    shell: Shell
    width_mm: float

    @cached_property
    def room(self) -> Extent:
        """Inside within the liner; bars may touch it."""
        return self.shell.room(self.arrangement.inside)

    @cached_property
    def arms(self) -> tuple[tuple[Arm, ...], tuple[Arm, ...]]:
        """Where bars along x, and bars along y, can run."""
        inside, shell = self.arrangement.inside, self.shell
        found = [arms_of(inside, run, shell.liner_mm, shell.sheet_mm) for run in (0, 1)]
        return (found[0], found[1])

    @cached_property
    def floors_mm(self) -> tuple[float, ...]:
        """Heights of the floors, the deep one first."""
        return tuple(piece.min_mm[2] for piece in floors_of(self.arrangement.inside))

    @property
    def floor_runs(self) -> tuple[int, ...]:
        """Axes along which bars on the floors may run, the shorter way first; along the riser where there are two floors."""
        inside = self.arrangement.inside
        step = two_floors(inside)
        return (step.run,) if step else tuple(sorted((0, 1), key=lambda a: inside.size_mm[a]))

    def arm(self, run: int, across_mm: float, lowest_mm: float) -> Arm | None:
        """The arm that a place across the bars lies in, or nearest to; lowest_mm: height of the lowest of the bar.

        None where no bar can run along this axis at such a height.
        """
        found = [arm for arm in self.arms[run] if arm.holds_level(lowest_mm)]
        return min(found, key=lambda arm: arm.off_mm(across_mm)) if found else None

    @cached_property
    def bodies(self) -> tuple[tuple[str, Extent], ...]:
        """What stands in the box: modules with their clamps by their ids, their terminal zones, equipment."""
        found = [(m.id, whole_of(self.job, m)) for m in self.arrangement.modules]
        for module in self.arrangement.modules:
            zone = zone_ahead(module)
            found += [] if zone is None else [(f"the terminal zone of {module.id}", zone)]
        return (*found, *((e.kind.name, e.extent) for e in self.arrangement.equipment if not e.outside))


@dataclass(frozen=True)
class _Stand:
    """A module as bars see it. normal, sign, face_mm: where its base lies; points: its holes, or the rods of its clamp, in the
    pack frame, for bolts of a size; floor: number of the floor whose bars it stands on, None where it stands on none.
    """

    module: PlacedModule
    normal: int
    sign: float
    face_mm: float
    points_mm: tuple[tuple[float, float, float], ...]
    size: str
    floor: int | None
    clamped: Clamping | None = None

    def runs(self, inside: Extent) -> list[int]:
        """Axes along which its bars may run: level, square to the base, along the bars of its clamp; the shorter way from wall
        to wall first.
        """
        level = [a for a in (0, 1) if a != self.normal and self.may_run(a)]
        return sorted(level, key=lambda a: inside.size_mm[a])

    def may_run(self, run: int) -> bool:
        """Whether bars under it may run along an axis as far as its clamp goes."""
        if self.clamped is None:
            return True
        return abs(self.clamped.stood(self.module.pose).axes[self.clamped.along][run]) > 0.5

    def rows(self, run: int) -> list[float]:
        """Places of its rows of holes across the bars."""
        across = 3 - run - self.normal
        return sorted({round(p[across], 3) for p in self.points_mm})


def stand_of(ground: Ground, module: PlacedModule) -> _Stand:
    """Where a module's base and holes lie."""
    clamped, fixing = clamping_of(ground.job, module.kind, module.up), module.kind.fixing
    pose = clamped.stood(module.pose) if clamped else module.pose
    base = pose.vector(DIRECTIONS["-z"])
    normal = int(np.argmax(np.abs(base)))
    sign = -1.0 if base[normal] > 0.0 else 1.0
    face = (module.extent.min_mm if sign > 0.0 else module.extent.max_mm)[normal]
    half = (clamped.size_mm if clamped else module.kind.size_mm)[2] / 2.0
    pattern = clamped.points_mm if clamped else fixing.pattern_mm if fixing else ()
    points = tuple(vec3(pose.point((x, y, -half))) for x, y in pattern)
    floor = floor_under(ground.room, module.extent) if normal == 2 and sign > 0.0 else None
    if floor is not None:
        level = floors_of(ground.room)[floor].min_mm[2] + carrier_mm(ground.job, module.kind)
        floor = floor if abs(face - level) < SAME_MM else None
    size = clamped.rod if clamped else fixing.bolt if fixing else ""
    return _Stand(module, normal, sign, face, points, size, floor, clamped)


def planned(
    ground: Ground, banned: frozenset[Level] = frozenset(), left_out: Mapping[str, str] | None = None
) -> tuple[list[CarrierBar], dict[str, HeldModule], dict[str, str]]:
    """Bars, modules on them, and the reasons why others are not. banned: levels away from the floor with a direction not to
    be used; left_out: modules that are not held, with the reason.
    """
    unheld: dict[str, str] = dict(left_out or {})
    stands = []
    for module in ground.arrangement.modules:
        if module.id in unheld:
            continue
        if can_be_bolted(module.kind) and not (module.kind.clamp and why_not_clamped(module.kind, module.up)):
            stands.append(stand_of(ground, module))
        else:
            unheld[module.id] = _not_bolted(module)
    _crowded(ground, stands, unheld)
    bars: list[CarrierBar] = []
    held: dict[str, HeldModule] = {}
    for floor in range(len(ground.floors_mm)):
        mine, on_them = _on_floor(ground, [s for s in stands if s.floor == floor], floor, unheld)
        held |= {name: replace(one, bars=tuple(len(bars) + i for i in one.bars)) for name, one in on_them.items()}
        bars += mine
    for stand in (s for s in stands if s.floor is None):
        _raised(ground, stand, bars, held, unheld, banned)
    return bars, held, unheld


def _not_bolted(module: PlacedModule) -> str:
    if module.kind.clamp is not None:
        return why_not_clamped(module.kind, module.up)
    return (
        "its type has no pattern of three or more fixing holes on a face without terminals, and no clamp (job file: "
        "module.fixing, module.clamp)"
    )


def _crowded(ground: Ground, stands: list[_Stand], unheld: dict[str, str]) -> None:
    """Take out clamped modules whose frames, bars or rods find no room among what stands in the box."""
    for stand in [s for s in stands if s.clamped]:
        whole = whole_of(ground.job, stand.module)
        hits = [
            name
            for name, body in ground.bodies
            if name not in (stand.module.id, f"the terminal zone of {stand.module.id}") and _meet(whole, body)
        ]
        low, high = np.array(ground.arrangement.inside.min_mm), np.array(ground.arrangement.inside.max_mm)
        if (low > np.array(whole.min_mm) + 1e-6).any() or (high < np.array(whole.max_mm) - 1e-6).any():
            hits.append("a wall or the lid")
        if hits:
            unheld[stand.module.id] = f"its clamp would meet {hits[0]}"
            stands.remove(stand)


def _on_floor(
    ground: Ground, stands: list[_Stand], floor: int, unheld: dict[str, str]
) -> tuple[list[CarrierBar], dict[str, HeldModule]]:
    """Parallel bars on a floor, each over one or more rows; the direction that holds most, then takes least metal."""
    best: tuple[list[CarrierBar], dict[str, HeldModule], dict[str, str]] | None = None
    for run in ground.floor_runs:
        found: tuple[list[CarrierBar], dict[str, HeldModule], dict[str, str]] = ([], {}, {})
        for cluster in _clusters(ground, stands, run, floor):
            bar = _floor_bar(ground, stands, run, cluster, floor)
            hit = _in_the_way(ground, bar, found[0], {b.module for b in bar.bolts})
            if hit:
                for bolt in bar.bolts:
                    found[2].setdefault(bolt.module, f"its bar on the floor would meet {hit}")
            found[0].append(bar)
        for stand in stands:
            if not stand.may_run(run):
                found[2].setdefault(stand.module.id, "the bars over it run square to those of other modules on the floor")
            if sum(any(b.module == stand.module.id for b in bar.bolts) for bar in found[0]) < 2:
                found[2].setdefault(stand.module.id, "its rows of holes are so near that one bar would take them all")
        _settle(found, stands)
        if best is None or _cost(found) < _cost(best):
            best = found
    assert best is not None
    unheld |= best[2]
    return best[0], best[1]


def _cost(found: tuple[list[CarrierBar], dict[str, HeldModule], dict[str, str]]) -> tuple[int, float]:
    """Modules lost, then volume of the bars."""
    return len(found[2]), round(sum(b.extent.volume_mm3 for b in found[0]))


def _settle(found: tuple[list[CarrierBar], dict[str, HeldModule], dict[str, str]], stands: list[_Stand]) -> None:
    """Take out bars that hold nothing once the modules that cannot be held are left out, and list the others."""
    bars, held, lost = found
    kept = []
    for bar in bars:
        bolts = tuple(b for b in bar.bolts if b.module not in lost)
        if bolts:
            kept.append(replace(bar, bolts=bolts))
    bars[:] = kept
    for stand in stands:
        if stand.module.id not in lost:
            held[stand.module.id] = _held(stand, bars)


def _held(stand: _Stand, bars: list[CarrierBar]) -> HeldModule:
    pairs = [(i, b) for i, bar in enumerate(bars) for b in bar.bolts if b.module == stand.module.id]
    run = bars[pairs[0][0]].run
    return HeldModule(
        stand.module.id, run, stand.normal, stand.sign, stand.face_mm, tuple(b for _, b in pairs), tuple(i for i, _ in pairs),
        stand.clamped,
    )  # fmt: skip


def _clusters(ground: Ground, stands: list[_Stand], run: int, floor: int) -> list[tuple[float, float]]:
    """Rows that share a bar, as least and greatest place: nearer than a bar's width to one another."""
    rows = sorted({row for s in stands for row in s.rows(run)})
    out: list[list[float]] = []
    level = ground.floors_mm[floor]
    for row in rows:
        near = out and row - out[-1][1] < ground.width_mm + APART_MM
        if near and ground.arm(run, row, level) == ground.arm(run, out[-1][1], level):
            out[-1][1] = row
        else:
            out.append([row, row])
    return [(a, b) for a, b in out]


def _floor_bar(
    ground: Ground, stands: list[_Stand], run: int, cluster: tuple[float, float], floor: int
) -> CarrierBar:
    low, high = cluster
    width = next((w for w in WIDTHS_MM if w >= ground.width_mm + high - low - 1e-6), high - low + ground.width_mm)
    bolts = [b for s in stands for b in _bolts(s) if low - 1e-3 <= b.at_mm[1 - run] <= high + 1e-3]
    face = ground.floors_mm[floor] + floor_bar_mm(ground.job)
    arm = ground.arm(run, (low + high) / 2.0, ground.floors_mm[floor])
    assert arm is not None  # bars on a floor run along one of floor_runs
    least, most = arm.least_mm + width / 2.0, arm.most_mm - width / 2.0
    middle = max(min((low + high) / 2.0, most), least)  # beside a wall the bar lies off the middle of its rows
    return CarrierBar(
        "", run, 2, 1.0, face, middle, arm.ends_mm, width, floor_bar_mm(ground.job),
        ground.job.box.material, True, tuple(bolts), (arm.low.name, arm.high.name),
    )  # fmt: skip


def _bolts(stand: _Stand) -> list[BarBolt]:
    return [BarBolt(stand.module.id, stand.size, p) for p in stand.points_mm]


def _raised(
    ground: Ground,
    stand: _Stand,
    bars: list[CarrierBar],
    held: dict[str, HeldModule],
    unheld: dict[str, str],
    banned: frozenset[Level],
) -> None:
    """A pair of bars (or more) under one module away from the floor; a bar already there is shared, wider where it must be."""
    why = ""
    for run in stand.runs(ground.arrangement.inside):
        crossing = [_cross_bar(ground, stand, run, row) for row in stand.rows(run)]
        alone = [bar for bar in crossing if bar is not None]
        if len(alone) < len(crossing):
            why = why or "its bars would end at the riser between the floors"
            continue
        if alone[0].level in banned:
            continue
        wanted = [joined(bar, bars, ground.width_mm) for bar in alone]
        places = [at for at, _ in wanted if at is not None]
        if len(set(places)) < len(places):
            why = why or "its rows of holes are so near that one bar would take them all"
            continue
        hits = [hit for at, bar in wanted if (hit := _in_the_way(ground, bar, _but(bars, at), {b.module for b in bar.bolts}))]
        if hits:
            why = why or f"its bars would meet {hits[0]}"
            continue
        for at, bar in wanted:
            if at is None:
                bars.append(bar)
            else:
                bars[at] = bar
        held[stand.module.id] = _held(stand, bars)
        return
    unheld[stand.module.id] = why or "no bar can run level across its base"


def _but(bars: list[CarrierBar], at: int | None) -> list[CarrierBar]:
    return [b for i, b in enumerate(bars) if i != at]


def _cross_bar(ground: Ground, stand: _Stand, run: int, row: float) -> CarrierBar | None:
    """None where no bar runs along that axis at that height."""
    across = 3 - run - stand.normal
    bolts = tuple(b for b in _bolts(stand) if abs(b.at_mm[across] - row) < 1e-3)
    level = stand.normal == 2
    arm = ground.arm(
        run, row if level else stand.face_mm - stand.sign * CROSS_BAR_MM / 2.0,
        (stand.face_mm - CROSS_BAR_MM if stand.sign > 0.0 else stand.face_mm) if level else row - ground.width_mm / 2.0,
    )  # fmt: skip
    if arm is None:
        return None
    ends = (arm.low.face_mm + END_PLAY_MM, arm.high.face_mm - END_PLAY_MM)
    return CarrierBar(
        "", run, stand.normal, stand.sign, stand.face_mm, row, ends, ground.width_mm, CROSS_BAR_MM,
        bar_material(ground.job), False, bolts, (arm.low.name, arm.high.name), max(6.0, under_mm(stand.module.kind)),
    )  # fmt: skip


def bar_material(job: Job) -> str:
    """Flat bar that is not welded: 6082-T6 in an aluminium box, S235 in one of steel, the box's own metal else."""
    from layout.tables import material

    metal = material(job.box.material)
    return "6082-T6" if metal.family == "aluminium" else "S235" if metal.group == "carbon steel" else metal.name


def _in_the_way(ground: Ground, bar: CarrierBar, bars: list[CarrierBar], own: set[str]) -> str:
    """The first thing a bar would meet, in words; "" where its way is free."""
    body = bar.with_heads
    low, high = ground.room.min_mm[bar.across], ground.room.max_mm[bar.across]
    if body.min_mm[bar.across] < low - 1e-6 or body.max_mm[bar.across] > high + 1e-6:
        return "the liner of the wall beside it"
    if isinstance(ground.arrangement.inside, Stepped) and not _in_its_arm(ground, bar):
        return "the step of the walls"
    for name, extent in ground.bodies:
        if name not in own and _meet(body, extent):
            return name
    for other in bars:
        if _meet(body.grown(APART_MM), other.with_heads):
            return f"a bar of {other.bolts[0].module}"
    return ""


def _in_its_arm(ground: Ground, bar: CarrierBar) -> bool:
    """In a stepped box: whether a bar lies wholly in one arm, with its bolts well within its width."""
    level = 1 - bar.run
    arm = ground.arm(bar.run, bar.extent.centre_mm[level], bar.extent.min_mm[2])
    if arm is None or (arm.low.name, arm.high.name) != bar.walls:
        return False
    low, high = bar.extent.min_mm[level], bar.extent.max_mm[level]
    off = max((abs(b.at_mm[bar.across] - bar.at_mm) for b in bar.bolts), default=0.0)
    return arm.least_mm - 1e-6 <= low and high <= arm.most_mm + 1e-6 and off <= bar.width_mm / 2.0 - HOLE_EDGE_MM


def zone_ahead(module: PlacedModule) -> Extent | None:
    """The space that must stay clear before a module's terminal face."""
    depth = module.kind.terminal_clearance_mm
    if depth <= 0.0:
        return None
    out = np.array(DIRECTIONS[module.terminals])
    low, high = np.array(module.extent.min_mm), np.array(module.extent.max_mm)
    near = np.where(out > 0, high, np.where(out < 0, low - depth, low))
    far = np.where(out > 0, high + depth, np.where(out < 0, low, high))
    return Extent(vec3(near), vec3(far))


def _meet(a: Extent, b: Extent) -> bool:
    ends = zip(a.min_mm, a.max_mm, b.min_mm, b.max_mm, strict=True)
    return all(min(a1, b1) - max(a0, b0) > 1e-6 for a0, a1, b0, b1 in ends)
