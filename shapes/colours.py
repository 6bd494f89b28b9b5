"""A calm palette by group, as sRGB shares from 0 to 1."""

from __future__ import annotations

from typing import Final

Colour = tuple[float, float, float]

PALETTE: Final[dict[str, Colour]] = {
    "box": (0.62, 0.68, 0.72),
    "ring": (0.56, 0.62, 0.66),
    "lid": (0.74, 0.79, 0.82),
    "bracket": (0.36, 0.45, 0.53),
    "module": (0.42, 0.58, 0.48),
    "equipment": (0.72, 0.58, 0.40),
    "liner": (0.86, 0.83, 0.74),
    "gasket": (0.27, 0.27, 0.29),
    "clamp": (0.66, 0.58, 0.50),
    "divider": (0.84, 0.80, 0.62),
    "pad": (0.80, 0.66, 0.62),
    "hardware": (0.50, 0.50, 0.52),
    "bay": (0.80, 0.74, 0.74),
}
OTHER: Final[Colour] = (0.65, 0.65, 0.65)


def colour_of(group: str) -> Colour:
    """Colour of a group; neutral grey for a group without its own."""
    return PALETTE.get(group, OTHER)
