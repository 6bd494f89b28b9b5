"""The box as designed: parts, hardware and welds in the pack's frame, and the figures its checks start from."""

from __future__ import annotations

from dataclasses import dataclass, field

from layout.box.carriers import Carriers
from layout.box.cover import Cover
from layout.box.shell import Shell
from layout.design import Block, Hardware, Plate, Weld
from layout.frames import Extent, Vec3


@dataclass(frozen=True)
class BoxDesign:
    """A welded box with its lid.

    inside: free space between the walls, above the floor, below the lid flange. panels: wall names and "bottom", "top" to
    part numbers. rib_spacing_mm: greatest clear width of floor between ribs and walls. rib_axis: 0 where ribs run along x,
    1 along y. lid_bolts_mm: places of the lid bolts. carriers: the bars that hold the modules. covers: removable covers in
    the walls; uncovered: equipment that is to be served through one and has none, with the reason.
    """

    inside: Extent
    shell: Shell
    material: str
    plates: tuple[Plate, ...]
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
    covers: tuple[Cover, ...] = ()
    uncovered: tuple[tuple[str, str], ...] = ()

    def plate(self, number: str) -> Plate:
        """The plate with this part number. Raises KeyError where there is none."""
        for plate in self.plates:
            if plate.number == number:
                return plate
        raise KeyError(number)
