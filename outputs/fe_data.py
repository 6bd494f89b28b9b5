"""The finite element run as plain data: `loads.fe` of results.json and of --json."""

from __future__ import annotations

from typing import Any

from layout.fe.figures import Fe, NoFe, Row

Data = dict[str, Any]


def fe_data(fe: Fe | NoFe) -> Data:
    """`loads.fe`: whether it was done, or why not; mount forces by case (vehicle axes, N), figures beside the hand figures."""
    if isinstance(fe, NoFe):
        return {"done": False, "reason": fe.reason, "solver_said": list(fe.tail)}
    return {
        "done": True,
        "solver": f"CalculiX {fe.version}",
        "nodes": fe.nodes,
        "elements": fe.elements,
        "seconds": round(fe.seconds, 1),
        "mass_kg": fe.mass_kg,
        "imbalance": fe.imbalance,
        "assumed": list(fe.assumed),
        "cases": [
            {
                "name": c.name,
                "mounts": [{"name": name, "force_n": list(force)} for name, force in c.forces_n],
                "deflection_mm": c.deflection_mm,
                "deflected_at_mm": list(c.deflected_at_mm),
            }
            for c in fe.cases
        ],
        "compared": [_row(r) for r in fe.rows],
        "remedies": list(fe.remedies),
        "checks_under_fe_forces": [
            {"name": r.name, "part": r.part, "case": r.case, "utilisation": r.fe_use, "by_hand": r.hand_use, "turns": r.turns}
            for r in fe.rechecked
        ],
        "unsafe": [_row(r) for r in fe.unsafe],
    }


def _row(row: Row) -> Data:
    return {
        "what": row.what,
        "part": row.part,
        "unit": row.unit,
        "fe": row.fe,
        "fe_case": row.fe_case,
        "hand": row.hand,
        "hand_case": row.hand_case,
        "ratio": row.ratio,
        "hand_is_unsafe": row.unsafe,
        "stress_mpa": row.stress_mpa,
        "note": row.note,
    }
