"""Dividers and soft pads between neighbouring modules: what room they take, where they go, as parts. Pack frame.

Two modules are neighbours where a side of one faces a side of the other level, with nothing between, as near as what goes
between them asks. A pad lies on the side of lesser coordinate, the divider on the other: where there is no pad it is bonded.
Neither is given credit for holding anything.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from layout.arrangement import Arrangement, PlacedModule
from layout.box.carrier_plan import zone_ahead
from layout.box.carriers import Carriers
from layout.box.soft import density_kg_m3, pad_material
from layout.design import Plate, Profile, rectangle
from layout.design.mass import body_mass
from layout.frames import DIRECTIONS, Axes, Extent, Pose, vec3
from layout.job.box import Box
from layout.job.model import Job

PLAY_MM = 0.5
"""Beside each face of a divider that no pad presses on (common practice, no source)."""
LEAST_MM = 10.0
"""Strips narrower than this are left out (common practice, no source)."""


@dataclass(frozen=True)
class Between:
    """What lies between two neighbours: ids of both; plates."""

    modules: tuple[str, str]
    plates: tuple[Plate, ...]

    @property
    def mass_kg(self) -> float:
        """Of all of it."""
        return sum(body_mass(p, density_kg_m3).mass_kg for p in self.plates)


@dataclass(frozen=True)
class Parted:
    """All that lies between modules, and the neighbours between which it does not, with the reason."""

    found: tuple[Between, ...] = ()
    left_out: tuple[tuple[tuple[str, str], str], ...] = ()

    @property
    def plates(self) -> tuple[Plate, ...]:
        """Every divider and pad."""
        return tuple(p for one in self.found for p in one.plates)

    def mass_at_kg(self, module: str) -> float:
        """Of what lies at one module: it may be bonded to it."""
        return sum(one.mass_kg for one in self.found if module in one.modules)

    @property
    def notes(self) -> tuple[str, ...]:
        """Neighbours that are left without, in words."""
        if not self.left_out:
            return ()
        told = "; ".join(f"{a} and {b}: {why}" for (a, b), why in self.left_out)
        return (f"No divider or pad between {told}.",)


def room_between_mm(box: Box) -> float:
    """Least distance between two modules that dividers and pads ask for; 0 where the job has none."""
    plain = box.divider.thickness_mm if box.divider else 0.0
    if box.gap_pad:
        return plain + box.gap_pad.pressed_mm
    return plain + 2.0 * PLAY_MM if box.divider else 0.0


def parted(job: Job, arrangement: Arrangement | None, carriers: Carriers) -> Parted:
    """Dividers and pads between the modules of an arrangement."""
    if arrangement is None or not (job.box.divider or job.box.gap_pad):
        return Parted()
    found: list[Between] = []
    left: list[tuple[tuple[str, str], str]] = []
    for one, other in combinations(arrangement.modules, 2):
        for axis in (0, 1):
            gap = _gap_between(one, other, axis)
            if gap is None:
                continue
            low, high = (one, other) if one.extent.max_mm[axis] <= other.extent.min_mm[axis] else (other, one)
            why = _why_not(job, arrangement, carriers, (low, high), axis, gap)
            if why == _FAR:
                continue
            if why:
                left.append(((low.id, high.id), why))
                continue
            plates = _plates(job, axis, gap, sum(len(b.plates) for b in found))
            found.append(Between((low.id, high.id), plates))
    return Parted(tuple(found), tuple(left))


_FAR = "far apart"


def _gap_between(one: PlacedModule, other: PlacedModule, axis: int) -> Extent | None:
    """The box between two sides that face one another along an axis."""
    a, b = one.extent, other.extent
    low, high = np.maximum(a.min_mm, b.min_mm), np.minimum(a.max_mm, b.max_mm)
    if high[axis] > low[axis] + 1e-9:
        return None  # they overlap along it
    low[axis], high[axis] = high[axis], low[axis]
    rest = [v for k, v in enumerate(high - low) if k != axis]
    return Extent(vec3(low), vec3(high)) if min(rest) >= LEAST_MM else None


def _why_not(
    job: Job, arrangement: Arrangement, carriers: Carriers, pair: tuple[PlacedModule, PlacedModule], axis: int, gap: Extent
) -> str:
    """Why nothing goes between two sides; "" where it does."""
    box, distance = job.box, gap.size_mm[axis]
    most = (box.divider.thickness_mm if box.divider else 0.0) + (box.gap_pad.thickness_mm if box.gap_pad else 3.0 * PLAY_MM)
    if distance > most + 60.0:
        return _FAR
    looks = (np.eye(3)[axis], -np.eye(3)[axis])
    for module, way in zip(pair, looks, strict=True):
        if np.array(DIRECTIONS[module.terminals]) @ way > 0.5:
            return f"the terminals of {module.id} look there"
    if distance > most - 1e-6 and box.gap_pad:
        return f"they stand {distance:.1f} mm apart, and a pad {box.gap_pad.thickness_mm:g} mm thick would not be pressed"
    if distance > most - 1e-6:
        return f"they stand {distance:.1f} mm apart"
    bodies = [(m.id, m.extent) for m in arrangement.modules if m not in pair]
    bodies += [(e.kind.name, e.extent) for e in arrangement.equipment if not e.outside]
    zones = [(m.id, zone_ahead(m)) for m in arrangement.modules]
    bodies += [(f"the clear space before the terminals of {name}", zone) for name, zone in zones if zone]
    bodies += [("a bar", b.with_heads) for b in carriers.bars]
    bodies += [(f"the clamp of {m.id}", e) for m in arrangement.modules for e in carriers.clamp_bodies(m)]
    return next((f"{name} is there" for name, body in bodies if _meet(gap, body)), "")


def _meet(a: Extent, b: Extent) -> bool:
    ends: Iterable[tuple[float, float, float, float]] = zip(a.min_mm, a.max_mm, b.min_mm, b.max_mm, strict=True)
    return all(min(a1, b1) - max(a0, b0) > 1e-6 for a0, a1, b0, b1 in ends)


def _plates(job: Job, axis: int, gap: Extent, before: int) -> tuple[Plate, ...]:
    """The pad from the lesser side, and the divider against the other."""
    box, prefix = job.box, job.job.drawing_number
    made: list[Plate] = []
    thick = box.divider.thickness_mm if box.divider else 0.0
    if box.gap_pad:
        material = pad_material(box.gap_pad.density_kg_m3)
        pressed = gap.size_mm[axis] - thick
        made.append(_upright(f"{prefix}-Q{before + 1}", "gap pad", material, (gap.min_mm[axis], pressed), axis, gap, "pad"))
    if box.divider:
        number, start = f"{prefix}-Q{before + len(made) + 1}", gap.max_mm[axis] - thick
        made.append(_upright(number, "divider", box.divider.material, (start, thick), axis, gap, "divider"))
    return tuple(made)


def _upright(
    number: str, name: str, material: str, at: tuple[float, float], axis: int, gap: Extent, group: str
) -> Plate:
    """A plate square to an axis from a coordinate on, as large as the sides face one another."""
    start, thick = at
    origin = list(gap.min_mm)
    origin[axis] = start
    if axis == 0:
        axes: Axes = ((0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0))
        size = (gap.size_mm[1], gap.size_mm[2])
    else:
        axes = ((0.0, 0.0, 1.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
        size = (gap.size_mm[2], gap.size_mm[0])
    pose = Pose((origin[0], origin[1], origin[2]), axes)
    return Plate(number, name, material, thick, Profile(rectangle(*size)), pose, group=group)
