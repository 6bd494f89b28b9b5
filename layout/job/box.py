"""Tables about the box, what is hung on it, and its brackets."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from layout.job.entry import Angle, Direction, Entry, Force, Gap, Length, Mass, PlanPoint, Point, Size

Panel = Literal["fore", "aft", "left", "right", "top", "bottom", "upper floor"]


class Opening(Entry):
    """A round opening in a panel: at_mm on the panel from its middle.

    On fore and aft panels at is (y, z); on left and right (x, z); on top and bottom (x, y): pack axes, never mirrored.
    Where the floor is at two heights bottom is the deep one, and there is an upper floor.
    """

    name: str = Field(min_length=1)
    panel: Panel
    diameter_mm: Length = Field(alias="diameter")
    at_mm: PlanPoint = Field(alias="at")
    kind: Literal["gland", "connector", "data", "vent", "drain"] = "gland"
    direction: Direction | None = None
    """Which way a vent is led (hose, deflector), vehicle axes; left out, it blows the way its panel looks."""
    ring_mm: Length | None = Field(default=None, alias="ring")
    """Thickness of a ring that is welded round it on the panel's outer face; as wide as makes up for what is cut out."""
    box: int = Field(default=1, ge=1, le=3)
    """Which of the pack's boxes it is in, where there are several: see pack.boxes for how they are counted."""


class TestBend(Entry):
    """A test bend of the box's own sheet: exactly one of allowance, deduction and k_factor.

    allowance: what the bend adds to the flats up to its tangent lines; deduction: what the flat is shorter than the outside
    lengths together.
    """

    radius_mm: Length = Field(alias="radius")
    angle_deg: Angle = Field(default=90.0, alias="angle")
    allowance_mm: Length | None = Field(default=None, alias="allowance")
    deduction_mm: Length | None = Field(default=None, alias="deduction")
    k_factor: float | None = None


class Press(Entry):
    """What the shop can bend; what is left out sets no limit, and is said to be unknown where it matters.

    bend_length: longest bend; flat: largest flat, length and width; least_flange: least outside leg; box_depth: deepest box
    with four upright sides that its sectioned punches bend; radius: inside radius its tools give; die: opening of the die.
    """

    bend_length_mm: Length | None = Field(default=None, alias="bend_length")
    flat_mm: tuple[Length, Length] | None = Field(default=None, alias="flat")
    least_flange_mm: Length | None = Field(default=None, alias="least_flange")
    box_depth_mm: Length | None = Field(default=None, alias="box_depth")
    radius_mm: Length | None = Field(default=None, alias="radius")
    die_mm: Length | None = Field(default=None, alias="die")
    test_bends: tuple[TestBend, ...] = Field(default=(), alias="test_bend")


class Divider(Entry):
    """A sheet between neighbouring modules that stand side by side: "insulating sheet", or a metal of the tables."""

    material: str
    thickness_mm: Length = Field(alias="thickness", ge=0.3, le=10.0)


class GapPad(Entry):
    """Soft filler between neighbouring modules that stand side by side. It holds nothing.

    thickness: as bought; pressed: the least it is pressed to, from half of that on. Modules stand no nearer than that lets
    them; where they stand further apart the pad is pressed less.
    """

    thickness_mm: Length = Field(alias="thickness", le=30.0)
    pressed_mm: Length = Field(alias="pressed")
    density_kg_m3: float = Field(alias="density", ge=20.0, le=5000.0)
    """In kg/m3, as pressed."""

    @model_validator(mode="after")
    def _can_be_pressed(self) -> GapPad:
        if not 0.5 * self.thickness_mm - 1e-9 <= self.pressed_mm < self.thickness_mm:
            msg = f"a pad of {self.thickness_mm:g} mm is pressed to at least half of that and to less than the whole"
            raise ValueError(msg)
        return self


