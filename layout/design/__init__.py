"""Types of parts: what a fabricator cuts, bends, welds and bolts. Every dimension is decided here, none later."""

from layout.design.parts import Assembly, Bevel, Block, EndHole, Flange, FoldedPlate, Hardware, Part, Plate, Weld
from layout.design.profile import Bend, Hole, Loop, Profile, Vertex, rectangle

__all__ = [
    "Assembly",
    "Bend",
    "Bevel",
    "Block",
    "EndHole",
    "Flange",
    "FoldedPlate",
    "Hardware",
    "Hole",
    "Loop",
    "Part",
    "Plate",
    "Profile",
    "Vertex",
    "Weld",
    "rectangle",
]
