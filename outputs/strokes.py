"""Letters of single strokes, for marks that a laser or punch draws as plain lines: no font is needed to read the file.

Each letter lies in a cell 4 wide and 6 high (its cap height); a stroke is a chain of points.
"""

from __future__ import annotations

from typing import Final

Stroke = tuple[tuple[float, float], ...]

CELL_WIDTH: Final = 4.0
CELL_HEIGHT: Final = 6.0
ADVANCE: Final = 5.6

_CHAINS: Final[dict[str, str]] = {
    "A": "00 26 40;12 32",
    "B": "00 06 36 45 44 33 03;33 42 41 30 00",
    "C": "45 36 16 05 01 10 30 41",
    "D": "00 06 26 44 42 20 00",
    "E": "46 06 00 40;03 33",
    "F": "46 06 00;03 33",
    "G": "45 36 16 05 01 10 30 41 43 23",
    "H": "00 06;40 46;03 43",
    "I": "10 30;20 26;16 36",
    "J": "46 41 30 10 01",
    "K": "00 06;46 03 40",
    "L": "06 00 40",
    "M": "00 06 23 46 40",
    "N": "00 06 40 46",
    "O": "10 01 05 16 36 45 41 30 10",
    "P": "00 06 36 45 44 33 03",
    "Q": "10 01 05 16 36 45 41 30 10;22 40",
    "R": "00 06 36 45 44 33 03;23 40",
    "S": "45 36 16 05 04 13 33 42 41 30 10 01",
    "T": "06 46;26 20",
    "U": "06 01 10 30 41 46",
    "V": "06 20 46",
    "W": "06 10 24 30 46",
    "X": "00 46;06 40",
    "Y": "06 23 46;23 20",
    "Z": "06 46 00 40",
    "0": "10 01 05 16 36 45 41 30 10;01 45",
    "1": "05 26 20;00 40",
    "2": "05 16 36 45 44 00 40",
    "3": "05 16 36 45 44 33 42 41 30 10 01;13 33",
    "4": "30 36 02 42",
    "5": "46 06 03 33 42 41 30 10 01",
    "6": "45 36 16 05 01 10 30 41 42 33 03",
    "7": "06 46 10",
    "8": "13 04 05 16 36 45 44 33 13 02 01 10 30 41 42 33",
    "9": "01 10 30 41 45 36 16 05 04 13 43",
    "-": "03 43",
    "+": "03 43;21 25",
    ".": "20 21",
    ",": "21 10",
    ":": "21 22;24 25",
    "/": "00 46",
    "_": "00 40",
    "%": "00 46;05 06 16 15 05;30 31 41 40 30",
    "(": "36 25 21 30",
    ")": "16 25 21 10",
    "=": "02 42;04 44",
    "#": "10 16;30 36;02 42;04 44",
    "?": "05 16 36 45 44 23 22;20 21",
    "*": "21 25;12 34;14 32",
    "'": "26 24",
    " ": "",
}


def strokes(text: str, height_mm: float, at_mm: tuple[float, float] = (0.0, 0.0)) -> list[Stroke]:
    """Chains of points (mm) that draw a text of the given cap height from its lower left corner. Unknown letters become "?"."""
    scale = height_mm / CELL_HEIGHT
    out: list[Stroke] = []
    for place, letter in enumerate(text.upper()):
        left = place * ADVANCE
        for chain in filter(None, _CHAINS.get(letter, _CHAINS["?"]).split(";")):
            points = ((left + int(p[0]), float(p[1])) for p in chain.split())
            out.append(tuple((at_mm[0] + x * scale, at_mm[1] + y * scale) for x, y in points))
    return out


def text_width_mm(text: str, height_mm: float) -> float:
    """Width of a text of the given cap height."""
    return (max(len(text), 1) * ADVANCE - (ADVANCE - CELL_WIDTH)) * height_mm / CELL_HEIGHT
