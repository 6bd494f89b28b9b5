"""Bolts under tension and shear, and the plies they hold: EN 1993-1-8:2005, aluminium plies by EN 1999-1-1:2007.

Forces in N, sizes in mm, strengths in MPa. Functions give lists of Check for one named part and load case; the rules'
`utilisations` (in bolt_rules) and `utilisations` here do the same for arrays.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal

import numpy as np

from layout.checks import bolt_rules as rules
from layout.checks.many import hypot, is_pulled, made_where, pulling
from layout.checks.rule import Check, not_checked
from layout.errors import DesignError
from layout.tables import BoltClass, BoltSize, Material, bolt, bolt_class, material

HoleKind = Literal["normal", "oversize", "slot across", "slot along", "slot askew"]
"""Slots: across or along the first direction of the force, or neither."""

SMALL_BOLT = "EN 1993-1-8 covers M12 and above: used below that as an extension of its scope"
OUT_OF_SCOPE_CLASS = "class 12.9 is not in EN 1993-1-8 Table 3.1: taken as an extension with the shear factor of 10.9"
_HOLE_FACTORS = {
    "normal": (1.0, 1.0), "oversize": (0.8, 0.8), "slot across": (0.6, 1.0), "slot along": (1.0, 0.6), "slot askew": (0.6, 0.6),
}  # fmt: skip
"""Share of the bearing resistance along the first and the second direction: 0.6 where a slot lies across it."""
SLOT_EDGE_SHARE = 0.6
"""Share of a head's edge that is left on the plate over a slot: 1 - 2 asin(d_0/d_w)/90 deg, 0.63 for M10 on its washer."""


@dataclass(frozen=True, slots=True)
class Ply:
    """One of the plates a bolt passes through.

    e_1_mm, p_1_mm: edge distance and pitch along the first direction of the force; e_2_mm, p_2_mm across it. An edge
    distance of None is not known (then nothing passes); math.inf: far from any edge; pitch math.inf: no neighbour.
    welded: the hole lies in the heat-affected zone of a weld. repeated: the load comes often (road loads).
    """

    material: str
    thickness_mm: float
    hole_mm: float
    e_1_mm: float | None
    e_2_mm: float | None
    p_1_mm: float = math.inf
    p_2_mm: float = math.inf
    hole_kind: HoleKind = "normal"
    welded: bool = False
    single_lap_single_bolt: bool = False

    def ultimate_mpa(self) -> float:
        """Ultimate strength of the ply, reduced where it lies beside a weld."""
        return _ultimate_mpa(self.material, self.thickness_mm, self.welded)


@lru_cache(maxsize=1024)
def _ultimate_mpa(grade: str, thickness_mm: float, welded: bool) -> float:
    band = material(grade).strength(thickness_mm)
    return band.haz_ultimate_mpa if welded else band.ultimate_mpa


def scope_note(size: BoltSize, grade: BoltClass) -> str:
    """What is outside the scope of the standard for this bolt, or nothing."""
    if grade.in_scope:
        return SMALL_BOLT if size.diameter_mm < 12.0 else ""
    return f"{SMALL_BOLT}; {OUT_OF_SCOPE_CLASS}" if size.diameter_mm < 12.0 else OUT_OF_SCOPE_CLASS


def tension_resistance_n(size: str, grade: str, countersunk: bool = False) -> float:
    """Ft,Rd of EN 1993-1-8:2005 Table 3.4."""
    return (0.63 if countersunk else 0.9) * bolt_class(grade).fub_mpa * bolt(size).stress_area_mm2 / rules.GAMMA_M2


def shear_resistance_n(size: str, grade: str, threads_in_plane: bool = True, hole_mm: float | None = None) -> float:
    """Fv,Rd of one plane, EN 1993-1-8:2005 Table 3.4 and 3.6.1(5)."""
    b, g = bolt(size), bolt_class(grade)
    alpha, area = _shear_plane(b, g, threads_in_plane)
    return alpha * g.fub_mpa * area * _clearance_factor(b, hole_mm) / rules.GAMMA_M2


