"""What is known of a file once it is written and read back, and names that every system can read."""

from __future__ import annotations

import hashlib
import unicodedata
from dataclasses import dataclass
from pathlib import Path
from typing import Final

_LETTERS: Final[dict[str, str]] = {
    "Ä": "Ae", "Ö": "Oe", "Ü": "Ue", "ä": "ae", "ö": "oe", "ü": "ue", "ß": "ss", "Æ": "Ae", "æ": "ae", "Œ": "Oe", "œ": "oe",
    "Ø": "O", "ø": "o", "Å": "Aa", "å": "aa", "Ł": "L", "ł": "l", "Đ": "D", "đ": "d", "Þ": "Th", "þ": "th", "ð": "d",
    "×": "x", "°": "deg", "±": "+-", "µ": "u", "μ": "u", "–": "-", "—": "-", "−": "-", "…": "...",
    "’": "'", "‘": "'", "“": '"', "”": '"',
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Written:
    """A file as it lies on disk: its path, the SHA-256 of its bytes, and whether it was opened again and agreed."""

    path: Path
    sha256: str
    read_back: bool


def sha256_of(path: Path) -> str:
    """SHA-256 of a file's bytes, in hexadecimal."""
    return hashlib.sha256(path.read_bytes()).hexdigest()


def plain_ascii(text: str) -> str:
    """The text in printable ASCII: letters of other alphabets by their usual stand-ins, accents dropped, the rest as "_"."""
    if text.isascii() and text.isprintable():
        return text
    spelled = "".join(_LETTERS.get(c, c) for c in unicodedata.normalize("NFC", text))
    bare = (c for c in unicodedata.normalize("NFKD", spelled) if not unicodedata.combining(c))
    return "".join(c if " " <= c <= "~" else "_" for c in bare)


def file_stem(text: str) -> str:
    """A file name, without ending, from a part number: ASCII letters, digits, dot, dash and underscore only."""
    kept = "".join(c if c.isalnum() or c in "-_." else "_" for c in plain_ascii(text)).strip("._")
    return kept or "part"
