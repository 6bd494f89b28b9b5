"""Metals: strength by thickness, strength beside a weld, least bend radius, weld metal. Minimum values, never typical ones."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal, cast

from layout.checks.rule import Source
from layout.errors import DesignError
from layout.tables.reading import Row, UnknownName, maybe, number, rows, source_of

Family = Literal["steel", "aluminium"]


@dataclass(frozen=True, slots=True)
class StrengthBand:
    """Least strengths in MPa for thickness over_mm < t <= up_to_mm; haz: in the heat-affected zone of a weld."""

    over_mm: float
    up_to_mm: float
    proof_mpa: float
    ultimate_mpa: float
    haz_proof_mpa: float
    haz_ultimate_mpa: float
    source: Source


@dataclass(frozen=True, slots=True)
class RadiusBand:
    """Least inside bend radius for a 90 degree bend: radius_mm, or radius_per_thickness times the thickness."""

    over_mm: float
    up_to_mm: float
    radius_mm: float | None
    radius_per_thickness: float | None
    source: Source


@dataclass(frozen=True)
class Material:
    """A metal by its grade. beta_w: correlation factor of fillet welds (EN 1993-1-8), None for aluminium."""

    name: str
    standard: str
    family: Family
    group: str
    density_kg_m3: float
    e_mpa: float
    poisson: float
    beta_w: float | None
    elongation_pct: float
    strengths: tuple[StrengthBand, ...]
    radii: tuple[RadiusBand, ...]
    source: Source

    @property
    def g_mpa(self) -> float:
        """Shear modulus E / (2 (1 + nu))."""
        return self.e_mpa / (2.0 * (1.0 + self.poisson))

    @property
    def gamma_m0(self) -> float:
        """Partial factor on proof strength: steel 1.0 (EN 1993-1-1:2005 6.1), stainless 1.1 (EN 1993-1-4:2006 5.1),
        aluminium 1.1 (EN 1999-1-1:2007 6.1.3). From memory.
        """
        return 1.0 if self.group in ("carbon steel", "cold-rolled steel") else 1.1

    @property
    def ductile(self) -> bool:
        """True where the elongation at fracture is at least 15 per cent (EN 1993-1-1:2005 3.2.2, from memory)."""
        return self.elongation_pct >= 15.0

    def strength(self, thickness_mm: float) -> StrengthBand:
        """Strengths at a thickness. Raises DesignError where the table does not reach it."""
        for band in self.strengths:
            if band.over_mm < thickness_mm <= band.up_to_mm:
                return band
        low, high = self.strengths[0].over_mm, self.strengths[-1].up_to_mm
        raise DesignError(
            self.name, "no strength is listed for this thickness", f"{thickness_mm:g} mm, listed over {low:g} to {high:g} mm",
            "Choose a listed thickness or another material.",
        )  # fmt: skip

    def proof_mpa(self, thickness_mm: float) -> float:
        """Least proof (yield) strength of the parent metal."""
        return self.strength(thickness_mm).proof_mpa

    def ultimate_mpa(self, thickness_mm: float) -> float:
        """Least ultimate strength of the parent metal."""
        return self.strength(thickness_mm).ultimate_mpa

    @property
    def haz_proof_mpa(self) -> float:
        """Least proof strength beside a weld, over all thicknesses."""
        return min(b.haz_proof_mpa for b in self.strengths)

    @property
    def haz_ultimate_mpa(self) -> float:
        """Least ultimate strength beside a weld, over all thicknesses."""
        return min(b.haz_ultimate_mpa for b in self.strengths)

    def min_bend_radius_mm(self, thickness_mm: float) -> float:
        """Least inside radius of a 90 degree bend. Raises DesignError where the table does not reach the thickness."""
        for band in self.radii:
            if band.over_mm < thickness_mm <= band.up_to_mm:
                return band.radius_mm if band.radius_mm is not None else (band.radius_per_thickness or 0.0) * thickness_mm
        raise DesignError(
            self.name, "no bend radius is listed for this thickness",
            f"{thickness_mm:g} mm, listed up to {self.radii[-1].up_to_mm:g} mm", "Weld the corner, or use thinner sheet.",
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class WeldMetal:
    """Strength fw of the weld metal in aluminium by parent alloy and filler (EN 1999-1-1 Table 8.8)."""

    parent: str
    filler: str
    fw_mpa: float
    source: Source


def material_names() -> tuple[str, ...]:
    """Grades by their main names."""
    return tuple(r["name"] for r in rows("materials"))


@cache
def material(name: str) -> Material:
    """Material by main name or alias, upper or lower case alike. Raises UnknownName with near names."""
    wanted = name.strip().casefold()
    for row in rows("materials"):
        if wanted in {n.casefold() for n in (row["name"], *row["aliases"].split(";")) if n}:
            return _material(row)
    raise UnknownName("material", name, material_names())


def _material(row: Row) -> Material:
    name = row["name"]
    strengths = tuple(
        StrengthBand(
            number(r, "over_mm"), number(r, "up_to_mm"), number(r, "proof_mpa"), number(r, "ultimate_mpa"),
            number(r, "haz_proof_mpa"), number(r, "haz_ultimate_mpa"), source_of(r),
        )
        for r in rows("strengths") if r["material"] == name
    )  # fmt: skip
    radii = tuple(
        RadiusBand(
            number(r, "over_mm"), number(r, "up_to_mm"), maybe(r, "radius_mm"), maybe(r, "radius_per_thickness"), source_of(r)
        )
        for r in rows("min_bend_radii") if r["material"] == name
    )  # fmt: skip
    return Material(
        name, row["standard"], cast(Family, row["family"]), row["group"], number(row, "density_kg_m3"), number(row, "e_mpa"),
        number(row, "poisson"), maybe(row, "beta_w"), number(row, "elongation_pct"), strengths, radii, source_of(row),
    )  # fmt: skip


@cache
def weld_metal(parent: str, filler: str = "5356") -> WeldMetal:
    """Weld metal strength for an aluminium grade. Raises UnknownName where the pair is not listed."""
    name = material(parent).name
    for row in rows("weld_metal"):
        if row["parent"] == name and row["filler"] == filler:
            return WeldMetal(name, filler, number(row, "fw_mpa"), source_of(row))
    raise UnknownName("weld metal", f"{name} with {filler}", (f"{r['parent']} with {r['filler']}" for r in rows("weld_metal")))


def haz_extent_mm(thickness_mm: float, process: str = "MIG") -> float:
    """How far the heat-affected zone reaches from the weld (EN 1999-1-1 6.1.6.3). Raises DesignError beyond the table."""
    known = [r for r in rows("haz_extent") if r["process"] == process]
    if not known:
        raise UnknownName("welding process", process, sorted({r["process"] for r in rows("haz_extent")}))
    for row in known:
        if number(row, "over_mm") < thickness_mm <= number(row, "up_to_mm"):
            return number(row, "extent_mm")
    raise DesignError(
        f"{process} weld", "extent of the heat-affected zone is not listed for this thickness", f"{thickness_mm:g} mm",
        f"Use up to {known[-1]['up_to_mm']} mm.",
    )  # fmt: skip
