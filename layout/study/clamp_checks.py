"""Checks of the modules that are clamped: rods, frame, bars over them, what the clamp does to the module."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from layout.box.bar_joining import prying
from layout.box.clamp_room import ROD_CLASS, Clamping
from layout.checks import Check, not_checked
from layout.checks.bolts import Ply, bolt_checks, ply_checks, utilisations
from layout.checks.clamps import HOLD_DOWN, ON_MODULE, ClampedBody, ClampForces, clamp_forces, web_checks
from layout.checks.joints import road_joint_checks
from layout.frames import Array
from layout.loads.cases import LoadCase
from layout.study.held_loads import OnBars
from layout.study.tightening import tightening
from layout.tables import bolt, material


@dataclass(frozen=True, eq=False)
class Clamped:
    """A clamped module with what it does to its clamp in every case."""

    one: OnBars
    specific: Array

    @property
    def sizes(self) -> Clamping:
        """How it is clamped."""
        assert self.one.held.clamped is not None
        return self.one.held.clamped

    @cached_property
    def body(self) -> ClampedBody:
        """Sizes along and across its bars."""
        c = self.sizes
        offset = c.centroid_mm
        height = c.size_mm[2] / 2.0 + offset[2]
        return ClampedBody(
            c.size_mm[c.along], c.size_mm[c.other], c.row_mm, c.inset_mm, c.web_mm, c.side_web_mm, c.frame_mm,
            (offset[c.along], offset[c.other], height),
        )  # fmt: skip

    @cached_property
    def forces(self) -> ClampForces:
        """See the class. The module's own mass alone: what is clamped with it is screwed to the rods."""
        c = self.sizes
        mass = self.one.module.kind.mass_kg + self.one.beside_kg
        own = np.asarray(c.stood(self.one.module.pose).inverse_vector(self.specific)) * mass
        return clamp_forces(self.body, own[:, [c.along, c.other, 2]])

    @cached_property
    def rods(self) -> tuple[Array, Array]:
        """Tension and shear of the rod used most, at the bar under the module, (cases,).

        By the clamp's own statics, or as a bolt of a stiff body on its bars where that is more. A force along the bars may come
        on the two rods of the web that is pushed alone; one across them comes on both webs with rods, which are stiff along it.
        """
        tensions, shears = self.one.bolt_forces(self.specific)
        pairs = zip(self.one.held.bolts, self.one.bar_of_bolts, strict=True)
        turned = max(prying(bar, b.at_mm[bar.across]) for b, bar in pairs)
        direct = np.hypot(self.forces.along / 2.0, self.forces.across / 4.0)
        return np.maximum(turned * self.forces.lower, tensions.max(axis=1)), np.maximum(direct, shears.max(axis=1))


def clamp_checks(modules: tuple[OnBars, ...], specific: Array, cases: tuple[LoadCase, ...]) -> list[Check]:
    """Of the clamped modules of each type the one whose rods are used most, in every case."""
    clamped = [Clamped(one, specific) for one in modules if one.held.clamped]
    found: list[Check] = []
    for name in sorted({c.one.module.kind.name for c in clamped}):
        mine = [c for c in clamped if c.one.module.kind.name == name]
        for k, case in enumerate(cases):
            found += _rod(max(mine, key=lambda c: _used(c, k)), k, case.name)
            if case.no_slip:  # frame and bar between the nuts that are tightened to the torque listed
                most = [float(max(c.rods[i][k] for c in mine)) for i in (0, 1)]
                set_to = tightening(mine[0].sizes.rod, ROD_CLASS)
                found += road_joint_checks(f"rods of {name} in its frames and bars", case.name, set_to, most[0], most[1])
            found += _frame(max(mine, key=lambda c: _bent(c, k)), k, case.name)
            found += _over(max(mine, key=lambda c: float(c.forces.bar[k])), k, case.name)
            found += _on_module(max(mine, key=lambda c: _pressed(c, k)), k, case.name)
        if mine[0].one.module.kind.clamp is not None and mine[0].one.module.kind.clamp.load_n is None:
            why = "what the maker allows on its top and sides is his to state (job file: module.clamp.load)"
            worst = max(_pressed(c, k) for c in mine for k in range(len(cases)))
            found.append(not_checked(ON_MODULE.name, f"module type {name}", "all cases", why, demand=worst))
    return found


