"""Bolts, nuts, washers, rivet nuts: sizes, classes, lengths; torque coefficients. ISO metric coarse threads."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache
from typing import Literal

from layout.checks.rule import Source
from layout.tables.reading import UnknownName, maybe, number, rows, source_of

BoltKind = Literal["hex bolt", "hex screw", "cap screw"]

LENGTH_SERIES_MM = (6, 8, 10, 12, 16, 20, 25, 30, 35, 40, 45, 50, 55, 60, 65, 70, 80, 90, 100, 110, 120, 130, 140, 150, 160)
"""Nominal lengths of ISO 4014, 4017 and 4762 (from memory)."""


@dataclass(frozen=True, slots=True)
class BoltSize:
    """Thread, hole, head, washer and nut sizes, in mm and mm2.

    hole_fine/medium/coarse: clearance holes of ISO 273. hex: ISO 4014/4017 head across flats and height. cap: ISO 4762.
    washer: ISO 7089. nut_height: greatest height of ISO 4032 (2001 edition), nut_height_min the least.
    socket_outside: outside diameter of the socket that turns the hex head, for the tool's envelope (common practice).
    """

    size: str
    diameter_mm: float
    pitch_mm: float
    stress_area_mm2: float
    hole_fine_mm: float
    hole_medium_mm: float
    hole_coarse_mm: float
    hex_af_mm: float
    hex_height_mm: float
    cap_diameter_mm: float
    cap_height_mm: float
    cap_key_mm: float
    washer_inner_mm: float
    washer_outer_mm: float
    washer_thickness_mm: float
    nut_height_mm: float
    nut_height_min_mm: float
    socket_outside_mm: float
    source: Source

    @property
    def pitch_diameter_mm(self) -> float:
        """d2 = d - 0.6495 P (ISO 724, from memory)."""
        return self.diameter_mm - 0.649519 * self.pitch_mm

    @property
    def minor_diameter_mm(self) -> float:
        """d3 = d - 1.2269 P, root of the bolt's thread (ISO 68-1, from memory)."""
        return self.diameter_mm - 1.226869 * self.pitch_mm

    @property
    def inner_minor_diameter_mm(self) -> float:
        """D1 = d - 1.0825 P, bore of the nut's thread (ISO 724, from memory)."""
        return self.diameter_mm - 1.082532 * self.pitch_mm

    @property
    def minor_area_mm2(self) -> float:
        """Area at the thread's root."""
        return math.pi / 4.0 * self.minor_diameter_mm**2

    @property
    def gross_area_mm2(self) -> float:
        """Area of the shank."""
        return math.pi / 4.0 * self.diameter_mm**2

    @property
    def hex_across_corners_mm(self) -> float:
        """Across the corners of the head, sharp corners: af / cos 30 degrees."""
        return self.hex_af_mm / math.cos(math.pi / 6.0)

    @property
    def mean_head_diameter_mm(self) -> float:
        """dm of EN 1993-1-8: mean of across flats and across corners."""
        return 0.5 * (self.hex_af_mm + self.hex_across_corners_mm)

    def hole_mm(self, fit: str = "medium") -> float:
        """Clearance hole of ISO 273: fine, medium or coarse."""
        fits = {"fine": self.hole_fine_mm, "medium": self.hole_medium_mm, "coarse": self.hole_coarse_mm}
        if fit not in fits:
            raise UnknownName("hole fit", fit, fits)
        return fits[fit]


@dataclass(frozen=True, slots=True)
class BoltClass:
    """Property class of ISO 898-1. fub, fyb: nominal strengths of EN 1993-1-8 Table 3.1; proof_mpa: ISO 898-1 proof stress
    (up to 16 mm); alpha_v_threads: shear factor with threads in the shear plane; in_scope: listed in EN 1993-1-8.
    """

    name: str
    fub_mpa: float
    fyb_mpa: float
    proof_mpa: float
    rm_min_mpa: float
    alpha_v_threads: float
    in_scope: bool
    source: Source


@dataclass(frozen=True, slots=True)
class RivetNut:
    """A blind threaded insert: loads of one maker, N and N*m; None where not given."""

    size: str
    material: str
    thread_proof_n: float
    insert_shear_n: float
    break_torque_nm: float | None
    spin_torque_nm: float | None
    hole_round_mm: float
    hole_hex_af_mm: float
    source: Source


