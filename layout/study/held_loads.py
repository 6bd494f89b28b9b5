"""What the modules do to their bars in every case: all linear in the specific force, so worked out once. Pack frame.

The specific force g_eff = g0 ((0, 0, -1) - acceleration) is what a mass feels; a module pushes on its bars with m g_eff.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from layout.arrangement import PlacedModule
from layout.box.bar_joining import prying
from layout.box.between import Parted
from layout.box.carriers import CarrierBar, Carriers, HeldModule
from layout.box.clamps import clamp_mass_kg
from layout.checks.groups import BoltGroup, bolt_shears, bolt_tensions
from layout.frames import Array, Pose
from layout.loads.cases import LoadCase
from layout.tables import material

G0_M_S2 = 9.80665
SPREAD = 9
"""Points that stand for a base pressing along a bar."""


def specific_forces(frame: Pose, cases: tuple[LoadCase, ...]) -> Array:
    """m/s2, (cases, 3), pack frame."""
    vehicle = np.array([(0.0, 0.0, -1.0) - np.array(c.acceleration_g) for c in cases]).reshape(-1, 3)
    return np.asarray(G0_M_S2 * frame.inverse_vector(vehicle))


@dataclass(frozen=True, eq=False)
class OnBars:
    """A module on its bars, axes u, v, w of HeldModule. per_g: force of each bolt on the bar in u, v, w per unit of specific
    force in pack axes, kg, (bolts, 3, 3): shears by the elastic group, w by the plane that balances force and moment.
    """

    held: HeldModule
    module: PlacedModule
    bars: tuple[CarrierBar, ...] = ()
    beside_kg: float = 0.0

    @property
    def bar_of_bolts(self) -> tuple[CarrierBar, ...]:
        """The bar that each bolt passes."""
        return tuple(self.bars[k] for k in self.held.bars)

    @cached_property
    def mass_kg(self) -> float:
        """Of the module, of what clamps it, and of what lies beside it and may be bonded to it."""
        clamped = self.held.clamped
        return self.module.kind.mass_kg + self.beside_kg + (clamp_mass_kg(clamped, self.module) if clamped else 0.0)

    @cached_property
    def group(self) -> BoltGroup:
        """The bolts in the module's base; the base (or the frame round it) tilts about its edges."""
        clamped = self.held.clamped
        base = clamped.foot.seen_from(clamped.stood(self.module.pose)) if clamped else self.module.extent
        low, high = np.array(base.min_mm), np.array(base.max_mm)
        ends = np.array([low, high]) @ self.held.axes[:2].T
        (u0, v0), (u1, v1) = ends.min(axis=0), ends.max(axis=0)
        points = tuple((float(u), float(v)) for u, v in self.held.points_mm)
        return BoltGroup(points, (float(u0), float(u1), float(v0), float(v1)))

    @cached_property
    def arm_mm(self) -> Array:
        """From the bolts' centroid in the base to the module's centre of mass, axes u, v, w."""
        centre = np.array(self.module.centroid_mm) @ self.held.axes.T
        face = self.held.sign * self.held.face_mm
        return np.array([*(centre[:2] - np.array(self.group.centroid_mm)), centre[2] - face])

    def load(self, specific: Array) -> tuple[Array, Array]:
        """Force and moment about the bolts' centroid in the base, N and N*mm, axes u, v, w; (..., 3)."""
        force = self.mass_kg * specific @ self.held.axes.T
        return force, np.cross(np.broadcast_to(self.arm_mm, force.shape), force)

    def bolt_forces(self, specific: Array) -> Array:
        """Tension and shear of every bolt, (2, cases, bolts); tension with what a bar that turns adds."""
        force, moment = self.load(specific)
        shears = np.linalg.norm(bolt_shears(self.group, force, moment), axis=-1)
        turned = [prying(bar, b.at_mm[bar.across]) for b, bar in zip(self.held.bolts, self.bar_of_bolts, strict=True)]
        return np.stack([bolt_tensions(self.group, force, moment) * np.array(turned), shears])

    @cached_property
    def per_g(self) -> Array:
        """See the class."""
        force, moment = self.load(np.eye(3))
        r = np.asarray(self.group.offsets_mm)
        n, polar = len(r), float((r**2).sum())
        inertia = r.T @ r
        out = np.zeros((n, 3, 3))
        for k in range(3):
            out[:, 0, k] = force[k, 0] / n - moment[k, 2] * r[:, 1] / polar
            out[:, 1, k] = force[k, 1] / n + moment[k, 2] * r[:, 0] / polar
            wanted = np.linalg.solve(inertia, np.array([-moment[k, 1], moment[k, 0]]))
            out[:, 2, k] = force[k, 2] / n + r @ wanted
        return out

    @cached_property
    def span_mm(self) -> tuple[float, float]:
        """Ends of the module along its bars."""
        run = self.held.run
        return self.module.extent.min_mm[run], self.module.extent.max_mm[run]