def _used(c: Clamped, k: int) -> float:
    tensions, shears = c.rods
    return float(utilisations(c.sizes.rod, ROD_CLASS, tensions[k], shears[k]))


def _bent(c: Clamped, k: int) -> float:
    return float(max(c.forces.web_moment[k], c.forces.side_moment[k]))


def _pressed(c: Clamped, k: int) -> float:
    return float(max(2.0 * c.forces.bar[k], c.forces.along[k], c.forces.across[k]))


def _rod(c: Clamped, k: int, case: str) -> list[Check]:
    """Rod below the frame; the frame, the bar and the floor that it passes."""
    size, part = bolt(c.sizes.rod), f"rod of {c.one.held.id}"
    tensions, shears = c.rods
    tension, shear = float(tensions[k]), float(shears[k])
    found = bolt_checks(part, case, size.size, ROD_CLASS, tension, shear, hole_mm=size.hole_medium_mm)
    edge = c.sizes.web_mm / 2.0
    frame = Ply(c.sizes.frame_material, c.sizes.frame_mm, size.hole_medium_mm, edge, edge)
    found += ply_checks(
        f"{part} in its frame", case, size.size, ROD_CLASS, frame, shear, 0.0, tension, washer_mm=size.washer_outer_mm
    )
    bar = c.one.bar_of_bolts[0]
    pairs = list(zip(c.one.held.bolts, c.one.bar_of_bolts, strict=True))
    across = min(b.width_mm / 2.0 - abs(one.at_mm[b.across] - b.at_mm) for one, b in pairs)
    end = min(abs(one.at_mm[b.run] - e) for one, b in pairs for e in b.ends_mm)
    under = Ply(bar.material, bar.thickness_mm, size.hole_medium_mm, end, across, welded=bar.welded)
    found += ply_checks(f"{part} in its bar", case, size.size, ROD_CLASS, under, shear)
    if not bar.welded:
        found += ply_checks(
            f"{part} under its bar", case, size.size, ROD_CLASS, under, 0.0, 0.0, tension, washer_mm=size.washer_outer_mm
        )
    return found


def _frame(c: Clamped, k: int, case: str) -> list[Check]:
    f = c.forces
    loads = (float(f.web_moment[k]), float(f.side_moment[k]), float(f.along[k]), float(f.across[k]))
    hole = bolt(c.sizes.rod).hole_medium_mm
    return web_checks(f"frame of {c.one.held.id}", case, c.body, c.sizes.frame_material, hole, loads)


def _over(c: Clamped, k: int, case: str) -> list[Check]:
    """The bar over the module, and its ends at the rods."""
    sizes, part = c.sizes, f"bar over {c.one.held.id}"
    metal, t, size = material(sizes.bar_material), sizes.bar_mm, bolt(sizes.rod)
    end = Ply(sizes.bar_material, t, size.hole_medium_mm, sizes.web_mm / 2.0, sizes.bar_width_mm / 2.0)
    upper = float(c.forces.upper[k])
    return [
        HOLD_DOWN.check(
            part, case, P=float(c.forces.bar[k]), L=2.0 * sizes.row_mm, b=sizes.bar_width_mm, t=t,
            f_o=metal.strength(t).proof_mpa, gamma_M0=metal.gamma_m0,
        ),
        *ply_checks(f"{part} at its rod", case, size.size, ROD_CLASS, end, 0.0, 0.0, upper, washer_mm=size.washer_outer_mm),
    ]  # fmt: skip


def _on_module(c: Clamped, k: int, case: str) -> list[Check]:
    clamp = c.one.module.kind.clamp
    if clamp is None or clamp.load_n is None:
        return []
    part = f"{c.one.held.id}, module type {c.one.module.kind.name}"
    side = float(max(c.forces.along[k], c.forces.across[k]))
    return [ON_MODULE.check(part, case, P=2.0 * float(c.forces.bar[k]), S=side, F_max=clamp.load_n)]
