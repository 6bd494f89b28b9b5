"""Text with units -> numbers. (Being written.)"""

from __future__ import annotations

from typing import Any


def parse(value: Any, kind: str) -> float:
    """Number in the base unit of `kind`."""
    raise ValueError((value, kind))
