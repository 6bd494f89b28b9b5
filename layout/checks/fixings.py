"""What holds the bolt at the vehicle: tapped metal, a nut welded behind it, a through bolt, a rivet nut or captive nut; and
the vehicle's own sheet there. What is not known is reported as not checked, never passed.
"""

from __future__ import annotations

from typing import Literal

from layout.checks.bolts import Ply, bearing_checks, geometry_checks, pull_checks
from layout.checks.many import hypot, is_pulled, made_where, pulling, with_note
from layout.checks.rule import Check, Rule, Source, not_checked
from layout.checks.threads import thread_checks
from layout.errors import DesignError
from layout.tables import bolt, bolt_class, rivet_nut

FixingKind = Literal["thread", "weld nut", "through hole", "rivet nut", "captive nut"]
LoadGroup = Literal["crash", "road"]

NO_CREDIT = Rule(
    "blind nut in a crash", "sqrt(F_t**2 + F_v**2)", "c * 1.0", "N",
    Source("Formula SAE Rules 2026 F.5.4.1 (no blind nuts in primary structure): no credit in a crash", "seen"),
    {"F_t": ("N", "tension"), "F_v": ("N", "shear"), "c": ("N", "credit given: none")},
)  # fmt: skip

RIVET_NUT = Rule(
    "rivet nut", "sqrt((F_t / F_p)**2 + (F_v / F_s)**2) * gamma_M2", "1.0", "-",
    Source("load table of one maker of rivet nuts; square interaction and partial factor are our choice", "seen"),
    {
        "F_t": ("N", "tension"), "F_p": ("N", "proof load of the insert's thread"), "F_v": ("N", "shear"),
        "F_s": ("N", "shear load of the insert's body"), "gamma_M2": ("-", "partial factor"),
    },
)  # fmt: skip

EDGE_ASSUMED = "edge distance at the vehicle not stated: the least that EN 1993-1-8 allows (1.2 d0) taken"
BENDING_LEFT_OUT = "local bending of the vehicle's section is not in this figure"


def fixing_checks(
    part: str,
    case: str,
    kind: FixingKind,
    size: str,
    grade: str,
    tension_n: float,
    shear_n: float,
    *,
    sheet_material: str | None,
    sheet_mm: float | None,
    group: LoadGroup = "crash",
    edge_mm: float | None = None,
    backing_washer_mm: float | None = None,
    credit_blind: bool = False,
) -> list[Check]:
    """All checks of the vehicle's side of one bolt.

    tension_n pulls the bolt out of the vehicle. sheet_material, sheet_mm: the vehicle's metal there, None where not known.
    edge_mm: least edge distance of the hole in it. credit_blind: the job gives rivet and captive nuts credit in a crash.
    Raises DesignError for an unknown kind, UnknownName for a size, class or material that is not listed.
    """
    if kind not in ("thread", "weld nut", "through hole", "rivet nut", "captive nut"):
        raise DesignError(part, "kind of fixing is not known", repr(kind), "Use thread, weld nut, through hole or rivet nut.")
    found = []
    if kind in ("rivet nut", "captive nut"):
        found += _blind(part, case, kind, size, tension_n, shear_n, group, credit_blind)
    return found + sheet_checks(
        part, case, kind, size, grade, tension_n, shear_n, sheet_material=sheet_material, sheet_mm=sheet_mm, group=group,
        edge_mm=edge_mm, backing_washer_mm=backing_washer_mm,
    )  # fmt: skip


def sheet_checks(
    part: str,
    case: str,
    kind: FixingKind,
    size: str,
    grade: str,
    tension_n: float,
    shear_n: float,
    *,
    sheet_material: str | None,
    sheet_mm: float | None,
    group: LoadGroup = "crash",
    edge_mm: float | None = None,
    backing_washer_mm: float | None = None,
) -> list[Check]:
    """The vehicle's own sheet: bearing, and by the kind of fixing stripping, or punching and pull-through."""
    if sheet_material is None or sheet_mm is None:
        why = "material and thickness of the vehicle's metal at this mount point are not known: measure and state them"
        force = hypot(pulling(tension_n), shear_n)
        return [not_checked("vehicle's own sheet", part, case, why, demand=force)]
    b, g = bolt(size), bolt_class(grade)
    threaded = kind == "thread"
    hole = b.diameter_mm if threaded else b.hole_medium_mm
    edge = 1.2 * hole if edge_mm is None else edge_mm
    ply = Ply(sheet_material, sheet_mm, hole, edge, edge)
    found = geometry_checks(part, case, ply) + bearing_checks(part, case, b, g, ply, abs(shear_n))
    pulled = is_pulled(tension_n)
    if pulled is not False:
        if threaded:
            pull = thread_checks(part, case, size, grade, sheet_material, sheet_mm, tension_n)
        else:
            pull = pull_checks(part, case, b, ply, tension_n, washer_mm=backing_washer_mm, repeated=group == "road")
        found += made_where(pulled, pull)
    notes = [EDGE_ASSUMED] if edge_mm is None else []
    return [_noted(check, "; ".join([*notes, BENDING_LEFT_OUT])) for check in found]


def _blind(
    part: str, case: str, kind: FixingKind, size: str, tension_n: float, shear_n: float, group: LoadGroup, credit: bool
) -> list[Check]:
    pull = pulling(tension_n)
    if group == "crash" and not credit:
        return [NO_CREDIT.check(part, case, f"{kind}: no credit in crash cases", F_t=pull, F_v=abs(shear_n), c=0.0)]
    if kind == "captive nut":
        return [not_checked("captive nut", part, case, "no load table for captive (cage) nuts is held", demand=abs(shear_n))]
    insert = rivet_nut(size)
    return [
        RIVET_NUT.check(
            part, case, "one maker's steel insert", F_t=pull, F_p=insert.thread_proof_n, F_v=abs(shear_n),
            F_s=insert.insert_shear_n, gamma_M2=1.25,
        )
    ]  # fmt: skip


def _noted(check: Check, note: str) -> Check:
    """The check with one more note."""
    return with_note(check, f"{check.note}; {note}" if check.note else note)
