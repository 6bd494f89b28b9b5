"""The finite element run as the report prints it."""

from __future__ import annotations

from typing import Any

from layout.fe.figures import Fe, NoFe, Row
from outputs.cli.fe_words import shown


def fe_record(fe: Fe | NoFe) -> dict[str, Any]:
    """Head, table, verdict and assumptions; or the reason why there is no run."""
    if isinstance(fe, NoFe):
        return {"done": False, "reason": fe.reason, "tail": list(fe.tail)}
    over = [r for r in fe.rows if r.unit == "-" and r.fe > 1.0]
    return {
        "done": True,
        "head": _head(fe),
        "count": len(fe.rows),
        "unsafe": len(fe.unsafe),
        "over": [f"{r.what}, {r.part}: {r.fe:.2f} of the strength ({r.stress_mpa:.0f} MPa), {r.fe_case}" for r in over],
        "rows": [[_cells(r), r.unsafe] for r in fe.rows],
        "remedies": list(fe.remedies),
        "turned": sum(r.turns for r in fe.rechecked),
        "rechecked": [[[r.name, r.part, f"{r.fe_use:.2f}", f"{r.hand_use:.2f}", r.case], r.turns] for r in fe.rechecked],
        "cases": [
            [c.name, name, *(f"{v:.0f}" for v in force), f"{c.deflection_mm:.2f}" if i == 0 else ""]
            for c in fe.cases
            for i, (name, force) in enumerate(c.forces_n)
        ],
        "assumed": list(fe.assumed),
    }


def _head(fe: Fe) -> str:
    most = max(fe.cases, key=lambda c: c.deflection_mm)
    place = ", ".join(f"{v:.0f}" for v in most.deflected_at_mm)
    return (
        f"CalculiX {fe.version}, {fe.elements} bricks of 20 nodes, {fe.nodes} nodes, {fe.mass_kg:.1f} kg. The mounts' forces "
        f"sum to m (g - a) within {fe.imbalance:.0e} of it. Greatest deflection {most.deflection_mm:.2f} mm at "
        f"({place}) mm, {most.name}."
    )


def _cells(row: Row) -> list[str]:
    hand = "none" if row.hand is None else shown(row.hand, row.unit)
    ratio = "" if row.ratio is None else f"{row.ratio:.2f}"
    return [row.what, row.part, shown(row.fe, row.unit), hand, ratio, row.fe_case, row.note]
