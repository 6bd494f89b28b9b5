"""From job and bay to ranked arrangements: how many modules fit, proved or not, and the ways to place them."""

from __future__ import annotations

import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

from layout.arrangement import SearchResult
from layout.box.shell import Shell, shell_of
from layout.errors import JobError, NothingFits, Problem
from layout.frames import Extent, Pose, vec3
from layout.job.model import Job
from layout.packing.aims import on_their_bases
from layout.packing.bodies import Body, bodies_of
from layout.packing.build import stated_extent
from layout.packing.clock import Clock, Stop, clock_for
from layout.packing.count import Filled, Progress, fill_all, fill_exactly, volume_most
from layout.packing.listed import Listed, choose
from layout.packing.reach import within_reach
from layout.packing.sites import Ground, Site, bounding_site, largest_only, plain_sites, poses_to_try, sites_in
from layout.packing.steps import stepped_sites
from layout.space.bay import Bay, Obstacle
from layout.space.judge import inside_free_space
from layout.space.solids import box_triangles
from layout.stepped import two_floors

COARSE_MM, FINE_MM = 20.0, 10.0
"""Grids on which slopes are looked at: the second where the first does not hold the modules asked for, if time allows."""

HURRIED_MM, HURRIED_S = 40.0, 4.0
"""A coarser grid for searches of so many seconds or less."""

FINE_TAKES = 8.0
"""How many times longer than the coarse grid the fine one is reckoned to take."""

OUTER_TAKES = 2.0
"""How many times longer than one angle's search the look at the outer space is reckoned to take."""

CHOICE_AFTER = 0.75
"""Share of the time in which the count is settled; the rest is for the choice among arrangements."""

STEPS_AFTER = 0.5
"""Share of the time for rectangular boxes where stepped ones are allowed."""

UPRIGHT_SITES = 10
"""Sites in which modules on their bases are counted, where not all can be held."""

EASIER_S = 1.0
"""Seconds at most, beyond the limit, for the count with all modules on their bases; one site only in a hurried search."""

MORE_S = 6.0
"""Seconds at most for the question how many more than the number asked for would fit."""


@dataclass(frozen=True)
class _Ask:
    """All that stays the same during a search."""

    job: Job
    bay: Bay
    shell: Shell
    bodies: tuple[Body, ...]
    most: int
    seed: int
    progress: Progress | None
    coarse_mm: float = COARSE_MM

    def ground(self, step_mm: float, outer: bool = False, stepped: bool = False) -> Ground:
        """Where to look; each part of a stepped inside may be as small as the smallest body, equipment among them."""
        bodies = self.bodies if stepped else [b for b in self.bodies if b.is_module]
        least = vec3([min(s.size_mm[a] for b in bodies for s in b.stands) for a in range(3)])
        return Ground(self.job, self.bay, self.shell, least, step_mm, outer)


def refuse_what_is_not_done(job: Job) -> None:
    """Raise JobError for keys the search cannot honour, rather than pass over them."""
    problems = []
    if job.pack.boxes > 1:  # layout.several.search looks for these
        problems.append(Problem("pack.boxes", str(job.pack.boxes), "1 (one box is searched for)", "Write boxes = 1"))
    if job.box.lid != "+z":
        remedy = 'Write lid = "+z"'
        problems.append(Problem("box.lid", job.box.lid, '"+z" (modules go in from above)', remedy))
    for k, kind in enumerate(job.equipment):
        if kind.where == "bay" and kind.at_mm is None:
            problems.append(Problem(f"equipment[{k}].at", "nothing", "its middle, in vehicle axes", "Add at = [x, y, z]"))
    if problems:
        raise JobError(problems)


def with_stated_equipment(job: Job, bay: Bay) -> Bay:
    """The bay with equipment that has a stated place in it as keep-outs. Raises JobError where it does not fit there."""
    problems, more = [], []
    for k, kind in enumerate(job.equipment):
        if kind.where != "bay" or kind.at_mm is None:
            continue
        extent = stated_extent(kind.size_mm, kind.at_mm)
        wrong = inside_free_space(bay, extent, Pose(), kind.clearance_mm, kind.name)
        if wrong:
            want = "a place in the bay's free space, its own clearance kept"
            problems.append(Problem(f"equipment[{k}].at", str(list(kind.at_mm)), want, f"{wrong[0]}: move it"))
        more.append(Obstacle(kind.name, box_triangles(extent), kind.clearance_mm, solid=True))
    if problems:
        raise JobError(problems)
    return replace(bay, keep_outs=(*bay.keep_outs, *more)) if more else bay


