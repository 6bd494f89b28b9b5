"""Preload of a bolted joint: torque, least and greatest preload, proof load, separation, slip.

Road loads ask for all three of proof, separation and slip; in a crash slip is permitted and the bolt is checked without
credit for preload (bolts.bolt_checks).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from layout.checks import bolt_rules as rules
from layout.checks.bolts import scope_note
from layout.checks.many import pulling
from layout.checks.rule import Check
from layout.tables import bolt, bolt_class, torque_coefficient

SHARE_LOW, SHARE_HIGH = 0.1, 0.4
"""Bounds on the bolt's share C of the external tension (Shigley ch. 8 range; typical steel joint 0.25)."""

SLOT_FACTOR = {"short": 0.76, "long": 0.63}
"""k_s for a force along a slot, EN 1993-1-8:2005 Table 3.6 (across it 0.85 and 0.70: not less)."""
SHORT_SLOT_MM = 4.0
"""A slot not more than this longer than wide is short for bolts up to M14 (EN 1090-2 Table 11, from memory)."""

SLIP_FACTOR = {"untreated": 0.2, "wire-brushed": 0.3, "blasted": 0.4}
"""Slip factors of classes D, C and B, EN 1993-1-8:2005 Table 3.7 (values seen in published section tables)."""


@dataclass(frozen=True, slots=True)
class Preload:
    """What tightening to a torque leaves in the bolt.

    torque_nm = K d F; nominal_n = share of proof load; low_n: after scatter and settling; high_n: with scatter.
    """

    size: str
    grade: str
    surface: str
    k: float
    scatter: float
    torque_nm: float
    nominal_n: float
    low_n: float
    high_n: float


def preload(
    size: str, grade: str, surface: str = "dry steel", *, proof_share: float = 0.75, scatter: float = 0.3, settling: float = 0.1
) -> Preload:
    """Preload of a bolt tightened by torque (Shigley 9th ed. ch. 8: 75 per cent of proof load for a reusable joint, T = K F d).

    scatter: plus-minus share of the preload at a given torque (30 per cent: seen in a summary); settling: share lost by
    embedding (our choice). Raises UnknownName for a size, class or surface that is not listed.
    """
    b, g, k = bolt(size), bolt_class(grade), torque_coefficient(surface)
    nominal = proof_share * g.proof_mpa * b.stress_area_mm2
    torque = k.nominal * nominal * b.diameter_mm / 1000.0
    low = nominal * (1.0 - scatter) * (1.0 - settling)
    return Preload(size, grade, surface, k.nominal, scatter, torque, nominal, low, nominal * (1.0 + scatter))


def proof_check(part: str, case: str, set_to: Preload, tension_n: float, bolt_share: float = SHARE_HIGH) -> Check:
    """Greatest preload with the bolt's share of the load against the proof load."""
    b, g = bolt(set_to.size), bolt_class(set_to.grade)
    return rules.PROOF.check(
        part, case, "", F_imax=set_to.high_n, C=bolt_share, F_t=pulling(tension_n), S_p=g.proof_mpa, A_s=b.stress_area_mm2
    )


def separation_check(part: str, case: str, set_to: Preload, tension_n: float, bolt_share: float = SHARE_LOW) -> Check:
    """Whether the plates part: least preload against the load they lose."""
    return rules.SEPARATION.check(part, case, "", C=bolt_share, F_t=pulling(tension_n), F_imin=set_to.low_n)


def slip_check(
    part: str,
    case: str,
    set_to: Preload,
    tension_n: float,
    shear_n: float,
    *,
    slip_factor: float = 0.2,
    planes: int = 1,
    hole_factor: float = 1.0,
    state: Literal["service", "ultimate"] = "service",
) -> Check:
    """Slip of one bolt's share of the joint (hole_factor: k_s, 1 for a normal hole), with the least preload in place of
    the code's controlled preload.
    """
    b, g = bolt(set_to.size), bolt_class(set_to.grade)
    note = "preload by torque with its scatter in place of controlled tightening (EN 1090-2)"
    extra = scope_note(b, g)
    return rules.SLIP.check(
        part, case, f"{note}; {extra}" if extra else note, F_v=abs(shear_n), k_s=hole_factor, n=float(planes),
        mu=slip_factor, F_imin=set_to.low_n, F_t=pulling(tension_n),
        gamma_M3=rules.GAMMA_M3_SERVICE if state == "service" else rules.GAMMA_M3,
    )  # fmt: skip


def road_joint_checks(
    part: str, case: str, set_to: Preload, tension_n: float, shear_n: float, *, slip_factor: float = 0.2,
    hole_factor: float = 1.0,
) -> list[Check]:  # fmt: skip
    """Proof load, separation and slip together: what road loads ask of a joint."""
    return [
        proof_check(part, case, set_to, tension_n),
        separation_check(part, case, set_to, tension_n),
        slip_check(part, case, set_to, tension_n, shear_n, slip_factor=slip_factor, hole_factor=hole_factor),
    ]
