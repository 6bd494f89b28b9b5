"""Sheet sizes, scales and line widths."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from outputs.drawing.ink import Box, Pen


@dataclass(frozen=True, slots=True)
class Format:
    """A trimmed sheet. Sizes: ISO 216; frame: 20 mm on the filing side, 10 mm elsewhere, ISO 5457:1999 (from memory)."""

    name: str
    width_mm: float
    height_mm: float
    wide_mm: float

    @property
    def frame(self) -> Box:
        """The drawing space."""
        return (20.0, 10.0, self.width_mm - 10.0, self.height_mm - 10.0)

    def pen_width(self, pen: Pen) -> float:
        """Line width, wide and narrow as 2 to 1. ISO 128-2 (from memory): line group 0.5, or 0.7 on large sheets."""
        return self.wide_mm if pen.wide else self.wide_mm / 2.0


FORMATS: Final = (
    Format("A3", 420.0, 297.0, 0.5),
    Format("A2", 594.0, 420.0, 0.5),
    Format("A1", 841.0, 594.0, 0.7),
    Format("A0", 1189.0, 841.0, 0.7),
)


@dataclass(frozen=True, slots=True)
class Scale:
    """Paper length over true length. preferred: whether ISO 5455 lists it (from memory: 1, 2, 5 and their tens)."""

    text: str
    ratio: float
    preferred: bool = True


def _preferred() -> tuple[Scale, ...]:
    up = [Scale(f"{n}:1", float(n)) for n in (5, 2)]
    down = [Scale(f"1:{n}", 1.0 / n) for n in (1, 2, 5, 10, 20, 50, 100)]
    return (*up, *down)


SCALES: Final = _preferred()
OTHER_SCALES: Final = tuple(Scale(f"1:{n}", 1.0 / n, preferred=False) for n in (3, 4, 15, 25, 30, 40, 75, 150, 200))
"""Only taken where no preferred scale fits any sheet; the sheet says so."""
