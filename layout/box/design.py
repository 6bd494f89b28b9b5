"""The box as designed: parts, hardware and welds in the pack's frame, and the figures its checks start from."""

from __future__ import annotations

from dataclasses import dataclass, field

from layout.box.between import Parted
from layout.box.carriers import Carriers
from layout.box.cover import Cover
from layout.box.lid_fixture import LidMounts
from layout.box.rings import Ring
from layout.box.shell import Shell
from layout.checks.rule import Source
from layout.design import Block, FoldedPlate, Hardware, Plate, Weld
from layout.design.sheet_rules import Finding
from layout.frames import Extent, Vec3


@dataclass(frozen=True)
class Folding:
    """How a folded box is made.

    form: "pan", or the walls that are bent from the floor; why: why not from one flat; corner: how walls are joined;
    corner_height_mm: height along which two walls are joined at a corner; k_factor and k_source: of its bends; notes: what
    the shop must know or be asked.
    """

    form: str
    why: tuple[str, ...]
    corner: str
    corner_height_mm: float
    k_factor: float
    k_source: Source
    notes: tuple[str, ...] = ()


@dataclass(frozen=True)
class BoxDesign:
    """A box with its lid.

    inside: free space between the walls, above the floor, below the lid flange. panels: wall names and "bottom", "top" to
    part numbers. rib_spacing_mm: greatest clear width of floor between ribs and walls. rib_axis: 0 where ribs run along x,
    1 along y. lid_bolts_mm: places of the lid bolts. carriers: the bars that hold the modules. between: dividers and pads
    between modules. rings: welded round openings. lid_mounts: equipment on the lid. covers: removable covers in
    the walls; uncovered: equipment that is to be served through one and has none, with the reason. folded: how it is folded,
    None for a welded box. notes: what the shop must know of it. tab_findings: rules applied to tabs and slots, where there
    are any.
    """

    inside: Extent
    shell: Shell
    material: str
    plates: tuple[Plate | FoldedPlate, ...]
    blocks: tuple[Block, ...]
    hardware: tuple[Hardware, ...]
    welds: tuple[Weld, ...]
    panels: dict[str, str]
    rib_axis: int
    rib_height_mm: float
    rib_thickness_mm: float
    rib_spacing_mm: float
    lid_bolts_mm: tuple[Vec3, ...]
    carriers: Carriers = field(default_factory=Carriers)
    between: Parted = field(default_factory=Parted)
    rings: tuple[Ring, ...] = ()
    lid_mounts: LidMounts = field(default_factory=LidMounts)
    covers: tuple[Cover, ...] = ()
    uncovered: tuple[tuple[str, str], ...] = ()
    folded: Folding | None = None
    notes: tuple[str, ...] = ()
    tab_findings: tuple[Finding, ...] = ()

    def opening_diameters_mm(self, wall: str) -> tuple[float, ...]:
        """Diameters of the job's openings in a wall."""
        number = self.panels[wall]
        start = f"{number}-{wall.upper()}-O" if self.folded else f"{number}-O"
        part = next(p for p in self.plates if p.number == number)
        flats = [part.profile] if isinstance(part, Plate) else [part.root, *(f.profile for f in part.flanges)]
        return tuple(h.diameter_mm for flat in flats for h in flat.holes if h.name.startswith(start))

    def plate(self, number: str) -> Plate:
        """The flat plate with this part number. Raises KeyError where there is none."""
        for plate in self.plates:
            if plate.number == number and isinstance(plate, Plate):
                return plate
        raise KeyError(number)
