"""Where the modules lie: the answer of the packing search and the question to the judge of fit."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

from layout.frames import Extent, Pose, Vec3
from layout.job.box import Equipment
from layout.job.module import ModuleType

if TYPE_CHECKING:
    from layout.study.making import Making


@dataclass(frozen=True)
class PlacedModule:
    """One module in its place.

    pose: of the module's own frame (origin at the middle of its body) in the pack's frame. up: its own face that points
    up; terminals: the pack direction its terminal face looks to.
    """

    id: str
    kind: ModuleType
    pose: Pose
    up: str
    terminals: str

    @property
    def own_extent(self) -> Extent:
        """The body in the module's own axes."""
        x, y, z = self.kind.size_mm
        return Extent((-x / 2, -y / 2, -z / 2), (x / 2, y / 2, z / 2))

    @cached_property
    def extent(self) -> Extent:
        """The body in the pack's frame."""
        return self.own_extent.seen_from(self.pose)

    @property
    def centroid_mm(self) -> Vec3:
        """Centre of mass in the pack's frame."""
        x, y, z = self.pose.point(self.kind.centroid_offset_mm)
        return (float(x), float(y), float(z))


@dataclass(frozen=True)
class PlacedEquipment:
    """A piece of the pack's own equipment in its place.

    pose: of its own frame (origin at the middle of its body) in the pack's frame. face: the pack direction of the wall it
    stands at (in the box) or hangs on (outside), "" where it stands free in the bay at a stated place. outside: it hangs
    on the wall's outer side, its own z standing off the wall; plate_mm: what lies between it and the box's side.
    """

    kind: Equipment
    pose: Pose
    face: str
    outside: bool
    plate_mm: float = 0.0

    @cached_property
    def extent(self) -> Extent:
        """The body in the pack's frame."""
        x, y, z = self.kind.size_mm
        return Extent((-x / 2, -y / 2, -z / 2), (x / 2, y / 2, z / 2)).seen_from(self.pose)


@dataclass(frozen=True)
class Link:
    """One interconnect: from a module's terminal to the next module's, with the straight distance between them."""

    start: str
    end: str
    length_mm: float


@dataclass(frozen=True)
class Wiring:
    """Order of connection. strings: module ids from the positive end of each series string to its negative end.

    links: the interconnects within the strings; length_mm: their sum (terminal to terminal, straight).
    """

    strings: tuple[tuple[str, ...], ...]
    links: tuple[Link, ...]

    @property
    def length_mm(self) -> float:
        """Sum of the links' straight lengths."""
        return sum(link.length_mm for link in self.links)


@dataclass(frozen=True)
class Insertion:
    """Whether the box can be brought in. path_mm: way-points of the box's reference point from outside to its place."""

    possible: bool
    path_mm: tuple[Vec3, ...] = ()
    note: str = ""


@dataclass(frozen=True)
class Arrangement:
    """Modules in a box that fits the bay.

    frame: the pack's frame in vehicle axes (turned about z, raked about y; origin where the search put it). modules and
    inside lie in the pack's frame; inside: the free inside of the box's walls (liner not deducted), axis-parallel; a
    Stepped one where a corner of its plan is left out or its floor is at two heights.
    equipment: what is in the box and on its faces. wiring: the order in which the modules are connected in series.
    best_at: in words, what this arrangement is the best at among those listed.
    """

    frame: Pose
    modules: tuple[PlacedModule, ...]
    inside: Extent
    equipment: tuple[PlacedEquipment, ...] = ()
    wiring: Wiring | None = None
    best_at: tuple[str, ...] = ()
    scores: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True)
class SearchResult:
    """What the search found: arrangements ranked, best first; how many modules at most, and whether that is proved.

    upper_bound: no box in the bay holds more of the modules there are, whatever number was asked for (it may be too high,
    never too low). proven: where a number was asked for (required), that it is placed; for "max", that no more can be.
    space: "true geometry" or "grid": the space for which the bound holds. The bound counts every outline the job allows.
    rectangular: where a stepped box was allowed and looked for, what rectangular ones hold: placed, and at most.
    makings: what stands in the way of making each arrangement (in the order of the list).
    """

    required: int | None
    arrangements: tuple[Arrangement, ...]
    upper_bound: int
    proven: bool
    seconds: float
    space: str
    note: str = ""
    rectangular: tuple[int, int] | None = None
    makings: tuple[Making, ...] = ()

    @property
    def placed(self) -> int:
        """Modules placed by the best arrangement."""
        return len(self.arrangements[0].modules) if self.arrangements else 0

    @property
    def verdict(self) -> str:
        """What is known of the count, in words."""
        if self.placed >= self.upper_bound:
            return f"{self.placed} placed; that no more can be is proved on {self.space}"
        if self.required is not None and self.placed >= self.required:
            return f"{self.placed} placed, the number asked for; no more than {self.upper_bound} can be ({self.space})"
        return f"{self.placed} placed; that no more can be is not proved, at most {self.upper_bound} ({self.space})"
