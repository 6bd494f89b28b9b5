"""Tables about what is fitted to the pack beside its modules: lifting points, the flange of a charge inlet."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from layout.job.entry import Angle, Entry, Length


class Lifting(Entry):
    """Tapped points for lifting eye bolts of DIN 580 on the uprights of the box. The eyes are fitted for lifting only."""

    points: Literal[4] = 4
    bolt: str = Field(default="M10", pattern=r"^M(8|10|12)$")
    sling_angle_deg: Angle = Field(default=0.0, ge=0.0, le=45.0, alias="sling_angle")
    """Of each leg from the vertical; 0 where a spreader frame holds the legs upright."""


class ChargeInlet(Entry):
    """An angled flange that carries a charge inlet, as a part of its own; where it is mounted stays open.

    A face with the inlet's opening and holes on its pitch circle, and a foot bent away from it by `angle`.
    """

    angle_deg: Angle = Field(gt=0.0, le=120.0, alias="angle")
    """By how much the foot turns away from the plane of the face."""
    opening_mm: Length = Field(alias="opening")
    """Diameter of the round opening."""
    pitch_circle_mm: Length = Field(alias="pitch_circle")
    """Diameter of the circle on which the inlet's screws lie."""
    holes: int = Field(ge=2, le=12)
    bolt: str = Field(default="M5", pattern=r"^M(4|5|6|8)$")
    first_hole_deg: Angle = Field(default=45.0, alias="first_hole")
    """Of the first hole, from the level line of the face, anticlockwise seen from its front."""
    foot_mm: Length = Field(default=45.0, alias="foot")
    """Depth of the foot from the outside of the bend."""
    foot_holes: int = Field(default=2, ge=2, le=6)
    foot_bolt: str = Field(default="M6", pattern=r"^M(5|6|8)$")
    material: str
    sheet_mm: Length = Field(alias="sheet")