def arrange(
    job: Job, bay: Bay, *, seconds: float, seed: int, progress: Progress | None = None, stop: Stop | None = None
) -> SearchResult:
    """Ranked arrangements of the job's modules in one box in the bay.

    seconds: limit of the search, not used up where nothing more is to be gained; seed: of its random choices (the same
    job, seed and limit give the same answer unless time ran out). progress(count, bound) is called as the count grows;
    stop() is asked now and then whether to end with the best so far. Raises JobError for keys that are not honoured,
    NothingFits where the count cannot be placed.
    """
    refuse_what_is_not_done(job)
    began = time.monotonic()
    clock = clock_for(seconds, stop)
    bodies = bodies_of(job)
    required = None if job.pack.count == "max" else job.pack.count
    most = required or sum(b.most for b in bodies if b.is_module)
    steps = (HURRIED_MM,) if seconds <= HURRIED_S else (COARSE_MM, FINE_MM)
    ask = _Ask(job, with_stated_equipment(job, bay), shell_of(job), bodies, most, seed, progress, steps[0])
    allowed = job.box.outline == "stepped"
    plain = _counted(ask, steps, clock.share(STEPS_AFTER) if allowed else clock)
    known = _with_steps(ask, plain, steps, clock) if allowed else plain
    count = known.count
    if count < (required or 1):
        raise _nothing(ask, known.filled, known.bound)
    fullest = [f for f in known.filled if f.count == count]
    with ThreadPoolExecutor(1) as beside:
        roomy = beside.submit(_of_all_there_are, ask, known, clock)
        listed = choose(job, ask.bay, ask.shell, bodies, fullest, count, seed, clock)
        bound = roomy.result()
    if not listed.arrangements:
        raise _nothing(ask, known.filled, known.bound, listed.dropped)
    if progress is not None:
        progress(count, bound)
    took = time.monotonic() - began
    proven = count >= min(bound, required or bound)
    by_plain = (plain.count, plain.bound) if allowed and known is not plain else None
    said = "; ".join(_notes(ask, plain, known, listed, clock))
    return SearchResult(required, listed.arrangements, bound, proven, took, "true geometry", said, by_plain, listed.makings)


def _notes(ask: _Ask, plain: _Known, known: _Known, listed: Listed, clock: Clock) -> list[str]:
    """What to say beside the count."""
    dropped = listed.dropped
    notes = [
        usable(ask.job, known.count),
        _easier_to_hold(ask, known, listed.makings[0].lost(known.count), clock),
        f"not all angles were tried: {known.poses_left} left" if known.poses_left else "",
        _outline_note(ask.job, plain, known, listed) if ask.job.box.outline == "stepped" else "",
        listed.few(),
        f"{len(dropped)} dropped by the judge of fit, the first because of {dropped[0]}" if dropped else "",
    ]
    return [n for n in notes if n]


@dataclass(frozen=True)
class _Known:
    """Sites with what they hold, the fullest first; angles left untried; seconds that one angle took; the bound."""

    filled: list[Filled]
    poses_left: int
    each_s: float
    bound: int

    @property
    def count(self) -> int:
        """Modules in the fullest site."""
        return self.filled[0].count if self.filled else 0


def _counted(ask: _Ask, steps: tuple[float, ...], clock: Clock) -> _Known:
    """How many fit and how many could at most: on the first grid, and on the finer ones where that leaves a gap.

    A quarter of the time is left for the choice among arrangements.
    """
    early = clock.share(CHOICE_AFTER)
    known = _Known([], 0, 0.0, ask.most)
    for step in steps:
        if known.filled and early.left() < FINE_TAKES * known.each_s:
            break
        known = _on_grid(replace(ask, coarse_mm=step), known, early)
        if known.count >= known.bound:
            break
    return known


def _on_grid(ask: _Ask, known: _Known, clock: Clock) -> _Known:
    """Sites of one grid filled, greedily and exactly, and the bound of its outer space."""
    poses = poses_to_try(ask.job.pack, ask.bay)
    if known.filled:  # on the finer grid only the angle that was best
        poses = [known.filled[0].site.pose]
    filled, left = list(known.filled), len(poses)
    early, began = clock.share(0.5), time.monotonic()
    for pose in poses:
        if filled and early.left() <= 0.0:
            break
        left -= 1
        filled += _filled_at(ask, pose, early, known.count)
    each = (time.monotonic() - began) / max(len(poses) - left, 1)
    filled.sort(key=lambda f: -f.count)
    if not filled or filled[0].count < ask.most:
        filled = fill_exactly(filled, ask.bodies, ask.most, ask.seed, clock.share(0.5), ask.progress)
    left = known.poses_left if known.filled else left
    now = _Known(filled, left, each, known.bound)
    if now.count < ask.most:
        now = replace(now, bound=min(known.bound, _bound(ask, now, clock)))
    return now


