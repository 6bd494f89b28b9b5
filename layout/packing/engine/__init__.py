"""The packing engine: axis-parallel boxes in a region of whole numbers, as many as fit, with proof.

pack_most: the greatest count or value. pack_best: the least cost at given counts. verify: an independent judge of answers.
The two searches are imported when they are first asked for: the solvers take most of a second to load.
"""

from typing import TYPE_CHECKING, Any

from layout.packing.engine.model import Box, Item, Option, Packing, Placement, Region, Triple
from layout.packing.engine.verify import verify

if TYPE_CHECKING:
    from layout.packing.engine.best import Unlike, pack_best
    from layout.packing.engine.most import pack_most

__all__ = ["Box", "Item", "Option", "Packing", "Placement", "Region", "Triple", "Unlike", "pack_best", "pack_most", "verify"]


def __getattr__(name: str) -> Any:
    """pack_most, pack_best and Unlike (Python asks for a module's missing names here, PEP 562)."""
    if name == "pack_most":
        from layout.packing.engine.most import pack_most

        return pack_most
    if name in ("pack_best", "Unlike"):
        from layout.packing.engine import best

        return getattr(best, name)
    raise AttributeError(name)