def bolt_checks(
    part: str,
    case: str,
    size: str,
    grade: str,
    tension_n: float,
    shear_n: float,
    *,
    threads_in_plane: bool = True,
    countersunk: bool = False,
    hole_mm: float | None = None,
) -> list[Check]:
    """Tension, shear and both together of one bolt. tension_n below 0 (pressure) counts as none; shear_n by its size.

    Raises UnknownName for a size or class that is not listed.
    """
    b, g = bolt(size), bolt_class(grade)
    note = scope_note(b, g)
    tension, shear = pulling(tension_n), abs(shear_n)
    alpha, area = _shear_plane(b, g, threads_in_plane)
    first = rules.TENSION.check(
        part, case, note, F_t=tension, k_2=0.63 if countersunk else 0.9, f_ub=g.fub_mpa, A_s=b.stress_area_mm2,
        gamma_M2=rules.GAMMA_M2,
    )  # fmt: skip
    second = rules.SHEAR.check(
        part, case, note, F_v=shear, alpha_v=alpha, f_ub=g.fub_mpa, A=area, beta=_clearance_factor(b, hole_mm),
        gamma_M2=rules.GAMMA_M2,
    )  # fmt: skip
    limits = {"F_vRd": _positive(second.capacity), "F_tRd": _positive(first.capacity)}
    third = rules.COMBINED.check(part, case, note, F_v=shear, F_t=tension, **limits)
    return [first, second, third]


def utilisations(
    size: str, grade: str, tension_n: Any, shear_n: Any, *, threads_in_plane: bool = True, hole_mm: float | None = None
) -> Any:
    """Greatest of tension, shear and combined utilisation for arrays of forces (any shapes that broadcast)."""
    tension, shear = np.where(np.asarray(tension_n) < 0.0, 0.0, tension_n), np.abs(shear_n)
    ft, fv = tension_resistance_n(size, grade), shear_resistance_n(size, grade, threads_in_plane, hole_mm)
    return np.maximum.reduce(np.broadcast_arrays(tension / ft, shear / fv, shear / fv + tension / (1.4 * ft)))


def ply_checks(
    part: str,
    case: str,
    size: str,
    grade: str,
    ply: Ply,
    force_1_n: float,
    force_2_n: float = 0.0,
    tension_n: float = 0.0,
    *,
    washer_mm: float | None = None,
    repeated: bool = False,
    cap_head: bool = False,
) -> list[Check]:
    """Edge distances, bearing with tear-out in both directions, punching and pull-through of one ply.

    force_1_n acts along the ply's e_1, force_2_n along its e_2. washer_mm: outside diameter of the washer under the head
    or nut (None: the head alone). cap_head: cylindrical head (ISO 4762) in place of a hexagon. Edge distances below the
    limit give a check that does not hold.
    """
    b, g = bolt(size), bolt_class(grade)
    found = geometry_checks(part, case, ply)
    found += bearing_checks(part, case, b, g, ply, force_1_n, force_2_n)
    pulled = is_pulled(tension_n)
    if pulled is not False:
        pull = pull_checks(part, case, b, ply, tension_n, washer_mm=washer_mm, repeated=repeated, cap_head=cap_head)
        found += made_where(pulled, pull)
    return found


def geometry_checks(part: str, case: str, ply: Ply) -> list[Check]:
    """Least edge distances and pitches (EN 1993-1-8:2005 Table 3.3)."""
    found = []
    if ply.e_1_mm is not None and ply.e_2_mm is not None:
        rule = rules.SLOT_EDGE if ply.hole_kind.startswith("slot") else rules.EDGE_DISTANCE
        found.append(rule.check(part, case, d_0=ply.hole_mm, e=min(ply.e_1_mm, ply.e_2_mm)))
    for factor, pitch in ((2.2, ply.p_1_mm), (2.4, ply.p_2_mm)):
        if math.isfinite(pitch):
            found.append(rules.PITCH.check(part, case, k_p=factor, d_0=ply.hole_mm, p=pitch))
    return found


def bearing_checks(
    part: str, case: str, size: BoltSize, grade: BoltClass, ply: Ply, force_1_n: float, force_2_n: float = 0.0
) -> list[Check]:
    """Bearing and tear-out. An edge distance that is not known gives a check that could not be made."""
    if ply.e_1_mm is None or ply.e_2_mm is None:
        why = "edge distance of the hole is not known"
        return [not_checked("bearing and tear-out", part, case, why, demand=hypot(force_1_n, force_2_n))]
    metal = material(ply.material)
    rule = rules.BEARING_ALUMINIUM if metal.family == "aluminium" else rules.BEARING
    note = scope_note(size, grade)
    along = {"e_1": ply.e_1_mm, "e_2": ply.e_2_mm, "p_1": ply.p_1_mm, "p_2": ply.p_2_mm}
    across = {"e_1": ply.e_2_mm, "e_2": ply.e_1_mm, "p_1": ply.p_2_mm, "p_2": ply.p_1_mm}
    shared = {
        "d": size.diameter_mm, "d_0": ply.hole_mm, "t": ply.thickness_mm, "f_u": ply.ultimate_mpa(), "f_ub": grade.fub_mpa,
        "gamma_M2": rules.GAMMA_M2,
    }  # fmt: skip
    first, second_factor = _hole_factors(ply)
    found = [rule.check(part, case, note, F_1=abs(force_1_n), c_h=first, **along, **shared)]
    if isinstance(force_2_n, np.ndarray) or force_2_n:
        second = rule.check(part, case, note, F_1=abs(force_2_n), c_h=second_factor, **across, **shared)
        both = rules.BEARING_SKEW.check(
            part, case, note, F_1=abs(force_1_n), F_b1=_positive(found[0].capacity),
            F_2=abs(force_2_n), F_b2=_positive(second.capacity),
        )  # fmt: skip
        found += made_where(force_2_n != 0.0, [second, both])
    return found + _thin_and_single(part, case, size, ply, hypot(force_1_n, force_2_n), metal)


