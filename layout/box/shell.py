"""What the box adds around its inside: the offsets that the search, the judge and the designer share.

Pack frame. The inside is the free space between the walls, above the floor, below the lid flange; the liner lies in it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from layout.box.carrier_room import all_on_bars, can_be_bolted, under_mm
from layout.design.lengths import next_length_mm
from layout.frames import Extent, vec3
from layout.job.model import Job
from layout.stepped import drawn_in, parts_of, two_floors
from layout.tables import bolt

if TYPE_CHECKING:
    from layout.box.folding import FoldedFlange
    from layout.box.skirt import Skirt

BAR_THICKNESSES_MM = (15.0, 20.0, 25.0, 30.0, 40.0)
"""Flat bar for the mounting bars and posts on the walls; the least is tapped 1.5 d deep for M8."""

LEG_PLAY_MM = 1.0
"""Between the lid flange and the leg of a bracket that passes it on its way up."""

FLOOR_RIB_MM = 40.0
"""Greatest height of the ribs under the floor."""

MOUNT_ROOM_MM = 38.0
"""Bracket thickness, bend and the distance a hole keeps from it, for 6 mm steel and M10: 6 + 10 + 16 + 6."""

GASKET_MM = 3.0
"""Gasket thickness as compressed: common practice for foam strip, no source."""

END_SCREW = "M6"
"""Screws through the walls into the ends of the bars that hold the modules."""

HEADS_MM = 6.0
"""Heads and washers of those screws (M6: 5.6 mm) on the outer side of mounting bars and posts."""


BESIDE = " beside the step"
"""Names the second piece of a stepped box."""


@dataclass(frozen=True)
class Shell:
    """Offsets of everything that belongs to the box, measured from its inside.

    sheet_mm: walls, floor, lid and flange. side_mm: from inside to the outermost of wall, mounting bars and the heads of
    the screws through them, in x and y. below_mm: floor and its ribs, or the heads of the bolts through it. flange_out_mm:
    overhang of lid flange and lid beyond the wall's outer face (not beyond side_mm). flange_below_mm and flange_above_mm:
    reach of the slab of flange, gasket, lid, bolt heads and nuts below and above the inside's top. bolt_line_mm: from the
    wall's outer face to the line of the lid bolts. mount_room_mm: least distance from the axis of a mount point to the box
    body, so that a bracket can be bent and bolted there (the larger of this and half the mount's own envelope counts).
    bar_mm: thickness of the mounting bars and posts; where a mount lies above (normal -z), thick enough that a bracket's leg
    passes outside the lid flange on its way up; never less than the job's `box.bar`.
    fold_radius_mm: inside radius of the bends of a folded box, 0 for a welded one. rib_pitch_mm: greatest distance of floor
    ribs from one another, where there are any. lid_over_mm, lid_skirt_mm: how far the lid reaches beyond the flange, and how
    far down from its upper face, where its edges are turned down.
    """

    sheet_mm: float
    liner_mm: float
    side_mm: float
    below_mm: float
    flange_out_mm: float
    flange_below_mm: float
    flange_above_mm: float
    bolt_line_mm: float
    lid_bolt: str
    mount_room_mm: float
    bar_mm: float
    fold_radius_mm: float = 0.0
    rib_pitch_mm: float = 150.0
    lid_over_mm: float = 0.0
    lid_skirt_mm: float = 0.0

    @property
    def folded(self) -> bool:
        """Whether walls and flange are bent from the floor's own sheet."""
        return self.fold_radius_mm > 0.0

    @property
    def beside_mm(self) -> float:
        """From a wall's inner face to the room: the liner, or where it is more the radius in which floor and wall meet."""
        return max(self.liner_mm, self.fold_radius_mm)

    @property
    def floor_chamfer_mm(self) -> float:
        """Leg of the 45 degree chamfer with which a square end clears the bend between floor and wall: the inside radius and a
        quarter of a mm, so that its corners lie where floor and wall are flat; its chord then clears the arc."""
        return math.ceil(2.0 * (self.fold_radius_mm + 0.25)) / 2.0 if self.folded else 0.0

    def weld_share(self, height_mm: float) -> float:
        """Share of an upright's height (from the floor's underside to the flange) along which it lies on flat wall: a bent
        wall leaves it below, at the floor's bend, and above, at the flange's."""
        return 1.0 - (2.0 * self.fold_radius_mm + self.sheet_mm) / height_mm if self.folded else 1.0

    @property
    def fillet_mm(self) -> float:
        """Throat of the fillets on the walls, floor and flange: 0.7 of the sheet, whose leg is then as thick as the sheet.

        A greater leg on thin sheet burns through or warps it (common practice: leg at most the thinner part; no source).
        """
        return math.floor(7.0 * self.sheet_mm + 1e-9) / 10.0

    @property
    def slab_out_mm(self) -> float:
        """From inside to the edge of lid and flange, or to the outer faces of edges turned down, in x and y."""
        return self.sheet_mm + self.flange_out_mm + self.lid_over_mm

    def body(self, inside: Extent) -> Extent:
        """Walls with their bars, floor with its ribs; of a stepped inside what bounds it (see `bodies`)."""
        x, y, z = self.side_mm, self.side_mm, self.below_mm
        (x0, y0, z0), (x1, y1, z1) = inside.min_mm, inside.max_mm
        return Extent((x0 - x, y0 - y, z0 - z), (x1 + x, y1 + y, z1))

    def slab(self, inside: Extent) -> Extent:
        """Lid flange, gasket, lid, bolt heads above and nuts below; of a stepped inside what bounds it (see `slabs`)."""
        out = self.slab_out_mm
        (x0, y0, _), (x1, y1, z1) = inside.min_mm, inside.max_mm
        return Extent((x0 - out, y0 - out, z1 - self.flange_below_mm), (x1 + out, y1 + out, z1 + self.flange_above_mm))

    def bodies(self, inside: Extent) -> tuple[Extent, ...]:
        """Walls with their bars, floor with its ribs: one box, or two that overlap where the inside is stepped."""
        return tuple(self.body(part) for part in parts_of(inside))

    def slabs(self, inside: Extent) -> tuple[Extent, ...]:
        """Lid flange, gasket, lid, bolt heads and nuts: one box, or two where a corner of the plan is left out."""
        return tuple(self.slab(part) for part in ((inside,) if two_floors(inside) else parts_of(inside)))

    def pieces(self, inside: Extent) -> tuple[tuple[str, Extent], ...]:
        """Named convex pieces that together hold all of the box (without brackets and hung equipment)."""
        bodies = [(f"box body{BESIDE if i else ''}", piece) for i, piece in enumerate(self.bodies(inside))]
        slabs = [(f"lid flange{BESIDE if i else ''}", piece) for i, piece in enumerate(self.slabs(inside))]
        return (*bodies, *slabs)

    def outermost(self, inside: Extent) -> Extent:
        """The least axis-parallel box around all pieces."""
        body, slab = self.body(inside), self.slab(inside)
        low = [min(a, b) for a, b in zip(body.min_mm, slab.min_mm, strict=True)]
        high = [max(a, b) for a, b in zip(body.max_mm, slab.max_mm, strict=True)]
        return Extent(vec3(low), vec3(high))

    def room(self, inside: Extent) -> Extent:
        """What liner and bend radii leave for modules and equipment: liner on walls and floor; the lid side is free.

        A body that keeps the radius from a wall stands clear of the bend between wall and floor at any height.
        """
        t, s = self.liner_mm, self.beside_mm
        return drawn_in(inside, (s, s, t), (s, s, 0.0))


def lid_bolt_length_mm(size_name: str, sheet_mm: float) -> float:
    """Standard length of a lid bolt: lid, gasket, flange, two washers, nut and two threads beyond it."""
    size = bolt(size_name)
    grip = 2.0 * sheet_mm + GASKET_MM + 2.0 * size.washer_thickness_mm
    return next_length_mm(size_name, grip + size.nut_height_mm + 2.0 * size.pitch_mm, "lid bolt")


def _slot_mm(job: Job) -> float:
    """Length of the slots in the brackets' feet; 0 where no mount is slotted."""
    slots = {job.bracket.slots if m.slots == "as brackets" else m.slots for m in job.mount_points}
    return 0.0 if slots == {"none"} else job.bracket.slot_length_mm


def shell_of(job: Job) -> Shell:
    """Offsets for the job's sheet, liner and lid bolt.

    The bolt line stands off the wall by half a washer, the fillet under the flange and 1 mm; the flange ends at least
    1.5 hole diameters and half a washer plus 2 mm outside the bolt line (edge distance e/d >= 1.5: Formula SAE rules
    2026 F.5.4; EN 1993-1-8:2005 Table 3.3 asks 1.2).
    """
    sheet = job.box.sheet_mm
    size = bolt(job.box.lid_bolt)
    edge = max(1.5 * size.hole_medium_mm, size.washer_outer_mm / 2.0 + 2.0)
    fold = _fold(job, edge)
    line = fold.line_mm if fold else size.washer_outer_mm / 2.0 + sheet + 1.0
    under_head = 2.0 * sheet + GASKET_MM + size.washer_thickness_mm
    screwed = any(e.where == "in box" and e.fixing for e in job.equipment)
    heads = HEADS_MM if screwed or job.lifting or any(map(can_be_bolted, job.modules)) else 0.0
    out = fold.out_mm if fold else line + edge
    hung = any(mount.normal == "-z" for mount in job.mount_points)
    skirt = _skirt(job, out - line)
    over = skirt.play_mm + sheet if skirt else 0.0
    least = max(out + over + LEG_PLAY_MM if hung else 0.0, job.box.bar_mm or 0.0)
    bar = next((b for b in BAR_THICKNESSES_MM if b >= least), BAR_THICKNESSES_MM[-1])
    below = max(under_mm(kind) for kind in job.modules) if all_on_bars(job) else FLOOR_RIB_MM
    return Shell(
        sheet_mm=sheet,
        liner_mm=job.box.liner_mm,
        side_mm=sheet + bar + heads,
        below_mm=sheet + float(math.ceil(below)),
        flange_out_mm=out,
        flange_below_mm=max(
            lid_bolt_length_mm(job.box.lid_bolt, sheet) - under_head, skirt.leg_mm - 2.0 * sheet - GASKET_MM if skirt else 0.0
        )
        + 1.0,
        flange_above_mm=under_head + size.hex_height_mm,
        bolt_line_mm=line,
        lid_bolt=job.box.lid_bolt,
        mount_room_mm=MOUNT_ROOM_MM - heads + _slot_mm(job) / 2.0,
        bar_mm=bar,
        fold_radius_mm=fold.radius_mm if fold else 0.0,
        lid_over_mm=over,
        lid_skirt_mm=skirt.leg_mm if skirt else 0.0,
    )


def _skirt(job: Job, edge_mm: float) -> Skirt | None:
    from layout.box.skirt import skirt_of  # as for folded boxes

    return skirt_of(job, edge_mm) if job.box.lid_edges == "down" else None


def _fold(job: Job, edge_mm: float) -> FoldedFlange | None:
    from layout.box.folding import folded_flange  # sheet rules are needed for folded boxes only

    return folded_flange(job, edge_mm) if job.box.construction == "folded" else None