def _filled_at(ask: _Ask, pose: Pose, clock: Clock, reached: int) -> list[Filled]:
    """Sites of one angle filled greedily: those from which brackets reach every mount.

    All sites where there are none of these, or too few modules go into them.
    """
    sites = sites_in(ask.ground(ask.coarse_mm), pose)
    in_reach = largest_only(within_reach(ask.job, ask.shell, sites))
    filled = fill_all(in_reach, ask.bodies, ask.most, ask.seed, clock, ask.progress, reached)
    required = 1 if ask.job.pack.count == "max" else ask.job.pack.count
    if max((f.count for f in filled), default=0) < required:
        filled += fill_all(sites, ask.bodies, ask.most, ask.seed, clock, ask.progress, reached)
    return filled


def _with_steps(ask: _Ask, plain: _Known, steps: tuple[float, ...], clock: Clock) -> _Known:
    """What is known once boxes with a step were looked at too: theirs only where they hold more than rectangular ones."""
    if plain.count >= ask.most:
        return plain
    early = clock.share(CHOICE_AFTER)
    known = plain
    for step in steps:
        if known is not plain and early.left() < FINE_TAKES * plain.each_s:
            break
        if early.left() < plain.each_s:
            break
        ground = ask.ground(step, stepped=True)
        poses = poses_to_try(ask.job.pack, ask.bay) if not plain.filled else [plain.filled[0].site.pose]
        for pose in poses:
            sites = stepped_sites(ground, plain_sites(ground, pose), ask.bodies, known.count + 1)
            filled = fill_all(sites, ask.bodies, ask.most, ask.seed, early.share(0.5), ask.progress, known.count)
            if filled and filled[0].count < ask.most:
                filled = fill_exactly(filled, ask.bodies, ask.most, ask.seed, early.share(0.7), ask.progress)
            better = [f for f in filled if f.count > known.count]
            known = replace(known, filled=better) if better else known
        if known.count >= ask.most:
            break
    return replace(known, bound=max(plain.bound, _step_bound(ask, known, clock)) if known.count < ask.most else ask.most)


def _step_bound(ask: _Ask, known: _Known, clock: Clock) -> int:
    """Upper bound over boxes with a step, as `_bound` is over rectangular ones; never less than what is placed."""
    poses = poses_to_try(ask.job.pack, ask.bay)
    ground = ask.ground(ask.coarse_mm, outer=True, stepped=True)
    by_bounds = min(ask.most, max(volume_most(bounding_site(ground, pose), ask.bodies) for pose in poses))
    by_bounds = max(by_bounds, known.count)
    if by_bounds <= known.count or clock.left() < OUTER_TAKES * known.each_s * len(poses):
        return by_bounds
    from layout.packing.ceiling import most_at_all  # imports the engine

    highest = known.count
    for pose in poses:
        if clock.left() <= 0.0:
            return by_bounds
        outer = stepped_sites(ground, plain_sites(ground, pose), ask.bodies, highest + 1)
        highest = most_at_all(outer, ask.bodies, highest, ask.most, ask.seed, clock)
    return min(highest, by_bounds)


def _outline_note(job: Job, plain: _Known, known: _Known, listed: Listed) -> str:
    """Whether a stepped box was taken, which kind, and why or why not."""
    count = known.count
    held = f"the best rectangular box found holds {plain.count}"
    if plain.count >= count:
        asked = job.pack.count != "max" and count >= int(job.pack.count)
        why = "which is the number asked for" if asked else "and no stepped one found holds more"
        return f"a stepped box was allowed and not taken: {held}, {why}"
    most = "which is proved to be the most" if plain.bound <= plain.count else f"and no rectangular one more than {plain.bound}"
    kind = "its floor at two heights" if two_floors(listed.arrangements[0].inside) else "a corner of its plan left out"
    return f"a stepped box was taken, {kind}: it holds {count}; {held}, {most}"


def _bound(ask: _Ask, known: _Known, clock: Clock) -> int:
    """Upper bound for rectangular boxes over every angle asked for; by the bay's bounds where there was no time for more."""
    poses = poses_to_try(ask.job.pack, ask.bay)
    ground = ask.ground(ask.coarse_mm, outer=True)
    by_bounds = min(ask.most, max(volume_most(bounding_site(ground, pose), ask.bodies) for pose in poses))
    by_bounds = max(by_bounds, known.count)
    if known.poses_left or by_bounds <= known.count or clock.left() < OUTER_TAKES * known.each_s * len(poses):
        return by_bounds
    from layout.packing.ceiling import most_at_all  # imports the engine

    highest = known.count
    for pose in poses:
        if clock.left() <= 0.0:
            return by_bounds
        highest = most_at_all(sites_in(ground, pose), ask.bodies, highest, ask.most, ask.seed, clock)
        if highest >= by_bounds:
            break
    return min(highest, by_bounds)


