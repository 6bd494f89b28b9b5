"""The lid of the box when it hangs over, with its bolts."""

from __future__ import annotations

from dataclasses import dataclass

from layout.checks.bolts import Ply, bolt_checks, ply_checks, tension_resistance_n
from layout.checks.plates import Panel, inertia_pressure_mpa, panel_checks
from layout.checks.prying import Flange, prying_checks
from layout.checks.rule import Check, Rule, Source
from layout.errors import DesignError

UNEVEN = 1.5
"""Lid bolts share unevenly (a thin lid bends between them): the mean times 1.5 (our choice)."""

LID_PITCH = Rule(
    "pitch of lid bolts", "p", "max(10 * d, 100)", "mm", Source("common practice for gasketed covers, no source", "memory"),
    {"p": ("mm", "greatest pitch between lid bolts"), "d": ("mm", "bolt diameter")},
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Lid:
    """A flat lid on a flange. a_mm, b_mm: between bolt lines; bolts: how many; pitch_mm: greatest distance between two;
    flange_mm: thickness of the box's flange; line_mm: bolt line to the wall (or its weld); edge_mm: bolt line to the edge.
    """

    grade: str
    thickness_mm: float
    a_mm: float
    b_mm: float
    bolts: int
    size: str
    bolt_class: str
    hole_mm: float
    pitch_mm: float
    flange_grade: str
    flange_mm: float
    line_mm: float
    edge_mm: float
    washer_mm: float


def lid_checks(part: str, case: str, lid: Lid, carried_kg: float, out_m_s2: float) -> list[Check]:
    """Lid and its bolts when it is thrown off the box (a box upside down, or a load upwards).

    carried_kg: the lid itself and all that would rest on it; out_m_s2: acceleration of those outwards, at least 9.81 for a
    box upside down. Sheet: simply supported on the bolt lines; bolt: mean times 1.5 for uneven sharing, flange with prying.
    """
    if lid.bolts < 1:
        raise DesignError(part, "a lid needs bolts", f"{lid.bolts}", "Give it bolts.")
    pressure = inertia_pressure_mpa(carried_kg, max(out_m_s2, 0.0), lid.a_mm, lid.b_mm)
    panel = Panel(lid.grade, lid.thickness_mm, lid.a_mm, lid.b_mm, "simply supported", welded=False)
    each = UNEVEN * carried_kg * max(out_m_s2, 0.0) / lid.bolts
    found = [LID_PITCH.check(part, case, p=lid.pitch_mm, d=float(lid.size[1:]))]
    found += panel_checks(part, case, panel, pressure)
    found += bolt_checks(f"{part} bolt", case, lid.size, lid.bolt_class, each, 0.0, hole_mm=lid.hole_mm)
    sheet = Ply(lid.grade, lid.thickness_mm, lid.hole_mm, lid.edge_mm, lid.edge_mm)
    found += ply_checks(f"{part} at bolt", case, lid.size, lid.bolt_class, sheet, 0.0, 0.0, each, washer_mm=lid.washer_mm)
    flange = Flange(lid.flange_grade, lid.flange_mm, lid.line_mm, lid.edge_mm, lid.pitch_mm, welded=True)
    return found + prying_checks(f"{part} flange", case, flange, each, tension_resistance_n(lid.size, lid.bolt_class))
