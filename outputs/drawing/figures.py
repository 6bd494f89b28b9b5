"""Figures on the sheets: lengths in mm, or in inches with the millimetres in brackets; masses alike."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from layout.units import number


def trimmed(value: float, decimals: int = 2) -> str:
    """A number with at most so many decimals and without idle noughts; a point is the decimal marker."""
    text = f"{value:.{decimals}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text in ("-0", "") else text


@dataclass(frozen=True, slots=True)
class Figures:
    """How figures are written on the sheets of a job."""

    system: Literal["mm", "in"] = "mm"

    def length(self, mm: float) -> str:
        """A length without unit: "342", or "13.465 (342)"."""
        return trimmed(mm) if self.system == "mm" else f"{number(mm, 'length', 'in', 3)} ({trimmed(mm)})"

    def mass(self, kg: float) -> str:
        """A mass with its unit: "1.683 kg", or "3.71 lb (1.683 kg)"."""
        decimals = 3 if kg < 10.0 else 2
        metric = f"{kg:.{decimals}f} kg"
        return metric if self.system == "mm" else f"{number(kg, 'mass', 'in', 2)} lb ({metric})"

    @property
    def unit_note(self) -> str:
        """Said once in the title block."""
        return "mm" if self.system == "mm" else "in (mm)"
