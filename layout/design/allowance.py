"""Where the neutral line of a bend lies: the shop's own test bends first, the DIN 6935 formula where it has none."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from layout.checks.rule import Source
from layout.design.flat import din6935_k_factor, k_factor_from_allowance, k_factor_from_deduction
from layout.errors import DesignError

_SAME_MM = 0.05


@dataclass(frozen=True, slots=True)
class BendRow:
    """One row of a shop's bend table: for a material, thickness, inside radius and angle, one of three figures.

    allowance_mm: length to add to the flats up to the tangent lines; deduction_mm: what the flat is shorter than the outside
    lengths; k_factor. Exactly one is given.
    """

    material: str
    thickness_mm: float
    inside_radius_mm: float
    angle_deg: float
    allowance_mm: float | None = None
    deduction_mm: float | None = None
    k_factor: float | None = None

    @property
    def neutral_share(self) -> float:
        """The K-factor that this row amounts to."""
        if self.k_factor is not None:
            return self.k_factor
        if self.allowance_mm is not None:
            return k_factor_from_allowance(self.allowance_mm, self.angle_deg, self.inside_radius_mm, self.thickness_mm)
        if self.deduction_mm is not None:
            return k_factor_from_deduction(self.deduction_mm, self.angle_deg, self.inside_radius_mm, self.thickness_mm)
        msg = f"bend table row {self.material} {self.thickness_mm:g} mm holds neither allowance nor deduction nor K-factor"
        raise ValueError(msg)


@dataclass(frozen=True, slots=True)
class NeutralLine:
    """A K-factor and where it comes from."""

    k_factor: float
    source: Source


def neutral_line(
    material: str, thickness_mm: float, inside_radius_mm: float, angle_deg: float, shop: Iterable[BendRow] = ()
) -> NeutralLine:
    """K-factor for a bend.

    Shop rows of the same material, thickness and radius (to 0.05 mm) count first; between two angles K is taken linearly,
    outside them from the nearest. Without a row: DIN 6935.

    Raises:
        DesignError: the K that follows does not lie above 0 and at most at 0.5, so a figure in the table is wrong.
    """
    rows = sorted(
        (row.angle_deg, row.neutral_share)
        for row in shop
        if row.material == material
        and abs(row.thickness_mm - thickness_mm) <= _SAME_MM
        and abs(row.inside_radius_mm - inside_radius_mm) <= _SAME_MM
    )
    if rows:
        return NeutralLine(
            _within(material, thickness_mm, _at(rows, abs(angle_deg))), Source("the shop's own bend table", "seen")
        )
    try:
        k = din6935_k_factor(inside_radius_mm, thickness_mm)
    except ValueError as error:
        raise DesignError(material, "no K-factor can be given", str(error), "Enter a test bend or a larger radius.") from None
    return NeutralLine(k, Source("DIN 6935: K = (0.65 + 0.5 log10(Ri/t)) / 2, at most 0.5", "secondary"))


def _at(rows: list[tuple[float, float]], angle_deg: float) -> float:
    if angle_deg <= rows[0][0]:
        return rows[0][1]
    for (a, ka), (b, kb) in pairwise(rows):
        if a <= angle_deg <= b:
            return ka if b == a else ka + (kb - ka) * (angle_deg - a) / (b - a)
    return rows[-1][1]


def _within(material: str, thickness_mm: float, k: float) -> float:
    if not 0.0 < k <= 0.5:
        raise DesignError(
            f"{material} {thickness_mm:g} mm",
            "the bend table leads to a K-factor that does not lie above 0 and at most at 0.5",
            f"K = {k:.4g}",
            "Check that allowance and deduction were not mixed up, and measure a test bend again.",
        )
    return k
