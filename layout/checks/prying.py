"""Prying: a thin flange that is bent by a bolt levers on its edge and adds to the bolt's tension.

The equivalent T of EN 1993-1-8 6.2.4 (formulas seen in the draft prEN 1993-1-8 of December 2000, 6.2.2; effective lengths in a
reproduction of Table 6.5), and beside it a simple rule on the bolt alone.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from layout.checks.many import pulling
from layout.checks.rule import Check, Rule, Source
from layout.errors import DesignError
from layout.tables import material

_TEE = Source("EN 1993-1-8:2005 6.2.4 Table 6.2 (text of the 2000 draft seen)", "seen")

FLANGE = Rule(
    "flange with prying (tee)", "F",
    "min(4 * l_1 * t**2 * f_y / 4 / gamma_M0 / m, (2 * l_2 * t**2 * f_y / 4 / gamma_M0 + n * B) / (m + n), B)", "N", _TEE,
    {
        "F": ("N", "pull on the whole tee"), "l_1": ("mm", "effective length, complete yielding of the flange"),
        "l_2": ("mm", "effective length, bolt failure with yielding"), "t": ("mm", "flange thickness"),
        "f_y": ("MPa", "proof strength"), "gamma_M0": ("-", "partial factor"), "m": ("mm", "bolt line to weld or bend"),
        "n": ("mm", "bolt line to the edge, at most 1.25 m"), "B": ("N", "tension resistance of all its bolts"),
    },
)  # fmt: skip

BOLT = Rule(
    "bolt tension with prying", "max(1.5, 1 + m / (2 * n)) * F_t", "F_tRd", "N",
    Source("at least 1.5 (our choice); 1 + m/(2 n): equilibrium with both hinges (Thornton 1985: Q a = T b/2)", "seen"),
    {
        "F_t": ("N", "pull per bolt"), "m": ("mm", "bolt line to weld or bend"),
        "n": ("mm", "bolt line to the edge, at most 1.25 m"), "F_tRd": ("N", "tension resistance of the bolt"),
    },
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Flange:
    """A flange pulled at its root, bolts in one line on each side (sides = 2), or on one side (an angle: sides = 1).

    m_mm: bolt line to the root (less 0.8 of the weld leg, or 0.8 of the bend radius); edge_mm: bolt line to the free edge
    that levers; width_mm: of flange per bolt row along the root.
    """

    grade: str
    thickness_mm: float
    m_mm: float
    edge_mm: float
    width_mm: float
    sides: int = 1
    welded: bool = False

    @property
    def n_mm(self) -> float:
        """Lever of the prying force: edge distance, at most 1.25 m."""
        return min(self.edge_mm, 1.25 * self.m_mm)

    @property
    def lengths_mm(self) -> tuple[float, float]:
        """Effective lengths of one row alone: min(2 pi m, 4 m + 1.25 e) and 4 m + 1.25 e, none wider than the flange."""
        circular, other = 2.0 * math.pi * self.m_mm, 4.0 * self.m_mm + 1.25 * self.edge_mm
        return min(circular, other, self.width_mm), min(other, self.width_mm)

    @property
    def proof_mpa(self) -> float:
        """Proof strength, beside a weld where welded."""
        band = material(self.grade).strength(self.thickness_mm)
        return band.haz_proof_mpa if self.welded else band.proof_mpa


def prying_factor(m_mm: float, n_mm: float) -> float:
    """Bolt force over its share of the pull that is never passed: at least 1.5, and 1 + m/(2 n)."""
    if not (m_mm > 0.0 and n_mm > 0.0):
        figure = f"m {m_mm:g}, n {n_mm:g} mm"
        raise DesignError("flange", "distances of the bolt line must be above 0", figure, "Move the bolt.")
    return max(1.5, 1.0 + m_mm / (2.0 * n_mm))


def prying_checks(part: str, case: str, flange: Flange, pull_per_bolt_n: float, bolt_resistance_n: float) -> list[Check]:
    """Flange by the tee, and bolt with its prying force. pull_per_bolt_n: without prying; below 0 counts as none.

    An angle (one side) is half a tee: its row is checked as a tee with twice its pull and two bolts.
    """
    prying_factor(flange.m_mm, flange.n_mm)
    pull = pulling(pull_per_bolt_n)
    first, second = flange.lengths_mm
    metal = material(flange.grade)
    notes = ["one side taken as half a tee"] if flange.sides == 1 else []
    if not metal.ductile:
        notes.append("metal with little elongation: two thirds of the strength, so that no plastic hinge is relied on")
    tee = FLANGE.check(
        part, case, "; ".join(notes), F=2.0 * pull, l_1=first, l_2=second, t=flange.thickness_mm, gamma_M0=metal.gamma_m0,
        f_y=flange.proof_mpa * (1.0 if metal.ductile else 2.0 / 3.0), m=flange.m_mm, n=flange.n_mm, B=2.0 * bolt_resistance_n,
    )  # fmt: skip
    return [tee, BOLT.check(part, case, F_t=pull, m=flange.m_mm, n=flange.n_mm, F_tRd=bolt_resistance_n)]
