"""Where leg bolts sit relative to one another on a mounting bar, by their size: room for sockets, edges, gussets."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from layout.errors import DesignError

LEG_ROWS = (2, 3, 4)
"""Rows of two leg bolts on a bar that are offered, where the bar is high enough."""
LEG_BOLTS = ("M8", "M10", "M12")
"""Sizes of leg bolt that are offered: M12 still finds 1.25 d of thread in the 15 mm bar (the check of the thread decides)."""


@dataclass(frozen=True, slots=True)
class LegPattern:
    """Two columns and two or more rows of bolts on a bar. column_mm: half the distance between the columns (gussets stand
    between them); row_mm: between the rows; edge_mm: least distance from any edge, at least 1.5 d0; drill_mm: of the tapped
    hole.
    """

    size: str
    column_mm: float
    row_mm: float
    edge_mm: float
    drill_mm: float

    @property
    def least_bar_mm(self) -> float:
        """Narrowest bar that takes both columns."""
        return 2.0 * (self.column_mm + self.edge_mm)


_PATTERNS = {
    "M8": LegPattern("M8", 32.0, 40.0, 16.0, 6.8),
    "M10": LegPattern("M10", 34.0, 40.0, 18.0, 8.5),
    "M12": LegPattern("M12", 36.0, 44.0, 22.0, 10.2),
}
"""Columns: past the gussets (6 mm) beside a mount's socket, half the leg bolt's own socket and play. Drills: ISO 2306 (from
memory)."""


@lru_cache(maxsize=8)
def leg_pattern(size: str) -> LegPattern:
    """The pattern of a size. Raises DesignError for one that is not offered."""
    if size not in _PATTERNS:
        raise DesignError("leg bolts", "size is not offered", size, f"Use one of {', '.join(LEG_BOLTS)}.")
    return _PATTERNS[size]