class Box(Entry):
    """How the box is made."""

    construction: Literal["welded", "folded"]
    material: str
    sheet_mm: Length = Field(alias="sheet")
    liner_mm: Gap = Field(default=0.0, alias="liner")
    divider: Divider | None = None
    gap_pad: GapPad | None = None
    lid: Direction = "+z"
    lid_edges: Literal["flat", "down"] = "flat"
    """"down": the lid's edges are bent down outside the flange; they are given no credit in the checks."""
    outline: Literal["rectangular", "stepped"] = "rectangular"
    """Whether a corner of the plan may be left out, or the floor lie at two heights (the lid stays one plane); done only where
    that holds more modules than any rectangular box found."""
    lid_bolt: str = Field(default="M5", pattern=r"^M(4|5|6|8)$")
    bar_mm: Length | None = Field(default=None, alias="bar", ge=15.0, le=40.0)
    """Least thickness of the mounting bars and posts on the walls; 15 mm, or more where brackets pass the lid flange."""
    openings: tuple[Opening, ...] = Field(default=(), alias="opening")
    press: Press = Field(default_factory=Press)
    """Limits of the press brake that a folded box is bent on."""
    locating: Literal["none", "tabs"] = "none"
    """Whether the plates of a welded box fix one another by tabs in slots."""
    finish: str = ""
    """Of the metal parts, in the fabricator's words: "zinc plated", "powder coat RAL 9005 outside, bare inside"."""
    cabin: Direction | None = None
    """Which way the cabin lies from the box, vehicle axes: no vent may lead there."""


class EquipmentFixing(Entry):
    """Feet of a piece of equipment: screw holes through feet on one of its own faces, from the middle of that face.

    The pattern is given along the face's own axes: x, y on faces +z and -z; x, z on +y and -y; y, z on +x and -x. What is in
    the box stands with this face on a wall; what hangs on a face of the box has its feet on "-z".
    """

    pattern_mm: tuple[PlanPoint, ...] = Field(alias="pattern", min_length=2)
    bolt: str = Field(pattern=r"^M(4|5|6|8)$")
    face: Direction = "-z"
    foot_mm: Length = Field(alias="foot")
    """Thickness of the foot under the screw's head."""
    load_n: Force | None = Field(default=None, alias="load")
    """Greatest force, in any direction, that the maker allows on one foot; not checked where not given."""


class Equipment(Entry):
    """A body that belongs to the pack: in the box, hung on one of its faces, or at a stated place in the bay."""

    name: str = Field(min_length=1)
    size_mm: Size = Field(alias="size")
    mass_kg: Mass = Field(alias="mass")
    where: Literal["in box", "fore face", "aft face", "left face", "right face", "top face", "bay"]
    service_from: tuple[Direction, ...] = ()
    at_mm: Point | None = Field(default=None, alias="at")
    clearance_mm: Gap = Field(default=0.0, alias="clearance")
    fixing: EquipmentFixing | None = None
    centroid_offset_mm: Point = Field(default=(0.0, 0.0, 0.0), alias="centroid_offset")
    """Centre of mass from the middle of the body, own axes."""
    box: int = Field(default=1, ge=1, le=3)
    """Which of the pack's boxes it belongs to, where there are several."""


class BracketStyle(Entry):
    """Stock and bolts for the brackets."""

    material: str
    bolt_class: Literal["8.8", "10.9", "12.9"]
    sheet_mm: Length | None = Field(default=None, alias="sheet")
    """Thickness of the bracket's plates; chosen by the program where the job does not say."""
    finish: str = ""
    """Of the brackets' parts, in the fabricator's words."""
    slots: Literal["none", "x", "y"] = "none"
    """The vehicle's axis along which the mount bolts can be moved in the feet before they are tightened."""
    slot_length_mm: Length = Field(default=10.0, alias="slot_length", ge=2.0, le=40.0)
    """How far a bolt can be moved in all: the distance between the end centres of a slot."""