def _of_all_there_are(ask: _Ask, known: _Known, clock: Clock) -> int:
    """Upper bound on the modules that could be placed; where a number was asked, of all those available."""
    if ask.job.pack.count == "max":
        return known.bound
    free = ask.job.pack.model_copy(update={"count": "max"})
    bodies = bodies_of(ask.job.model_copy(update={"pack": free}))
    most = sum(b.most for b in bodies if b.is_module)
    if most <= known.count:
        return known.count
    ask, soon = replace(ask, bodies=bodies, most=most), Clock(min(clock.end, time.monotonic() + MORE_S), clock.stop)
    bound = _bound(ask, known, soon.share(0.5) if ask.job.box.outline == "stepped" else soon)
    return max(bound, _step_bound(ask, known, soon)) if ask.job.box.outline == "stepped" else bound


def _easier_to_hold(ask: _Ask, known: _Known, lost: int, clock: Clock) -> str:
    """For "max", where not all modules can be held: how many fit when all stand on their bases, which bars hold more easily."""
    bodies = on_their_bases(ask.bodies)
    if ask.job.pack.count != "max" or not lost or not bodies:
        return ""
    sites = [f.site for f in known.filled if f.count][:UPRIGHT_SITES]
    soon = Clock(time.monotonic() + (EASIER_S if ask.coarse_mm < HURRIED_MM else 0.0), clock.stop)
    found = fill_all(sites, bodies, ask.most, ask.seed, soon, None)
    count = max((f.count for f in found), default=0)
    if not 0 < count < known.count:
        return ""
    return f'{count} fit with all modules on their bases, which bars hold more easily (write count = {count}, or up = ["+z"])'


def usable(job: Job, count: int) -> str:
    """For "max": what the series and parallel numbers make of the count."""
    group = job.pack.series * job.pack.parallel
    if job.pack.count != "max" or count % group == 0:
        return ""
    if count < group:
        return f"{count} modules are fewer than series times parallel ({group})"
    return f"of {count} modules, {count // group * group} can be used in groups of {group} (series times parallel)"


def _nothing(ask: _Ask, filled: list[Filled], bound: int, dropped: tuple[str, ...] | None = None) -> NothingFits:
    count = 0 if dropped is not None or not filled else filled[0].count
    wanted = "not one module" if ask.job.pack.count == "max" else f"fewer than the {ask.job.pack.count} modules asked for"
    text = f"{wanted} can be placed in one box in this bay: {count} were placed, {bound} is an upper bound"
    if ask.job.pack.count != "max" and bound < int(ask.job.pack.count):
        text += ", so the number asked for is impossible"
    if dropped:
        text += f"; the judge of fit refused what was found: {dropped[0]}"
    allowed = ask.job.box.outline == "stepped"
    steps = 'box.outline = "stepped" allows a corner left out or a floor at two heights.'
    outline = "" if allowed else f" Only rectangular boxes were looked at; {steps}"
    return NothingFits(f"{text}. {_limits(ask, filled)}{outline}", count, bound)


def _limits(ask: _Ask, filled: list[Filled]) -> str:
    """Which limit binds, in words: the largest room that the bay leaves and, where nothing fits, what one module lacks."""
    sites = [f.site for f in filled if f.count]
    if not sites:
        small = replace(ask.ground(ask.coarse_mm), least_mm=(1.0, 1.0, 1.0))
        sites = sites_in(small, poses_to_try(ask.job.pack, ask.bay)[0])
    if not sites:
        return "No box at all fits the bay with its clearance, walls, lid flange and hung equipment."
    x, y, z = max((s.room for s in sites), key=lambda r: r.volume_mm3).size_mm
    room = (
        f"The largest room for modules that walls, liner, flange, clearance and hung equipment leave is "
        f"{x:.1f} x {y:.1f} x {z:.1f} mm"
    )
    return room if filled and filled[0].count else f"{room}; {_short_of(sites, ask.bodies)}"


def _short_of(sites: list[Site], bodies: tuple[Body, ...]) -> str:
    """By how much the best room is too short for one module, the way it comes nearest."""
    best: tuple[float, str] | None = None
    for site in sites:
        room: Extent = site.room
        for body in (b for b in bodies if b.is_module):
            for stand in body.stands:
                lack = [s - r for s, r in zip(stand.size_mm, room.size_mm, strict=True)]
                worst = max(lack)
                if best is None or worst < best[0]:
                    best = (worst, f"{body.name} lacks {worst:.1f} mm along {'xyz'[lack.index(worst)]}")
    if best is None or best[0] <= 1e-6:
        return "one module alone would fit, but not with the equipment in the box and the clear space at its terminals"
    return best[1]
