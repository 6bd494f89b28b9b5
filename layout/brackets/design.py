"""A bracket as designed: parts, hardware and welds in the pack's frame, and the figures its checks start from."""

from __future__ import annotations

from dataclasses import dataclass

from layout.brackets.planned import BracketPlan
from layout.design import FoldedPlate, Hardware, Plate, Weld
from layout.frames import Extent, Pose, Vec3

Body = tuple[str, Extent, Pose]
"""A name that ends in the bracket's number, a box in its own frame, and that frame's pose in the pack's."""


@dataclass(frozen=True, slots=True)
class Sizes:
    """What can be chosen about a bracket: sheet of leg and foot, of the gussets (webs; 0: none), throat of its fillets."""

    sheet_mm: float
    gusset_mm: float = 6.0
    throat_mm: float = 3.5


@dataclass(frozen=True, slots=True)
class Slot:
    """A mount hole made long: distance of its end centres, and its direction in the foot's plane along a and out (unit)."""

    length_mm: float
    along: tuple[float, float]

    @property
    def along_a_mm(self) -> float:
        """By how much it is longer than wide along the bend."""
        return self.length_mm * abs(self.along[0])

    @property
    def along_out_mm(self) -> float:
        """The same along the foot."""
        return self.length_mm * abs(self.along[1])


@dataclass(frozen=True, slots=True)
class MountPlace:
    """A mount in the foot. x_mm: along the bend; z_mm: along the foot from where its plane meets the bars' face; edges_mm: from
    the hole's middle to the nearest edge along the foot, along the bend, and in any direction, in the bolt's worst place of a
    slot.
    """

    x_mm: float
    z_mm: float
    edges_mm: tuple[float, float, float]
    slot: Slot | None = None


@dataclass(frozen=True, slots=True)
class Cheeks:
    """The two legs of a saddle that reach down the rail's sides. span_mm: between their inner faces; along_bend: whether the
    rail runs along the bend (else across it); length_mm of each.
    """

    thickness_mm: float
    depth_mm: float
    span_mm: float
    length_mm: float
    along_bend: bool


@dataclass(frozen=True, slots=True)
class Column:
    """The box column of a standoff: clear width between its webs, height over its covers, sheet, length between its ends."""

    clear_mm: float
    height_mm: float
    sheet_mm: float
    length_mm: float


@dataclass(frozen=True)
class BracketDesign:
    """A bracket of any kind.

    angle: the bent plate of leg and foot; of a standoff, the spreader plate on the bars. gussets: every other plate. leg_at_mm:
    leg bolts in the leg's frame (along a, up); leg_bolts_mm: the same places in the pack's frame. a_mm: from its least to its
    greatest coordinate along the bend. leg_top_mm: along the leg from the mount plane to its free edge. foot_out_mm: along the
    foot from the bars' face to its free edge. gusset_mm: height along the leg and greatest reach along the foot;
    gusset_places_mm: middles along a (of a standoff, of its webs); gusset_reaches_mm: of each along the foot. foot_depth_mm:
    least depth of the foot between its mounts and the nearest leg bolts. bodies: boxes that hold all of it, to find what it
    runs into.
    """

    number: str
    kind: str
    plan: BracketPlan
    material: str
    thickness_mm: float
    inside_radius_mm: float
    angle: FoldedPlate | Plate
    gussets: tuple[Plate, ...]
    hardware: tuple[Hardware, ...]
    welds: tuple[Weld, ...]
    leg_bolts_mm: tuple[Vec3, ...]
    leg_at_mm: tuple[tuple[float, float], ...]
    mount_bolts: tuple[Hardware, ...]
    mount_places: tuple[MountPlace, ...]
    a_mm: tuple[float, float]
    leg_top_mm: float
    foot_out_mm: float
    gusset_mm: tuple[float, float]
    gusset_thickness_mm: float
    gusset_places_mm: tuple[float, ...]
    gusset_reaches_mm: tuple[float, ...]
    foot_depth_mm: float
    bodies: tuple[Body, ...]
    cheeks: Cheeks | None = None
    column: Column | None = None

    @property
    def why(self) -> str:
        """What its kind follows from, in words."""
        if self.kind != self.plan.kind and self.plan.kind != "plain L":
            return f"{self.plan.why}; plain, as no gusset finds room"
        return self.plan.why

    @property
    def throat_mm(self) -> float:
        """Of its thinnest weld; 0 without welds."""
        return min((w.throat_mm for w in self.welds), default=0.0)

    @property
    def plates(self) -> tuple[FoldedPlate | Plate, ...]:
        """Every plate of it."""
        return (self.angle, *self.gussets)
