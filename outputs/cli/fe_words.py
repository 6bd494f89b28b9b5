"""The finite element run as text for the terminal."""

from __future__ import annotations

from layout.fe.figures import Fe, NoFe, Row


def fe_lines(fe: Fe | NoFe) -> list[str]:
    """What FE says beside the hand figures, the unsafe ones first and plainly; or why there is no FE."""
    if isinstance(fe, NoFe):
        return ["", fe.reason, *(f"    {line}" for line in fe.tail)]
    most = max(fe.cases, key=lambda c: c.deflection_mm)
    place = ", ".join(f"{v:.0f}" for v in most.deflected_at_mm)
    return [
        "",
        f"Finite elements (CalculiX {fe.version}, {fe.elements} bricks, {fe.nodes} nodes) beside the hand figures",
        "  each the greatest over all load cases; forces in N, stress as a share of strength (1 is all of it)",
        f"  {'':7}{'what':24} {'part':28} {'FE':>8} {'hand':>8}  FE / hand  worst case of FE",
        *(_line(row) for row in fe.rows),
        f"  greatest deflection {most.deflection_mm:.2f} mm at ({place}), {most.name}",
        f"  sum of the mounts' forces against m (g - a): {fe.imbalance:.0e} of it",
        *verdict_lines(fe),
        *recheck_lines(fe),
        "  Assumed by FE:",
        *(f"    {text}" for text in fe.assumed),
    ]


def verdict_lines(fe: Fe) -> list[str]:
    """Where FE lies above the hand figure, in plain words."""
    over = [r for r in fe.rows if r.unit == "-" and r.fe > 1.0]
    lines = [
        f"  FE stress ABOVE strength: {r.what}, {r.part}: {r.fe:.2f} of it ({r.stress_mpa:.0f} MPa), {r.fe_case}" for r in over
    ]
    if not fe.unsafe:
        return [*lines, "  no hand figure lies more than 5 per cent on the unsafe side of FE"]
    lines.append(f"  HAND FIGURE ON THE UNSAFE SIDE of FE in {len(fe.unsafe)} of {len(fe.rows)} comparisons:")
    for r in fe.unsafe:
        hand = "0" if not r.hand else shown(r.hand, r.unit)
        note = f"; {r.note}" if r.note else ""
        times = "" if r.ratio is None else f", {r.ratio:.2f} times"
        lines.append(f"    {r.what}, {r.part}: FE {shown(r.fe, r.unit)}, hand {hand}{times} ({r.fe_case}{note})")
    return [*lines, *(f"  {text}" for text in fe.remedies)]


def recheck_lines(fe: Fe, most: int = 12) -> list[str]:
    """Hand checks under FE's mount forces: those that no longer hold, and the others that are used further."""
    turned = sum(r.turns for r in fe.rechecked)
    if not fe.rechecked:
        return ["  under FE's mount forces no hand check is used more than 5 per cent further"]
    head = f"{len(fe.rechecked)} used further, {turned} that hold by hand NO LONGER HOLD"
    lines = [f"  Hand checks under FE's mount forces: {head}"]
    for r in fe.rechecked[: max(most, turned)]:
        mark = "NO LONGER HOLDS " if r.turns else ""
        lines.append(f"    {mark}{r.name}, {r.part}: {r.fe_use:.2f}, by hand {r.hand_use:.2f} ({r.case})")
    return lines


def shown(value: float, unit: str) -> str:
    """A force in N or a share of strength."""
    return f"{value:.0f} N" if unit == "N" else f"{value:.2f}"


def _line(row: Row) -> str:
    digits = 0 if row.unit == "N" else 2
    hand = "-" if row.hand is None else f"{row.hand:.{digits}f}"
    ratio = "-" if row.ratio is None else f"{row.ratio:.2f}"
    mark = "UNSAFE " if row.unsafe else ""
    return f"  {mark:7}{row.what:24} {row.part:28} {row.fe:8.{digits}f} {hand:>8}  {ratio:>9}  {row.fe_case}"
