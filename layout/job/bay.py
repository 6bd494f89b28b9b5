"""Tables about the bay: free space, keep-outs, scan, and the mount points the vehicle already has."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from layout.job.entry import Coordinate, Direction, Entry, Gap, Length, Outline, Point


class Space(Entry):
    """A vertical prism of free space: plan outline (x, y) between two heights; tapered where outline_above is given.

    outline belongs to z[0]; outline_above, with as many points, to z[1]; in between they are joined straight.
    """

    name: str = ""
    outline_mm: Outline = Field(alias="outline", min_length=3)
    outline_above_mm: Outline | None = Field(default=None, alias="outline_above", min_length=3)
    z_mm: tuple[Coordinate, Coordinate] = Field(alias="z")


class CylinderShape(Entry):
    """A round bar between two points of its axis, flat ends."""

    from_mm: Point = Field(alias="from")
    to_mm: Point = Field(alias="to")
    diameter_mm: Length = Field(alias="diameter")


class BoxShape(Entry):
    """An axis-parallel box."""

    min_mm: Point = Field(alias="min")
    max_mm: Point = Field(alias="max")


class PrismShape(Entry):
    """A vertical prism."""

    outline_mm: Outline = Field(alias="outline", min_length=3)
    z_mm: tuple[Coordinate, Coordinate] = Field(alias="z")


class MeshShape(Entry):
    """A triangle mesh from a file beside the job file. The unit is named, never guessed."""

    file: str
    unit: Literal["mm", "cm", "m", "in", "ft"]


class KeepOut(Entry):
    """Something in the bay that nothing of ours may touch; exactly one shape. margin is added all round."""

    name: str = Field(min_length=1)
    box: BoxShape | None = None
    cylinder: CylinderShape | None = None
    prism: PrismShape | None = None
    mesh: MeshShape | None = None
    margin_mm: Gap = Field(default=0.0, alias="margin")


class Scan(Entry):
    """A triangle mesh of what surrounds the free space (a scan of surfaces, not a solid)."""

    file: str
    unit: Literal["mm", "cm", "m", "in", "ft"]
    margin_mm: Gap = Field(default=0.0, alias="margin")


class Bay(Entry):
    """Free space is the union of the `space` prisms less the keep-outs and whatever a scan shows.

    clearance_mm: between the outside of the box (flanges and bolts included) and anything that bounds the bay.
    """

    clearance_mm: Gap = Field(alias="clearance")
    insert_from: tuple[Direction, ...] = Field(min_length=1)
    spaces: tuple[Space, ...] = Field(alias="space", min_length=1)
    keep_outs: tuple[KeepOut, ...] = Field(default=(), alias="keep_out")
    scan: Scan | None = None


class MountSheet(Entry):
    """The vehicle's own metal at a mount point."""

    material: str
    thickness_mm: Length = Field(alias="thickness")


class Envelope(Entry):
    """Column along the mount's normal that bracket and tool need."""

    diameter_mm: Length = Field(default=50.0, alias="diameter")
    height_mm: Length = Field(default=120.0, alias="height")


class Rail(Entry):
    """What a mount point sits on top of, where it is a rail: its width, and which way it runs."""

    width_mm: Length = Field(alias="width", ge=20.0, le=250.0)
    along: Literal["x", "y"]


class MountPoint(Entry):
    """An existing hole or thread of the vehicle. normal: from the vehicle's metal into the free space.

    fixing: what is there: a thread in the metal, a nut welded behind it, a plain hole for a through bolt, or a rivet nut
    (which gets no credit in crash cases unless the job says so). edge_distance_mm: from the hole's middle to the nearest
    edge of that metal; where not given, the least that a bolt is permitted is assumed. rail: the rail it sits on, middle of its
    width under the hole (a saddle reaches down both its sides). bracket: the kind; "by position": what reaches it. slots:
    whether this mount's hole in the bracket is a slot, and along which of the vehicle's axes; "as brackets": as [bracket].
    """

    name: str = Field(min_length=1)
    at_mm: Point = Field(alias="at")
    normal: Direction
    thread: str = Field(pattern=r"^M(5|6|8|10|12|14|16)$")
    fixing: Literal["thread", "weld nut", "through hole", "rivet nut"] = "thread"
    sheet: MountSheet | None = None
    edge_distance_mm: Length | None = Field(default=None, alias="edge_distance")
    envelope: Envelope = Envelope()
    bracket: Literal["by position", "plain L", "gusseted L", "saddle", "standoff"] = "by position"
    rail: Rail | None = None
    slots: Literal["as brackets", "none", "x", "y"] = "as brackets"
    box: int | None = Field(default=None, ge=1, le=3)
    """Which of the pack's boxes it holds, where there are several; left out, the one on whose side of the cut it lies."""
