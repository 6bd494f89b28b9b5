"""Letters: widths from the font that is embedded, line breaks, and characters the font does not have.

Heights after ISO 3098 (from memory): 2.5, 3.5, 5, 7 mm of capitals. The form is a plain condensed sans serif.
"""

from __future__ import annotations

import unicodedata
from functools import cache
from pathlib import Path
from typing import Final

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

from outputs.drawing.ink import Box, Text

FONT: Final = "Sheet"
FONT_FILE: Final = Path(__file__).parent / "fonts" / "DejaVuSansCondensed.ttf"
CAPITAL: Final = 0.729
"""Height of capitals as a share of the font size (1493 of 2048 units)."""
SMALL, MIDDLE, LARGE, TITLE = 2.5, 3.5, 5.0, 7.0
LEAST: Final = 1.8
"""Smallest height letters are shrunk to, a step of the ISO 3098 series, before lines are broken further."""


LAST_WRITTEN: Final = 0xFFFF
"""Last code that text in a PDF can be read back by: the writer states larger ones in a form that readers refuse."""


@cache
def _font() -> TTFont:
    font = TTFont(FONT, str(FONT_FILE))
    pdfmetrics.registerFont(font)
    return font


def font_points(height_mm: float) -> float:
    """Font size in points for a height of capitals."""
    _font()
    return height_mm / CAPITAL * 72.0 / 25.4


@cache
def clean(text: str) -> str:
    """The text in characters the font has: tabs and line ends as spaces, accents dropped where only the plain letter exists.

    What cannot be shown is spelled by its code, "[U+4E2D]", so that nothing is lost silently.
    """
    glyphs = _font().face.charToGlyph
    out = []
    for char in unicodedata.normalize("NFC", " ".join(text.split())):
        if ord(char) in glyphs and ord(char) <= LAST_WRITTEN and unicodedata.category(char)[0] != "C":
            out.append(char)
            continue
        plain = [c for c in unicodedata.normalize("NFKD", char) if not unicodedata.combining(c)]
        fits = plain and plain != [char] and all(ord(c) in glyphs and ord(c) <= LAST_WRITTEN for c in plain)
        out.append("".join(plain) if fits else f"[U+{ord(char):04X}]")
    return "".join(out)


@cache
def _width_per_mm(text: str) -> float:
    return float(_font().face and pdfmetrics.stringWidth(text, FONT, 1000.0)) / 1000.0 / CAPITAL


def width(text: str, height_mm: float) -> float:
    """Width of a line in mm."""
    return _width_per_mm(clean(text)) * height_mm


def text_box(text: Text, clear: float = 0.0) -> Box:
    """Rectangle that a line of letters covers; for letters that stand upright or read from the right (0 or 90 degrees)."""
    w, h = width(text.text, text.height_mm), text.height_mm
    back = {"left": 0.0, "centre": w / 2.0, "right": w}[text.anchor]
    x, y = text.at
    if text.angle_deg == 90.0:
        return (x - h - clear, y - back - clear, x + 0.25 * h + clear, y - back + w + clear)
    return (x - back - clear, y - 0.25 * h - clear, x - back + w + clear, y + h + clear)


def wrapped(text: str, width_mm: float, height_mm: float) -> list[str]:
    """The text in lines no wider than `width_mm`: broken at spaces, else after dashes and slashes, else within a word."""
    lines: list[str] = []
    line = ""
    for word in clean(text).split(" "):
        trial = f"{line} {word}" if line else word
        if width(trial, height_mm) <= width_mm:
            line = trial
            continue
        if line:
            lines.append(line)
        *full, line = _pieces(word, width_mm, height_mm)
        lines += full
    return [*lines, line] if line or not lines else lines


def _pieces(word: str, width_mm: float, height_mm: float) -> list[str]:
    """A word cut where it must be, preferably after a dash or slash."""
    pieces = []
    while width(word, height_mm) > width_mm and len(word) > 1:
        end = next((n for n in range(len(word) - 1, 0, -1) if width(word[:n], height_mm) <= width_mm), 1)
        soft = max((i + 1 for i in range(end) if word[i] in "-/_,"), default=0)
        end = soft if soft > end // 2 else end
        pieces.append(word[:end])
        word = word[end:]
    return [*pieces, word]


def fitted(text: str, width_mm: float, height_mm: float, lines: int = 1) -> tuple[list[str], float]:
    """Lines and height for a cell that has room for so many lines at `height_mm`: first wrapped, then shrunk as far as LEAST,
    where the room of the cell holds more lines. Nothing is dropped: what still has no room runs on in further lines."""
    height = height_mm
    while True:
        found = wrapped(text, width_mm, height)
        if len(found) <= room_for(height_mm, lines, height) or height <= LEAST:
            return found, height
        height = max(height * 0.93, LEAST)


def room_for(height_mm: float, lines: int, height: float) -> int:
    """Lines of a smaller height where so many of `height_mm` have room."""
    return max(lines, int(lines * height_mm / height + 1e-9))
