"""Parts and what joins them. Poses place a part's own frame in the pack's frame."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from layout.design.profile import Bend, Profile
from layout.frames import Extent, Pose, Vec3


@dataclass(frozen=True, slots=True)
class Bevel:
    """A straight outline edge (from vertex `edge` to the next) chamfered at 45 degrees on the face z = 0."""

    edge: int
    leg_mm: float


@dataclass(frozen=True, slots=True)
class EndHole:
    """A blind tapped hole in the edge of a plate. at_mm: its middle on the edge, own axes; axis: into the metal.

    drill_mm, depth_mm: of the cylinder drilled for it (flat bottom; the drill's point is left out); thread_mm: full thread.
    """

    name: str
    at_mm: Vec3
    axis: Vec3
    size: str
    drill_mm: float
    depth_mm: float
    thread_mm: float


@dataclass(frozen=True)
class Plate:
    """A flat plate: the profile lies in the own xy plane, the metal from z = 0 to z = thickness, less what is bevelled.

    tapped: holes in its edges, drilled and tapped after cutting.
    """

    number: str
    name: str
    material: str
    thickness_mm: float
    profile: Profile
    pose: Pose
    group: str = "box"
    tapped: tuple[EndHole, ...] = ()
    bevels: tuple[Bevel, ...] = ()


@dataclass(frozen=True)
class Flange:
    """One flat of a folded part.

    Its profile is drawn in its own xy plane with the bend's tangent line along own y = 0, from x = 0 to the length of
    the parent's edge (own x runs from the edge's end to its start, so that the flange lies at y > 0 and both outlines run
    anticlockwise when flat). parent: index of the flange it hangs on (0 is the root).
    """

    profile: Profile
    parent: int
    bend: Bend


@dataclass(frozen=True)
class FoldedPlate:
    """A part cut from one sheet and bent: a root flat and flanges that hang on it or on one another."""

    number: str
    name: str
    material: str
    thickness_mm: float
    root: Profile
    flanges: tuple[Flange, ...]
    pose: Pose
    group: str = "box"


@dataclass(frozen=True)
class Block:
    """A body that is not cut from sheet: a module, equipment, a liner sheet, a gasket. An own-frame box, solid.

    mass_kg: as weighed or catalogue where the job gives it, else None (then density of the material counts).
    """

    number: str
    name: str
    extent: Extent
    pose: Pose
    material: str = ""
    mass_kg: float | None = None
    centroid_mm: Vec3 | None = None
    group: str = "module"


@dataclass(frozen=True, slots=True)
class Ring:
    """A nut or washer on a threaded rod. at_mm: of its nearer face from the rod's first end."""

    kind: Literal["nut", "washer"]
    at_mm: float


@dataclass(frozen=True)
class Hardware:
    """A bolt with what belongs to it, at one place.

    kind: "hex bolt", "hex screw" (threaded to the head), "cap screw" or "threaded rod" (no head: its places are measured from
    its first end, its nuts and washers are `rings`); size e.g. "M10"; bolt_class e.g. "8.8"; length_mm:
    under the head; grip_mm: from under the head to the nut or thread, washers included. head_mm: the point under the head,
    on top of its washer, in the pack's frame; axis: unit vector from the head to the tip. washers, nuts: counts. holes:
    names of the holes it passes.
    """

    number: str
    kind: str
    size: str
    bolt_class: str
    length_mm: float
    grip_mm: float
    head_mm: Vec3
    axis: Vec3
    washers: int = 1
    nuts: int = 0
    holes: tuple[str, ...] = ()
    joins: tuple[str, ...] = ()
    group: str = "hardware"
    rings: tuple[Ring, ...] = ()


@dataclass(frozen=True)
class Weld:
    """A seam between two parts.

    kind: "fillet", "double fillet", "square butt", "corner"; throat_mm; path_mm: polyline in the pack's frame (its length is
    the weld's). joins: part numbers.
    """

    number: str
    kind: str
    throat_mm: float
    path_mm: tuple[Vec3, ...]
    joins: tuple[str, str]
    note: str = ""

    @property
    def length_mm(self) -> float:
        """Length of the path."""
        pairs = zip(self.path_mm, self.path_mm[1:], strict=False)
        return sum(sum((b - a) ** 2 for a, b in zip(p, q, strict=True)) ** 0.5 for p, q in pairs)


Part = Plate | FoldedPlate | Block


@dataclass(frozen=True)
class Assembly:
    """Parts, hardware and welds that belong together, in one frame."""

    name: str
    parts: tuple[Part, ...] = ()
    hardware: tuple[Hardware, ...] = ()
    welds: tuple[Weld, ...] = ()
    children: tuple[Assembly, ...] = field(default=())
