"""The packing engine: axis-parallel boxes in a region of whole numbers, as many as fit, with proof.

pack_most: the greatest count or value. pack_best: the least cost at given counts. verify: an independent judge of answers.
"""

from layout.packing.engine.best import Unlike, pack_best
from layout.packing.engine.model import Box, Item, Option, Packing, Placement, Region, Triple
from layout.packing.engine.most import pack_most
from layout.packing.engine.verify import verify

__all__ = ["Box", "Item", "Option", "Packing", "Placement", "Region", "Triple", "Unlike", "pack_best", "pack_most", "verify"]
