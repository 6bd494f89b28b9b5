"""Bars that hold the modules: what they are, and which module is bolted to which. Pack frame.

Each module is bolted through its own pattern to bars on its base that run from wall to wall, so that none rests on another.
A bar on the floor is welded to floor and walls; any other is screwed between two walls and comes out with its module.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from layout.arrangement import PlacedModule
from layout.box.clamp_room import Clamping
from layout.box.fixture import Fixture
from layout.frames import Array, Extent, Vec3, vec3

Level = tuple[int, float, int]
"""Normal axis, face coordinate and run axis of bars that lie side by side."""


@dataclass(frozen=True)
class BarBolt:
    """A bolt through a bar into a module. at_mm: where its axis meets the bar's face under the module."""

    module: str
    size: str
    at_mm: Vec3


@dataclass(frozen=True)
class CarrierBar:
    """A flat bar. run, normal: pack axes (0, 1, 2) along the bar and square to its broad face; sign: whether the modules lie
    on the side of the greater (+1) or lesser (-1) coordinate; face_mm: of the broad face that the modules touch; at_mm:
    middle of its width along the third axis; ends_mm: along run. welded: on the floor. walls: those its two ends stand at.
    under_mm: what stands out beyond its other face, heads or nuts.
    """

    number: str
    run: int
    normal: int
    sign: float
    face_mm: float
    at_mm: float
    ends_mm: tuple[float, float]
    width_mm: float
    thickness_mm: float
    material: str
    welded: bool
    bolts: tuple[BarBolt, ...]
    walls: tuple[str, str]
    under_mm: float = 6.0

    @property
    def level(self) -> Level:
        """What bars side by side have in common."""
        return (self.normal, round(self.face_mm, 3), self.run)

    @property
    def across(self) -> int:
        """The axis along its width."""
        return 3 - self.run - self.normal

    @property
    def extent(self) -> Extent:
        """The bar as a box."""
        return self.between(0.0, self.thickness_mm)

    @property
    def with_heads(self) -> Extent:
        """The bar with the room for bolt heads under it."""
        return self.extent if self.welded else self.between(0.0, self.thickness_mm + self.under_mm)

    def between(self, near: float, far: float) -> Extent:
        """Box of the bar's plan between two depths from the face that the modules touch."""
        low, high = np.zeros(3), np.zeros(3)
        low[self.run], high[self.run] = self.ends_mm
        low[self.across], high[self.across] = self.at_mm - self.width_mm / 2.0, self.at_mm + self.width_mm / 2.0
        a, b = self.face_mm - self.sign * near, self.face_mm - self.sign * far
        low[self.normal], high[self.normal] = min(a, b), max(a, b)
        return Extent(vec3(low), vec3(high))

    def end_mm(self, which: int) -> Vec3:
        """Middle of an end face: 0 at the lesser coordinate, 1 at the greater."""
        point = np.zeros(3)
        point[self.run], point[self.across] = self.ends_mm[which], self.at_mm
        point[self.normal] = self.face_mm - self.sign * self.thickness_mm / 2.0
        return vec3(point)

    def wall(self, which: int) -> str:
        """Name of the wall that an end stands at."""
        return self.walls[which]


@dataclass(frozen=True)
class HeldModule:
    """A module on its bars. run, normal, sign, face_mm as of its bars; bars: index of the bar of each bolt; clamped: how, where
    it is not bolted through holes of its own: then its bolts are the rods.
    """

    id: str
    run: int
    normal: int
    sign: float
    face_mm: float
    bolts: tuple[BarBolt, ...]
    bars: tuple[int, ...]
    clamped: Clamping | None = None

    @cached_property
    def axes(self) -> Array:
        """Rows: along the bars, across them, and out of them into the module (right-handed)."""
        u, w = np.zeros(3), np.zeros(3)
        u[self.run], w[self.normal] = 1.0, self.sign
        return np.array([u, np.cross(w, u), w])

    @cached_property
    def points_mm(self) -> Array:
        """Bolts in the module's base: (n, 2) along and across the bars."""
        return np.array([b.at_mm for b in self.bolts]) @ self.axes[:2].T


@dataclass(frozen=True)
class Post:
    """A flat bar upright on the outer face of a wall, where bars end. u_mm: its middle along the wall."""

    number: str
    wall: str
    u_mm: float
    width_mm: float


@dataclass(frozen=True)
class LiftingPoint:
    """A tapped place for a lifting eye on an upright: along the wall and up."""

    number: str
    wall: str
    u_mm: float
    z_mm: float
    size: str


@dataclass(frozen=True)
class Carriers:
    """All bars, the modules on them, the posts behind their ends; unheld: module ids with the reason. fixtures: equipment
    screwed to uprights; unfixed: equipment with feet that is not, with the reason. lifting: points for eyes; no_lifting: why
    there are none though the job asks for them.
    """

    bars: tuple[CarrierBar, ...] = ()
    held: tuple[HeldModule, ...] = ()
    posts: tuple[Post, ...] = ()
    unheld: tuple[tuple[str, str], ...] = ()
    fixtures: tuple[Fixture, ...] = ()
    unfixed: tuple[tuple[str, str], ...] = ()
    lifting: tuple[LiftingPoint, ...] = ()
    no_lifting: str = ""

    def clamped(self, id_: str) -> Clamping | None:
        """How a module is clamped; None where it is not."""
        return next((h.clamped for h in self.held if h.id == id_), None)

    def clamp_bodies(self, module: PlacedModule) -> tuple[Extent, ...]:
        """Bounds of frame, bars and rods of a clamped module; of its frame without what is cut out for the module."""
        clamped = self.clamped(module.id)
        return tuple(e.seen_from(clamped.stood(module.pose)) for e in clamped.bodies) if clamped else ()