@dataclass(frozen=True, eq=False)
class BarModel:
    """A bar as a beam on its two ends. places_mm: along it from its lesser end; per_g: force there per unit of specific force
    (points, 3, 3); spread_mm, spread: the same for w alone, each module's part spread over its length.
    """

    bar: CarrierBar
    places_mm: Array
    per_g: Array
    spread_mm: Array
    spread: Array

    @property
    def length_mm(self) -> float:
        """Between the walls."""
        return self.bar.ends_mm[1] - self.bar.ends_mm[0]

    def moments(self, specific: Array) -> tuple[Array, Array]:
        """Greatest |M| about both axes (across thickness, across width), (cases,). The base presses somewhere between its
        bolts alone and its whole length: the worse of both counts.
        """
        points = _influence(self.places_mm, self.places_mm, self.length_mm)
        spread = _influence(self.spread_mm, self.spread_mm, self.length_mm)
        w_points = np.abs(np.einsum("sk,kj,cj->cs", points, self.per_g[:, 2], specific)).max(axis=1)
        w_spread = np.abs(np.einsum("sk,kj,cj->cs", spread, self.spread, specific)).max(axis=1)
        v = np.abs(np.einsum("sk,kj,cj->cs", points, self.per_g[:, 1], specific)).max(axis=1)
        return np.maximum(w_points, w_spread), v

    def reactions(self, specific: Array) -> Array:
        """Force of both ends on their walls in u, v, w, (cases, 2, 3); the force along the bar whole at both ends."""
        share = self.places_mm / self.length_mm
        low = np.einsum("k,kij,cj->ci", 1.0 - share, self.per_g, specific)
        high = np.einsum("k,kij,cj->ci", share, self.per_g, specific)
        both = np.stack([low, high], axis=1)
        both[:, :, 0] = (low[:, 0] + high[:, 0])[:, None]
        return both

    def sag_mm(self, specific: Array) -> Array:
        """Deflection of the middle in w, at most 3 per cent below the greatest."""
        return np.asarray(1.03 * np.abs(self.sags_mm(specific)).max(axis=0, initial=0.0))

    def sags_mm(self, specific: Array) -> Array:
        """Deflection of the middle in w with its sign, the base pressing at its bolts alone and all along, (2, cases)."""
        bar, length = self.bar, self.length_mm
        stiff = material(bar.material).e_mpa * bar.width_mm * bar.thickness_mm**3 / 12.0
        found = []
        for places, per_g in ((self.places_mm, self.per_g[:, 2]), (self.spread_mm, self.spread)):
            near = np.minimum(places, length - places)
            unit = near * (3.0 * length**2 - 4.0 * near**2) / (48.0 * stiff)
            found.append(np.einsum("k,kj,cj->c", unit, per_g, specific))
        return np.array(found)


def _influence(stations: Array, places: Array, length: float) -> Array:
    """Moment at each station per unit force at each place, simple beam, (stations, places)."""
    near, far = np.minimum.outer(stations, places), np.maximum.outer(stations, places)
    return near * (length - far) / length


def bar_models(
    carriers: Carriers, modules: Mapping[str, PlacedModule], between: Parted | None = None
) -> tuple[tuple[OnBars, ...], tuple[BarModel, ...]]:
    """Modules on bars, and the bars as beams, in the order of the carriers. between: what lies between the modules."""
    beside = between or Parted()
    on_bars = tuple(OnBars(h, modules[h.id], carriers.bars, beside.mass_at_kg(h.id)) for h in carriers.held)
    models = []
    for i, bar in enumerate(carriers.bars):
        rows: list[tuple[float, Array]] = []
        spread: list[tuple[float, Array]] = []
        for one in on_bars:
            mine = [k for k, at in enumerate(one.held.bars) if at == i]
            if not mine:
                continue
            turned = _in_bar(one, bar)
            rows += [(one.held.bolts[k].at_mm[bar.run] - bar.ends_mm[0], turned[k]) for k in mine]
            total = turned[mine, 2].sum(axis=0)
            low, high = one.span_mm
            steps = low - bar.ends_mm[0] + (high - low) * (np.arange(SPREAD) + 0.5) / SPREAD
            spread += [(float(s), total / SPREAD) for s in steps]
        models.append(
            BarModel(
                bar, np.array([r[0] for r in rows]), np.array([r[1] for r in rows]), np.array([s[0] for s in spread]),
                np.array([s[1] for s in spread]),
            )
        )  # fmt: skip
    return on_bars, tuple(models)


def _in_bar(one: OnBars, bar: CarrierBar) -> Array:
    """per_g of a module; its axes are those of its bars."""
    assert (one.held.run, one.held.normal, one.held.sign) == (bar.run, bar.normal, bar.sign)
    return one.per_g