@dataclass(frozen=True, slots=True)
class TorqueCoefficient:
    """K of T = K d F: least, nominal and greatest for a surface."""

    surface: str
    low: float
    nominal: float
    high: float
    source: Source


def bolt_sizes() -> tuple[str, ...]:
    """Sizes in the table, from small to large."""
    return tuple(r["size"] for r in rows("bolts"))


@cache
def bolt(size: str) -> BoltSize:
    """Sizes of a bolt, e.g. "M10". Raises UnknownName."""
    for row in rows("bolts"):
        if row["size"] == size.strip().upper():
            fields = [k for k in BoltSize.__dataclass_fields__ if k not in ("size", "source")]
            return BoltSize(size=row["size"], source=source_of(row), **{k: number(row, k) for k in fields})
    raise UnknownName("bolt size", size, bolt_sizes())


def bolt_class_names() -> tuple[str, ...]:
    """Property classes in the table."""
    return tuple(r["name"] for r in rows("bolt_classes"))


@cache
def bolt_class(name: str) -> BoltClass:
    """Property class, e.g. "8.8". Raises UnknownName."""
    for row in rows("bolt_classes"):
        if row["name"] == name.strip():
            return BoltClass(
                row["name"], number(row, "fub_mpa"), number(row, "fyb_mpa"), number(row, "proof_mpa"),
                number(row, "rm_min_mpa"), number(row, "alpha_v_threads"), row["in_en_1993_1_8"] == "yes", source_of(row),
            )  # fmt: skip
    raise UnknownName("bolt class", name, bolt_class_names())


@cache
def rivet_nut(size: str, material: str = "steel") -> RivetNut:
    """Rivet nut by thread and material. Raises UnknownName."""
    for row in rows("rivet_nuts"):
        if row["size"] == size.strip().upper() and row["material"] == material:
            return RivetNut(
                row["size"], material, number(row, "thread_proof_n"), number(row, "insert_shear_n"),
                maybe(row, "break_torque_nm"), maybe(row, "spin_torque_nm"), number(row, "hole_round_mm"),
                number(row, "hole_hex_af_mm"), source_of(row),
            )  # fmt: skip
    raise UnknownName("rivet nut", f"{size} {material}", (f"{r['size']} {r['material']}" for r in rows("rivet_nuts")))


@cache
def torque_coefficient(surface: str = "dry steel") -> TorqueCoefficient:
    """Torque coefficient for a surface. Raises UnknownName."""
    for row in rows("tightening"):
        if row["surface"] == surface:
            low, nominal, high = number(row, "k_low"), number(row, "k_nominal"), number(row, "k_high")
            return TorqueCoefficient(surface, low, nominal, high, source_of(row))
    raise UnknownName("surface", surface, (r["surface"] for r in rows("tightening")))


@cache
def bolt_lengths_mm(size: str, kind: BoltKind = "hex bolt") -> tuple[float, ...]:
    """Standard lengths of a bolt kind: hex bolt (ISO 4014), hex screw threaded to the head (ISO 4017), cap screw (ISO 4762)."""
    key = kind.replace(" ", "_")
    for row in rows("bolt_lengths"):
        if row["size"] == size.strip().upper():
            if f"{key}_from_mm" not in row:
                raise UnknownName("bolt kind", kind, ("hex bolt", "hex screw", "cap screw"))
            low, high = number(row, f"{key}_from_mm"), number(row, f"{key}_to_mm")
            return tuple(float(v) for v in LENGTH_SERIES_MM if low <= v <= high)
    raise UnknownName("bolt size", size, (r["size"] for r in rows("bolt_lengths")))


def thread_length_mm(size: str, kind: BoltKind, length_mm: float) -> float:
    """Threaded length: 2 d + 6 (hex bolt), 2 d + 12 (cap screw), at most the length; all of it for a hex screw."""
    if kind == "hex screw":
        return length_mm
    key = "hex_bolt_thread_mm" if kind == "hex bolt" else "cap_screw_thread_mm"
    for row in rows("bolt_lengths"):
        if row["size"] == size.strip().upper():
            return min(number(row, key), length_mm)
    raise UnknownName("bolt size", size, (r["size"] for r in rows("bolt_lengths")))
