"""Things that are held down: modules on their floor or rails, equipment on a wall, the lid when the box hangs over.

A body is a mass with its centroid above a base with bolts. Axes: u, v in the base, w out of it; the pseudo force on the
body is given, in N.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from layout.checks.bolts import Ply, bolt_checks, ply_checks, tension_resistance_n, utilisations
from layout.checks.groups import BoltGroup, bolt_shears, bolt_tensions
from layout.checks.plates import Panel, inertia_pressure_mpa, panel_checks
from layout.checks.prying import Flange, prying_checks
from layout.checks.rule import Check, Rule, Source
from layout.checks.threads import thread_checks
from layout.errors import DesignError

Held = Literal["tapped", "nut"]

UNEVEN = 1.5
"""Lid bolts share unevenly (a thin lid bends between them): the mean times 1.5 (our choice)."""

LID_PITCH = Rule(
    "pitch of lid bolts", "p", "max(10 * d, 100)", "mm", Source("common practice for gasketed covers, no source", "memory"),
    {"p": ("mm", "greatest pitch between lid bolts"), "d": ("mm", "bolt diameter")},
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Body:
    """A body on its bolts. centroid_mm: (u, v, w), w above the base; bolts in the same u, v; base: what is bolted to.

    base_grade, base_mm: metal under it; held: "tapped" into it, or a "nut" behind it. foot_grade, foot_mm: the body's own
    foot under the bolt head, None where it is the maker's. edge_mm: least edge distance of the holes.
    """

    group: BoltGroup
    centroid_mm: tuple[float, float, float]
    size: str
    bolt_class: str
    base_grade: str
    base_mm: float
    held: Held
    edge_mm: float
    hole_mm: float
    foot_grade: str | None = None
    foot_mm: float = 0.0
    washer_mm: float | None = None
    welded: bool = False


def body_checks(part: str, case: str, body: Body, force_n: tuple[float, float, float]) -> list[Check]:
    """Worst bolt of a body under the pseudo force at its centroid: bolt, base, foot. Friction gives no credit.

    The base's least thickness for the thread counts as engagement. Raises DesignError for an unknown way of holding.
    """
    if body.held not in ("tapped", "nut"):
        raise DesignError(part, "way of holding is not known", repr(body.held), "Use tapped or nut.")
    force = np.asarray(force_n, dtype=float)
    arm = np.asarray(body.centroid_mm) - np.array([*body.group.centroid_mm, 0.0])
    moment = np.cross(arm, force)
    tensions, shears = bolt_tensions(body.group, force, moment), bolt_shears(body.group, force, moment)
    resultant = np.hypot(shears[:, 0], shears[:, 1])
    used = utilisations(body.size, body.bolt_class, tensions, resultant)
    worst = int(np.argmax(used))
    tension, shear = float(tensions[worst]), float(resultant[worst])
    found = bolt_checks(part, case, body.size, body.bolt_class, tension, shear, hole_mm=body.hole_mm)
    base = Ply(body.base_grade, body.base_mm, body.hole_mm, body.edge_mm, body.edge_mm, welded=body.welded)
    pull = tension if body.held == "nut" else 0.0
    found += ply_checks(f"{part} base", case, body.size, body.bolt_class, base, shear, 0.0, pull)
    if body.held == "tapped":
        found += thread_checks(
            f"{part} base", case, body.size, body.bolt_class, body.base_grade, body.base_mm, tension, welded=body.welded
        )
    if body.foot_grade is not None:
        foot = Ply(body.foot_grade, body.foot_mm, body.hole_mm, body.edge_mm, body.edge_mm)
        found += ply_checks(
            f"{part} foot", case, body.size, body.bolt_class, foot, shear, 0.0, tension, washer_mm=body.washer_mm
        )
    return found


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