def pull_checks(
    part: str,
    case: str,
    size: BoltSize,
    ply: Ply,
    tension_n: float,
    *,
    washer_mm: float | None = None,
    repeated: bool = False,
    cap_head: bool = False,
) -> list[Check]:
    """Punching through the ply, and pull-through where it is at most 4 mm thick (scope of EN 1993-1-3 joints)."""
    shared = {"F_t": pulling(tension_n), "t": ply.thickness_mm, "f_u": ply.ultimate_mpa(), "gamma_M2": rules.GAMMA_M2}
    note = "washers are not counted in punching" if washer_mm else ""
    head = size.cap_diameter_mm if cap_head else size.mean_head_diameter_mm
    if ply.hole_kind.startswith("slot"):
        head, note = SLOT_EDGE_SHARE * head, "over a slot 0.6 of the head's edge is counted"
    found = [rules.PUNCHING.check(part, case, note, d_m=head, **shared)]
    if ply.thickness_mm <= 4.0:
        width = max(washer_mm or 0.0, size.cap_diameter_mm if cap_head else size.hex_af_mm)
        note = "for bolts the standard asks for tests: the rule for screws with washers is taken"
        factor = 0.5 if repeated else 1.0
        found.append(rules.PULL_THROUGH.check(part, case, note, c_r=factor, d_w=width, **shared))
    return found


def _thin_and_single(part: str, case: str, size: BoltSize, ply: Ply, shear_n: float, metal: Material) -> list[Check]:
    found = []
    strength, t = ply.ultimate_mpa(), ply.thickness_mm
    shared = {"F_v": shear_n, "f_u": strength, "d": size.diameter_mm, "t": t, "gamma_M2": rules.GAMMA_M2}
    if ply.single_lap_single_bolt:
        found.append(rules.BEARING_SINGLE_LAP.check(part, case, "washers under head and nut are asked for", **shared))
    if t < 3.0 and metal.family == "steel":
        k_t = (0.8 * t + 1.5) / 2.5 if t <= 1.25 else 1.0
        edge = min(ply.e_1_mm or 0.0, ply.e_2_mm or 0.0)
        note = "" if edge >= 1.5 * ply.hole_mm and t >= 0.75 else "outside the rule's range (t from 0.75 mm, e_2 from 1.5 d_0)"
        found.append(rules.BEARING_THIN.check(part, case, note, e_1=edge, k_t=k_t, **shared))
    return found


def _hole_factors(ply: Ply) -> tuple[float, float]:
    if ply.hole_kind not in _HOLE_FACTORS:
        raise DesignError("hole", "kind of hole is not known", repr(ply.hole_kind), f"Use one of {', '.join(_HOLE_FACTORS)}.")
    return _HOLE_FACTORS[ply.hole_kind]


def _shear_plane(size: BoltSize, grade: BoltClass, threads_in_plane: bool) -> tuple[float, float]:
    """Shear factor and area of EN 1993-1-8 Table 3.4."""
    if threads_in_plane:
        return grade.alpha_v_threads, size.stress_area_mm2
    return 0.6, size.gross_area_mm2


def _clearance_factor(size: BoltSize, hole_mm: float | None) -> float:
    """0.85 for M12 and M14 in holes with more than the normal 1 mm clearance (3.6.1(5)); the medium hole of ISO 273 has
    1.5 mm and is treated so too.
    """
    if size.size not in ("M12", "M14"):
        return 1.0
    hole = size.hole_medium_mm if hole_mm is None else hole_mm
    return 0.85 if hole - size.diameter_mm > 1.0 + 1e-9 else 1.0


def _positive(capacity: float | None) -> float:
    """A capacity to divide by: where there is none, one so small that the quotient never passes."""
    return capacity if capacity is not None and capacity > 0.0 else 1e-9
