"""How many modules one box of the pack holds in a region of the bay, at least and at most."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, fields, replace

from layout.box.shell import Shell, shell_of
from layout.frames import Extent, Pose, Vec3, vec3
from layout.job.model import Job
from layout.packing.bodies import Body, bodies_of
from layout.packing.clock import Clock
from layout.packing.count import Filled, fill_all, volume_most
from layout.packing.sites import Ground, Site, clipped, insides_within, plain_sites, sites_in
from layout.several.jobs import job_of_box
from layout.several.regions import MountSides, Region, mount_sides
from layout.space.bay import Bay
from layout.space.free_boxes import GROWN_MM

Most = Callable[[list[Site], tuple[Body, ...]], int]


@dataclass(frozen=True, eq=False)
class Ask:
    """All that stays the same while the bay is cut in one frame. step_mm: of the grid on which slopes are looked at."""

    job: Job
    bay: Bay
    frame: Pose
    seed: int
    step_mm: float
    mounts: MountSides
    most: int

    def ground(self, job: Job, shell: Shell, bodies: tuple[Body, ...], region: Region, *, outer: bool = False) -> Ground:
        """Where the box of a job may lie in a region."""
        least = vec3([min(s.size_mm[a] for b in bodies if b.is_module for s in b.stands) for a in range(3)])
        within = region.within(self.bay.clearance_mm)
        return Ground(job, self.bay, shell, least, self.step_mm, outer, within.grown(GROWN_MM) if outer else within)


def ask_of(job: Job, bay: Bay, frame: Pose, seed: int, step_mm: float) -> Ask:
    """The question of one frame."""
    return Ask(job, bay, frame, seed, step_mm, mount_sides(job, frame), sum(m.available for m in job.modules))


def shells_of(job: Job, number: int) -> tuple[Shell, Shell]:
    """The largest and the smallest shell that a box can have, whichever mount points it gets."""
    names = [m.name for m in job.mount_points if m.box in (None, number)] or [m.name for m in job.mount_points]
    largest = shell_of(job_of_box(job, number, frozenset(names)))
    single = [shell_of(job_of_box(job, number, frozenset([name]))) for name in names]
    sizes = [f.name for f in fields(Shell) if f.name != "lid_bolt"]
    least = {size: min(getattr(s, size) for s in (largest, *single)) for size in sizes}
    most = {size: max(getattr(s, size) for s in (largest, *single)) for size in sizes}
    return replace(largest, **most), replace(largest, **least)


@dataclass(eq=False)
class Counting:
    """Answers of one kind (at least, or at most) for the boxes of a pack, each question asked once.

    outer: bounds above, by `most`; otherwise what greedy rounds place. alike: numbers of boxes of which the same holds as of
    an earlier one.
    """

    ask: Ask
    outer: bool = False
    most: Most | None = None
    clock: Clock | None = None
    known: dict[tuple[int, Region], int] = field(default_factory=dict)
    kinds: dict[int, Kind] = field(default_factory=dict)
    uncut: dict[int, list[Site]] = field(default_factory=dict)

    def kind(self, number: int) -> Kind:
        """Job, shell and bodies of a box that has any mounts."""
        if number not in self.kinds:
            every = frozenset(m.name for m in self.ask.job.mount_points)
            job = job_of_box(self.ask.job, number, every)
            largest, least = shells_of(self.ask.job, number)
            one = Kind(number, job, least if self.outer else largest, bodies_of(job))
            same = (k for k in self.kinds.values() if k.holds_as(one))
            self.kinds[number] = next(same, one)
        return self.kinds[number]

    def count(self, number: int, region: Region) -> int:
        """Modules in a box in a region."""
        kind = self.kind(number)
        key = (kind.number, region)
        if key not in self.known:
            self.known[key] = self._counted(kind, region)
        return self.known[key]

    def _counted(self, kind: Kind, region: Region) -> int:
        sites = self.sites(kind, region)
        if not sites:
            return 0
        if self.most is not None:
            return self.most(sites, kind.bodies)
        if self.outer:
            return min(max(volume_most(s, kind.bodies) for s in sites), self.ask.most)
        clock = self.clock or Clock(float("inf"))
        filled = fill_all(sites, kind.bodies, self.ask.most, self.ask.seed, clock, None)
        return filled[0].count if filled else 0

    def sites(self, kind: Kind, region: Region) -> list[Site]:
        """Where the box may lie in a region; cut from what there is in the whole bay where nothing hangs on it."""
        ground = self.ask.ground(kind.job, kind.shell, kind.bodies, region, outer=self.outer)
        if any(e.where not in ("in box", "bay") for e in kind.job.equipment):
            return sites_in(ground, self.ask.frame)
        if kind.number not in self.uncut:
            self.uncut[kind.number] = plain_sites(replace(ground, within=None), self.ask.frame)
        assert ground.within is not None
        return _cut(self.uncut[kind.number], ground.within, ground.least_mm)


@dataclass(frozen=True, eq=False)
class Kind:
    """What decides how many modules a box holds."""

    number: int
    job: Job
    shell: Shell
    bodies: tuple[Body, ...]

    def holds_as(self, other: Kind) -> bool:
        """Whether another box holds as much wherever it lies."""
        return self.shell == other.shell and self.job.equipment == other.job.equipment


def _cut(sites: list[Site], limit: Extent, least_mm: Vec3) -> list[Site]:
    """Sites drawn into a limit; those that then lie within another one left out."""
    from layout.packing.sites import largest_only

    if not sites:
        return []
    bounds = insides_within(limit, sites[0].shell)
    kept = [replace(s, limit=e) for s in sites for e in clipped([s.limit], bounds, least_mm)]
    return largest_only(kept)


def filled_in(ask: Ask, job: Job, region: Region, clock: Clock) -> list[Filled]:
    """The box of a job in a region filled, the fullest first: where brackets reach every mount, else anywhere."""
    from layout.packing.reach import within_reach
    from layout.packing.sites import largest_only

    shell, bodies = shell_of(job), bodies_of(job)
    sites = sites_in(ask.ground(job, shell, bodies, region), ask.frame)
    required = 1 if job.pack.count == "max" else job.pack.count
    most = ask.most if job.pack.count == "max" else job.pack.count
    in_reach = largest_only(within_reach(job, shell, sites))
    filled = fill_all(in_reach, bodies, most, ask.seed, clock, None)
    if max((f.count for f in filled), default=0) < required:
        filled += fill_all(sites, bodies, most, ask.seed, clock, None)
    return sorted(filled, key=lambda f: -f.count)
